"""Several finished trials of the shelf taken together, and what a page needs of it."""

import shutil
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

from django.conf import settings

from fairtank.errors import InputError
from fairtank.publish.page_chart import page_chart_json
from fairtank.publish.page_pool import pool_page_chart
from fairtank.records.jobs.queue import enqueue
from fairtank.records.models import Job, Trial
from fairtank.records.selectors.unscored import seats_left
from fairtank.records.services.kits import LeftOutTrial, judged_or_why
from fairtank.records.services.pooling import PooledTrials, judged_pool, pooled_json, pooled_report_write
from fairtank.records.services.trail import By
from fairtank.records.services.trials import JudgedTrial, trial_judge
from fairtank.records.services.working import opened, out_of

FEWEST, MOST = 2, 100


def pool_ask(*, trials: Sequence[Trial], by: By, measure: str = "", arm: str = "") -> Job:
    """Hand in the work; it belongs to the first of the trials.

    Parameters
    ----------
    trials : sequence of Trial
        Two or more.
    by : By
    measure, arm : str
        Which primary measure and which changed arm are meant; empty for those that most trials have.

    Returns
    -------
    Job

    Raises
    ------
    InputError
        If these are too few or too many.

    References
    ----------
    common_practice (keys from sources.py).
    """
    if not FEWEST <= len(trials) <= MOST:
        count = {0: "none", 1: "one trial"}.get(len(trials), f"{len(trials)} trials")
        raise InputError("What is taken together", count, f"{FEWEST} to {MOST} finished trials")
    given = {"trials": [trial.pk for trial in trials], "measure": measure, "arm": arm}
    return enqueue(kind="pool", trial=trials[0], by=by, given=given)


def shelf_pool(*, trials: Sequence[Trial], measure: str = "", arm: str = "", today: date | None = None,
               progress: Callable[[int, int], None] | None = None) -> PooledTrials:
    """Judge trials of the shelf and pool those that ask one question; one that people still score blind is left out.

    Parameters
    ----------
    trials : sequence of Trial
    measure, arm : str
        As for `pool_ask`.
    today : date, optional
    progress : function, optional
        Told how many trials are done, of how many; also while one is worked on.

    Returns
    -------
    PooledTrials

    Raises
    ------
    InputError
        If no trial has that measure or that arm.

    References
    ----------
    paule1982, hartung2001 (keys from sources.py).
    """
    judged: list[tuple[str, JudgedTrial]] = []
    left_out: list[LeftOutTrial] = []
    for done, (trial, name) in enumerate(zip(trials, names_of(trials), strict=True)):
        moves = partial(_moved, progress, done, len(trials))
        moves()
        found = judged_or_why(name, partial(_judged, trial, name, today or date.today(), moves))
        if isinstance(found, LeftOutTrial):
            left_out.append(found)
        else:
            judged.append((name, found))
    _moved(progress, len(trials), len(trials))
    return judged_pool(judged=judged, left_out=left_out, measure=measure or None, arm=arm or None, are_named=True)


def _moved(progress: Callable[[int, int], None] | None, done: int, total: int, *_photos: int) -> None:
    if progress:
        progress(done, total)


def _judged(trial: Trial, name: str, today: date, moves: Callable[..., None]) -> JudgedTrial | LeftOutTrial:
    if any(seat.done < seat.total for seat in seats_left(trial)):
        return LeftOutTrial(name, "People are still scoring it without knowing which tank has which arm; the finding would tell them.")
    with opened(trial, "jobs") as root:
        return trial_judge(root=root, out=out_of(trial), progress=moves, today=today)


def names_of(trials: Iterable[Trial]) -> list[str]:
    """What each trial is called among the others: its title, with the word in its address where two share one."""
    listed = list(trials)
    titles = Counter(trial.title for trial in listed)
    return [trial.title if titles[trial.title] == 1 else f"{trial.title} ({trial.slug})" for trial in listed]


def pool_place(job: Job) -> Path:
    """Where the report of trials that were taken together lies."""
    return pools_place() / str(job.pk)


def pools_place() -> Path:
    """Where all such reports lie; each can be made again."""
    return Path(settings.DATA) / "derived" / "pools"


def pool_report(*, job: Job, together: PooledTrials) -> None:
    """Write the report of trials that were taken together, and take away those of work that is forgotten."""
    known = set(map(str, Job.objects.filter(kind="pool").values_list("pk", flat=True)))
    old = [place for place in pools_place().iterdir() if place.name not in known] if pools_place().is_dir() else []
    for place in old:
        shutil.rmtree(place, ignore_errors=True)
    if together.story is not None:
        pooled_report_write(together=together, out=pool_place(job))


def pooled_content(together: PooledTrials, trials: Sequence[Trial]) -> dict[str, Any]:
    """What is kept of it: `text`, the one JSON object of the command; the chart; who was left out and why; each trial's revision."""
    chart = [] if together.story is None else [page_chart_json(pool_page_chart(together.story))]
    return {"text": pooled_json(together), "charts": chart, "revisions": {str(trial.pk): trial.revision for trial in trials},
            "left_out": [[one.folder, one.reason] for one in together.left_out]}
