"""Loops over px that are too slow in Python: compiled the first time they run, and kept on disk for the next time."""

import functools
from collections.abc import Callable
from typing import Any, TypeVar, cast

Loop = TypeVar("Loop", bound=Callable[..., Any])


def compiled(function: Loop) -> Loop:
    """The same function as machine code, made by numba when it is first called.

    Loading numba takes longer than most commands of the command line, so nothing of it is loaded before a photo is measured. The loop
    must stand alone (numbers, arrays and numpy only, no call of another function of ours). It is compiled without changes to
    the order of sums, so that every machine gives the same digits.

    Parameters
    ----------
    function : callable
        A loop at the top level of its module.

    Returns
    -------
    callable
        `plain` is the function as it was written.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> def doubled(values):
    ...     return values * 2
    >>> compiled(doubled).plain is doubled
    True
    """
    machine: list[Callable[..., Any]] = []

    @functools.wraps(function)
    def call(*values: Any) -> Any:
        if not machine:
            import numba

            try:
                machine.append(numba.njit(cache=True, nogil=True)(function))
            except RuntimeError:  # no folder in which machine code could be kept: compiled anew in each process
                machine.append(numba.njit(nogil=True)(function))
        return machine[0](*values)

    call.plain = function  # type: ignore[attr-defined]
    return cast(Loop, call)
