"""`agrees`: a computed number rounds to what somebody printed. `every`: one test that goes through many cheap cases."""

import functools
import inspect
from collections.abc import Callable, Iterable
from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal

import pytest


def agrees(value: float, printed: str) -> bool:
    """Whether a computed value rounds to the printed digits.

    The printed number is handed over as the string that was printed, so that its digits carry the tolerance: `"9.09"`
    accepts 9.085 to 9.095. A value that lies exactly between two printed ones agrees with both.

    >>> agrees(9.0923, "9.09"), agrees(9.0923, "9.10")
    (True, False)
    >>> agrees(-0.00041, "-4.1e-4")
    True
    """
    target = Decimal(printed.replace("−", "-"))
    step = Decimal((0, (1,), int(target.as_tuple().exponent)))
    exact = Decimal(repr(float(value)))
    return target in {exact.quantize(step, rounding) for rounding in (ROUND_HALF_UP, ROUND_HALF_EVEN)}


def every(names: str | tuple[str, ...], cases: Iterable, ids: Callable | Iterable[str] | None = None) -> Callable:
    """Like `pytest.mark.parametrize`, but the cases are one test: for many cheap ones that take the same way.

    A test costs some 5 ms before it asserts anything: it is found by each worker, set up, reported and counted. All cases are gone
    through also after one that fails, and those that fail are named. The fixtures of the test are shared by its cases.

    >>> @every(("number", "square"), [(2, 4), (3, 10)])
    ... def squares(number, square):
    ...     assert number * number == square
    >>> squares()
    Traceback (most recent call last):
    ExceptionGroup: 1 of 2 cases failed: 3-10 (1 sub-exception)
    """
    keys = tuple(names.replace(" ", "").split(",")) if isinstance(names, str) else names
    told = _told(list(cases), len(keys), ids)

    def decorate(test: Callable) -> Callable:
        def all_cases(**fixtures: object) -> None:
            failed: dict[str, BaseException] = {}
            for name, values in told:
                try:
                    test(**dict(zip(keys, values, strict=True)), **fixtures)
                except (Exception, pytest.fail.Exception) as error:
                    error.add_note(f"case: {name}")
                    failed[name] = error
            assert told, "no case to go through"
            if failed:
                raise BaseExceptionGroup(f"{len(failed)} of {len(told)} cases failed: {', '.join(failed)}", list(failed.values()))

        signature = inspect.signature(test)
        functools.update_wrapper(all_cases, test)
        all_cases.__signature__ = signature.replace(  # type: ignore[attr-defined]
            parameters=[one for name, one in signature.parameters.items() if name not in keys])
        return all_cases

    return decorate


def _told(cases: list, width: int, ids: Callable | Iterable[str] | None) -> list[tuple[str, tuple]]:
    """(name, values) of each case; two cases never have the same name."""
    given = iter(ids) if ids is not None and not callable(ids) else None
    told: dict[str, tuple] = {}
    for case in cases:
        if isinstance(case, type(pytest.param())):
            assert not case.marks, "a mark counts for all cases: write it above the test"
            values, name = case.values, case.id
        else:
            values, name = (case if width > 1 else (case,)), None
        if given is not None:
            name = next(given)
        elif name is None:
            name = "-".join(str(ids(value) if callable(ids) else value)[:60] for value in values)
        told[name if name not in told else f"{name} ({len(told) + 1})"] = values
    return list(told.items())
