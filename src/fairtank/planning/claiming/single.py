"""Inputs of a check that holds for one tank at a time: one number, or one of the words that stand for a range."""

from fairtank.errors import InputError
from fairtank.planning.claiming.claim import GIVEN
from fairtank.registry import Input
from fairtank.science.ranges import accepted_range, within


def single(declared: Input, value: object) -> float:
    """One number in the range of its input; several are refused."""
    numbers = within(declared, value)  # type: ignore[arg-type]
    if numbers.ndim:
        raise InputError(declared.name, f"{numbers.size} numbers", "one number", "A claim is checked for one tank at a time.")
    return float(numbers)


def word_or_number(declared: Input, value: str | float) -> str | float:
    """One of the words of an input, or a number in its range, also where the number was typed as text.

    >>> word_or_number(Input("plants", "plants", "g", 0, 100, choices=("few", "many")), "20")
    20.0
    """
    if isinstance(value, str) and value in declared.choices:
        return value
    try:
        number = float(value)
    except (TypeError, ValueError) as error:
        given = repr(value) if isinstance(value, str) else "not one word or number"
        raise InputError(declared.name, given, accepted_range(declared)) from error
    return single(declared, number)


def mark_of(declared: Input, value: float, usual: str) -> str:
    """Where a number comes from: given, unless it is what stands in when nobody said."""
    return usual if value == declared.default else GIVEN
