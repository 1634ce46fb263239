"""The finding of a trial as far as it may be shown: nothing before it may be read, and no arms while people are still scoring blind."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from fairtank.publish.page_judged import WAITS, reading_days, why_it_waits
from fairtank.publish.phrases import capital
from fairtank.publish.sentences import in_full, spoken
from fairtank.records.models import Result, Trial
from fairtank.records.selectors.results import Answer, answer_of, document_of
from fairtank.records.selectors.trial_state import Papers, papers_of
from fairtank.records.selectors.unscored import SeatLeft, seats_left

NOTHING, TO_WAIT, TO_SCORE, TO_SEE = "nothing", "wait", "score", "see"


@dataclass(frozen=True)
class MeasureShown:
    """One measure of a finding: its key and title, its blocks.

    sentences: of each comparison its name, empty where there is one only, its sentence as it is spoken, and the whole one where that is
    longer.
    """

    measure: str
    title: str
    sentences: tuple[tuple[str, str, str], ...]
    blocks: list[dict[str, Any]]


@dataclass(frozen=True)
class FindingShown:
    """What may be shown of a trial's finding.

    state: `nothing` was worked out, one has `to wait`, people have still `to score`, or there is something `to see`. answer: how it stands
    to the record. papers: of the plan. days: (day, date, whether it lies ahead) on which the primary measure is read. why: why nothing is
    told on other days. waiting: the sentence of a finding that waits. seats: of those who have still to score. until: at a planned look
    its day. content: sections; empty unless there is something to see.
    """

    state: str
    answer: Answer
    papers: Papers
    days: tuple[tuple[int, date, bool], ...]
    why: str
    waiting: str = ""
    seats: tuple[SeatLeft, ...] = ()
    until: int | None = None
    content: dict[str, Any] | None = None
    primary: tuple[MeasureShown, ...] = ()
    secondary: tuple[MeasureShown, ...] = ()

    @property
    def text(self) -> str:
        """What `fairtank judge` prints with --json; empty where it may not be seen."""
        return str(self.content["text"]) if self.content else ""

    @property
    def is_over(self) -> bool:
        """Whether the whole trial may be seen."""
        return self.state == TO_SEE and self.until is None


def finding_shown(trial: Trial, *, sees_arms: bool = False, today: date | None = None) -> FindingShown:
    """The finding of a trial, in at most six queries.

    Parameters
    ----------
    trial : Trial
        With a plan.
    sees_arms : bool
        Whether the visitor wants to see it although people are still scoring.
    today : date, optional

    Returns
    -------
    FindingShown

    References
    ----------
    common_practice (keys from sources.py).
    """
    answer, papers = answer_of(trial, "judge"), papers_of(trial)
    plan, now = papers.plan, today or date.today()
    days = () if plan is None else tuple((day, on, on >= now) for day, on in reading_days(plan))
    known = answer, papers, days, "" if plan is None else why_it_waits(plan)
    result = answer.result
    if result is None or "reading" not in result.content:
        return FindingShown(NOTHING, *known)
    reading = result.content["reading"]
    if reading["state"] == WAITS:
        return FindingShown(TO_WAIT, *known, waiting=_sentences(result)[0][1])
    seats = seats_left(trial) if plan is not None and plan.blinded and not sees_arms else ()
    if seats:
        return FindingShown(TO_SCORE, *known, seats=seats)
    return FindingShown(TO_SEE, *known, until=reading["until"], content=result.content, primary=_measures(result, "primary"),
                        secondary=_measures(result, "secondary"))


def _sentences(result: Result) -> list[tuple[str, str, str]]:
    """(measure, sentence, what is compared) of each finding, the primary ones first."""
    found = sorted(document_of(result)["findings"], key=lambda one: one["role"] != "primary")
    return [(one["measure"], one["sentence"], capital(f"{one['changed_label']} against {one['reference_label']}")) for one in found] or [
        ("", "", "")]


def _measures(result: Result, role: str) -> tuple[MeasureShown, ...]:
    told: dict[str, list[tuple[str, str]]] = {}
    for measure, sentence, compared in _sentences(result):
        told.setdefault(measure, []).append((compared, sentence))
    return tuple(MeasureShown(one["measure"], one["title"], _named(told.get(one["measure"], [])), one["blocks"])
                 for one in result.content[role])


def _named(sentences: list[tuple[str, str]]) -> tuple[tuple[str, str, str], ...]:
    """Only several comparisons need a name."""
    return tuple((name if len(sentences) > 1 else "", spoken(sentence), in_full(sentence)) for name, sentence in sentences)
