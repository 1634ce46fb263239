"""Readings below a test's limit of detection: what stands in for them, and what the finding would be at either end."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from fairtank.finding import BelowDetection, Finding
from fairtank.inference import grades
from fairtank.inference.question import title_unit_scale
from fairtank.inference.record import Record
from fairtank.inference.rounding import settled
from fairtank.inference.series.days import excluding_event, without_excluded_days
from fairtank.inference.series.windows import days_later
from fairtank.inference.unjudged import unjudged
from fairtank.trial import MeasureChoice, Plan, Series

LIMIT_OVER_ROOT_2 = "limit divided by the square root of 2"
AT_THE_LIMIT = "with readings below detection at the limit"
AT_THE_LOWEST = "with readings below detection as low as can be"
APART = ("with readings below detection at the limit under the reference and as low as can be elsewhere",
         "with readings below detection as low as can be under the reference and at the limit elsewhere")
ONE_ARM_DESIGNS = ("side_by_side", "run_in", "pairs", "ladder", "two_changes")  # in which a unit's readings all belong to its arm
# Of the limit; zero has no place on a log scale. Convention, no source: one step of ten below what the test can tell is about as little as
# a keeper would still call some; a smaller share would let the far end run off without bound.
LOWEST_ON_LOG = 0.1

MOST_BELOW_FRACTION = 0.20  # of all unit-days, before the tag
BELOW_ARM_FRACTION = 0.80  # of every unit's days, before the interval is withheld
# Of an arm's unit-days; beyond it the stand-in holds the difference back. Then the middle reading itself is a stand-in and not a reading.
HELD_BACK_FRACTION = 0.50

Analysis = Callable[[Plan, MeasureChoice, Record], tuple[Finding, ...]]


def stands_in(limit: float, way: str, scale: str) -> float:
    """What is put in the place of a reading below that limit.

    Parameters
    ----------
    limit : float
        The limit of detection. [natural unit]
    way : str
        `limit divided by the square root of 2` (the method), or one of the two ends.
    scale : str
        On the log scale the lowest is a tenth of the limit, else 0.

    Returns
    -------
    float
        [natural unit]

    References
    ----------
    hornung1990 (keys from sources.py).

    Examples
    --------
    >>> round(stands_in(5.0, LIMIT_OVER_ROOT_2, "log"), 2), stands_in(5.0, AT_THE_LOWEST, "log"), stands_in(5.0, AT_THE_LOWEST, "identity")
    (3.54, 0.5, 0.0)
    """
    if way == AT_THE_LIMIT:
        return limit
    if way == AT_THE_LOWEST:
        return LOWEST_ON_LOG * limit if scale == "log" else 0.0
    return limit / math.sqrt(2.0)


def filled(series: Sequence[Series], measure: str, way: str, scale: str, units: Sequence[str] | None = None) -> tuple[Series, ...]:
    """The series with every reading of that measure below detection replaced, in those units or in all; all others as they are."""
    def replaced(one: Series) -> Series:
        values = zip(one.values, one.below, strict=True)
        return replace(one, values=tuple(stands_in(value, way, scale) if below else value for value, below in values))

    return tuple(replaced(one) if one.measure == measure and any(one.below) and (units is None or one.unit in units) else one
                 for one in series)


@dataclass(frozen=True)
class _Days:
    """Of one unit: its days with a reading inside the judged windows, and those of them that lie below detection."""

    unit: str
    days: int
    below: int


def _days_below(one: Series) -> dict[int, float]:
    """1 for each day of which at least half the readings lie below the limit, 0 for each other day with readings."""
    by_day: dict[int, list[bool]] = {}
    for day, below in zip(one.days, one.below, strict=True):
        by_day.setdefault(day, []).append(below)
    return {day: float(2 * sum(flags) >= len(flags)) for day, flags in by_day.items()}


def _counted(plan: Plan, finding: Finding, own: Sequence[Series], record: Record) -> tuple[_Days, ...]:
    """The unit-days of one finding; units that an event took out do not count."""
    windows = [finding.window, *([finding.run_in] if finding.run_in else [])]
    found = []
    for one in own:
        if excluding_event(one.unit, record.events) is not None:
            continue
        later = days_later(plan, one.unit)
        seen = without_excluded_days(one.unit, _days_below(one), record.events)
        inside = [seen[day] for day in seen if any(first <= day - later <= last for first, last in windows)]
        if inside:
            found.append(_Days(one.unit, len(inside), int(sum(inside))))
    return tuple(found)


def _noun(plan: Plan, counted: Sequence[_Days], own: Sequence[Series]) -> BelowDetection:
    limits = [value for one in own for value, below in zip(one.values, one.below, strict=True) if below]
    by_arm = {arm.key: [one for one in counted if plan.arm_of(one.unit).key == arm.key] for arm in plan.arms}
    hidden = tuple(arm for arm, own in by_arm.items() if own and all(one.below >= BELOW_ARM_FRACTION * one.days for one in own))
    half = tuple(arm for arm, own in by_arm.items()
                 if sum(one.below for one in own) > HELD_BACK_FRACTION * sum(one.days for one in own))
    return BelowDetection(sum(one.days for one in counted), sum(one.below for one in counted), min(limits), max(limits), hidden, half)


def judged(analysis: Analysis, plan: Plan, choice: MeasureChoice, record: Record) -> tuple[Finding, ...]:
    """The findings of one measure; readings below detection stand at the limit divided by the square root of 2, and both ends are tried.

    Parameters
    ----------
    analysis : function
        The design's own.
    plan, choice, record : Plan, MeasureChoice, Record
        As for the analysis. A reading below detection carries its limit as value.

    Returns
    -------
    tuple of Finding
        Where no reading lies below detection, what the analysis gives. Else with the two ends among the alternatives (`fragile` where a
        grade moves), with the tag `below detection` where more than 20 % of the unit-days lie below, and without interval where an arm's
        units all lie below on 80 % of their days. `alike` must also hold with the arms at opposite ends: what nobody can see may differ.
        A threshold below a limit is not judged: whether such a reading reached it is not known.

    References
    ----------
    hornung1990 (keys from sources.py).
    """
    own = [one for one in record.series if one.measure == choice.key and any(one.below)]
    if not own:
        return analysis(plan, choice, record)
    _, unit, scale = title_unit_scale(choice)
    if choice.summary == "threshold":
        limits = [value for one in own for value, below in zip(one.values, one.below, strict=True) if below]
        if choice.threshold is not None and max(limits) > choice.threshold:
            return (unjudged(plan, choice, f"the test cannot tell less than {max(limits):g} {unit}".rstrip() + ", which is more than the "
                             f"threshold of {choice.threshold:g}: whether a reading below it reached the threshold is not known"),)
    main, at_limit, at_lowest = (analysis(plan, choice, replace(record, series=filled(record.series, choice.key, way, scale)))
                                 for way in (LIMIT_OVER_ROOT_2, AT_THE_LIMIT, AT_THE_LOWEST))
    tried = [(AT_THE_LIMIT, at_limit), (AT_THE_LOWEST, at_lowest)]
    if any(finding.grade == "alike" for finding in main) and plan.kind in ONE_ARM_DESIGNS:
        tried += [(way, analysis(plan, choice, _apart(plan, choice, record, scale, way))) for way in APART]
    found = []
    for place, finding in enumerate(main):
        grades_tried = [(way, other[place].grade) for way, other in tried if way not in APART or finding.grade == "alike"]
        found.append(_with_ends(plan, finding, grades_tried, record))
    return tuple(found)


def _apart(plan: Plan, choice: MeasureChoice, record: Record, scale: str, way: str) -> Record:
    """The record with readings below detection at one end in the reference's units and at the other in all others."""
    reference = [unit.key for unit in plan.units if plan.arm(unit.arm).role == "reference"]
    ends = (AT_THE_LIMIT, AT_THE_LOWEST) if way == APART[0] else (AT_THE_LOWEST, AT_THE_LIMIT)
    others = [unit.key for unit in plan.units if unit.key not in reference]
    series = filled(record.series, choice.key, ends[0], scale, reference)
    return replace(record, series=filled(series, choice.key, ends[1], scale, others))


def _with_ends(plan: Plan, finding: Finding, tried: Sequence[tuple[str, str]], record: Record) -> Finding:
    """One finding with what the two ends give, the tag, the caution, and without interval where an arm lies below detection."""
    own = [one for one in record.series if one.measure == finding.measure and one.below and _is_compared(plan, finding, one.unit)]
    if not any(any(one.below) for one in own):
        return finding
    noun = _noun(plan, _counted(plan, finding, own, record), own)
    tags = set(finding.tags)
    others = finding.alternatives
    if finding.grade != "spoilt" and finding.summary != "threshold":
        others += tuple(tried)
        if any(grade != finding.grade for _, grade in tried):
            tags.add("fragile")
    if noun.below > MOST_BELOW_FRACTION * noun.days:
        tags.add("below detection")
    finding = replace(finding, below_detection=noun, alternatives=others, sources=(*finding.sources, "hornung1990"),
                      cautions=(*finding.cautions, caution_words(finding, noun)))
    if noun.arms_below and finding.summary != "threshold" and finding.grade not in ("spoilt", "alone"):
        finding, tags = _without_interval(finding), tags - {"fragile", "at the limit of the scale"} | {"below detection"}
    elif noun.arms_half and finding.low is not None:
        finding = _held_back(finding, noun)
    return settled(replace(finding, tags=grades.in_order(tags)))


def _held_back(finding: Finding, noun: BelowDetection) -> Finding:
    """With the caution that the difference may be larger; `alike` is then not said, since nobody saw that the arms are."""
    labels = {finding.reference_arm: finding.reference_label, finding.changed_arm: finding.changed_label}
    arms = " and ".join(labels.get(arm, arm) for arm in noun.arms_half)
    caution = (f"{finding.title}: more than half of the readings of {arms} lay below what the test can tell. That holds the difference "
               "back: the true one may be larger than the interval says.")
    return replace(finding, grade="open" if finding.grade == "alike" else finding.grade, cautions=(*finding.cautions, caution))


def _is_compared(plan: Plan, finding: Finding, unit: str) -> bool:
    """Whether the unit belongs to one of the two arms that the finding compares."""
    return not finding.reference_arm or plan.arm_of(unit).key in (finding.reference_arm, finding.changed_arm)


def _without_interval(finding: Finding) -> Finding:
    """Open: an arm that lies below detection has a scatter that nobody has seen."""
    natural = None if finding.natural is None else replace(finding.natural, low=None, high=None)
    return replace(finding, low=None, high=None, df=None, p_value=None, grade="open", basis="none", natural=natural,
                   shuffle_gate_refused=False, alternatives=(), facts=(), earlier=None, looks=())


def caution_words(finding: Finding, noun: BelowDetection) -> str:
    """How readings below detection were handled, in one or two sentences."""
    unit = finding.unit_of_measure
    limits = f"{noun.lowest:g}" if noun.lowest == noun.highest else f"{noun.lowest:g} to {noun.highest:g}"
    limits = f"{limits} {unit}".rstrip()
    told = f"{finding.title}: on {noun.below} of {noun.days} {finding.unit_word}-days it lay below what the test can tell ({limits})"
    if finding.summary == "threshold":
        return f"{told}; such a reading counts as below the threshold."
    lowest = "a tenth of the limit" if finding.scale == "log" else "0"
    return (f"{told}; it was taken as the {LIMIT_OVER_ROOT_2}. The other ways tried are all of them at the limit, and all of them at "
            f"{lowest}.")


def zeros_words(series: Sequence[Series]) -> str:
    """That a test showed 0, which no test can tell from a little; empty where none did. For the readings of one measure."""
    zeros = sum(value == 0 and not below for one in series for value, below in zip(one.values, one.below, strict=False))
    if not zeros:
        return ""
    taken = "reading is 0 and was taken as it stands" if zeros == 1 else "readings are 0 and were taken as they stand"
    return f"{zeros} {taken}. A test that shows 0 means less than it can tell: its limit as the value, with below_detection true, says so."
