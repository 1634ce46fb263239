"""One piece of work from its beginning to its end, whatever happens in between."""

import contextlib
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import DatabaseError, connection, transaction
from django.utils import timezone
from django.utils.module_loading import import_string

from fairtank.errors import FairtankError, JobError
from fairtank.records.jobs.faults import fault_told
from fairtank.records.jobs.kinds import KINDS
from fairtank.records.jobs.progress import Progress, PutBack, StopWanted, Superseded, own_run, put_back
from fairtank.records.locks import locked
from fairtank.records.models import Job, Trial

# What becomes of a task: over, to be taken again at once, or after a while.
OVER, AGAIN, LATER = "over", "again", "later"
DEAD_AFTER_S = 60
_PULSE_S = 15.0


def run(job_id: int) -> str:
    """Do a job that waits.

    Parameters
    ----------
    job_id : int
        Its key. A job that is gone, over, or in somebody else's hands is left alone.

    Returns
    -------
    str
        What becomes of its task.

    References
    ----------
    common_practice (keys from sources.py).
    """
    try:
        with _held(job_id):
            job = _begun(job_id)
            if isinstance(job, str):
                return job
            with _pulse(job):
                return _done(job)
    except JobError:  # somebody holds it, alive
        return OVER


def lock_of(job_id: int) -> Path:
    """A file that whoever does this job holds; the system lets it go when they die."""
    return Path(settings.DATA) / "derived" / "jobs" / f"{job_id}.lock"


@contextmanager
def _held(job_id: int) -> Iterator[None]:
    place = lock_of(job_id)
    with locked(place, patience_s=0):
        try:
            yield
        finally:
            with contextlib.suppress(OSError):
                place.unlink()


def _begun(job_id: int) -> Job | str:
    """The row, now running; or what becomes of its task where it cannot begin."""
    with transaction.atomic():
        job = Job.objects.select_for_update(of=("self",)).filter(pk=job_id, state="waiting").first()
        if job is None:
            return OVER
        trial = None if job.trial_id is None else Trial.everything.select_for_update().get(pk=job.trial_id)
        if trial is not None and trial.removed_at is not None:
            _end(Job.objects.filter(pk=job.pk), "cancelled", reason="The trial was taken away.")
            return OVER
        fresh = timezone.now() - timedelta(seconds=DEAD_AFTER_S)
        if trial is not None and Job.objects.filter(trial=trial, state="running", heartbeat__gte=fresh).exists():
            return LATER  # two at once would only wait for each other's folder
        now = timezone.now()
        job.trial, job.state, job.attempts, job.begun_at, job.heartbeat = trial, "running", job.attempts + 1, job.begun_at or now, now
        job.save(update_fields=["state", "attempts", "begun_at", "heartbeat"])
        return job


def _done(job: Job) -> str:
    """Do it and write down what came of it."""
    rows = own_run(job)
    try:
        result = import_string(KINDS[job.kind].work)(job, Progress(job))
    except PutBack:
        put_back(job)
        return AGAIN
    except StopWanted:
        _end(rows, "cancelled")
    except Superseded:
        pass
    except FairtankError as error:
        _end(rows, "failed", reason=str(error))
    except Exception as error:
        _end(rows, "failed", reason=fault_told(job, error))
    else:
        _end(rows, "done", result=result)
    return OVER


def _end(rows: Any, state: str, *, reason: str = "", result: dict[str, Any] | None = None) -> None:
    rows.update(state=state, reason=reason, result=result or {}, ended_at=timezone.now(), left_s=None)


@contextmanager
def _pulse(job: Job) -> Iterator[None]:
    """Says now and then that the process lives while a long step says nothing, so that nobody takes the work over."""
    over = threading.Event()

    def beat() -> None:
        while not over.wait(_PULSE_S):
            with contextlib.suppress(DatabaseError):
                own_run(job).update(heartbeat=timezone.now())
        connection.close()

    pulse = threading.Thread(target=beat, daemon=True)
    pulse.start()
    try:
        yield
    finally:
        over.set()
        pulse.join()
