"""When a chore falls, in plain words, as a recurrence rule of RFC 5545, and the rule as words again."""

import re
from dataclasses import dataclass
from datetime import date

from fairtank.errors import InputError
from fairtank.planning.schedule.rule_parts import MOST_APART, MOST_TIMES, WEEKDAYS, rule_checked

ONCE = "FREQ=DAILY;COUNT=1"
DAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
EVERY_ACCEPTED = ('"every day", "every 3 days", "weekly", "every 2 weeks on Sunday", "on Sunday and Wednesday", "once on day 10", '
                  '"every month", or a rule such as "FREQ=WEEKLY;BYDAY=SU"')
_COUNTS = {"other": 2, "second": 2, "third": 3, "fourth": 4, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
           "eight": 8, "nine": 9, "ten": 10}
_SPANS = {"day": "DAILY", "week": "WEEKLY", "month": "MONTHLY"}
_ALONE = {"daily": "every day", "weekly": "every week", "fortnightly": "every 2 weeks", "monthly": "every month", "once a day": "every day",
          "once a week": "every week", "once a month": "every month", "each day": "every day", "each week": "every week",
          "on weekdays": "on monday, tuesday, wednesday, thursday and friday", "at weekends": "on saturday and sunday"}
_TIMES = re.compile(r"(.*?),? (?:for )?(-?[0-9]+|[a-z]+) times")
_EVERY = re.compile(r"every (?:(-?[0-9.]+|[a-z]+) )?(day|week|month)s?(?: (?:on )?(.+))?")
_ONCE = re.compile(r"once(?: on (?:day (-?[0-9]+)|(.+)))?")


@dataclass(frozen=True)
class Recurrence:
    """When a chore falls: rule counted from the first day. day: of the trial; on: of the calendar, where the words name one."""

    rule: str
    day: int | None = None
    on: date | None = None


def recurrence_of(words: str) -> Recurrence:
    """When a chore falls, from plain words or from a rule.

    Parameters
    ----------
    words : str
        Such as `every 3 days`, `on Sunday and Wednesday`, `once on day 10`, or `FREQ=MONTHLY;BYDAY=1FR`.

    Returns
    -------
    Recurrence

    Raises
    ------
    InputError
        If the words mean nothing here, or name something that never comes.

    References
    ----------
    rfc5545, section 3.3.10 (keys from sources.py).

    Examples
    --------
    >>> recurrence_of("every other day").rule, recurrence_of("on Sunday and Wednesday").rule
    ('FREQ=DAILY;INTERVAL=2', 'FREQ=WEEKLY;BYDAY=WE,SU')
    >>> recurrence_of("once on day 10")
    Recurrence(rule='FREQ=DAILY;COUNT=1', day=10, on=None)
    """
    if "=" in words:
        return Recurrence(rule_checked(words))
    plain = " ".join(words.casefold().replace("every other week on", "every 2 weeks on").split()).rstrip(".")
    times = _TIMES.fullmatch(plain)
    if times and not plain.startswith("once"):
        count = _count(times[2], words, MOST_TIMES)
        return Recurrence(rule_checked(f"{_rule(_ALONE.get(times[1], times[1]), words)};COUNT={count}"))
    once = _ONCE.fullmatch(_ALONE.get(plain, plain))
    if once:
        return Recurrence(ONCE, None if once[1] is None else int(once[1]), None if once[2] is None else _date(once[2], words))
    return Recurrence(_rule(_ALONE.get(plain, plain), words))


def words_of(rule: str) -> str:
    """A rule in plain words that read back as the same rule; the rule itself where there are none.

    Parameters
    ----------
    rule : str
        As `recurrence_of` gives it.

    Returns
    -------
    str

    References
    ----------
    rfc5545, section 3.3.10 (keys from sources.py).

    Examples
    --------
    >>> words_of("FREQ=WEEKLY;INTERVAL=2;BYDAY=SU"), words_of("FREQ=DAILY"), words_of("FREQ=MONTHLY;BYDAY=1FR")
    ('every 2 weeks on Sunday', 'every day', 'FREQ=MONTHLY;BYDAY=1FR')
    """
    parts = dict(piece.split("=", 1) for piece in rule.split(";"))
    if rule == ONCE:
        return "once"
    span = next((word for word, frequency in _SPANS.items() if frequency == parts.get("FREQ")), "")
    every, days = parts.get("INTERVAL", "1"), parts.get("BYDAY", "")
    words = f"every {span}" if every == "1" else f"every {every} {span}s"
    if days and all(day in WEEKDAYS for day in days.split(",")):
        named = [DAY_NAMES[WEEKDAYS.index(day)] for day in days.split(",")]
        listed = f"{', '.join(named[:-1])} and {named[-1]}" if len(named) > 1 else named[0]
        words = f"on {listed}" if every == "1" else f"{words} on {listed}"
    words += f", {parts['COUNT']} times" if "COUNT" in parts else ""
    try:
        return words if recurrence_of(words) == Recurrence(rule) else rule
    except InputError:
        return rule


def _rule(plain: str, words: str) -> str:
    """The rule of words without a number of times."""
    found = _EVERY.fullmatch(plain)
    if found and (found[1] is None or found[1] in _COUNTS or not found[1].isalpha()):
        every = 1 if found[1] is None else _count(found[1], words, MOST_APART)
        span, days = _SPANS[found[2]], "" if found[3] is None else _weekdays(found[3])
        if found[3] is None or (days and span == "WEEKLY"):
            step = "" if every == 1 else f";INTERVAL={every}"
            return f"FREQ={span}{step}{f';BYDAY={days}' if days else ''}"
    days = _weekdays(re.sub(r"^(weekly on|on|every|each) ", "", plain))
    if not days:
        raise _refusal(words, "these words mean nothing here")
    return f"FREQ=WEEKLY;BYDAY={days}"


def _weekdays(text: str) -> str:
    """`sunday and wednesday`, `Mon, Wed` or `Sundays` as WE,SU in the order of the week; empty where a word is no day of the week."""
    found = []
    for word in re.split(r"[\s,;+&]+|\band\b", text):
        near = [code for code, name in zip(WEEKDAYS, DAY_NAMES, strict=True)
                if word in (name.casefold(), f"{name.casefold()}s", name[:3].casefold(), name[:2].casefold())]
        if word and not near:
            return ""
        found += near
    return ",".join(sorted(set(found), key=WEEKDAYS.index))


def _count(text: str, words: str, most: int) -> int:
    if text in _COUNTS:
        return _COUNTS[text]
    if not re.fullmatch(r"-?[0-9]{1,9}", text, re.ASCII) or not 1 <= int(text) <= most:
        raise _refusal(words, f"{text} is not a whole number from 1 to {most}")
    return int(text)


def _date(text: str, words: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise _refusal(words, "a date of the calendar is written like 2026-03-11, and this is none") from None


def _refusal(words: str, why: str) -> InputError:
    shown = " ".join(words.split())
    return InputError("every", f'"{shown if len(shown) <= 60 else shown[:59] + "…"}" ({why})', EVERY_ACCEPTED)
