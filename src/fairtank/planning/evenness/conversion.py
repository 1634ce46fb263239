"""Numbers of factors at the door: units of time and of rates that keepers write, clock times, and days of the trial."""

import math
import re
from datetime import date

from fairtank.errors import InputError
from fairtank.units import convert, unit_from_text

# Of the factors whose unit is no plain one: what may be written, and how much of the factor's unit it is. A month has 365.25 / 12 days.
_DAYS = {"d": 1.0, "day": 1.0, "days": 1.0, "week": 7.0, "weeks": 7.0, "wk": 7.0, "w": 7.0, "month": 365.25 / 12, "months": 365.25 / 12,
         "mo": 365.25 / 12, "year": 365.25, "years": 365.25, "yr": 365.25, "y": 365.25, "h": 1 / 24, "hour": 1 / 24, "hours": 1 / 24,
         "min": 1 / 1440}
_TIMES = {"months": _DAYS["months"], "weeks": 7.0}
_PER = re.compile(r"\s*(/|per|a|each|every)\s*(week|wk|day|d|month)s?\s*$")
_PER_WEEK = {"week": 1.0, "wk": 1.0, "day": 7.0, "d": 7.0, "month": 12 / (365.25 / 7)}
_CLOCK = re.compile(r"([01]?\d|2[0-4])[:h]([0-5]\d)(?::[0-5]\d)?\s*(am|pm)?", re.IGNORECASE)
_HOUR = re.compile(r"(1[0-2]|0?[1-9])\s*(am|pm)", re.IGNORECASE)
_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?")
_LED_BY_NUMBER = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+))\s*(\S.*)?$")
CLOCK_UNIT, DAY_UNIT = "h (clock)", "day"
# Which ion the mg/L of a factor counts, for tests that count the element.
_IONS = {"nitrate": "mg/L NO3", "phosphate": "mg/L PO4"}


def in_factor_unit(value: float, written: str, key: str, unit: str) -> float:
    """A number in the factor's unit.

    Parameters
    ----------
    value : float
        The number as it was written. [written]
    written : str
        Its unit in the keeper's words; empty: the factor's own.
    key, unit : str
        The factor and its unit.

    Returns
    -------
    float
        [unit]

    Raises
    ------
    InputError
        If the one cannot be turned into the other.

    References
    ----------
    arithmetic, common_practice (keys from sources.py).

    Examples
    --------
    >>> round(in_factor_unit(26, "weeks", "lamp_age", "months"), 2), round(in_factor_unit(75.2, "degF", "temperature", "°C"), 6)
    (5.98, 24.0)
    >>> in_factor_unit(1, "per day", "cleaning", "per week"), in_factor_unit(0.3, "", "water_change", "% a week")
    (7.0, 0.3)
    """
    text = " ".join(written.split())
    if text == "" or text.casefold() == unit.casefold():
        return value
    if unit in _TIMES:
        if text.casefold() not in _DAYS:
            raise InputError("the unit", text, f"{unit}, or another unit of time")
        return value * _DAYS[text.casefold()] / _TIMES[unit]
    if unit in (CLOCK_UNIT, DAY_UNIT):
        if text.casefold() in _DAYS:
            return value * _DAYS[text.casefold()] * (24 if unit == CLOCK_UNIT else 1)
        raise InputError("the unit", text, "hours" if unit == CLOCK_UNIT else "days")
    if unit.endswith("a week") or unit == "per week":
        return _by_week(value, text, key, unit)
    if unit == "pieces":
        return value
    return _plain(value, text, key, unit)


def _by_week(value: float, text: str, key: str, unit: str) -> float:
    """A rate: what stands before `per day` or `a week` is turned by itself."""
    lowered, wanted = text.casefold(), unit.removesuffix("a week").removesuffix("per week").strip()
    found = _PER.search(lowered)
    times = _PER_WEEK[found[2]] if found else 1.0
    own = text[: found.start()].strip() if found else text
    if not wanted or own == "" or own.casefold() in ("times", "x", "wipes", wanted.casefold()):
        return value * times
    return _plain(value, own, key, wanted) * times


def _plain(value: float, text: str, key: str, unit: str) -> float:
    if unit == "mg/L" and text.casefold().startswith("ppm"):  # in water, one ppm is meant as 1 mg/L
        text = "mg/L" + text[3:]
    wanted = unit_from_text(unit)
    from_unit = unit_from_text(text)
    if unit == "mg/L" and key in _IONS and from_unit != "mg/L":
        wanted = _IONS[key]
    elif unit == "mg/L" and from_unit.startswith("mg/L "):
        return value  # the ion that is told beside the factor
    return convert(value, from_unit, wanted)


def clock_h(text: str) -> float | None:
    """A clock time as hours since midnight; None where the text is none.

    >>> clock_h("10:30"), clock_h("7 pm"), clock_h("18"), clock_h("noon")
    (10.5, 19.0, None, None)
    """
    found, short = _CLOCK.fullmatch(text.strip()), _HOUR.fullmatch(text.strip())
    if found is None and short is None:
        return None
    hours = float(found[1]) + float(found[2]) / 60 if found else float(short[1]) if short else 0.0
    half = (found[3] if found else short[2] if short else "") or ""
    if half.lower() == "pm" and hours < 12:
        hours += 12
    return hours - 12 if half.lower() == "am" and hours >= 12 else hours


def day_number(text: str, start: date) -> float | None:
    """A date as a day of the trial; None where the text is none.

    >>> day_number("2026-03-04", date(2026, 3, 1)), day_number("day -7", date(2026, 3, 1)), day_number("soon", date(2026, 3, 1))
    (3.0, -7.0, None)
    """
    clean = text.strip().casefold()
    try:
        return float((date.fromisoformat(clean[:10]) - start).days)
    except ValueError:
        return number_of(clean.removeprefix("day"))


def number_of(text: str) -> float | None:
    """A text that is a finite number and nothing else; None where it is more or none.

    >>> number_of(" 24.5 "), number_of("24 degC")
    (24.5, None)
    """
    number = float(text) if _NUMBER.fullmatch(text.strip()) else math.inf
    return number if math.isfinite(number) else None


def led_by_number(text: str) -> tuple[float, str] | None:
    """The number at the start of a text and what follows it; None where it does not start with one.

    >>> led_by_number("120 cm from the window"), led_by_number("near")
    ((120.0, 'cm from the window'), None)
    """
    found = _LED_BY_NUMBER.match(text)
    return (float(found[1]), (found[2] or "").strip()) if found else None


def value_read(text: str, written: str, key: str, unit: str, start: date) -> float | str:
    """What a cell of factors.csv says, in the factor's unit; a word where it is no number, as in `none`.

    Parameters
    ----------
    text, written : str
        The cells value and unit_of_measure.
    key, unit : str
        The factor and its unit.
    start : date
        Day 0 of the trial.

    Returns
    -------
    float or str
        [unit]

    Raises
    ------
    InputError
        If its unit cannot be turned into the factor's.

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> start = date(2026, 3, 1)
    >>> value_read("10:30", "", "light_on", "h (clock)", start), value_read("2 lamps", "", "lamp_model", "word", start)
    (10.5, '2 lamps')
    >>> value_read("24 degC", "", "temperature", "°C", start), value_read("none", "", "co2", "mg/L", start)
    (24.0, 'none')
    """
    if unit == "word":
        return f"{text} {written}".strip() if written and number_of(text) is not None else text
    special = clock_h(text) if unit == CLOCK_UNIT else day_number(text, start) if unit == DAY_UNIT else None
    if special is not None:
        return special
    number = number_of(text)
    if number is not None:
        return in_factor_unit(number, written, key, unit)
    led = led_by_number(text)
    if led is not None and not written:
        try:
            return in_factor_unit(led[0], led[1], key, unit)
        except InputError:
            return text
    return text
