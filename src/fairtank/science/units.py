"""Conversion between units for numbers, lists and arrays; the one table of units stands in `fairtank.units`.

That table is used at the doors (forms, commands, file readers), where numbers come one at a time. Here stands the same conversion for
those who call the formulas themselves.
"""

import numpy as np
from numpy.typing import ArrayLike

from fairtank import units
from fairtank.science.ranges import Floats, numbers_of, plain


def convert(value: ArrayLike, from_unit: str, to_unit: str) -> Floats:
    """The same quantity in another unit.

    Parameters
    ----------
    value : float or array of any shape
        The quantity; lists of numbers too. [from_unit], any size. NaN gives NaN.
    from_unit, to_unit : str
        Names from the table of `fairtank.units`, such as dKH, mg/L CaCO3, US gal, degC; both must measure the same quantity.

    Returns
    -------
    float or array of the same shape
        The quantity. [to_unit]

    Raises
    ------
    InputError
        If the value is not made of numbers, a unit is unknown, or the two measure different quantities.

    References
    ----------
    arithmetic (definitions of the units; keys from sources.py).

    Examples
    --------
    >>> convert([0.0, 4.0], "dKH", "mg/L CaCO3").round(1).tolist()
    [0.0, 71.4]
    >>> convert(77, "degF", "degC")
    25.0
    """
    numbers = numbers_of("value", value, "a number, or a list or an array of numbers")
    return plain(np.asarray(units.convert(numbers, from_unit, to_unit)))  # type: ignore[arg-type]  # the table takes arrays as they are
