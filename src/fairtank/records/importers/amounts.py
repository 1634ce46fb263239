"""Values as people and loggers write them: decimal commas, thousands, marks for below detection, and a unit behind the number."""

import re
from dataclasses import dataclass
from functools import lru_cache

from fairtank.records.folder.problems import Refusal, shown
from fairtank.records.folder.tables import READINGS

POINT, COMMA, ASK = "point", "comma", ""
DECIMALS = (ASK, POINT, COMMA)
VALUE = next(column.cell for column in READINGS.columns if column.name == "value")
_PLAIN = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?", re.ASCII)
_WRITTEN = re.compile(r"([<>≤≥]=?)?\s*([+-]?(?:[0-9][0-9.,'\u00a0\u202f]*|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,3})?)\s*(.*)",
                      re.ASCII | re.DOTALL)
_POINT_GROUPS = re.compile(r"[+-]?[1-9][0-9]{0,2}(\.[0-9]{3})+", re.ASCII)  # 1.234 or 1.234.567: maybe thousands
_COMMA_GROUPS = re.compile(r"[+-]?[1-9][0-9]{0,2}(,[0-9]{3})+", re.ASCII)
_POINT_THOUSANDS = re.compile(r"[+-]?[0-9]{1,3}(\.[0-9]{3})+,[0-9]+", re.ASCII)  # 1.234,5
_COMMA_THOUSANDS = re.compile(r"[+-]?[0-9]{1,3}(,[0-9]{3})+\.[0-9]+", re.ASCII)
_ONE_COMMA = re.compile(r"[+-]?[0-9]*,[0-9]+(?:[eE][+-]?[0-9]{1,3})?", re.ASCII)
# What is written where a test showed nothing, without blanks and points. Common practice, no source.
NOT_DETECTED = frozenset({"nd", "bdl", "lod", "<lod", "<dl", "<loq", "notdetected", "notdetectable", "nonedetected", "belowdetection",
                          "belowlimit", "nn", "ud"})
MISSING = frozenset({"", "-", "--", "–", "—", "na", "n/a", "nan", "null", "none", "#n/a", "?"})  # nothing was read
_VALUE_ACCEPTED = f"{VALUE.accepted}, or one below detection such as <0.5"
LONGEST = 60
_BLANKS = re.compile(r"[\s.]+")
_LIMIT_ACCEPTED = "the smallest amount that the test can tell, written such as <0.5, or given once for the column"


@dataclass(frozen=True)
class Amount:
    """One cell's value. is_below: it is the limit below which the test tells nothing. unit: what stood behind the number."""

    value: float
    is_below: bool = False
    unit: str = ""


def amount_of(text: str, decimal: str, limit: str = "", *, points_are_decimal: bool = False) -> Amount:
    """A cell's value.

    limit: what a mark such as `n.d.` stands for, empty where it was not said. points_are_decimal: the cell came from a program that keeps
    numbers as numbers, so that a point in it parts no thousands.

    >>> amount_of("7,2", "comma"), amount_of("<0.5 mg/L", "point")
    (Amount(value=7.2, is_below=False, unit=''), Amount(value=0.5, is_below=True, unit='mg/L'))
    """
    if len(text) > LONGEST:
        raise Refusal(f"{shown(text)} is not a number", _VALUE_ACCEPTED)
    return _amount(text, decimal, limit, decimal == COMMA and not points_are_decimal)


@lru_cache(maxsize=8192)  # a logger writes the same few values again and again
def _amount(text: str, decimal: str, limit: str, grouped: bool) -> Amount:
    if _PLAIN.fullmatch(text) and not (grouped and "." in text):
        return Amount(VALUE.read(text))
    if is_not_detected(text):
        if not limit:
            raise Refusal(f"{shown(text)} does not say below which amount", _LIMIT_ACCEPTED)
        return Amount(VALUE.read(pointed(limit, decimal)), True)
    found = _WRITTEN.fullmatch(text.replace("−", "-").strip())
    if found is None or re.match(r"[0-9:/]", found[3]):
        raise Refusal(f"{shown(text)} is not a number", _VALUE_ACCEPTED)
    sign, number, unit = found.groups()
    if sign in (">", ">=", "≥", "≥="):
        raise Refusal(f"{shown(text)} says that the value lies above what the test can tell",
                      "a value: dilute the sample, test again and multiply, or leave the cell empty")
    return Amount(VALUE.read(pointed(number, decimal, grouped)), bool(sign), unit.strip())


def pointed(number: str, decimal: str, grouped: bool = True) -> str:
    """A number as written in the form that the house reads: no thousands, a decimal point."""
    number = re.sub("['\u00a0\u202f]", "", number)
    if _POINT_THOUSANDS.fullmatch(number):
        return number.replace(".", "").replace(",", ".")
    if _COMMA_THOUSANDS.fullmatch(number):
        return number.replace(",", "")
    if _COMMA_GROUPS.fullmatch(number):
        if number.count(",") > 1 or decimal == POINT:
            return number.replace(",", "")
        if decimal != COMMA:
            raise Refusal(f"{shown(number)} can be {number.replace(',', '')} or {number.replace(',', '.')}",
                          "numbers whose comma is known: say whether it parts thousands or decimals")
    if _POINT_GROUPS.fullmatch(number) and (number.count(".") > 1 or (decimal == COMMA and grouped)):
        return number.replace(".", "")
    return number.replace(",", ".") if _ONE_COMMA.fullmatch(number) else number


def is_not_detected(text: str) -> bool:
    """Whether a cell says that a test showed nothing, without saying below which amount."""
    return not text[:1].isdigit() and _BLANKS.sub("", text).casefold() in NOT_DETECTED


def is_missing(text: str) -> bool:
    """Whether a cell says that nothing was read."""
    return not text or (len(text) < 5 and not text[0].isdigit() and text.casefold() in MISSING)


def is_amount(text: str) -> bool:
    """Whether a cell can hold a value, whatever its comma means."""
    try:
        amount_of(text, COMMA, "1", points_are_decimal=True)
    except Refusal:
        return is_above(text)
    return True


def is_above(text: str) -> bool:
    """Whether a cell says that a value lies above what the test can tell."""
    return bool(re.match(r"\s*[>≥]\s*[0-9]", text))


@lru_cache(maxsize=8192)
def decimal_seen(text: str) -> str | None:
    """Which decimal mark one cell shows; ASK where its comma may part thousands too; None where it tells nothing."""
    found = _WRITTEN.match(text[:LONGEST])
    number = found[2] if found else ""
    if _POINT_THOUSANDS.fullmatch(number):
        return COMMA
    if _COMMA_THOUSANDS.fullmatch(number):
        return POINT
    if _COMMA_GROUPS.fullmatch(number):
        return POINT if number.count(",") > 1 else ASK
    if _POINT_GROUPS.fullmatch(number):
        return COMMA if number.count(".") > 1 else None
    if "," in number:
        return COMMA if _ONE_COMMA.fullmatch(number) else None
    return POINT if "." in number else None
