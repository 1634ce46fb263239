"""A recurrence rule of RFC 5545, checked part by part and brought to one form: days only, because a chore has one time of day."""

import re
from collections.abc import Callable
from datetime import date, timedelta

from fairtank.errors import InputError

WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
FREQUENCIES = ("DAILY", "WEEKLY", "MONTHLY", "YEARLY")
# In the order in which a rule is written.
PARTS = ("FREQ", "INTERVAL", "COUNT", "UNTIL", "BYMONTH", "BYWEEKNO", "BYYEARDAY", "BYMONTHDAY", "BYDAY", "BYSETPOS", "WKST")
MOST_TIMES = 3650
MOST_APART = 366
_NUMBERED_DAY = re.compile(r"([+-]?[0-9]{1,2})?(MO|TU|WE|TH|FR|SA|SU)")
_UNTIL = re.compile(r"([0-9]{4})([0-9]{2})([0-9]{2})(T[0-9]{6}Z?)?")
_MONTH_DAYS = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
_MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December")
# Which parts go with which frequency (RFC 5545, table in section 3.3.10); BYSETPOS is kept to months and years.
_NOT_WITH = {"DAILY": ("BYWEEKNO", "BYYEARDAY", "BYSETPOS"), "WEEKLY": ("BYWEEKNO", "BYYEARDAY", "BYMONTHDAY", "BYSETPOS"),
             "MONTHLY": ("BYWEEKNO", "BYYEARDAY"), "YEARLY": ()}
_LARGEST = {"BYMONTH": 12, "BYWEEKNO": 53, "BYYEARDAY": 366, "BYMONTHDAY": 31, "BYSETPOS": 366}
RULE_ACCEPTED = 'a rule of RFC 5545 that falls on days, such as "FREQ=WEEKLY;BYDAY=SU,WE"'


def rule_checked(text: str) -> str:
    """A recurrence rule in one form: capitals, parts in a fixed order, without what goes without saying.

    Parameters
    ----------
    text : str
        The value of an RRULE of RFC 5545, with or without its name in front.

    Returns
    -------
    str

    Raises
    ------
    InputError
        If it is no such rule, asks for times within a day, or can never fall on any day.

    References
    ----------
    rfc5545, section 3.3.10 (keys from sources.py).

    Examples
    --------
    >>> rule_checked("RRULE:byday=we,su;freq=weekly;interval=1")
    'FREQ=WEEKLY;BYDAY=WE,SU'
    """
    bare = text.strip().upper().removeprefix("RRULE:")
    refuse = _refusing(text)
    parts: dict[str, str] = {}
    for piece in bare.strip(";").split(";"):
        name, _, value = (word.strip() for word in piece.partition("="))
        if name in ("BYHOUR", "BYMINUTE", "BYSECOND"):
            raise refuse(f"{name} asks for times within a day; a chore has one time, at", RULE_ACCEPTED)
        if name not in PARTS or not value:
            raise refuse(f"{name or 'an empty part'} is not a part of a rule", f"{RULE_ACCEPTED}; parts: {', '.join(PARTS)}")
        if name in parts:
            raise refuse(f"{name} stands there twice", "each part once")
        parts[name] = value
    _check_frequency(parts, refuse)
    read = {name: _READ[name](name, parts[name], refuse) for name in PARTS if name in parts}
    _check_together(read, refuse)
    if read.get("INTERVAL") == "1":
        del read["INTERVAL"]
    return ";".join(f"{name}={value}" for name, value in read.items())


Refuse = Callable[[str, str], InputError]


def _refusing(text: str) -> Refuse:
    shown = " ".join(text.split())
    shown = shown if len(shown) <= 60 else shown[:59] + "…"
    return lambda why, accepted: InputError("every", f'"{shown}" ({why})', accepted)


def _check_frequency(parts: dict[str, str], refuse: Refuse) -> None:
    frequency = parts.get("FREQ", "")
    if frequency not in FREQUENCIES:
        why = "FREQ is missing" if not frequency else f"FREQ={frequency} does not go by days"
        raise refuse(why, f"FREQ = {', '.join(FREQUENCIES)}")
    wrong = [name for name in _NOT_WITH[frequency] if name in parts]
    if wrong:
        raise refuse(f"{wrong[0]} does not go with FREQ={frequency}", "a rule without it")


def _whole(name: str, value: str, refuse: Refuse) -> str:
    most = MOST_APART if name == "INTERVAL" else MOST_TIMES
    if not value.isascii() or not value.isdecimal() or not 1 <= int(value[:9]) <= most:
        raise refuse(f"{name} is {value}", f"a whole number from 1 to {most}")
    return str(int(value))


def _until(name: str, value: str, refuse: Refuse) -> str:
    """The last day. An end at midnight ends before that day's chores; one later in the day counts as the whole day."""
    found = _UNTIL.fullmatch(value)
    try:
        last = date(int(found[1]), int(found[2]), int(found[3])) if found else _no_day()
        is_midnight = found is not None and (found[4] or "").startswith("T000000")
        return (last - timedelta(days=1) if is_midnight else last).strftime("%Y%m%d")
    except ValueError:
        raise refuse(f"{name} is {value}, which is no day of the calendar", "a date such as 20260412") from None


def _no_day() -> date:
    raise ValueError


def _numbers(name: str, value: str, refuse: Refuse) -> str:
    most = _LARGEST[name]
    least = 1 if name == "BYMONTH" else -most
    pieces = value.split(",")
    for piece in pieces:
        if not re.fullmatch(r"[+-]?[0-9]{1,3}", piece, re.ASCII) or int(piece) == 0 or not least <= int(piece) <= most:
            raise refuse(f"{name} holds {piece or 'nothing'}", f"whole numbers from {least} to {most} without 0, parted by commas")
    return ",".join(dict.fromkeys(str(int(piece)) for piece in pieces))


def _days(name: str, value: str, refuse: Refuse) -> str:
    pieces = value.split(",")
    for piece in pieces:
        found = _NUMBERED_DAY.fullmatch(piece)
        if not found or (found[1] and not 1 <= abs(int(found[1])) <= 53):
            raise refuse(f"{name} holds {piece or 'nothing'}", f"days of the week: {', '.join(WEEKDAYS)}")
    return ",".join(dict.fromkeys(pieces))


def _week_start(name: str, value: str, refuse: Refuse) -> str:
    if value not in WEEKDAYS:
        raise refuse(f"{name} is {value}", ", ".join(WEEKDAYS))
    return value


_READ: dict[str, Callable[[str, str, Refuse], str]] = {
    "FREQ": lambda name, value, refuse: value, "INTERVAL": _whole, "COUNT": _whole, "UNTIL": _until, "BYMONTH": _numbers,
    "BYWEEKNO": _numbers, "BYYEARDAY": _numbers, "BYMONTHDAY": _numbers, "BYDAY": _days, "BYSETPOS": _numbers, "WKST": _week_start,
}


def _check_together(read: dict[str, str], refuse: Refuse) -> None:
    """What only several parts together can get wrong; a rule that never falls on any day would be looked for without end."""
    if "COUNT" in read and "UNTIL" in read:
        raise refuse("COUNT and UNTIL stand there both", "one of them")
    days = read.get("BYDAY", "").split(",") if "BYDAY" in read else []
    if any(len(day) > 2 for day in days) and (read["FREQ"] not in ("MONTHLY", "YEARLY") or "BYWEEKNO" in read):
        raise refuse("BYDAY counts days of the week within a month or a year", "days without a number, or FREQ=MONTHLY")
    if any(len(day) > 2 and abs(int(day[:-2])) > 5 for day in days) and (read["FREQ"] == "MONTHLY" or "BYMONTH" in read):
        raise refuse("no month has a weekday more than five times", "numbers from 1 to 5, or from -1 to -5")
    _check_month_days(read, refuse)
    if "BYSETPOS" in read:
        if not {"BYDAY", "BYMONTHDAY", "BYYEARDAY", "BYWEEKNO", "BYMONTH"} & read.keys():
            raise refuse("BYSETPOS needs days to choose from", "BYSETPOS with BYDAY or BYMONTHDAY")
        most = _most_days(read, days)
        if all(abs(int(place)) > most for place in read["BYSETPOS"].split(",")):
            raise refuse(f"BYSETPOS chooses from at most {most} days", f"numbers up to {most}")


def _check_month_days(read: dict[str, str], refuse: Refuse) -> None:
    """31 February is no day of any year."""
    if "BYMONTHDAY" not in read:
        return
    months = [int(month) for month in read["BYMONTH"].split(",")] if "BYMONTH" in read else list(range(1, 13))
    longest = max(_MONTH_DAYS[month - 1] for month in months)
    days = [int(day) for day in read["BYMONTHDAY"].split(",")]
    if all(abs(day) > longest for day in days):
        named = " or ".join(_MONTHS[month - 1] for month in months)
        raise refuse(f"no calendar has {days[0]} {named}", f"a day of the month from 1 to {longest}")


def _most_days(read: dict[str, str], days: list[str]) -> int:
    """The most days that one month or one year can hold by the other parts."""
    if read["FREQ"] == "YEARLY" and "BYMONTHDAY" not in read:
        return 366
    by_days = sum(1 if len(day) > 2 else 5 for day in days) or 31
    return min(by_days, len(read["BYMONTHDAY"].split(","))) if "BYMONTHDAY" in read else by_days
