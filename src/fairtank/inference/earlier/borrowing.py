"""Between a trial and the library of like tanks: what the trial may borrow from it, and what it adds to it once it is finished."""

from collections.abc import Sequence

from fairtank.errors import NotEnoughDataError
from fairtank.finding import Finding, UnitSummary
from fairtank.inference.earlier.classes import tank_class, window_class
from fairtank.inference.earlier.like_tanks import Library, SpreadKind, entry_of, library_of, run_in_levels
from fairtank.inference.question import Question
from fairtank.inference.series.summaries import Recorded
from fairtank.inference.series.tanks import unit_word
from fairtank.inference.unfinished import VALUES_END
from fairtank.trial import Plan, SpreadEntry

BORROWING_DESIGNS = ("side_by_side", "run_in", "swap")
# Rounds come back to the same two tanks, and a drawn start has two in all: neither shows how far tanks treated alike end up apart.
SILENT_DESIGNS = ("rounds", "drawn_start")


def _of_window(plan: Plan, summary: str, window: tuple[int, int], run_in: tuple[int, int] | None, reading_day: int | None) -> str:
    """The class of a window; of a swap's, that of its first period, since both go into one difference."""
    first, last = window
    if summary == "swap":
        return window_class(plan.swap_day - first)
    if reading_day is not None:
        return window_class(max(reading_day, 1), read_once=True)
    return window_class(last - first + 1, run_in_days=0 if run_in is None else run_in[1] - run_in[0] + 1)


def window_class_of(plan: Plan, finding: Finding) -> str:
    """The class of the window over which a finding was judged; findings over windows of other classes answer other questions.

    Parameters
    ----------
    plan : Plan
        For the swap day.
    finding : Finding
        For its window, run-in and reading day.

    Returns
    -------
    str

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    See `tests/records/test_pooling_service.py`.
    """
    return _of_window(plan, finding.summary, finding.window, finding.run_in, finding.reading_day)


def spread_kind(question: Question, recorded: Recorded) -> SpreadKind:
    """What an entry must be about to say something on this question.

    Parameters
    ----------
    question : Question
        The measure, its scale, summary and windows.
    recorded : Recorded
        Its reading day and the size of the tanks.

    Returns
    -------
    SpreadKind
        tank_class is empty where the size of the tanks is not known.

    References
    ----------
    smyth2004 (keys from sources.py).
    """
    choice = question.choice
    reading_day = None if question.first_period is not None else recorded.reading_day
    named = _of_window(question.plan, choice.summary, question.whole, question.run_in, reading_day)
    tanks = tank_class(recorded.tank_litres, unit_word=unit_word(question.plan))
    return SpreadKind(choice.key, question.scale, choice.summary, named, tanks)


def library_for(question: Question, recorded: Recorded) -> Library | None:
    """The earlier trials that may speak for this question's tanks; None where the plan or the design does not ask them.

    Whether they may is fixed in the plan. Pairs, rounds, a drawn start, ladders and several arms rest on their own tanks alone.
    """
    plan = question.plan
    asked = plan.earlier_tanks and plan.kind in BORROWING_DESIGNS and len(plan.arms) == 2 and question.choice.summary != "threshold"
    if not asked or not recorded.earlier:
        return None
    return library_of(recorded.earlier, spread_kind(question, recorded), own_trial=plan.title)


def entries_of(plan: Plan, findings: Sequence[Finding], *, tank_litres: float | None = None) -> tuple[SpreadEntry, ...]:
    """What a finished trial adds to the library of like tanks, whatever it showed: one entry per measure, and one for its run-in.

    Parameters
    ----------
    plan : Plan
        The trial; its title is the entry's name.
    findings : sequence of Finding
        Of all its measures.
    tank_litres : float or None
        Water of one unit. [L]

    Returns
    -------
    tuple of SpreadEntry
        None for a measure that was not judged, a threshold, rounds and a drawn start, nor where no two units were treated alike or where
        the like ones hardly differ; none either for choices between photos, with more than a fifth of the readings below detection, or
        where values end before the reading day and nobody knows whether it has come.

    References
    ----------
    smyth2004 (keys from sources.py).
    """
    if plan.kind in SILENT_DESIGNS or not plan.title.strip():
        return ()
    entries: list[SpreadEntry] = []
    judged = [finding for finding in findings if finding.grade != "spoilt" and finding.summary != "threshold" and _shows_tanks(finding)]
    for measure in dict.fromkeys(finding.measure for finding in judged):
        own = [finding for finding in judged if finding.measure == measure]
        entries += _of_measure(plan, own, tank_class(tank_litres, unit_word=own[0].unit_word))
    return tuple(entries)


def _shows_tanks(finding: Finding) -> bool:
    """Whether the scatter is that of tanks: strengths by choice scatter with the number of choices, stand-ins hardly at all."""
    by_choice = finding.eyes is not None and finding.eyes.kind == "choices"
    return not by_choice and "below detection" not in finding.tags and VALUES_END not in dict(finding.facts)


def _of_measure(plan: Plan, findings: Sequence[Finding], tanks: str) -> list[SpreadEntry]:
    first = findings[0]
    units: dict[str, UnitSummary] = {unit.unit: unit for finding in findings for unit in finding.units}
    named = window_class_of(plan, first)
    asked = [(tuple(units.values()), SpreadKind(first.measure, first.scale, first.summary, named, tanks), False)]
    if first.summary == "change" and first.run_in is not None:
        alike = SpreadKind(first.measure, first.scale, "mean", window_class(first.run_in[1] - first.run_in[0] + 1), tanks)
        asked.append((run_in_levels(asked[0][0]), alike, True))
    entries = []
    for summaries, kind, all_alike in asked:
        try:
            entries.append(entry_of(summaries, kind, trial=plan.title.strip(), alike=all_alike))
        except NotEnoughDataError:
            continue
    return entries
