"""Student's t distribution with any degrees of freedom, from the standard library alone.

scipy has both functions, but importing it takes longer than judging a whole trial; the tests hold these against scipy's.
"""

import math

from fairtank.errors import OutOfRangeError

_PRECISION = 1e-16
_TINY = 1e-300
_STEPS = 500
_FARTHEST = 1e150  # its square is still a float


def _beta_fraction(a: float, b: float, x: float) -> float:
    """The continued fraction of the incomplete beta function, by the modified Lentz method."""
    c, d = 1.0, 1.0 / (1.0 - (a + b) * x / (a + 1.0) or _TINY)
    fraction = d
    for step in range(1, _STEPS):
        even = step * (b - step) * x / ((a + 2 * step - 1.0) * (a + 2 * step))
        odd = -(a + step) * (a + b + step) * x / ((a + 2 * step) * (a + 2 * step + 1.0))
        for term in (even, odd):
            d = 1.0 / (1.0 + term * d or _TINY)
            c = 1.0 + term / c or _TINY
            fraction *= c * d
        if abs(c * d - 1.0) < _PRECISION:
            break
    return fraction


def _incomplete_beta(a: float, b: float, x: float, y: float) -> float:
    """The regularised incomplete beta function at x; y is 1 - x, handed over so that it keeps its digits near 0."""
    if x <= 0.0:
        return 0.0
    if y <= 0.0:
        return 1.0
    front = math.exp(math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log(y))
    if x < (a + 1.0) / (a + b + 2.0):
        return front * _beta_fraction(a, b, x) / a
    return 1.0 - front * _beta_fraction(b, a, y) / b


def upper_tail(t: float, df: float) -> float:
    """The chance that Student's t exceeds a value.

    Parameters
    ----------
    t : float
        The value; any number. Beyond 1e150 either way it counts as 1e150.
    df : float
        Degrees of freedom, above 0; need not be whole.

    Returns
    -------
    float
        A chance from 0 to 1.

    Raises
    ------
    OutOfRangeError
        If df is not above 0.

    References
    ----------
    student1908 (keys from sources.py).

    Examples
    --------
    >>> round(2 * upper_tail(2.262157, 9), 6)
    0.05
    """
    if not df > 0:
        raise OutOfRangeError("df", df, "a number above 0")
    t = max(-_FARTHEST, min(t, _FARTHEST))
    whole = df + t * t
    tail = 0.5 * _incomplete_beta(df / 2.0, 0.5, df / whole, t * t / whole)
    return tail if t >= 0 else 1.0 - tail


def quantile(upper: float, df: float) -> float:
    """The value that Student's t exceeds with a given chance.

    Newton's method from 0: the tail is convex there, so every step stays below the answer and none overshoots.

    Parameters
    ----------
    upper : float
        The chance in the upper tail, above 0 and at most 0.5.
    df : float
        Degrees of freedom, at least 1; need not be whole.

    Returns
    -------
    float
        A value of 0 or more.

    Raises
    ------
    OutOfRangeError
        If upper or df lies outside its range.

    References
    ----------
    student1908 (keys from sources.py).

    Examples
    --------
    >>> round(quantile(0.025, 9), 6)
    2.262157
    """
    if not 0 < upper <= 0.5:
        raise OutOfRangeError("upper", upper, "above 0, at most 0.5")
    if not df >= 1:
        raise OutOfRangeError("df", df, "at least 1")
    log_height = math.lgamma((df + 1.0) / 2.0) - math.lgamma(df / 2.0) - 0.5 * math.log(df * math.pi)
    t = 0.0
    for _ in range(_STEPS):
        density = math.exp(log_height - 0.5 * (df + 1.0) * math.log1p(t * t / df))
        step = (upper_tail(t, df) - upper) / density
        t += step
        if step <= 1e-15 * t:
            break
    return t
