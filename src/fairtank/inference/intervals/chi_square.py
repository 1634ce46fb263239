"""The chi-square distribution as far as it is needed here: how often it is exceeded, and what is exceeded so often."""

import math
from functools import cache

_HALVINGS = 60


def chance_above(value: float, df: float) -> float:
    """How often a chi-square of `df` degrees of freedom comes out above a value.

    Parameters
    ----------
    value : float
        0 or more.
    df : float
        Degrees of freedom, above 0.

    Returns
    -------
    float
        A share from 0 to 1.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> round(chance_above(3.841459, 1), 4), round(chance_above(2.0, 2), 4)
    (0.05, 0.3679)
    """
    return max(1.0 - _gamma_share(df / 2.0, value / 2.0), 0.0)


@cache
def over_df(df: float, upper: float) -> float:
    """The ratio of an estimated to the true variance that is exceeded with that chance.

    Parameters
    ----------
    df : float
        Degrees of freedom, above 0.
    upper : float
        The chance, between 0 and 1.

    Returns
    -------
    float

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> round(over_df(4.0, 0.05) * 4.0, 3)
    9.488
    """
    low, high = 0.0, 50.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if chance_above(middle * df, df) > upper else (low, middle)
    return (low + high) / 2.0


def _gamma_share(a: float, x: float) -> float:
    """The regularised incomplete gamma function from below, by its series: half a chi-square of 2a degrees of freedom stays below x."""
    if x <= 0:
        return 0.0
    if x > 700.0 + 20.0 * a:
        return 1.0  # beyond it the series starts below the smallest number
    term = math.exp(a * math.log(x) - x - math.lgamma(a + 1.0))
    whole, step = term, 1
    while term > 1e-15 * whole:
        term *= x / (a + step)
        whole, step = whole + term, step + 1
    return min(whole, 1.0)
