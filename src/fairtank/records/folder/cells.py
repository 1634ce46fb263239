"""What one cell of a table may hold: how it is read, what is accepted, and how it is written so that it reads back the same."""

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, time
from typing import Any

from fairtank.records.folder.paths import INSIDE, check_path
from fairtank.records.folder.problems import Refusal, listed, shown

Polygon = tuple[tuple[float, float], ...]
LONGEST_KEY = 80
LONGEST_NAME = 40
LONGEST_TEXT = 4000
LONGEST_CODE = 8
_NUMBER = re.compile(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]{1,3})?")
_DECIMAL_COMMA = re.compile(r"[+-]?[0-9]*,[0-9]+")
_TIME = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}([T ][0-9]{2}:[0-9]{2}(:[0-9]{2}([.][0-9]{1,6})?)?(Z|[+-][0-9]{2}:?[0-9]{2})?)?", re.ASCII)


@dataclass(frozen=True)
class Cell:
    """One kind of cell. read turns stripped, non-empty text into a value or raises Refusal; write turns the value back into text.

    form and limits say the same to other programs: the type and the constraints that a Table Schema gives a field of this kind.
    """

    read: Callable[[str], Any]
    accepted: str
    write: Callable[[Any], str] = str
    form: str = "string"
    limits: tuple[tuple[str, Any], ...] = ()


def number(low: float | None = None, high: float | None = None, *, above: float | None = None) -> Cell:
    """A finite number with a decimal point, within limits: low and high may be reached, `above` may not."""
    accepted = f"a number{_limits(low, high, above)}"

    def read(text: str) -> float:
        return float_within(text, low, high, above, accepted)

    limits = tuple((name, limit) for name, limit in (("minimum", low), ("maximum", high), ("exclusiveMinimum", above)) if limit is not None)
    return Cell(read, accepted, number_text, "number", limits)


def whole(low: int, high: int, accepted: str = "") -> Cell:
    """A whole number from low to high; `3.0` counts as 3. accepted says it in other words where the limits are beside the point."""
    accepted = accepted or f"a whole number from {low} to {high}"

    def read(text: str) -> int:
        value = float_within(text, low, high, None, accepted)
        if value != int(value):
            raise Refusal(f"{shown(text)} is not a whole number", accepted)
        return int(value)

    return Cell(read, accepted, form="integer", limits=(("minimum", low), ("maximum", high)))


def float_within(text: str, low: float | None, high: float | None, above: float | None, accepted: str) -> float:
    """Text as a finite number within limits; anything else is refused by name."""
    if not _NUMBER.fullmatch(text):
        if _DECIMAL_COMMA.fullmatch(text):
            raise Refusal(f"{shown(text)} has a decimal comma", f"{accepted}, written with a decimal point ({text.replace(',', '.')})")
        raise Refusal(f"{shown(text)} is not a number", accepted)
    value = float(text)
    if not math.isfinite(value) or (low is not None and value < low) or (high is not None and value > high) \
            or (above is not None and value <= above):
        raise Refusal(f"{shown(text)} is out of range", accepted)
    return value


def number_text(value: float) -> str:
    """The shortest text that reads back as the same number."""
    value = float(value)
    return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)


def choice(*options: str) -> Cell:
    """One of a few words."""
    accepted = listed(options)

    def read(text: str) -> str:
        if text not in options:
            raise Refusal(f"{shown(text)} is none of the words known here", accepted)
        return text

    return Cell(read, accepted, limits=(("enum", options),))


def _read_time(text: str) -> datetime:
    """A time of the keeper's own clock: an offset from UTC is understood and set aside."""
    if not _TIME.fullmatch(text):
        raise Refusal(f"{shown(text)} is not a date or time", _TIME_ACCEPTED)
    try:
        return datetime.fromisoformat(text).replace(tzinfo=None)
    except ValueError:
        raise Refusal(f"{shown(text)} is no day or hour of the calendar", _TIME_ACCEPTED) from None


def _read_time_until(text: str) -> datetime:
    """As a time; a bare date means until the end of that day."""
    moment = _read_time(text)
    return datetime.combine(moment, time(23, 59)) if len(text) == 10 else moment


def _read_yes_no(text: str) -> bool:
    word = text.casefold()
    if word in ("true", "yes", "1"):
        return True
    if word in ("false", "no", "0"):
        return False
    raise Refusal(f"{shown(text)} is neither true nor false", "true or false")


def _read_key(text: str) -> str:
    return key_checked(text)


def key_checked(text: str) -> str:
    """A key that can stand in lists and file names: short, printable, without semicolon or star, no blanks at its ends."""
    if len(text) > LONGEST_KEY or not text.isprintable() or ";" in text or "*" in text or text != text.strip() or not text:
        raise Refusal(f"{shown(text) if text else 'an empty text'} cannot be used as a key", KEY_ACCEPTED)
    return text


def name_checked(text: str) -> str:
    """The key of a unit or an arm: as any key, and short and plain enough to become part of a file's name."""
    if len(text) > LONGEST_NAME or any(mark in text for mark in ("/", "\\", "..")) or text == ".":
        raise Refusal(f"{shown(text)} cannot be used as a key", NAME_ACCEPTED)
    try:
        return key_checked(text)
    except Refusal as refusal:
        raise Refusal(refusal.read, NAME_ACCEPTED) from refusal


def _read_code(text: str) -> str:
    """The code in print on a card: short, so that it fits, of letters and digits only."""
    if len(text) > LONGEST_CODE or not text.isalnum():
        raise Refusal(f"{shown(text)} does not fit on a card", CODE_ACCEPTED)
    return text


def _read_text(text: str) -> str:
    if len(text) > LONGEST_TEXT:
        raise Refusal(f"a text of {len(text)} characters is too long", f"a text of at most {LONGEST_TEXT} characters")
    return text


def _read_polygon(text: str) -> Polygon:
    """`x y; x y; ...` as points; at least three, enclosing an area."""
    points = []
    for part in text.strip("; ").split(";"):
        words = part.split()
        if len(words) != 2:
            raise Refusal(f"{shown(part.strip()) if part.strip() else 'an empty part'} is not a point", _POLYGON_ACCEPTED)
        x, y = (float_within(word, -1e4, 1e4, None, _POLYGON_ACCEPTED) for word in words)
        points.append((x, y))
    if len(points) < 3:
        raise Refusal(f"{len(points)} points enclose nothing", _POLYGON_ACCEPTED)
    doubled_area = sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(points, points[1:] + points[:1], strict=True))
    if abs(doubled_area) < 1e-6:
        raise Refusal(f"the points {shown(text)} enclose no area", _POLYGON_ACCEPTED)
    return tuple(points)


def _write_polygon(polygon: Polygon) -> str:
    return "; ".join(f"{number_text(x)} {number_text(y)}" for x, y in polygon)


def _limits(low: float | None, high: float | None, above: float | None) -> str:
    if above is not None:
        return f" above {number_text(above)}"
    if low is not None and high is not None:
        return f" from {number_text(low)} to {number_text(high)}"
    if low is not None:
        return f" of {number_text(low)} or more"
    return ""


KEY_ACCEPTED = f"1 to {LONGEST_KEY} printable characters without ; or *"
NAME_ACCEPTED = f"1 to {LONGEST_NAME} printable characters without / \\ .. ; or *"
_TIME_ACCEPTED = "an ISO 8601 time such as 2026-03-01T18:30, or a date such as 2026-03-01"
_POLYGON_ACCEPTED = "at least three points in cm as x y; x y; x y"

TIME = Cell(_read_time, _TIME_ACCEPTED, datetime.isoformat, "datetime")
TIME_UNTIL = Cell(_read_time_until, _TIME_ACCEPTED, datetime.isoformat, "datetime")
YES_NO = Cell(_read_yes_no, "true or false", lambda value: "true" if value else "false", "boolean")
KEY = Cell(_read_key, KEY_ACCEPTED, limits=(("maxLength", LONGEST_KEY),))
TEXT = Cell(_read_text, f"a text of at most {LONGEST_TEXT} characters", limits=(("maxLength", LONGEST_TEXT),))
POLYGON = Cell(_read_polygon, _POLYGON_ACCEPTED, _write_polygon)
PATH = Cell(check_path, INSIDE)
UNIT_LIST = Cell(_read_text, "units of trial.toml parted by ;, or * for all", ";".join)
CODE_ACCEPTED = f"one to {LONGEST_CODE} letters or digits"
CODE = Cell(_read_code, CODE_ACCEPTED, limits=(("maxLength", LONGEST_CODE),))
