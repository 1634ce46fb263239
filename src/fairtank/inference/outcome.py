"""Stage 1 and stage 2 in one go, under the plan's own choices or under one alternative to them."""

from dataclasses import dataclass, replace

from fairtank.finding import UnitSummary
from fairtank.inference import grades
from fairtank.inference.contrast import Contrast, Terms
from fairtank.inference.earlier.borrowing import library_for
from fairtank.inference.intervals.welch import Interval
from fairtank.inference.question import Question
from fairtank.inference.series.summaries import Recorded, scale_of, unit_summary
from fairtank.inference.series.tanks import averaged_by_tank, sharing_of


@dataclass(frozen=True)
class Way:
    """How the record is read. The plan's way is the default; each field set is one alternative.

    keep_gaps: gaps do not spoil a unit. keep_excluded: events take nothing out. left_out: a unit that is not counted. all_gaps: gaps spoil
    a unit after it reached its threshold too.
    """

    keep_gaps: bool = False
    keep_excluded: bool = False
    left_out: str = ""
    all_gaps: bool = False


@dataclass(frozen=True)
class Outcome:
    """What one way of reading the record gives.

    units: stage 1, every unit; one that had to be left out without its partner is told as spoilt. lone: how many units each arm, reference
    first, has after stage 1, with or without a partner. contrast: stage 2. interval: None when nothing can be compared or no interval
    belongs to the summary. refused: the interval leaves out 0 and the shuffle test does not confirm it.
    """

    units: tuple[UnitSummary, ...]
    lone: tuple[int, int]
    contrast: Contrast
    interval: Interval | None
    shuffle_p: float | None
    grade: str
    refused: bool = False

    @property
    def reference(self) -> tuple[UnitSummary, ...]:
        """The compared units of the reference arm."""
        return self.contrast.reference

    @property
    def changed(self) -> tuple[UnitSummary, ...]:
        """The compared units of the changed arm."""
        return self.contrast.changed

    @property
    def has_interval(self) -> bool:
        """Whether low and high exist."""
        return self.interval is not None and self.interval.low is not None


def unit_summaries(question: Question, recorded: Recorded, way: Way) -> tuple[UnitSummary, ...]:
    """Stage 1 for every unit of the plan, compartments that share water already averaged, in the plan's order."""
    # In a swap a unit's number hangs on its arm's role.
    key = question.scale, way.keep_gaps, way.keep_excluded, way.all_gaps, question.first_period and question.plan.arms
    if key not in recorded.done:
        read = replace(recorded, events=()) if way.keep_excluded else recorded
        scale = scale_of(question, read)
        recorded.done[key] = tuple(unit_summary(question, read, scale, unit, keep_gaps=way.keep_gaps, all_gaps=way.all_gaps)
                                   for unit in question.plan.units)
    found = recorded.done[key]
    return averaged_by_tank(question.plan, found) if sharing_of(question.plan).averaged else found


def _checked(contrast: Contrast) -> Interval | None:
    """The contrast's interval; without limits where an arm lies at the limit of the scale."""
    interval = contrast.interval
    if interval is None or contrast.is_alone:
        return interval
    if grades.is_clipped_arm(contrast.reference) or grades.is_clipped_arm(contrast.changed):
        return Interval(interval.estimate, arms_constant=True)
    return interval


def is_swayed(question: Question, recorded: Recorded) -> bool:
    """Whether people scored who could know which unit had the change: they see what they expect, so such scores settle nothing."""
    return recorded.scored and not question.plan.blinded


def _grade(question: Question, recorded: Recorded, contrast: Contrast, interval: Interval | None) -> str:
    """The grade before the shuffle test is asked; where that test alone decides, the claim it is to confirm."""
    if contrast.is_alone:
        return "alone"
    if is_swayed(question, recorded):
        return "open"
    if interval is None:
        return "differs" if contrast.shuffle is not None else "open"
    return grades.claim_of(interval, question.margin if question.is_primary and contrast.margin_holds else None)


def _told(units: tuple[UnitSummary, ...], contrast: Contrast) -> tuple[UnitSummary, ...]:
    """The units with those that had to be left out told as spoilt."""
    reasons = dict(contrast.set_aside)
    return tuple(replace(unit, z=None, spoilt=reasons[unit.unit]) if unit.unit in reasons else unit for unit in units)


def outcome_of(question: Question, recorded: Recorded, way: Way = Way(), units: tuple[UnitSummary, ...] | None = None) -> Outcome:
    """One number per unit, what the design makes of them, and the grade that follows.

    A claim must also pass the shuffle test from 250 arrangements on; where there is no interval to make a claim (the summary threshold) the
    shuffle test alone does.

    Parameters
    ----------
    question : Question
        What is asked.
    recorded : Recorded
        What was recorded.
    way : Way
        How it is read.
    units : tuple of UnitSummary, optional
        Stage 1 of this way, where it is done already (leaving out a unit does not change it).

    Returns
    -------
    Outcome

    References
    ----------
    matthews1990, welch1947, fisher1935 (keys from sources.py).
    """
    plan, alpha = question.plan, question.alpha
    units = unit_summaries(question, recorded, way) if units is None else units
    counted = tuple(unit for unit in units if unit.z is not None and unit.unit != way.left_out)
    roles = [plan.arm(unit.arm).role for unit in units if unit.z is not None]
    lone = roles.count("reference"), roles.count("changed")
    contrast = question.contrast(plan, counted, Terms(alpha, question.scale, question.span, library_for(question, recorded)))
    units = _told(units, contrast)
    if not contrast.reference or not contrast.changed:
        return Outcome(units, lone, contrast, None, None, "spoilt")
    interval = _checked(contrast)
    grade = _grade(question, recorded, contrast, interval)
    asked = grade in ("matters", "differs") and (contrast.decides or grades.is_gate(contrast.arrangements, contrast.smallest_p, alpha))
    p = None
    # Shown for the plan's own way; an alternative needs it only where it decides.
    if contrast.shuffle is not None and (asked or way == Way()):
        p = contrast.shuffle()
    fails = asked and p is not None and p > alpha
    return Outcome(units, lone, contrast, interval, p, "open" if fails else grade, fails and not contrast.decides)
