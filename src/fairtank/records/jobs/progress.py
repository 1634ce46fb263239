"""How far a piece of work is: told to its row at most once a second, and asked each time whether it shall go on."""

import threading
import time
from collections import deque

from django.db.models import F, QuerySet
from django.utils import timezone

from fairtank.records.jobs.pace import MOST_LOOKS, seconds_left
from fairtank.records.models import Job

_PAUSE_S = 1.0
# Set when this process is to end: running work goes back to the queue at its next step.
ENDING = threading.Event()


class Interrupted(BaseException):
    """Work ends here without being done; no `Exception`, so that nothing on the way takes it for a fault and goes on."""


class StopWanted(Interrupted):
    """Somebody asked it to stop."""


class PutBack(Interrupted):
    """This process ends; the work goes on in another one."""


class Superseded(Interrupted):
    """The row was given to somebody else, or is over: nothing of this run counts any more."""


class Progress:
    """What the functions of the kinds, and the services below them, call with how much is done, of how much, and how much was there before.

    Raises one of the interruptions when the work shall not go on.
    """

    def __init__(self, job: Job) -> None:
        self._job, self._written = job, float("-inf")
        self._looks: deque[tuple[float, int]] = deque(maxlen=MOST_LOOKS)

    def __call__(self, done: int, total: int, stored: int = 0) -> None:
        """Tell how far it is."""
        now = time.monotonic()
        if now - self._written >= _PAUSE_S or done >= total:
            self._written = now
            self._looks.append((now, done))
            left_s = seconds_left(tuple(self._looks), total)
            self._write(done=min(done, total), total=total, left_s=left_s)
        self.ask()

    def ask(self) -> None:
        """Go on, or raise."""
        if ENDING.is_set():
            raise PutBack
        if Job.objects.filter(pk=self._job.pk, wanted_stop=True).exists():
            raise StopWanted

    def _write(self, **told: int | None) -> None:
        if not own_run(self._job).update(heartbeat=timezone.now(), **told):
            raise Superseded


def own_run(job: Job) -> QuerySet[Job]:
    """The row as long as it is this run's: after a takeover it counts one more attempt."""
    return Job.objects.filter(pk=job.pk, state="running", attempts=job.attempts)


def put_back(job: Job) -> None:
    """Waiting again, and the attempt is not counted."""
    own_run(job).update(state="waiting", attempts=F("attempts") - 1, left_s=None)
