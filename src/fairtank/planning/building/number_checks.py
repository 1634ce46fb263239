"""Whether every number of a setup is a number that a build can have."""

import math
from collections.abc import Iterable
from dataclasses import fields, is_dataclass
from typing import Any

from fairtank.build import Setup
from fairtank.planning.building.problems import Problems

MOST = 1e9
WORDS = {
    "tanks": "tank", "materials": "material", "layers": "layer", "rocks": "rock", "woods": "wood", "plantings": "planting",
    "devices": "device", "light": "light plan", "water": "water plan", "doses": "dose", "money": "money",
}


def check_numbers(setup: Setup, problems: Problems) -> None:
    """Note each number that is missing (NaN), endless, or larger than anything that is weighed or paid."""
    for field, value in _numbers(setup, ""):
        problems.need(math.isfinite(value) and abs(value) <= MOST, f"{field} is {value:g}, which is no number to build with.")


def _numbers(value: Any, name: str) -> Iterable[tuple[str, float]]:
    """Every number in a setup with words for where it stands, such as `glass_mm of tank 2`."""
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        yield name, value
    elif isinstance(value, tuple):
        for number, part in enumerate(value, start=1):
            yield from _numbers(part, f"{name} {number}" if is_dataclass(part) else name)
    elif is_dataclass(value):
        for field in fields(value):
            inner = WORDS.get(field.name, field.name)
            yield from _numbers(getattr(value, field.name), f"{inner} of {name}" if name else inner)
