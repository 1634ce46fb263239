"""What a worker left that was killed goes back to the queue; what is long over is forgotten."""

from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from fairtank.errors import JobError
from fairtank.records.jobs.carrier import forgotten, handed_in, is_in_queue, ready_again, withdrawn
from fairtank.records.jobs.progress import own_run
from fairtank.records.jobs.running import DEAD_AFTER_S, lock_of
from fairtank.records.locks import locked
from fairtank.records.models import Job
from fairtank.records.models.jobs import OVER

MOST_CUTS = 3
KEPT_DAYS = 30
# Kept with the work in English, as all that is kept; a page tells it in the language of whoever reads it.
_CUT_OFF = ("This work was cut off %(count)s times at the same place, by the computer or by whoever ended fairtank. The computer may have "
            "too little memory for it: close what else is open and ask for it again; it goes on where it stopped.")


def recovered() -> int:
    """Put work back into the queue that nobody does any more; cut off three times without getting further it has failed.

    Work counts as abandoned when its lock is free, which is known at once on the same machine, or when it gave no sign of life for a
    minute.

    Returns
    -------
    int
        How many were put back or given up.

    References
    ----------
    common_practice (keys from sources.py).
    """
    abandoned = [job for job in Job.objects.filter(state="running") if _is_abandoned(job)]
    for job in abandoned:
        if job.wanted_stop:
            _ended(job, "cancelled")
        elif (cuts := _cuts(job))["cuts"] >= MOST_CUTS:
            _ended(job, "failed", _CUT_OFF % {"count": cuts["cuts"]})
        else:
            _again(job, cuts)
    return len(abandoned) + _handed_in_again()


def work_is_left() -> bool:
    """Whether anything waits or runs, so that a worker is needed."""
    return Job.objects.filter(state__in=("waiting", "running")).exists()


def old_forgotten() -> None:
    """Forget what has been over for 30 days."""
    before = timezone.now() - timedelta(days=KEPT_DAYS)
    Job.objects.filter(state__in=OVER, ended_at__lt=before).delete()
    forgotten(before)


def _is_abandoned(job: Job) -> bool:
    place = lock_of(job.pk)
    if place.exists():
        try:
            with locked(place, patience_s=0):
                return own_run(job).exists()
        except JobError:
            return False
    return job.heartbeat is None or timezone.now() - job.heartbeat > timedelta(seconds=DEAD_AFTER_S)


def _cuts(job: Job) -> dict[str, int]:
    """How far it ever was when it was cut off, and how often since it last got further; kept in the row's result until there is one."""
    furthest, cuts = job.result.get("cut_at", -1), job.result.get("cuts", 0)
    return {"cut_at": max(job.done, furthest), "cuts": 1 if job.done > furthest else cuts + 1}


def _again(job: Job, cuts: dict[str, int]) -> None:
    with transaction.atomic():
        if own_run(job).update(state="waiting", left_s=None, result=cuts):
            _into_queue(job)


def _ended(job: Job, state: str, reason: str = "") -> None:
    with transaction.atomic():
        own_run(job).update(state=state, reason=reason, result={}, ended_at=timezone.now(), left_s=None)
        withdrawn(job.task)


def _handed_in_again() -> int:
    """Rows that wait while the queue does not know of them: whoever had them died between two writes."""
    since = timezone.now() - timedelta(seconds=DEAD_AFTER_S)
    lost = [job for job in Job.objects.filter(state="waiting", made_at__lt=since) if not is_in_queue(job.task, since)]
    for job in lost:
        _into_queue(job)
    return len(lost)


def _into_queue(job: Job) -> None:
    if not ready_again(job.task):
        Job.objects.filter(pk=job.pk).update(task=handed_in(job.pk))
