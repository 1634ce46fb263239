"""Work spread over processes: every unit's result as soon as it is there, and no unit lost with a process that died."""

from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Executor, as_completed
from concurrent.futures.process import BrokenProcessPool
from typing import TypeVar

from fairtank.errors import JobError

Work = TypeVar("Work")
Result = TypeVar("Result")


def fanout(executor: Executor, function: Callable[[Work], Result], units: Iterable[Work]) -> Iterator[tuple[Work, Result | JobError]]:
    """Pairs of unit and result in the order in which they finish.

    Parameters
    ----------
    executor : concurrent.futures.Executor
        Of processes, of threads, or of a cluster: the same call serves all.
    function : callable
        Takes one unit; importable by name where the executor starts other processes.
    units : iterable
        The pieces of work.

    Returns
    -------
    iterator of (unit, result)
        The result is a JobError for units that were under way, or waiting, when a process died.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> from concurrent.futures import ThreadPoolExecutor
    >>> with ThreadPoolExecutor(2) as executor:
    ...     sorted(fanout(executor, abs, [-2, -1]))
    [(-2, 2), (-1, 1)]
    """
    waiting, lost = {}, []
    for unit in units:
        try:
            waiting[executor.submit(function, unit)] = unit
        except BrokenProcessPool as error:  # a process died while work was still being handed in
            lost.append((unit, _lost(error)))
    yield from lost
    for future in as_completed(waiting):
        unit = waiting[future]
        try:
            yield unit, future.result()
        except BrokenProcessPool as error:
            yield unit, _lost(error)


def fanout_twice(
    executor_made: Callable[[int | None], Executor], function: Callable[[Work], Result], units: Iterable[Work]
) -> Iterator[tuple[Work, Result | JobError]]:
    """`fanout`, and what was lost with a dead process once more, one process for each: only the unit that kills is given up.

    Parameters
    ----------
    executor_made : callable
        Makes an executor with that many workers; None stands for as many as the machine has cores.
    function, units
        As in `fanout`.

    Returns
    -------
    iterator of (unit, result)
        The result is a JobError for a unit that stopped its process twice.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    lost: list[Work] = []
    with executor_made(None) as executor:
        for unit, result in fanout(executor, function, units):
            if isinstance(result, JobError):
                lost.append(unit)
            else:
                yield unit, result
    for unit in lost:
        with executor_made(1) as executor:
            yield from fanout(executor, function, [unit])


def _lost(error: BrokenProcessPool) -> JobError:
    """What is known about work whose process died."""
    lost = JobError("The process that did this work was stopped from outside, or ran out of memory.")
    lost.__cause__ = error
    return lost
