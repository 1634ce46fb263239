"""Stage 1 and stage 2 in one go, under the plan's own choices or under one alternative to them."""

from dataclasses import dataclass, replace

from fairtank.inference import grades, shuffle
from fairtank.inference.question import Question
from fairtank.inference.summaries import Recorded, scale_of, unit_summary
from fairtank.inference.tanks import averaged_by_tank, sharing_of
from fairtank.inference.welch import Interval, mean, welch
from fairtank.trial import UnitSummary


@dataclass(frozen=True)
class Way:
    """How the record is read. The plan's way is the default; each field set is one alternative.

    keep_gaps: gaps do not spoil a unit. keep_excluded: events take nothing out. left_out: a unit that is not counted.
    """

    keep_gaps: bool = False
    keep_excluded: bool = False
    left_out: str = ""


@dataclass(frozen=True)
class Outcome:
    """What one way of reading the record gives.

    units: stage 1, every unit. reference, changed: the usable ones by role. interval: None when an arm has no usable unit.
    refused: the interval leaves out 0 and the shuffle test does not confirm it.
    """

    units: tuple[UnitSummary, ...]
    reference: tuple[UnitSummary, ...]
    changed: tuple[UnitSummary, ...]
    interval: Interval | None
    shuffle_p: float | None
    grade: str
    refused: bool = False

    @property
    def has_interval(self) -> bool:
        """Whether low and high exist."""
        return self.interval is not None and self.interval.low is not None


def _z(units: tuple[UnitSummary, ...]) -> tuple[float, ...]:
    return tuple(unit.z for unit in units if unit.z is not None)


def unit_summaries(question: Question, recorded: Recorded, way: Way) -> tuple[UnitSummary, ...]:
    """Stage 1 for every unit of the plan, compartments that share water already averaged, in the plan's order."""
    if way.keep_excluded:
        recorded = replace(recorded, events=())
    scale = scale_of(question, recorded)
    found = tuple(unit_summary(question, recorded, scale, unit, keep_gaps=way.keep_gaps) for unit in question.plan.units)
    return averaged_by_tank(question.plan, found) if sharing_of(question.plan).averaged else found


def _interval(question: Question, reference: tuple[UnitSummary, ...], changed: tuple[UnitSummary, ...]) -> Interval:
    """The interval, or the bare difference with one unit in an arm or an arm at the limit of the scale."""
    if min(len(reference), len(changed)) < 2:
        return Interval(mean(_z(changed)) - mean(_z(reference)))
    interval = welch(_z(reference), _z(changed), alpha=question.alpha, scale=question.scale)
    if grades.is_clipped_arm(reference) or grades.is_clipped_arm(changed):
        return Interval(interval.estimate, arms_constant=True)
    return interval


def is_swayed(question: Question, recorded: Recorded) -> bool:
    """Whether people scored who could know which unit had the change: they see what they expect, so such scores settle nothing."""
    return recorded.scored and not question.plan.blinded


def _grade(question: Question, recorded: Recorded, interval: Interval, fewest: int) -> str:
    """The grade before the shuffle test is asked."""
    if fewest < 2:
        return "alone"
    if is_swayed(question, recorded):
        return "open"
    return grades.claim_of(interval, question.margin if question.is_primary else None)


def outcome_of(question: Question, recorded: Recorded, way: Way = Way()) -> Outcome:
    """One number per unit, the interval over the units, and the grade that follows.

    A claim must also pass the shuffle test from 250 arrangements on.

    Parameters
    ----------
    question : Question
        What is asked.
    recorded : Recorded
        What was recorded.
    way : Way
        How it is read.

    Returns
    -------
    Outcome

    References
    ----------
    matthews1990, welch1947, fisher1935 (keys from sources.py).
    """
    units = unit_summaries(question, recorded, way)
    counted = tuple(unit for unit in units if unit.z is not None and unit.unit != way.left_out)
    reference = tuple(unit for unit in counted if question.plan.arm(unit.arm).role == "reference")
    changed = tuple(unit for unit in counted if question.plan.arm(unit.arm).role == "changed")
    n_1, n_2 = len(reference), len(changed)
    if min(n_1, n_2) == 0:
        return Outcome(units, reference, changed, None, None, "spoilt")
    interval = _interval(question, reference, changed)
    grade = _grade(question, recorded, interval, min(n_1, n_2))
    asked = grade in ("matters", "differs") and grades.gate_is_asked(n_1, n_2, question.alpha)
    p = None
    # Shown for the plan's own way; an alternative needs it only where it decides.
    if shuffle.is_shown(n_1, n_2) and (asked or way == Way()):
        p = shuffle.shuffle_p(_z(reference), _z(changed))
    refused = asked and p is not None and p > question.alpha
    return Outcome(units, reference, changed, interval, p, "open" if refused else grade, refused)
