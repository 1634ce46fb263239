"""A plan as the text of trial.toml, in the order in which people read it."""

import dataclasses
from typing import Any

import tomli_w

from fairtank.records.folder.plan_toml import HEADS, LATER_TEXTS, TRIAL_TEXTS
from fairtank.records.folder.unknown_keys import add_unknown_keys
from fairtank.trial import Plan

_DESIGN = ("kind", "start", "days", "run_in_days", "swap_day", "washout_days", "round_days", "start_window", "drawn_day",
           "shared_water", "drawn", "seed", "blinded", "dose_unit", "tank_litres")


def text_from_plan(plan: Plan, unknown: dict[str, str] | None = None) -> str:
    """trial.toml for a plan; keys left at nothing are left out.

    Parameters
    ----------
    plan : Plan
        The plan to write.
    unknown : dict, optional
        Keys that fairtank does not use, by place, as `TrialFolder.unknown_cells["trial.toml"][0]` holds them.
    """
    document: dict[str, Any] = {
        "trial": {key: getattr(plan, key) for key in (*TRIAL_TEXTS, "expect")}
        | filled({key: getattr(plan, key) for key in (*LATER_TEXTS, "change_factors")}),
        "design": filled({key: getattr(plan, key) for key in _DESIGN}) | _unusual(plan),
        "arm": [filled(dataclasses.asdict(arm)) for arm in plan.arms],
        "unit": [filled(dataclasses.asdict(unit)) for unit in plan.units],
        "measure": [filled(dataclasses.asdict(measure)) for measure in plan.measures],
    }
    if plan.looks.days:
        document["looks"] = dataclasses.asdict(plan.looks)
    add_unknown_keys(document, unknown or {})
    loose = {name: value for name, value in document.items() if name not in HEADS}
    sections = [tomli_w.dumps(loose)] if loose else []
    for name in HEADS:
        value = document.get(name, {})
        if isinstance(value, list):
            sections += [section_text(f"[[{name}]]", table) for table in value]
        elif value:
            sections.append(section_text(f"[{name}]", value))
    return "\n".join(sections)


def _unusual(plan: Plan) -> dict[str, Any]:
    """Choices that are written only where the plan departs from what holds without them."""
    usual = (("compare", "reference"), ("earlier_tanks", True))
    return {key: getattr(plan, key) for key, value in usual if getattr(plan, key) != value}


def section_text(head: str, table: dict[str, Any]) -> str:
    """One table under its head, a line for each key."""
    return f"{head}\n" + "".join(_lines(key, value) for key, value in table.items())


def _lines(key: str, value: Any) -> str:
    """One key: a list of numbers or texts on one line, a table of its own in braces, all else as the TOML library writes it."""
    if isinstance(value, (list, tuple)) and value and all(type(one) in (int, float) for one in value):
        return f"{_key(key)} = [{', '.join(repr(one) for one in value)}]\n"
    if isinstance(value, (list, tuple)) and value and all(isinstance(one, str) for one in value):
        return f"{_key(key)} = {_braces(list(value))}\n"
    if isinstance(value, dict) or (isinstance(value, list) and value and all(isinstance(one, dict) for one in value)):
        return f"{_key(key)} = {_braces(value)}\n"
    return tomli_w.dumps({key: value})


def _braces(value: Any) -> str:
    """A table inside a table, in braces, so that it stays under the head where it stood."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_key(key)} = {_braces(one)}" for key, one in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_braces(one) for one in value) + "]"
    return tomli_w.dumps({"k": value}).removeprefix("k = ").rstrip("\n")


def _key(key: str) -> str:
    """A key, quoted where TOML asks for it."""
    return tomli_w.dumps({key: 0}).removesuffix(" = 0\n")


def filled(table: dict[str, Any]) -> dict[str, Any]:
    """A table without the keys that say nothing."""
    return {key: value for key, value in table.items() if value is not None and value not in ("", ())}


def short(value: float | None) -> float | int | None:
    """A number without an empty decimal place."""
    return int(value) if value is not None and float(value).is_integer() else value
