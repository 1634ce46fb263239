"""What is known of people as the instrument of a measure, as carried.json holds it: written with every digit, and read strictly."""

import math
from collections.abc import Mapping
from dataclasses import asdict, fields
from types import UnionType
from typing import Any, get_args, get_origin, get_type_hints

from fairtank.finding import Eyes, RankedUnit, SelfAgreed

_KINDS, _USES = ("scores", "choices"), ("use", "raters differ", "display only", "not known")
_NOUNS = (Eyes, SelfAgreed, RankedUnit)


def document_from_eyes(eyes: Eyes) -> dict[str, Any]:
    """The people behind one measure as plain values."""
    return asdict(eyes)


def eyes_from_document(document: object) -> Eyes:
    """The same read back; ValueError where it is not as a kit writes it."""
    eyes = _noun(Eyes, document)
    if not isinstance(eyes, Eyes) or eyes.kind not in _KINDS or eyes.use not in _USES:
        raise ValueError("not one of the ways in which people look")
    return eyes


def _noun(kind: type, document: object) -> Any:
    hints = get_type_hints(kind)
    if not isinstance(document, Mapping) or set(document) != {field.name for field in fields(kind)}:
        raise ValueError("a part of it is missing, or is one more")
    return kind(**{name: _value(hints[name], value) for name, value in document.items()})


def _value(hint: Any, value: object) -> Any:
    """A value that is of the kind that its field holds."""
    if isinstance(hint, UnionType):
        return None if value is None else _value(next(one for one in get_args(hint) if one is not type(None)), value)
    if get_origin(hint) is tuple and isinstance(value, list):
        return tuple(_value(get_args(hint)[0], one) for one in value)
    if hint in _NOUNS:
        return _noun(hint, value)
    if hint is float and type(value) in (int, float) and math.isfinite(value):  # type: ignore[arg-type]  # type() in a tuple narrows nothing
        return value
    if hint in (str, int, bool) and type(value) is hint:
        return value
    raise ValueError("a value of another kind")
