"""The check that a number lies in the range a function holds for, made from the same declaration as its form field."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fairtank.errors import InputError, OutOfRangeError
from fairtank.registry import Input

Floats = float | NDArray[np.float64]


def numbers_of(name: str, value: Any, accepted: str, hint: str = "") -> NDArray[np.float64]:
    """The value as an array of floats, after it was found to be made of real numbers; missing ones (NaN) and infinity pass.

    Parameters
    ----------
    name : str
        What the value is called.
    value : float or array of any shape
        What was given; lists of numbers too. Text is refused even where it reads as a number.
    accepted : str
        What is accepted, in words.
    hint : str
        A sentence that helps whoever gave the value; may be empty.

    Returns
    -------
    array of the same shape
        The numbers, of shape () for a single one.

    Raises
    ------
    InputError
        If the value is text, is left out (None), holds either, or is a list whose rows differ in length.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> numbers_of("glass_mm", [6, 8], "0 to 30 mm").tolist()
    [6.0, 8.0]
    """
    try:
        given = np.asarray(value)
        # numpy itself would read "6" as 6 and None as a missing number.
        if given.dtype.kind not in "biufO" or (given.dtype.kind == "O" and any(isinstance(one, str) or one is None for one in given.flat)):
            raise TypeError
        return np.asarray(given, dtype=np.float64)
    except (TypeError, ValueError) as error:
        raise InputError(name, repr(value) if isinstance(value, str) else "not a number", accepted, hint) from error


def within(declared: Input, value: ArrayLike, hint: str = "") -> NDArray[np.float64]:
    """The value as an array of floats, after every number in it was found inside the declared range.

    Text, missing numbers (NaN) and infinity are refused; the message names the first number that does not fit.

    Parameters
    ----------
    declared : Input
        The input's name, unit and range.
    value : float or array of any shape
        What was given. [unit of the input], its range.
    hint : str
        A sentence that helps whoever gave the value; may be empty.

    Returns
    -------
    array of the same shape
        The numbers, of shape () for a single one.

    Raises
    ------
    InputError
        If the value is not made of numbers.
    OutOfRangeError
        If a number lies outside the range.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> float(within(Input("glass_mm", "glass thickness", "mm", 0, 30), 6))
    6.0
    """
    accepted = accepted_range(declared)
    numbers = numbers_of(declared.name, value, accepted, hint)
    low = -np.inf if declared.low is None else declared.low
    high = np.inf if declared.high is None else declared.high
    fits = (numbers >= low) & (numbers <= high) & np.isfinite(numbers)
    if not fits.all():
        first = float(numbers[~fits].flat[0])
        raise OutOfRangeError(declared.name, f"{first!r} {declared.unit}".strip(), accepted, hint)
    return numbers


def one_number(declared: Input, value: ArrayLike, hint: str = "") -> float:
    """The value as one number inside the declared range, for what holds for a single case only.

    Parameters
    ----------
    declared : Input
        The input's name, unit and range.
    value : float
        What was given. [unit of the input], its range.
    hint : str
        A sentence that helps whoever gave a number outside the range; may be empty.

    Returns
    -------
    float
        The number.

    Raises
    ------
    InputError
        If the value is not a number, or several.
    OutOfRangeError
        If it lies outside the range.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> one_number(Input("level", "level of the interval", "", 0.5, 0.9999), 0.95)
    0.95
    """
    numbers = within(declared, value, hint)
    if numbers.ndim:
        raise InputError(declared.name, "several numbers", "one number")
    return float(numbers)


def one_of(declared: Input, value: str) -> str:
    """The word, after it was found among the choices of the input.

    Parameters
    ----------
    declared : Input
        The input's name and choices.
    value : str
        What was given.

    Returns
    -------
    str
        The same word.

    Raises
    ------
    InputError
        If the value is not one word, or not among the choices.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> one_of(Input("support", "how the edges are held", choices=("free_top", "braced")), "braced")
    'braced'
    """
    if not isinstance(value, str) or value not in declared.choices:
        raise InputError(declared.name, repr(value) if isinstance(value, str) else "not a word", ", ".join(declared.choices))
    return value


def accepted_range(declared: Input) -> str:
    """The range of an input in words.

    Parameters
    ----------
    declared : Input
        The input.

    Returns
    -------
    str
        Such as `0 to 30 mm`, or the words that may be given.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> accepted_range(Input("glass_mm", "glass thickness", "mm", 0, 30))
    '0 to 30 mm'
    """
    if declared.choices:
        words = ", ".join(declared.choices)
        return words if declared.low is None else f"{words}, or {declared.low:g} to {declared.high:g} {declared.unit}".strip()
    if declared.low is None and declared.high is None:
        return "any finite number"
    if declared.high is None:
        return f"{declared.low:g} {declared.unit} or more".replace("  ", " ")
    return f"{declared.low:g} to {declared.high:g} {declared.unit}".strip()


def plain(result: ArrayLike) -> Floats:
    """A float where single numbers went in, the array where arrays did.

    Parameters
    ----------
    result : float or array of any shape
        What a function computed.

    Returns
    -------
    float or array of the same shape
        A Python float for shape (), else the array.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> plain(np.float64(2.5))
    2.5
    """
    numbers = np.asarray(result, dtype=np.float64)
    return float(numbers) if numbers.ndim == 0 else numbers
