"""Findings as plain values that JSON can hold, and back: a text is checked against what was judged, without judging again."""

import types
import typing
from dataclasses import asdict, fields, is_dataclass
from typing import Any

from fairtank.finding import Finding
from fairtank.trial import Series


def findings_plain(findings: tuple[Finding, ...]) -> list[dict[str, Any]]:
    """The findings as lists, mappings, texts and numbers."""
    return [asdict(finding) for finding in findings]


def findings_from(told: list[dict[str, Any]]) -> tuple[Finding, ...]:
    """The findings that `findings_plain` took apart; fields that are not known any more are passed over."""
    return tuple(_made(Finding, one) for one in told)


def series_plain(series: tuple[Series, ...]) -> list[list[Any]]:
    """What the check needs of the record: unit, measure, days and values of each series."""
    return [[one.unit, one.measure, list(one.days), list(one.values)] for one in series]


def series_from(told: list[list[Any]]) -> tuple[Series, ...]:
    """The series that `series_plain` took apart; a value that was no number is left out."""
    kept = []
    for unit, measure, days, values in told:
        pairs = [(day, value) for day, value in zip(days, values, strict=True) if value is not None]
        kept.append(Series(unit, measure, tuple(day for day, _ in pairs), tuple(value for _, value in pairs)))
    return tuple(kept)


def _made(kind: Any, value: Any) -> Any:
    """A value of a declared kind out of plain ones."""
    if value is None:
        return None
    if isinstance(kind, types.UnionType):
        kind = next(one for one in typing.get_args(kind) if one is not types.NoneType)
    if is_dataclass(kind) and isinstance(kind, type):
        hints = typing.get_type_hints(kind)
        return kind(**{field.name: _made(hints[field.name], value[field.name]) for field in fields(kind) if field.name in value})
    if typing.get_origin(kind) is tuple:
        inner = typing.get_args(kind)
        inner = (inner[0],) * len(value) if inner[1:] == (...,) else inner
        return tuple(_made(one, each) for one, each in zip(inner, value, strict=True))
    return value
