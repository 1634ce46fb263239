"""How far the work is, on standard error: a bar on a terminal, and elsewhere a plain line at the start and for every tenth."""

import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager

from fairtank.cli.stopping import workers_hear_no_ctrl_c

_PARTS = 10


@contextmanager
def progress_shown(title: str, unit: str = "photos") -> Iterator[Callable[..., None]]:
    """A function that tells how far it is: called with (done, total) and, where it applies, how many were there already."""
    workers_hear_no_ctrl_c()
    with ExitStack() as held:
        yield _bar(title, unit, held) if sys.stderr.isatty() else _lines(title, unit)


def _bar(title: str, unit: str, held: ExitStack) -> Callable[..., None]:
    """Moves a bar, which is drawn from the first call on, so that what is printed before it stands above it."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TextColumn(unit), TimeRemainingColumn())
    bar = Progress(*columns, console=Console(stderr=True))
    task = bar.add_task(title, total=None)

    def move(done: int, total: int, stored: int = 0) -> None:
        if not bar.live.is_started:
            held.enter_context(bar)
        bar.update(task, completed=done, total=total, description=title + _note(stored))

    return move


def _lines(title: str, unit: str) -> Callable[..., None]:
    """Prints a line at the start and whenever another tenth is done; nothing where there was nothing left to do."""
    told: list[int] = []

    def move(done: int, total: int, stored: int = 0) -> None:
        if stored >= total:
            return
        part = _PARTS * (done - stored) // (total - stored)
        if part not in told:
            told.append(part)
            print(f"{title}: {done} of {total} {unit}{_note(stored)}", file=sys.stderr, flush=True)

    return move


def _note(stored: int) -> str:
    return f" ({stored} measured earlier)" if stored else ""
