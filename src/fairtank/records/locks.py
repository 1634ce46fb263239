"""One at a time, across processes: a lock on a file, which is let go even when its holder is killed."""

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from fairtank.errors import JobError

_STEP_S = 0.02


@contextmanager
def locked(place: Path, patience_s: float = 60.0) -> Iterator[None]:
    """Hold the lock of a file while the block runs.

    Parameters
    ----------
    place : Path
        A file for the lock alone; it is made.
    patience_s : float
        How long to wait for whoever holds it. [s]

    Raises
    ------
    JobError
        If it is still held then.

    References
    ----------
    common_practice (keys from sources.py).
    """
    place.parent.mkdir(parents=True, exist_ok=True)
    handle = os.open(place, os.O_RDWR | os.O_CREAT, 0o600)
    try:
        until = time.monotonic() + patience_s
        while not _taken(handle):
            if time.monotonic() > until:
                raise JobError("Something else is at work on this trial and has not finished within a minute. Try again in a moment.")
            time.sleep(_STEP_S)
        yield
    finally:
        os.close(handle)


if os.name == "nt":
    import msvcrt

    def _taken(handle: int) -> bool:
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
        except OSError:
            return False
        return True
else:
    import fcntl

    def _taken(handle: int) -> bool:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            return False
        return True
