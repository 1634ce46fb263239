"""Drawn start: two tanks run alike until, on a day that the lot drew, the change starts in the one that the lot named."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from fairtank.errors import DesignError, NotEnoughDataError
from fairtank.finding import Finding, Natural, UnitSummary
from fairtank.inference import grades
from fairtank.inference.designs import drawn_start as test
from fairtank.inference.designs.posing import check_summary
from fairtank.inference.intervals.welch import mean
from fairtank.inference.outcome import Way, is_swayed
from fairtank.inference.question import Question, settle_question
from fairtank.inference.record import Record
from fairtank.inference.rounding import settled
from fairtank.inference.sensitivity import SCALE_WORDS, other_scale
from fairtank.inference.series.days import excluding_event, without_excluded_days
from fairtank.inference.series.outside import days_outside
from fairtank.inference.series.scales import Scale
from fairtank.inference.series.summaries import Recorded, recorded_of, scale_of, used_values
from fairtank.inference.series.tanks import sharing_of, unit_word
from fairtank.inference.series.windows import check_window, trouble
from fairtank.inference.unfinished import NOT_OVER, VALUES_END, early_reason, unfinished_reason, values_end
from fairtank.registry import analysis
from fairtank.trial import Event, MeasureChoice, Plan

SOURCES = ("edgington2007",)
STATISTICS = {"mean": "level", "change": "level", "slope": "slope"}
EXPECTED_SIGNS = {"less": -1.0, "either": 0.0, "more": 1.0}
_NO_WIDTH = 1e-9
NOT_DRAWN = ("The tank and the day of the start were not drawn by lot. The test compares what was seen with the other draws that a lot "
             "could have made; without a lot it means nothing.")


@dataclass(frozen=True)
class _Common:
    """The days on which both tanks have a value, with the values on the scale, reference first; or why they cannot be used.

    days: rising. values: one row for each tank. clipped: days of each tank beyond the clipping limits. spoilt: a sentence for each tank,
    empty where nothing is wrong.
    """

    days: tuple[int, ...]
    values: tuple[tuple[float, ...], tuple[float, ...]]
    clipped: tuple[int, int]
    spoilt: tuple[str, str]


@dataclass(frozen=True)
class _Read:
    """One way of reading the record: the days, what the test says of them (None: spoilt) and the grade."""

    common: _Common
    told: test.DrawnStart | None
    grade: str


def _direction(question: Question) -> str:
    """The direction in which the test looks: what the plan expects was said of the primary measure; all others are looked at both ways."""
    return question.plan.expect if question.is_primary else "either"


def _check_plan(question: Question, window: tuple[int, int]) -> None:
    """Refuse a plan that is no drawn start, or whose window leaves too few days on one side of a possible start."""
    plan, choice = question.plan, question.choice
    if len(plan.units) != 2 or len(plan.arms) != 2:
        raise DesignError(f"A drawn start compares two tanks, one under each of two arms; this plan has {len(plan.units)} units and "
                          f"{len(plan.arms)} arms. With more tanks, use side_by_side or run_in: there the tanks are the sample.")
    if plan.start_window is None:
        raise DesignError("A drawn start needs the window of days from which its start is drawn. Set start_window in the plan.")
    if plan.drawn_day is None:
        raise DesignError("The day of the start is not in the plan. Draw the day first, by lot from start_window, and write it down as "
                          "drawn_day before the change starts.")
    test.check_draw(plan.start_window, plan.drawn_day, _direction(question))
    fewest = test.FEWEST_DAYS[STATISTICS[choice.summary]]
    before, after = plan.start_window[0] - window[0], window[1] - plan.start_window[1] + 1
    if plan.start_window[0] > plan.start_window[1] or min(before, after) < fewest:
        raise DesignError(f"The window of {choice.key} is day {window[0]} to day {window[1]}, the start could fall on day "
                          f"{plan.start_window[0]} to day {plan.start_window[1]}; accepted: at least {fewest} days on either side of every "
                          "start that could have been drawn.")


def _excluded(unit: str, event: Event) -> str:
    kind, note = f": {event.kind}" if event.kind else "", f" ({event.note})" if event.note else ""
    return f"{unit} was taken out by an event on day {event.day_from}{kind}{note}."


def _common(question: Question, recorded: Recorded, way: Way) -> _Common:
    """The days that both tanks share inside the window: what an event takes out of one of them leaves both."""
    plan, window, scale = question.plan, question.treated, scale_of(question, recorded)
    events = () if way.keep_excluded else recorded.events
    keys = [next(unit.key for unit in plan.units if plan.arm(unit.arm).role == role) for role in ("reference", "changed")]
    own = [{day: value for day, value in without_excluded_days(key, recorded.daily.get(key, {}), events).items()
            if window[0] <= day <= window[1]} for key in keys]
    days = tuple(day for day in own[0] if day in own[1])
    spoilt = []
    for key, by_day in zip(keys, own, strict=True):
        event = excluding_event(key, events)
        reason = trouble(list(by_day), window, fewest=1, keep_gaps=way.keep_gaps)
        spoilt.append(_excluded(key, event) if event is not None else f"{key} {reason}." if reason else "")
    if not any(spoilt):
        reason = trouble(days, window, fewest=1, keep_gaps=way.keep_gaps)
        spoilt = [f"The record that {keys[0]} and {keys[1]} share {reason}." if reason else ""] * 2
    values = [tuple(scale.forward(one[day]) for day in days) for one in own]
    clipped = [sum(scale.is_clipped(one[day]) for day in days) for one in own]
    return _Common(days, (values[0], values[1]), (clipped[0], clipped[1]), (spoilt[0], spoilt[1]))


def _read(question: Question, recorded: Recorded, way: Way) -> _Read:
    """The exact test on the shared days; spoilt where they cannot carry it."""
    plan, common = question.plan, _common(question, recorded, way)
    if any(common.spoilt):
        return _Read(common, None, "spoilt")
    assert plan.start_window is not None
    assert plan.drawn_day is not None
    try:
        told = test.drawn_start(common.days, common.values[1], common.values[0], start_window=plan.start_window, drawn_day=plan.drawn_day,
                                direction=_direction(question), statistic=STATISTICS[question.choice.summary], alpha=question.alpha)
    except NotEnoughDataError as error:
        return _Read(replace(common, spoilt=(str(error), str(error))), None, "spoilt")
    can_tell = plan.drawn and not is_swayed(question, recorded)
    return _Read(common, told, told.grade if can_tell else "open")


def _alternatives(question: Question, recorded: Recorded, read: _Read) -> tuple[tuple[str, str], ...]:
    """The ways fixed beforehand that apply, each with its grade: across gaps, with nothing taken out, on another scale."""
    found = []
    across, everything = _read(question, recorded, Way(keep_gaps=True)), _read(question, recorded, Way(keep_excluded=True))
    if across.common.spoilt != read.common.spoilt:
        found.append(("with units kept across gaps", across.grade))
    if (everything.common.days, everything.common.spoilt) != (read.common.days, read.common.spoilt):
        found.append(("with nothing taken out by events", everything.grade))
    name = other_scale(question, used_values(question, recorded))
    if name is not None and read.told is not None:
        found.append((SCALE_WORDS[name], _read(replace(question, scale=name), recorded, Way()).grade))
    return tuple(found)


def _units(question: Question, read: _Read) -> tuple[UnitSummary, ...]:
    """Each tank's own number, after the start minus before it, in the plan's order."""
    plan, common = question.plan, read.common
    summaries = {}
    for role, values, clipped, spoilt in zip(("reference", "changed"), common.values, common.clipped, common.spoilt, strict=True):
        unit = next(unit for unit in plan.units if plan.arm(unit.arm).role == role)
        if read.told is None:
            summaries[unit.key] = UnitSummary(unit.key, unit.arm, None, len(common.days), spoilt=spoilt or None, clipped_days=clipped)
            continue
        start = plan.drawn_day or 0
        weights = test.start_weights(common.days, [start], read.told.statistic)[0]
        after = [value for day, value in zip(common.days, values, strict=True) if day >= start]
        summaries[unit.key] = UnitSummary(unit.key, unit.arm, float(weights @ values), len(common.days), None, mean(after), clipped)
    return tuple(summaries[unit.key] for unit in plan.units)


def _natural(question: Question, read: _Read, units: Sequence[UnitSummary], scale: Scale) -> Natural | None:
    """Where the reference stood after the start, and where the change would have moved it; a slope has no level."""
    if read.told is None or read.told.statistic != "level":
        return None
    level = next(unit.treated_mean for unit in units if question.plan.arm(unit.arm).role == "reference")
    assert level is not None
    return Natural(scale.back(level), scale.back(level + read.told.estimate), None, None, question.unit_of_measure)


def _facts(question: Question, recorded: Recorded, told: test.DrawnStart) -> tuple[tuple[str, float], ...]:
    """What sentences need: the draws, the days, the direction, p looked at both ways, the interval for a change that worked at once."""
    plan = question.plan
    facts = [("starts", told.assignments / 2.0), ("smallest_p", told.smallest_p), ("drawn_day", float(plan.drawn_day or 0)),
             ("days_before", float(told.days_before)), ("days_after", float(told.days_after)), ("expected", EXPECTED_SIGNS[told.direction]),
             ("p_both_ways", told.p_both_ways)]
    last = values_end(question, recorded)
    facts += [(VALUES_END, float(last))] if last is not None else []
    ends = [(name, end) for name, end in (("at_once_low", told.at_once_low), ("at_once_high", told.at_once_high)) if end is not None]
    # Two tanks without any scatter leave an interval of no width, which would promise what nobody saw.
    is_one_point = len(ends) == 2 and ends[1][1] - ends[0][1] <= _NO_WIDTH
    return (*facts, *(ends if plan.drawn and not is_one_point else ()))


def _cautions(question: Question, recorded: Recorded, read: _Read, scale: Scale) -> tuple[str, ...]:
    plan, told = question.plan, read.told
    cautions: list[str] = []
    cautions += days_outside(plan, recorded.daily)
    if told is None:
        return tuple(cautions)
    last = values_end(question, recorded)
    if last is not None:
        cautions.append(f"Values end on day {last} of {question.whole[1]}.")
    if not plan.drawn:
        cautions.append(NOT_DRAWN)
    cautions.append(test.ONLY_THESE_TANKS)
    if question.margin is not None and question.is_primary:
        cautions.append("A smallest difference that matters was fixed. A drawn start gives no interval that holds whatever the effect's "
                        "course, so that it can never say “matters” or “alike”.")
    if told.smallest_p > question.alpha + 1e-12:
        cautions.append(f"With {told.assignments // 2} possible starts the smallest p is {told.smallest_p:.2g}, more than the "
                        f"{100 * question.alpha:.3g} % that this reading may spend: nothing could have been found.")
    if sharing_of(plan).within:
        cautions.append("The arms share their water: what the change gives to the water reaches the reference too.")
    if scale.name == "log" and any(read.common.clipped):
        cautions.append(scale.zeros_told(question.unit_of_measure))
    return tuple(cautions)


def _tags(question: Question, recorded: Recorded, read: _Read, units: Sequence[UnitSummary],
          others: Sequence[tuple[str, str]]) -> tuple[str, ...]:
    tags = set()
    if not question.plan.drawn:
        tags.add("not by lot")
    if is_swayed(question, recorded):
        tags.add("not blinded")
    if read.grade != "spoilt" and any(grade != read.grade for _, grade in others):
        tags.add("fragile")
    if read.told is not None and grades.is_often_clipped(units):
        tags.add("at the limit of the scale")
    return grades.in_order(tags)


@analysis(key="drawn_start", title="Drawn start", designs=("drawn_start",), sources=SOURCES)
def drawn_start(plan: Plan, choice: MeasureChoice, record: Record) -> tuple[Finding, ...]:
    """The exact test of a start that was drawn by lot, on two tanks.

    What was seen is held against every draw of tank and day that the lot could have made. The share of draws that look at least as
    striking is exact, however the tanks wander. It speaks of these two tanks; there is no interval that holds whatever the effect's
    course, so the grade is `differs` or `open`. For a change that worked at once an interval stands among the facts.

    Parameters
    ----------
    plan : Plan
        Of the kind `drawn_start`, with two units, `start_window`, `drawn_day` and `expect`.
    choice : MeasureChoice
        Its summary is `mean` or `change`, for an effect that is there at once, or `slope`, for one that builds up. A secondary measure is
        looked at both ways, whatever the plan expects of the primary one.
    record : Record
        All that was recorded.

    Returns
    -------
    tuple of Finding
        One; a unit's z is after the start minus before it.

    Raises
    ------
    DesignError
        If the summary is another one, the day was not drawn, or the plan cannot carry it otherwise.
    InputError
        If a series cannot be used, or a value does not fit the scale.

    References
    ----------
    edgington2007 (keys from sources.py).
    """
    check_summary(choice, "drawn_start", tuple(STATISTICS))
    window = choice.window or (0, plan.days)
    check_window(choice, plan, window)
    question = settle_question(plan, choice, treated=window, sources=SOURCES)
    _check_plan(question, window)
    recorded = recorded_of(question, record)
    return (_finding(question, recorded),)


def _finding(question: Question, recorded: Recorded) -> Finding:
    plan, choice, scale = question.plan, question.choice, scale_of(question, recorded)
    read = _read(question, recorded, Way())
    early = early_reason(question, recorded) if read.told is not None else ""
    if early:
        keys = [unit.key for role in ("reference", "changed") for unit in plan.units if plan.arm(unit.arm).role == role]
        read = _Read(replace(read.common, spoilt=(f"{keys[0]} is not read yet.", f"{keys[1]} is not read yet.")), None, "spoilt")
    told, units = read.told, _units(question, read)
    reason = early or _spoilt_reason(question, recorded, read)
    others = () if reason.startswith(NOT_OVER) else _alternatives(question, recorded, read)
    is_told = told is not None and plan.drawn
    usable = sum(unit.z is not None for unit in units)
    return settled(Finding(
        measure=choice.key, title=question.title, role=choice.role, summary=choice.summary, scale=question.scale, window=question.whole,
        estimate=told.estimate if told else None, low=None, high=None, level=1 - question.alpha, df=None,
        p_value=told.p_value if told and is_told else None, shuffle_p=None, arrangements=told.assignments if told and is_told else 0,
        grade=read.grade, tags=_tags(question, recorded, read, units, others), basis="own tanks" if is_told else "none",
        margin=choice.margin, n_reference=usable // 2, n_changed=usable // 2, tipping_spread=None, units=units,
        natural=_natural(question, read, units, scale), cautions=_cautions(question, recorded, read, scale),
        reference_label=plan.arm_with("reference").label, changed_label=plan.arm_with("changed").label, spoilt_reason=reason,
        alternatives=others, sources=question.sources, unit_of_measure=question.unit_of_measure, unit_word=unit_word(plan),
        design=plan.kind, facts=_facts(question, recorded, told) if told else (), reference_arm=plan.arm_with("reference").key,
        changed_arm=plan.arm_with("changed").key,
    ))


def _spoilt_reason(question: Question, recorded: Recorded, read: _Read) -> str:
    """That the trial is not over, or what is wrong with its days; empty where the test could be made."""
    if read.told is not None:
        return ""
    reasons = dict.fromkeys(reason for reason in read.common.spoilt if reason)
    return unfinished_reason(question, recorded) or " ".join(reasons).rstrip(".")
