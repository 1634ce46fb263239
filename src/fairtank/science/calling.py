"""Calling a calculator at many points: all at once where it takes arrays, else one after the other."""

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fairtank.errors import FairtankError
from fairtank.registry import Entry


@dataclass(frozen=True)
class Called:
    """A calculator's results at several points.

    parts: for each part of the result (`""` for a plain number) an array over the points: of floats where the part is a number
    everywhere, else of whatever it is. at_once: whether one call gave them all.
    """

    parts: dict[str, NDArray[Any]]
    at_once: bool


def parts_of(result: Any) -> dict[str, Any]:
    """The parts of a result by their names; a plain number is one part without a name.

    Parameters
    ----------
    result : number, frozen dataclass, named tuple or mapping
        What a calculator gave.

    Returns
    -------
    dict of str to Any
        Name of the part -> the part.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> parts_of(2.5), parts_of({"K": 386.7})
    ({'': 2.5}, {'K': 386.7})
    """
    if dataclasses.is_dataclass(result) and not isinstance(result, type):
        return {field.name: getattr(result, field.name) for field in dataclasses.fields(result)}
    if hasattr(result, "_asdict"):
        return dict(result._asdict())
    return dict(result) if isinstance(result, Mapping) else {"": result}


def is_number(part: Any) -> bool:
    """Whether a part of a result is one number.

    Parameters
    ----------
    part : Any
        A part of a result.

    Returns
    -------
    bool
        True for a single number of any kind; a yes or no is none.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> is_number(2.5), is_number(True), is_number("rippled")
    (True, False, False)
    """
    return isinstance(part, (int, float, np.number)) and not isinstance(part, (bool, np.bool_))


def called(entry: Entry, given: Mapping[str, Any], columns: Mapping[str, NDArray[Any]], *, skip: bool = False,
           singly_at_most: int | None = None) -> Called:
    """A calculator's results at several points.

    One call with arrays is tried first. It counts only if every part has a number for each point, or one for all, and those of the
    first, middle and last point equal those of single calls: a function may take an array as one sample, or not at all. Then each
    point is called by itself.

    Parameters
    ----------
    entry : Entry
        The calculator.
    given : mapping of str to value
        The inputs that are the same at all points.
    columns : mapping of str to array of shape (n,)
        The inputs that change, one value for each point; n is 1 or more. Numbers or words.
    skip : bool
        Whether points that the calculator refuses are left as missing (NaN); else the refusal is raised.
    singly_at_most : int or None
        Where each point must be called by itself, only so many of them, from the first on; None for all.

    Returns
    -------
    Called
        The parts of the result, each over the points.

    Raises
    ------
    FairtankError
        What the calculator says of the first point that it refuses.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    See `tests/science/test_calling.py`.
    """
    whole = _at_once(entry, given, columns)
    if whole is not None:
        return Called(whole, True)
    rows: list[dict[str, Any] | None] = []
    for place in range(_count(columns))[:singly_at_most]:
        try:
            rows.append(parts_of(entry.function(**given, **_point(columns, place))))
        except FairtankError:
            if not skip:
                raise
            rows.append(None)
    names = next((tuple(row) for row in rows if row is not None), ())
    return Called({name: _column([np.nan if row is None else row.get(name, np.nan) for row in rows]) for name in names}, False)


def _count(columns: Mapping[str, NDArray[Any]]) -> int:
    return len(next(iter(columns.values())))


def _point(columns: Mapping[str, NDArray[Any]], place: int) -> dict[str, Any]:
    """The inputs of one point as plain numbers or words."""
    return {name: column[place : place + 1].tolist()[0] for name, column in columns.items()}


def _at_once(entry: Entry, given: Mapping[str, Any], columns: Mapping[str, NDArray[Any]]) -> dict[str, NDArray[Any]] | None:
    """The parts from one call with arrays; None where that cannot be had."""
    if any(column.dtype.kind not in "iuf" for column in columns.values()):
        return None
    count = _count(columns)
    places = sorted({0, count // 2, count - 1})
    try:
        parts = parts_of(entry.function(**given, **columns))
        single = [parts_of(entry.function(**given, **_point(columns, place))) for place in places]
    except Exception:  # whatever it says about arrays: the single calls tell what is wrong with a point
        return None
    whole = {}
    for name, part in parts.items():
        numbers = np.asarray(part)
        if numbers.dtype.kind not in "iuf" or numbers.shape not in ((), (count,)):
            return None
        whole[name] = np.array(np.broadcast_to(numbers, (count,)), dtype=np.float64)
        if not all(is_number(own.get(name)) and np.isclose(whole[name][place], own[name], rtol=1e-9, atol=0)
                   for place, own in zip(places, single, strict=True)):
            return None
    return whole


def _column(values: list[Any]) -> NDArray[Any]:
    """The values of one part: floats where all are numbers, else as they are."""
    if all(map(is_number, values)):
        return np.array(values, dtype=np.float64)
    column = np.empty(len(values), dtype=object)
    column[:] = values
    return column
