"""A progress bar on standard error, for people; silent when nobody is looking at a terminal."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn


@contextmanager
def progress_bar(title: str, unit: str = "photos") -> Iterator[Callable[..., None]]:
    """A function that moves the bar: called with (done, total) and, where it applies, how many were there already."""
    console = Console(stderr=True)
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TextColumn(unit), TimeRemainingColumn())
    with Progress(*columns, console=console, transient=False, disable=not sys.stderr.isatty()) as bar:
        task = bar.add_task(title, total=None, visible=False)

        def move(done: int, total: int, stored: int = 0) -> None:
            note = f" ({stored} measured earlier)" if stored else ""
            bar.update(task, completed=done, total=total, description=title + note, visible=True)

        yield move
