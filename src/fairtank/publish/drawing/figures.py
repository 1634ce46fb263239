"""Numbers as the renderer writes them: as coordinates, rounded in paths, and as the labels of an axis."""

import math
import re
from collections.abc import Callable
from decimal import Decimal

from fairtank.publish.drawing.known import UnknownError


def coordinate(value: float) -> str:
    """A number as it stands in the drawing.

    >>> coordinate(650.0), coordinate(26.27742285957259), coordinate(0.00001)
    ('650', '26.27742285957259', '0.00001')
    """
    text = repr(value)
    if text.endswith(".0"):
        return text[:-2] if text != "-0.0" else "0"
    if "e" not in text:
        return text
    return format(Decimal(text), "f") if abs(value) >= 1e-6 else text.replace("e-0", "e-")


def in_path(value: float) -> str:
    """A number in a path: to three places.

    >>> in_path(3.31662479), in_path(-2.0)
    ('3.317', '-2')
    """
    return coordinate(math.floor(value * 1000 + 0.5) / 1000)


def whole(value: float) -> float:
    """The nearest whole number; halves go up."""
    return math.floor(value + 0.5)


def label_of(form: str) -> Callable[[float], str]:
    """How an axis writes its numbers: `d`, `.2f` and `.6~g` are known, with a minus sign that is one.

    >>> label_of(".1f")(-0.25), label_of(".6~g")(2.50), label_of("d")(7.0)
    ('−0.3', '2.5', '7')
    """
    if form == "d":
        return lambda value: _signed(f"{whole(value):.0f}")
    fixed, general = re.fullmatch(r"\.(\d+)f", form), re.fullmatch(r"\.(\d+)~g", form)
    if fixed:
        return lambda value: _signed(_fixed(value, int(fixed[1])))
    if general:
        return lambda value: _signed(_general(value, int(general[1])))
    raise UnknownError


def _fixed(value: float, places: int) -> str:
    """As many places; a tie of the number as it is stored goes away from zero."""
    exact = Decimal(value)
    step = Decimal(1).scaleb(-places)
    return format(exact.quantize(step, rounding="ROUND_HALF_UP"), "f")


def _general(value: float, digits: int) -> str:
    """So many significant digits without needless zeros; very large and very small numbers are not known here."""
    if value != 0 and not 1e-6 <= abs(value) < 10.0 ** digits:
        raise UnknownError
    if value == 0:
        return "0"
    places = max(digits - 1 - math.floor(math.log10(abs(value))), 0)
    text = _fixed(value, places)
    return text.rstrip("0").rstrip(".") if "." in text else text


def _signed(text: str) -> str:
    """With a true minus sign; a zero has none."""
    if not text.startswith("-"):
        return text
    return text[1:] if not text.strip("-0.") else "−" + text[1:]
