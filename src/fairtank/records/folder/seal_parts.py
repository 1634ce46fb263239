"""The parts of a plan that a seal holds: all that the judging looks at, and nothing else."""

from collections.abc import Iterable
from dataclasses import MISSING, fields
from datetime import date
from typing import Any

from fairtank.inference.question import title_unit_scale
from fairtank.records.folder.seal_canonical import LARGEST_WHOLE
from fairtank.seal import Parts
from fairtank.trial import Arm, Looks, MeasureChoice, Plan, Unit

DESIGN = ("kind", "start", "days", "run_in_days", "swap_day", "washout_days", "round_days", "start_window", "drawn_day", "shared_water",
          "drawn", "seed", "blinded", "expect", "compare", "dose_unit", "earlier_tanks", "tank_litres", "change_factors")
# Titles and where a tank stands are no part of what is judged.
ARM = ("role", "name", "dose", "changes")
UNIT = ("arm", "first_arm", "tank", "compartment", "block", "pair", "round")
MEASURE = ("role", "summary", "scale", "margin", "window", "threshold")
LOOKS = ("days", "budget")
_NUMBERS = ("margin", "threshold", "dose", "tank_litres", "budget")


def parts_of(plan: Plan) -> Parts:
    """The judged parts of a plan: section, key of the arm, unit or measure (empty for the others), field and value.

    A measure's scale is the one it is judged on, said in the plan or not, and all sizes are written as numbers with a point.
    """
    measures = {one.key: {**_taken(one, MEASURE), "scale": title_unit_scale(one)[2]} for one in plan.measures}
    parts = {"design": {"": _taken(plan, DESIGN)}, "arm": {arm.key: _taken(arm, ARM) for arm in plan.arms},
             "unit": {unit.key: _taken(unit, UNIT) for unit in plan.units}, "measure": measures, "looks": {"": _taken(plan.looks, LOOKS)}}
    return {section: {key: dict(values) for key, values in tables.items()} for section, tables in parts.items()}


def _taken(noun: Any, names: Iterable[str]) -> dict[str, Any]:
    return {name: _plain(getattr(noun, name), is_size=name in _NUMBERS) for name in names}


def _plain(value: Any, *, is_size: bool) -> Any:
    """A value as JSON gives it back: lists for tuples, dates as ISO 8601, sizes as floats."""
    if isinstance(value, (tuple, list)):
        return [_plain(one, is_size=is_size) for one in value]
    if isinstance(value, date):
        return value.isoformat()
    return float(value) if is_size and value is not None else plain(value)


def plain(value: Any) -> Any:
    """A field's value with whole numbers too large for canonical JSON as text, however the seal that holds it wrote them."""
    return str(value) if type(value) is int and abs(value) > LARGEST_WHOLE else value


def default_of(section: str, name: str) -> Any:
    """What a field that a seal does not hold yet was at that time: its default, as it was left out."""
    noun = {"design": Plan, "arm": Arm, "unit": Unit, "measure": MeasureChoice, "looks": Looks}[section]
    given = next((one.default for one in fields(noun) if one.name == name), MISSING)
    return None if given is MISSING else _plain(given, is_size=name in _NUMBERS)
