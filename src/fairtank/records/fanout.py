"""Work spread over processes: every unit's result as soon as it is there, and no unit lost with a process that died."""

from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, wait
from typing import TypeVar

from fairtank.errors import JobError

Work = TypeVar("Work")
Result = TypeVar("Result")

# Pieces handed in and not yet done: enough to keep some workers busy, few enough that neither work nor results pile up.
AHEAD = 32
# A pause between two looks whether anybody is still at work, where the executor can tell.
_LOOK_S = 5.0


def fanout(
    executor: Executor, function: Callable[[Work], Result], units: Iterable[Work], *, ahead: int = AHEAD
) -> Iterator[tuple[Work, Result | JobError]]:
    """Pairs of unit and result in the order in which they finish.

    Units are taken one by one as earlier ones are done, and a result is forgotten once it was handed over: the memory this needs
    does not depend on how many units there are.

    Parameters
    ----------
    executor : concurrent.futures.Executor
        Of processes, of threads, or of a cluster: the same call serves all.
    function : callable
        Takes one unit; importable by name where the executor starts other processes.
    units : iterable
        The pieces of work.
    ahead : int
        How many may be under way or waiting, 1 or more.

    Returns
    -------
    iterator of (unit, result)
        The result is a JobError for units that were under way, or waiting, when a process died. Once the executor takes no more work,
        the other units are left in `units`.

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
    rest, is_open = iter(units), True
    waiting: dict[Future[Result], Work] = {}
    look = getattr(executor, "look", None)
    while True:
        while is_open and len(waiting) < ahead:
            try:
                unit = next(rest)
            except StopIteration:
                is_open = False
                break
            try:
                waiting[executor.submit(function, unit)] = unit
            except BrokenExecutor as error:  # a process died while work was still being handed in
                is_open = False
                yield unit, _lost(error)
        if not waiting:
            return
        done, _ = wait(waiting, timeout=_LOOK_S if look else None, return_when=FIRST_COMPLETED)
        if not done and look:
            look()
        for future in done:
            unit = waiting.pop(future)
            try:
                result: Result | JobError = future.result()
            except BrokenExecutor as error:
                result = _lost(error)
            yield unit, result
        del done


def fanout_twice(
    executor_made: Callable[[int | None], Executor], function: Callable[[Work], Result], units: Iterable[Work], *, ahead: int = AHEAD
) -> Iterator[tuple[Work, Result | JobError]]:
    """`fanout`, and what was lost with a dead process once more, one by one: only the unit that kills is given up.

    The other units then go on in new processes.

    Parameters
    ----------
    executor_made : callable
        Makes an executor with that many workers; None stands for as many as the machine has cores.
    function, units, ahead
        As in `fanout`.

    Returns
    -------
    iterator of (unit, result)
        The result is a JobError for a unit that stopped its process twice.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    rest = iter(units)
    while True:
        lost: list[Work] = []
        with executor_made(None) as executor:
            for unit, result in fanout(executor, function, rest, ahead=ahead):
                if isinstance(result, JobError):
                    lost.append(unit)
                else:
                    yield unit, result
        if not lost:
            return
        yield from _one_by_one(executor_made, function, lost)


def _one_by_one(
    executor_made: Callable[[int | None], Executor], function: Callable[[Work], Result], units: list[Work]
) -> Iterator[tuple[Work, Result | JobError]]:
    """Each unit alone with one worker, so that a death tells which unit it was; a new worker after each death."""
    rest, left = iter(units), len(units)
    while left:
        with executor_made(1) as executor:
            for pair in fanout(executor, function, rest, ahead=1):
                left -= 1
                yield pair
                if isinstance(pair[1], JobError):
                    break


def _lost(error: BrokenExecutor) -> JobError:
    """What is known about work whose process died."""
    lost = JobError("The process that did this work was stopped from outside, or ran out of memory.")
    lost.__cause__ = error
    return lost
