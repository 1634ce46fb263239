"""Pieces of work that worker processes import by name: plain ones, deadly ones, and one that waits."""

import os
import signal
import time
from pathlib import Path


def doubled(number: int) -> int:
    """Plain work."""
    return 2 * number


def doubled_or_dead(work: tuple[str, int]) -> int:
    """Plain work, but the pieces named `exit` and `kill` end their process."""
    what, number = work
    if what == "exit":
        os._exit(3)
    if what == "kill":
        os.kill(os.getpid(), signal.SIGKILL)
    return doubled(number)


def dead_once(work: tuple[Path, int]) -> int:
    """Ends its process at the first try only."""
    mark, number = work
    if not mark.exists():
        mark.touch()
        os._exit(1)
    return doubled(number)


def after_the_mark(work: tuple[str, Path]) -> str:
    """`late` waits until somebody made the mark; everything else is done at once."""
    name, mark = work
    deadline = time.monotonic() + 20
    while name == "late" and not mark.exists():
        if time.monotonic() > deadline:
            return "waited in vain"
        time.sleep(0.01)
    return name


def refused(number: int) -> int:
    """Work with a mistake of its own."""
    raise ValueError(f"no answer for {number}")
