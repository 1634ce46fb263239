"""The frozen result of one measure: everything that a sentence, a chart or a reader's own check needs."""

from collections.abc import Sequence
from dataclasses import replace

from fairtank.finding import Finding, Natural, UnitSummary
from fairtank.inference import grades
from fairtank.inference.contrast import Contrast
from fairtank.inference.intervals.shuffle import DRAWS, MOST_COUNTED
from fairtank.inference.outcome import Outcome, Way, is_swayed, outcome_of
from fairtank.inference.question import Question
from fairtank.inference.record import Record
from fairtank.inference.rounding import settled
from fairtank.inference.sensitivity import alternatives, gap_spoilt
from fairtank.inference.series.outside import days_outside
from fairtank.inference.series.scales import Scale
from fairtank.inference.series.summaries import Recorded, recorded_of, scale_of
from fairtank.inference.series.tanks import has_uncounted_compartments, sharing_of, unit_word
from fairtank.inference.series.windows import FEWEST_DAYS_FOR_A_RUN_IN
from fairtank.inference.unfinished import NOT_OVER, VALUES_END, early_reason, unfinished_reason, values_end
from fairtank.inference.working import working


def _natural(question: Question, outcome: Outcome, scale: Scale) -> Natural | None:
    """The finding in the measure's own unit: the reference's level, and where the difference moves it; a slope has no level."""
    interval, level = outcome.interval, outcome.contrast.level
    if interval is None or level is None or question.choice.summary == "slope":
        return None
    low, high = (None if limit is None else scale.back(level + limit) for limit in (interval.low, interval.high))
    return Natural(scale.back(level), scale.back(level + interval.estimate), low, high, question.unit_of_measure)


def _tags(question: Question, recorded: Recorded, outcome: Outcome, kept: Outcome, others: Sequence[tuple[str, str]]) -> tuple[str, ...]:
    tags = set()
    if not question.plan.drawn:
        tags.add("not by lot")
    if is_swayed(question, recorded):
        tags.add("not blinded")
    if outcome.grade != "spoilt" and any(grade != outcome.grade for _, grade in others):
        tags.add("fragile")
    gaps_reference, gaps_changed = gap_spoilt(outcome, kept)
    if gaps_reference != gaps_changed:
        tags.add("gaps")
    if outcome.interval is not None or outcome.contrast.decides:
        if grades.is_uneven(len(outcome.reference), len(outcome.changed)):
            tags.add("uneven arms")
        if (outcome.interval is not None and outcome.interval.arms_constant) or grades.is_often_clipped(outcome.units):
            tags.add("at the limit of the scale")
    return grades.in_order(tags)


def _spoilt_units(units: Sequence[UnitSummary]) -> str:
    return " ".join(unit.spoilt for unit in units if unit.spoilt)


def _spoilt_reason(question: Question, recorded: Recorded, outcome: Outcome) -> str:
    """Which arm has no usable unit, and why, or that the trial is not over; empty when both arms have one."""
    empty = [role for role, units in (("reference", outcome.reference), ("changed", outcome.changed)) if not units]
    if not empty:
        return ""
    running = unfinished_reason(question, recorded)
    if running:
        return running
    if min(outcome.lone):
        return f"no whole {question.plan.kind.removesuffix('s')} is left: {_spoilt_units(outcome.units).rstrip('.')}"
    arms = [question.plan.arm_with(role) for role in empty if not outcome.lone[("reference", "changed").index(role)]]
    lost = [unit for unit in outcome.units if unit.arm in [arm.key for arm in arms]]
    return f"no usable unit in {' and '.join(arm.label for arm in arms)}: {_spoilt_units(lost).rstrip('.')}"


def _cautions(question: Question, recorded: Recorded, outcome: Outcome, scale: Scale) -> tuple[str, ...]:
    cautions = []
    for (first, last), day in ((question.first_period or (0, 0), recorded.first_reading_day), (question.treated, recorded.reading_day)):
        if day is not None and first < last:
            cautions.append(f"One reading day (day {day}) stands for the whole window (day {first} to day {last}).")
    if question.plan.kind == "run_in" and question.plan.run_in_days and question.choice.summary == "mean":
        long_enough = question.plan.run_in_days >= FEWEST_DAYS_FOR_A_RUN_IN
        needed = "" if long_enough else f", which needs a run-in of at least {FEWEST_DAYS_FOR_A_RUN_IN} days"
        cautions.append(f"{question.title}: the run-in is not used, because the summary is `mean`. `summary = \"change\"` would use it and "
                        f"compare each tank with itself{needed}.")
    if question.run_in is None and question.plan.run_in_days and question.choice.summary == "slope":
        cautions.append(f"{question.title}: the run-in is not used; a slope is that of the treated days alone.")
    ends = values_end(question, recorded)
    if ends is not None and outcome.grade != "spoilt":
        cautions.append(f"Values end on day {ends} of {question.whole[1]}.")
    cautions += outcome.contrast.cautions
    cautions += days_outside(question.plan, recorded.daily)
    looks = question.plan.looks.days
    if len(looks) > 1 and outcome.grade != "spoilt":
        cautions.append(f"{len(looks)} looks were planned; this is the last of them, read at its own share of the 5 % "
                        f"({100 * question.alpha:.3g} %).")
    if _is_drawn(outcome):
        cautions.append(f"The shuffle test drew {DRAWS} of the {outcome.contrast.arrangements} ways in which the lot could have fallen, "
                        "at random: all of them are too many to count.")
    sharing = sharing_of(question.plan)
    if sharing.averaged:
        cautions.append("Compartments that share water were averaged first: each tank counts once.")
    if has_uncounted_compartments(question.plan):
        cautions.append("Compartments of one tank were counted as tanks of their own. That holds only if nothing that happens to the tank "
                        "reaches all of them; else what looks like an effect may be a difference between two tanks.")
    if sharing.within:
        cautions.append("The arms share their water: what the change gives to the water reaches the reference too, and the finding "
                        "holds for these tanks only.")
    if scale.name == "log" and any(unit.clipped_days for unit in outcome.units):
        cautions.append(scale.zeros_told(question.unit_of_measure))
    return tuple(cautions)


def _reading_day(question: Question, recorded: Recorded) -> int | None:
    """The one day on which all units were read: seen in the record, or said beforehand by a window of one day."""
    if question.first_period is not None:
        return None
    first, last = question.treated
    return first if first == last else recorded.reading_day


def _basis(outcome: Outcome) -> str:
    is_told = outcome.has_interval or (outcome.contrast.decides and outcome.shuffle_p is not None)
    return outcome.contrast.basis if is_told else "none"


def _p_value(outcome: Outcome) -> float | None:
    """That of the interval; where the shuffle test alone decides, its own."""
    if outcome.contrast.decides:
        return outcome.shuffle_p
    return outcome.interval.p_value if outcome.interval else None


def _is_drawn(outcome: Outcome) -> bool:
    """Whether the shuffle test drew some of the arrangements; where it alone decides, it counts whole scores however many there are."""
    return outcome.shuffle_p is not None and outcome.contrast.arrangements > MOST_COUNTED and not outcome.contrast.decides


def _facts(question: Question, recorded: Recorded, outcome: Outcome) -> tuple[tuple[str, float], ...]:
    """The contrast's facts, the threshold that was asked for, and the numbers on the way to the interval."""
    threshold = question.choice.threshold
    asked = question.choice.summary == "threshold" and threshold is not None and outcome.contrast.facts
    facts = (*outcome.contrast.facts, ("threshold", float(threshold))) if asked and threshold is not None else outcome.contrast.facts
    last = values_end(question, recorded)
    facts += ((VALUES_END, float(last)),) if last is not None and outcome.grade != "spoilt" else ()
    facts += (("shuffle_draws", float(DRAWS)),) if _is_drawn(outcome) else ()
    known = dict(facts)
    return (*facts, *((name, value) for name, value in working(question.plan, outcome.contrast) if name not in known))


def _unread(outcome: Outcome) -> Outcome:
    """The outcome of a trial whose reading day has not come: nothing of what its values say by now."""
    units = tuple(replace(unit, z=None, treated_mean=None, reached=None, spoilt=unit.spoilt or f"{unit.unit} is not read yet.")
                  for unit in outcome.units)
    return Outcome(units, outcome.lone, Contrast((), ()), None, None, "spoilt")


def _across_gaps(question: Question, recorded: Recorded, outcome: Outcome) -> Outcome:
    """The outcome with units kept across gaps: the plan's own where no unit was lost, so that there is nothing to keep."""
    if all(unit.z is not None for unit in outcome.units) and not sharing_of(question.plan).averaged:
        return outcome
    return outcome_of(question, recorded, Way(keep_gaps=True))


def finding_of(question: Question, record: Record, recorded: Recorded | None = None) -> Finding:
    """The whole analysis of one measure: the plan's own way, its alternatives, tags and cautions, rounded and frozen.

    Parameters
    ----------
    question : Question
        What is asked.
    record : Record
        What was recorded of the whole trial.
    recorded : Recorded, optional
        The same read already for this measure and these windows, where several comparisons share it.

    Returns
    -------
    Finding

    Raises
    ------
    InputError
        If a series cannot be used, or a value does not fit the scale.

    References
    ----------
    matthews1990, welch1947 (keys from sources.py).
    """
    plan, choice = question.plan, question.choice
    recorded = recorded_of(question, record) if recorded is None else recorded
    scale = scale_of(question, recorded)
    outcome = outcome_of(question, recorded)
    early = "" if outcome.grade == "spoilt" else early_reason(question, recorded)
    outcome = _unread(outcome) if early else outcome
    reason = early or _spoilt_reason(question, recorded, outcome)
    kept = outcome if early else _across_gaps(question, recorded, outcome)
    # Other ways would answer a question that is not over yet.
    others = () if reason.startswith(NOT_OVER) else alternatives(question, recorded, outcome, kept)
    tags = _tags(question, recorded, outcome, kept, others)
    n_1, n_2 = len(outcome.reference), len(outcome.changed)
    interval = outcome.interval
    return settled(Finding(
        measure=choice.key, title=question.title, role=choice.role, summary=choice.summary, scale=question.scale, window=question.whole,
        estimate=interval.estimate if interval else None, low=interval.low if interval else None, high=interval.high if interval else None,
        level=1 - question.alpha, df=interval.df if interval else None, p_value=_p_value(outcome),
        shuffle_p=outcome.shuffle_p, arrangements=outcome.contrast.arrangements if outcome.grade != "spoilt" else 0,
        grade=outcome.grade, tags=tags, basis=_basis(outcome), margin=choice.margin if outcome.contrast.margin_holds else None,
        n_reference=n_1, n_changed=n_2,
        tipping_spread=outcome.contrast.spread if outcome.grade == "alone" else None,
        units=outcome.units, natural=_natural(question, outcome, scale), cautions=_cautions(question, recorded, outcome, scale),
        reference_label=plan.arm_with("reference").label, changed_label=plan.arm_with("changed").label,
        spoilt_reason=reason, shuffle_gate_refused=outcome.refused,
        alternatives=others, sources=question.sources, unit_of_measure=question.unit_of_measure, unit_word=unit_word(plan),
        run_in=question.run_in, reading_day=_reading_day(question, recorded),
        design=plan.kind, facts=_facts(question, recorded, outcome), reference_arm=plan.arm_with("reference").key,
        changed_arm=plan.arm_with("changed").key, earlier=outcome.contrast.earlier,
    ))
