"""Answers that were worked out, whether they still hold, and the work that makes them anew."""

import json
from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any, NamedTuple

from django.db.models.fields.json import KT

from fairtank.publish.page_chart import PageChart, page_chart_from_json
from fairtank.records.models import Job, Result, Trial


class Answer(NamedTuple):
    """An answer: the row, None where nothing was worked out yet; whether it holds for the record as it stands; the work that makes it.

    job: waits or runs; or failed or was cancelled after the answer was made. None otherwise.
    """

    result: Result | None
    is_current: bool
    job: Job | None

    @property
    def changes_since(self) -> int:
        """How many changes the trial has seen since the answer was made."""
        return 0 if self.result is None else max(self.result.trial.revision - self.result.revision, 0)


def answer_of(trial: Trial, kind: str) -> Answer:
    """The answer of one kind; see `answers_of`."""
    return answers_of(trial, (kind,))[kind]


def answers_of(trial: Trial, kinds: Iterable[str], *, with_content: bool = True) -> dict[str, Answer]:
    """Answers of several kinds, in two queries.

    Parameters
    ----------
    trial : Trial
    kinds : iterable of str
        Such as `judge`.
    with_content : bool
        False where a page tells only how answers stand: their charts are then left in the database.

    Returns
    -------
    dict
        By kind.

    References
    ----------
    common_practice (keys from sources.py).
    """
    asked = tuple(kinds)
    rows = Result.objects.filter(trial=trial, kind__in=asked).annotate(read_on=KT("content__read_on"))
    results = {row.kind: row for row in (rows if with_content else rows.defer("content"))}
    jobs: dict[str, Job] = {}
    for job in Job.objects.filter(trial=trial, kind__in=asked).exclude(state="done"):
        jobs.setdefault(job.kind, job)
    told = {}
    for kind in asked:
        result, last = results.get(kind), jobs.get(kind)
        if result is not None:
            result.trial = trial
        if last is not None:
            last.trial = trial
        is_current = result is not None and _is_current(trial, result.revision, result.read_on)
        told[kind] = Answer(result, is_current, last if _counts(last, result) else None)
    return told


def document_of(result: Result) -> dict[str, Any]:
    """What the command of the same name prints with --json, read."""
    document: dict[str, Any] = json.loads(result.content["text"])
    return document


def charts_of(result: Result, measure: str = "") -> tuple[PageChart, ...]:
    """The charts of an answer; of a finding those of one measure."""
    charts = result.content["charts"]
    return tuple(page_chart_from_json(told) for told in (charts.get(measure, []) if isinstance(charts, dict) else charts))


def _counts(job: Job | None, result: Result | None) -> bool:
    return job is not None and (not job.is_over or result is None or job.ended_at is None or job.ended_at > result.made_at)


def _is_current(trial: Trial, revision: int, read_on: str | None) -> bool:
    """Whether nothing was changed since, nor a day of the trial has passed where the answer follows the calendar."""
    if trial.revision != revision:
        return False
    if read_on is None or trial.start is None or read_on == date.today().isoformat():
        return True
    return date.fromisoformat(read_on) > trial.start + timedelta(days=trial.days)
