"""The alternatives, fixed beforehand by the method: would the grade have been another one, had the record been read another way?"""

from dataclasses import replace

from fairtank.inference.earlier.borrowing import library_for
from fairtank.inference.outcome import Outcome, Way, outcome_of, unit_summaries
from fairtank.inference.question import Question
from fairtank.inference.series.scales import Scale
from fairtank.inference.series.summaries import Recorded, scale_of, used_values
from fairtank.trial import Event

# With fewer units per arm, leaving one out changes nearly every true finding; a tag that is always on says nothing.
FEWEST_FOR_LEAVING_OUT = 5

ALL_GAPS = "with all gaps counted"
BORROWED = ("own and earlier tanks", "earlier tanks only")
SCALE_WORDS = {"logit": "on the logit scale", "log": "on the log scale", "identity": "on the values as they are"}


def _excludes(event: Event, question: Question) -> bool:
    """Whether the event takes something out of what the question uses."""
    if event.units and not any(unit.key in event.units for unit in question.plan.units):
        return False
    concerned = [unit.key for unit in question.plan.units if not event.units or unit.key in event.units]
    windows = {window for unit in concerned for window in question.windows_of(unit) if window is not None}
    touches = any(event.day_from <= last and first <= event.day_until for first, last in windows)
    return event.effect == "exclude_unit" or (event.effect == "exclude_window" and touches)


def other_scale(question: Question, values: tuple[float, ...]) -> str | None:
    """The other scale on which the question could have been asked; None when there is none.

    >>> from types import SimpleNamespace
    >>> other_scale(SimpleNamespace(scale="identity", unit_of_measure="g"), (4.2, 5.1))
    'log'
    """
    if question.scale != "identity":
        return "identity"
    if question.unit_of_measure == "%":
        return "logit" if all(0 <= value <= 100 for value in values) else None
    return "log" if values and min(values) > 0 else None


def _margin_on(other: Scale, own: Scale, question: Question, outcome: Outcome) -> float | None:
    """The margin as it reads on another scale: the same step from the reference's level, in the direction that was seen."""
    if question.margin is None or outcome.interval is None:
        return None
    level = outcome.contrast.level
    if level is None:
        return None
    step = question.margin if outcome.interval.estimate >= 0 else -question.margin
    moved = abs(other.forward(own.back(level + step)) - other.forward(own.back(level)))
    return moved or None


def _may_borrow(question: Question, recorded: Recorded) -> bool:
    """Whether earlier tanks know this scale too; else an interval that leans on them has no counterpart there."""
    library = library_for(question, recorded)
    return library is not None and library.is_qualified


def _on_another_scale(question: Question, recorded: Recorded, outcome: Outcome) -> tuple[str, str] | None:
    values = used_values(question, recorded)
    name = other_scale(question, values)
    if name is None or not outcome.has_interval:
        return None
    asked = replace(question, scale=name)
    if outcome.contrast.basis in BORROWED and not _may_borrow(asked, recorded):
        return None
    margin = _margin_on(scale_of(asked, recorded), scale_of(question, recorded), question, outcome)
    return SCALE_WORDS[name], outcome_of(replace(asked, margin=margin), recorded).grade


def _without_each_unit(question: Question, recorded: Recorded, outcome: Outcome) -> list[tuple[str, str]]:
    """Each unit, pair or round left out in turn, from 5 in each arm on."""
    if min(len(outcome.reference), len(outcome.changed)) < FEWEST_FOR_LEAVING_OUT:
        return []
    units = unit_summaries(question, recorded, Way()) if outcome.contrast.set_aside else outcome.units
    return [(f"without {name}", outcome_of(question, recorded, Way(left_out=unit), units).grade) for name, unit in outcome.contrast.leaves]


def _with_all_gaps(question: Question, recorded: Recorded, outcome: Outcome) -> list[tuple[str, str]]:
    """For a threshold: gaps after it was reached spoil a unit too, so that early and late units are held to the same photos."""
    if question.choice.summary != "threshold":
        return []
    strict = outcome_of(question, recorded, Way(all_gaps=True))
    return [(ALL_GAPS, strict.grade)] if strict.lone != outcome.lone else []


def gap_spoilt(outcome: Outcome, kept: Outcome) -> tuple[int, int]:
    """How many units of the reference and the changed arm only the gap rule took out."""
    return kept.lone[0] - outcome.lone[0], kept.lone[1] - outcome.lone[1]


def alternatives(question: Question, recorded: Recorded, outcome: Outcome, kept: Outcome) -> tuple[tuple[str, str], ...]:
    """Each alternative that applies, with the grade it gives.

    Units kept across gaps with the straight line drawn (when a gap spoilt one), for a threshold with all gaps counted (when one of them
    lies after it was reached), nothing excluded (when an event excluded something), another scale, and from 5 units per arm (pairs,
    rounds) on each of them left out in turn. On another scale the margin is the same step from the reference's level.

    Parameters
    ----------
    question : Question
        What is asked.
    recorded : Recorded
        What was recorded.
    outcome : Outcome
        The outcome in the plan's own way.
    kept : Outcome
        The outcome with units kept across gaps.

    Returns
    -------
    tuple of (str, str)
        What was done otherwise, and the grade that followed.

    References
    ----------
    matthews1990 (keys from sources.py).
    """
    found = []
    if any(gap_spoilt(outcome, kept)):
        found.append(("with units kept across gaps", kept.grade))
    found += _with_all_gaps(question, recorded, outcome)
    if any(_excludes(event, question) for event in recorded.events):
        found.append(("with nothing taken out by events", outcome_of(question, recorded, Way(keep_excluded=True)).grade))
    scaled = _on_another_scale(question, recorded, outcome)
    return (*found, *([scaled] if scaled else []), *_without_each_unit(question, recorded, outcome))
