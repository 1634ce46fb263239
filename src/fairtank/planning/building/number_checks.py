"""Whether everything in a setup is of the kind that its field is for: numbers a build can have, whole numbers, texts, lists."""

import math
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from functools import cache
from numbers import Integral, Real
from types import UnionType
from typing import Any, get_args, get_origin, get_type_hints

from fairtank.build import Setup
from fairtank.planning.building.problems import Problems

MOST = 1e9
WORDS = {
    "tanks": "tank", "materials": "material", "layers": "layer", "rocks": "rock", "woods": "wood", "plantings": "planting",
    "devices": "device", "light": "light plan", "water": "water plan", "doses": "dose", "money": "money",
}
_EXPECTED = {float: "a number", int: "a whole number", str: "a text", bool: "yes or no"}


def check_numbers(setup: Setup, problems: Problems) -> None:
    """Note each value that is not of its field's kind, and each number that is endless or larger than anything weighed or paid."""
    for sentence in _faults(Setup, setup, ""):
        problems.add(sentence)


def _faults(declared: Any, value: Any, name: str) -> Iterator[str]:
    """What is wrong with a value, with words for where it stands, such as `glass_mm of tank 2`; declared is the type of its field."""
    if isinstance(declared, UnionType):
        if value is not None:
            yield from _faults(get_args(declared)[0], value, name)
    elif is_dataclass(declared):
        yield from _faults_of_line(declared, value, name)
    elif get_origin(declared) is tuple:
        yield from _faults_of_list(get_args(declared), value, name)
    elif not _fits(declared, value):
        yield f"{name} is {_shown(value)}; {_EXPECTED[declared]} is needed."
    elif isinstance(value, Real) and not (math.isfinite(value) and abs(float(value)) <= MOST):
        yield f"{name} is {value:g}, which is no number to build with."


def _faults_of_line(declared: Any, value: Any, name: str) -> Iterator[str]:
    if not isinstance(value, declared):
        yield f"{name or 'The setup'} is {_shown(value)}; a whole description is needed."
        return
    kinds = _kinds(declared)
    for field in fields(value):
        inner = WORDS.get(field.name, field.name)
        yield from _faults(kinds[field.name], getattr(value, field.name), f"{inner} of {name}" if name else inner)


def _faults_of_list(inside: tuple[Any, ...], value: Any, name: str) -> Iterator[str]:
    """Faults of a list whose members are of one kind, or of a pair of two kinds."""
    is_pair = inside[-1] is not Ellipsis
    if not isinstance(value, (tuple, list)) or (is_pair and len(value) != len(inside)):
        yield f"{name} is {_shown(value)}; {'a pair' if is_pair else 'a list'} is needed."
        return
    for number, part in enumerate(value, start=1):
        kind = inside[number - 1] if is_pair else inside[0]
        yield from _faults(kind, part, f"{name} {number}" if is_dataclass(kind) else name)


def _fits(declared: type, value: Any) -> bool:
    """Whether a value is of a kind; a truth value is no number here, and a number of the arithmetic library is one."""
    if declared in (float, int):
        return isinstance(value, Real if declared is float else Integral) and not isinstance(value, bool)
    return isinstance(value, declared)


def _shown(value: Any) -> str:
    """A value in words; what is neither a text nor a number has none."""
    if value is None:
        return "missing"
    if isinstance(value, str):
        return f"the text “{value}”"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if not isinstance(value, Real):
        return "neither a number nor a text"
    words = f"{float(value):g}"
    return words if isinstance(value, Integral) or not words.lstrip("-").isdigit() else f"{words}.0"  # 1.0 where 1 is needed


@cache
def _kinds(declared: Any) -> dict[str, Any]:
    return get_type_hints(declared)
