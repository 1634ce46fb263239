"""`agrees`: a computed number rounds to what somebody printed."""

from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal


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
