"""The queue, as a library keeps it in the same database: the only place that knows that library.

A task is no more than the key of our own row, which is what counts: a task that was handed in twice does nothing the second time.
"""

from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import OperationalError, transaction
from django.db.models import Q, QuerySet
from django.utils import timezone
from django_tasks import task
from django_tasks.base import TaskResultStatus
from django_tasks_db.models import DBTaskResult, get_date_max
from django_tasks_db.utils import exclusive_transaction, is_locked_database_exception

from fairtank.places import WORK_WAITS
from fairtank.records.jobs.running import AGAIN, LATER, run

_LATER_S = 2.0


@task()
def work(job: int) -> str:
    """Do a job; tells what becomes of it."""
    return run(job)


def handed_in(job: int) -> str:
    """Put a job into the queue, in the transaction that is open, and call a worker when that is over; the task's name."""
    transaction.on_commit(worker_call, robust=True)  # work that nobody is called for is found at the next start
    return str(work.enqueue(job).id)


def worker_call() -> None:
    """Say that work waits, for whoever starts workers on this machine."""
    (Path(settings.DATA) / WORK_WAITS).touch()


def worker_heard() -> bool:
    """Take that word away, before work is looked for; whether it was there."""
    try:
        (Path(settings.DATA) / WORK_WAITS).unlink()
    except FileNotFoundError:
        return False
    return True


def claimed(worker: str) -> DBTaskResult | None:
    """The next task, which nobody else will get; None where there is none, or the database is held by somebody else."""
    ready = DBTaskResult.objects.ready()
    if not ready.exists():  # a look that holds up nobody
        return None
    try:
        with exclusive_transaction(ready.db):
            found = ready.get_locked()
            if found is not None:
                found.claim(worker)
            return found
    except OperationalError as error:
        if is_locked_database_exception(error):
            return None
        raise


def carried_out(found: DBTaskResult) -> None:
    """Do what a task says, and note what came of it."""
    try:
        told = found.task.call(*found.task_result.args)
    except BaseException as error:
        found.set_failed(error)
        raise
    found.set_successful(told)
    if told in (AGAIN, LATER):
        ready_again(str(found.pk), later_s=_LATER_S if told == LATER else 0.0)


def ready_again(task_name: str, *, later_s: float = 0.0) -> bool:
    """Put a task back into the queue, to be taken after a while; False where it is not known."""
    after = timezone.now() + timedelta(seconds=later_s) if later_s else get_date_max()
    again = {"status": TaskResultStatus.READY, "started_at": None, "finished_at": None, "run_after": after}
    return bool(_known(task_name).update(**again))


def is_in_queue(task_name: str, taken_since: datetime) -> bool:
    """Whether a task waits, or somebody took it lately."""
    waits, is_new = Q(status=TaskResultStatus.READY), Q(status=TaskResultStatus.RUNNING, started_at__gte=taken_since)
    return _known(task_name).filter(waits | is_new).exists()


def withdrawn(task_name: str) -> None:
    """Take a task out of the queue."""
    _known(task_name).delete()


def forgotten(before: datetime) -> None:
    """Delete finished tasks that are older, and those of workers that died on the last step."""
    DBTaskResult.objects.filter(Q(finished_at__lt=before) | Q(status=TaskResultStatus.RUNNING, started_at__lt=before)).delete()


def _known(task_name: str) -> QuerySet[Any]:
    return DBTaskResult.objects.filter(pk=task_name) if task_name else DBTaskResult.objects.none()
