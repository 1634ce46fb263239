"""Dates and times as people and loggers write them; what can be read in two ways is asked for and never guessed."""

import re
from datetime import datetime, time

from fairtank.records.folder.cells import TIME
from fairtank.records.folder.problems import Refusal, shown

DAY_FIRST, MONTH_FIRST, ASK = "day_first", "month_first", ""
DATE_ORDERS = (ASK, DAY_FIRST, MONTH_FIRST)
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
MONTH_NAMES = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December")
_NUMBERS = re.compile(r"([0-9]{1,4})([-/.])([0-9]{1,2})\2([0-9]{1,4})(?:[T,\s]+(.+))?", re.ASCII)
_DAY_NAMED = re.compile(r"([0-9]{1,2})[.\s-]+([A-Za-z]{3,9})\.?,?[\s-]+([0-9]{4}|[0-9]{2})(?:[T,\s]+(.+))?", re.ASCII)
_MONTH_NAMED = re.compile(r"([A-Za-z]{3,9})\.?[\s-]+([0-9]{1,2}),?[\s-]+([0-9]{4})(?:[T,\s]+(.+))?", re.ASCII)
_CLOCK = re.compile(r"([0-9]{1,2})[:.h]([0-9]{2})(?:[:.]([0-9]{2})(?:[.,][0-9]{1,6})?)?\s*(?:([AaPp])\.?\s?[Mm]\.?)?"
                    r"(?:\s*(?:Z|[+-][0-9]{2}:?[0-9]{2}))?", re.ASCII)
_COUNTED = re.compile(r"[0-9]{5}([.,][0-9]+)?|[0-9]{10}([0-9]{3})?", re.ASCII)
_LONGEST = 60
TIME_ACCEPTED = "a date with or without a time, such as 2026-03-01T18:30, 2026-03-01 18:30 or 1 Mar 2026"


def moment_of(text: str, order: str) -> datetime:
    """A date or time as written, on the keeper's own clock; a date alone means its first minute.

    >>> moment_of("2026-03-01 18:30", ""), moment_of("3/4/2026 6:05 pm", "day_first")
    (datetime.datetime(2026, 3, 1, 18, 30), datetime.datetime(2026, 4, 3, 18, 5))
    """
    if text[4:5] == "-" == text[7:8]:
        try:
            return TIME.read(text)
        except Refusal:
            pass  # such as `2026-03-01 6:30`
    return _otherwise(text, order)


def clock_of(text: str) -> time:
    """A time of day: `18:30`, `6:30 pm`, `18.30.05`."""
    found = _CLOCK.fullmatch(text.strip())
    if found is None:
        raise Refusal(f"{shown(text)} is no time of day", "a time of day such as 18:30 or 6:30 pm")
    hour, minute, second, half = int(found[1]), int(found[2]), int(found[3] or 0), (found[4] or "").lower()
    if half:
        if not 1 <= hour <= 12:
            raise Refusal(f"{shown(text)} is no time of day", "an hour from 1 to 12 before am or pm")
        hour = hour % 12 + (12 if half == "p" else 0)
    try:
        return time(hour, minute, second)
    except ValueError:
        raise Refusal(f"{shown(text)} is no time of day", "a time from 00:00 to 23:59") from None


def order_seen(text: str) -> str | None:
    """What one date tells about the order of all: day first, month first, ASK where it could be either, None where it tells nothing."""
    found = _NUMBERS.fullmatch(text) if len(text) <= _LONGEST else None
    if found is None or len(found[1]) > 2:
        return None
    first, second = int(found[1]), int(found[3])
    if first == second:
        return None
    if first > 12 >= second:
        return DAY_FIRST
    if second > 12 >= first:
        return MONTH_FIRST
    if first > 12:
        return None
    return DAY_FIRST if found[2] == "." else ASK


def is_moment(text: str) -> bool:
    """Whether a text can be a date with or without a time, in one order or the other."""
    return _is_read(moment_of, text, DAY_FIRST) or _is_read(moment_of, text, MONTH_FIRST)


def is_clock(text: str) -> bool:
    """Whether a text is a time of day alone; a plain number such as 18.30 is not taken for one."""
    return ":" in text and _is_read(clock_of, text)


def _is_read(read, *given: str) -> bool:  # type: ignore[no-untyped-def]
    try:
        read(*given)
    except Refusal:
        return False
    return True


def _otherwise(text: str, order: str) -> datetime:
    if len(text) > _LONGEST:
        raise Refusal(f"{shown(text)} is not a date or time", TIME_ACCEPTED)
    if found := _NUMBERS.fullmatch(text):
        year, month, day = _parted(text, found, order)
        return _moment(text, year, month, day, found[5])
    if (found := _DAY_NAMED.fullmatch(text)) and (month := _month(found[2])):
        return _moment(text, _year(found[3]), month, int(found[1]), found[4])
    if (found := _MONTH_NAMED.fullmatch(text)) and (month := _month(found[1])):
        return _moment(text, int(found[3]), month, int(found[2]), found[4])
    if _COUNTED.fullmatch(text):
        raise Refusal(f"{shown(text)} is a count of days or seconds, as programs keep times inside",
                      f"{TIME_ACCEPTED} (format the column as date and time, and save again)")
    raise Refusal(f"{shown(text)} is not a date or time", TIME_ACCEPTED)


def _parted(text: str, found: re.Match[str], order: str) -> tuple[int, int, int]:
    """Year, month and day of a date in numbers."""
    first, second, third = int(found[1]), int(found[3]), int(found[4])
    if len(found[1]) == 4:
        return first, second, third
    if len(found[1]) == 3 or len(found[4]) not in (2, 4):
        raise Refusal(f"{shown(text)} is not a date or time", TIME_ACCEPTED)
    seen = order_seen(text)
    if first > 12 and second > 12:
        raise Refusal(f"{shown(text)} is no day of the calendar", TIME_ACCEPTED)
    used = order or seen or (DAY_FIRST if seen is None else ASK)
    if first != second and seen in (DAY_FIRST, MONTH_FIRST) and max(first, second) > 12 and order and order != seen:
        raise Refusal(f"{shown(text)} does not fit the other dates, which have the {'day' if order == DAY_FIRST else 'month'} first",
                      "dates of one column all in one order")
    if used == ASK:
        raise Refusal(f"{shown(text)} can be {first} {MONTH_NAMES[second - 1]} or {second} {MONTH_NAMES[first - 1]}",
                      "dates whose order is known: say whether the day or the month comes first")
    day, month = (first, second) if used == DAY_FIRST else (second, first)
    return _year(found[4]), month, day


def _moment(text: str, year: int, month: int, day: int, clock: str | None) -> datetime:
    at = clock_of(clock) if clock else time()
    try:
        return datetime(year, month, day, at.hour, at.minute, at.second)
    except ValueError:
        raise Refusal(f"{shown(text)} is no day or hour of the calendar", TIME_ACCEPTED) from None


def _year(text: str) -> int:
    return int(text) + (2000 if len(text) == 2 else 0)


def _month(word: str) -> int:
    """A month by its English name or the first three letters of it; 0 where it is none."""
    short = word[:3].lower()
    is_name = short in MONTHS and MONTH_NAMES[MONTHS.index(short)].lower().startswith(word.lower().removesuffix("t") or "-")
    return MONTHS.index(short) + 1 if is_name else 0
