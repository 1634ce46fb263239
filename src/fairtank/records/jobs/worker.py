"""The worker: takes one piece of work after the other, in a process of its own."""

import contextlib
import os
import secrets
import signal
import threading
import time
from collections.abc import Iterator
from types import FrameType

from django.db import close_old_connections

from fairtank.records.jobs.carrier import carried_out, claimed, worker_heard
from fairtank.records.jobs.housekeeping import tidied_daily
from fairtank.records.jobs.progress import ENDING
from fairtank.records.jobs.recovery import recovered, work_is_left

PAUSE_S = 0.3
_RECOVERY_S, _HOUSE_S, _PARENT_S = 60.0, 600.0, 2.0
# What work loaded stays in memory: a worker that has a parent ends when nothing is left to do, and is called again.
_RENEWED_S = 60.0


def work_once(worker: str = "once") -> bool:
    """Do the next piece of work.

    Parameters
    ----------
    worker : str
        A name for the queue's notes.

    Returns
    -------
    bool
        Whether there was one.

    References
    ----------
    common_practice (keys from sources.py).
    """
    found = claimed(worker)
    if found is None:
        return False
    carried_out(found)
    return True


def work_forever(*, with_parent: bool = False) -> None:
    """Work until this process is asked to end (SIGTERM or Ctrl-C): the step at hand is finished, and the rest goes back to the queue.

    Parameters
    ----------
    with_parent : bool
        Whether somebody started it who starts it again when work waits: then it also ends with them, and when nothing was left to do for a
        minute.

    References
    ----------
    common_practice (keys from sources.py).
    """
    worker, recovery_at, house_at, worked_at = secrets.token_hex(8), 0.0, 0.0, time.monotonic()
    with _ending(with_parent):
        while not ENDING.is_set():
            close_old_connections()
            now = time.monotonic()
            if now >= recovery_at:
                recovered()
                recovery_at = time.monotonic() + _RECOVERY_S
            called = worker_heard()  # before work is looked for: who hands some in after that calls again
            if work_once(worker):
                worked_at = time.monotonic()
                continue
            if now >= house_at:
                tidied_daily()
                house_at = time.monotonic() + _HOUSE_S
            if with_parent and not called and time.monotonic() - worked_at > _RENEWED_S and not work_is_left():
                return
            ENDING.wait(PAUSE_S)


@contextlib.contextmanager
def _ending(with_parent: bool) -> Iterator[None]:
    """Signals, and the end of the parent, set the flag that work looks at; a second signal ends the process as it would without this."""
    ENDING.clear()
    before, over = {}, threading.Event()

    def ask(number: int, _frame: FrameType | None) -> None:
        ENDING.set()
        signal.signal(number, signal.SIG_DFL)

    if threading.current_thread() is threading.main_thread():
        before = {number: signal.signal(number, ask) for number in (signal.SIGTERM, signal.SIGINT)}
    if with_parent:
        threading.Thread(target=_watch_parent, args=(os.getppid(), over), daemon=True).start()
    try:
        yield
    finally:
        over.set()
        for number, handler in before.items():
            signal.signal(number, handler)


def _watch_parent(parent: int, over: threading.Event) -> None:
    while not over.wait(_PARENT_S):
        if os.getppid() != parent:
            ENDING.set()
