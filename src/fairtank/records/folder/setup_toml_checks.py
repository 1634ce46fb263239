"""What the tables of setup.toml show only together: keys that stand twice, materials that are used, units in their tanks."""

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any

from fairtank.build import Dose, Material, Scope, Tank
from fairtank.records.folder.problems import Problems, listed, shown
from fairtank.records.folder.setup_toml_section import SETUP_FILE, SetupSection
from fairtank.trial import Plan

Places = tuple[tuple[str, str], ...]
LETTERS = "abcdefghijklmnopqrstuvwxyz"


def check_once(sections: Sequence[SetupSection], keys: Iterable[str | None], noun: str, key: str = "key") -> None:
    """No key, and no title, may stand twice."""
    first: dict[str, int] = {}
    for number, (section, one) in enumerate(zip(sections, keys, strict=True), start=1):
        if one and first.setdefault(one, number) != number:
            section.fault(key, f"{shown(one)} is already the {key} of [[{noun}]] {first[one]}", f"a {key} of its own for each {noun}")


def check_tank_keys(sections: Sequence[SetupSection], tanks: Sequence[tuple[Tank, ...]]) -> None:
    """Each tank is described once."""
    first: dict[str, int] = {}
    for number, (section, own) in enumerate(zip(sections, tanks, strict=True), start=1):
        for tank in own:
            if tank.key and first.setdefault(tank.key, number) != number:
                section.fault("keys" if section.has("keys") else "key", f"{shown(tank.key)} is already described by [[tank]] "
                              f"{first[tank.key]}", "each tank once")


def check_material(section: SetupSection, noun: Any, kinds: tuple[str, ...], materials: dict[str, Material] | None) -> None:
    """What a line names stands in the catalogue, as the kind of thing that can stand there; None: the catalogue cannot be known."""
    key = noun.material
    if materials is None or not key:
        return
    if key not in materials:
        section.fault("material", f"{shown(key)} is not the key of a [[material]]",
                      listed(tuple(materials)) if materials else "a [[material]] with this key")
    elif materials[key].kind not in (*kinds, None):
        section.fault("material", f"{shown(key)} is of kind {materials[key].kind}", f"a material of kind {' or '.join(kinds)}")


def dose_kinds(dose: Dose) -> tuple[str, ...]:
    """What a dose may be made of: salts are weighed, liquids are measured out."""
    return ("salt",) if dose.mass_mg is not None else ("liquid",) if dose.volume_ml is not None else ("salt", "liquid")


def check_scopes(sections: Sequence[SetupSection], scopes: Sequence[Scope], units: dict[str, str] | None, noun: str) -> None:
    """No unit may have two lights, or two waters. units: the arm of each."""
    if units is None:
        return
    held: dict[str, int] = {}
    for number, (section, scope) in enumerate(zip(sections, scopes, strict=True), start=1):
        for unit, arm in units.items():
            is_meant = not (scope.units or scope.arms) or unit in scope.units or arm in scope.arms
            if is_meant and held.setdefault(unit, number) != number:
                section.fault("units", f"{shown(unit)} has its {noun} from [[{noun}]] {held[unit]} already", f"one {noun} for each unit")
                break


def places_from_plan(plan: Plan, tanks: Sequence[Tank], problems: Problems) -> Places:
    """Which unit stands in which tank, as trial.toml says; every unit in a tank that is described, no tank fuller than it has room."""
    by_key = {tank.key: tank for tank in tanks}
    places = tuple((unit.key, unit.in_tank) for unit in plan.units)
    homeless = [(unit, key) for unit, key in places if key not in by_key]
    for unit, key in homeless:
        problems.add(SETUP_FILE, None, "[[tank]]", f"unit {shown(unit)} of trial.toml stands in tank {shown(key)}, which is not described",
                     f"a [[tank]] with this key; there are {listed(tuple(by_key))}" if by_key else "a [[tank]] with this key")
    rounds = {unit.key: unit.round for unit in plan.units} if plan.kind == "rounds" else {}
    counts = Counter((key, rounds.get(unit, "")) for unit, key in places)
    for tank in tanks:
        most = max((count for (key, _), count in counts.items() if key == tank.key), default=0)
        if most == 0 and not homeless:
            problems.add(SETUP_FILE, None, "[[tank]]", f"no unit of trial.toml stands in tank {shown(tank.key)}",
                         f"tanks of the trial: {listed(tuple(dict.fromkeys(key for _, key in places)))}")
        elif most > tank.compartments:
            problems.add(SETUP_FILE, None, "[[tank]]", f"{most} units of trial.toml stand in tank {shown(tank.key)}, which has "
                         f"{'one compartment' if tank.compartments == 1 else f'{tank.compartments} compartments'}",
                         "dividers = one less than the units of the tank")
    return places


def places_alone(tanks: Sequence[Tank]) -> Places:
    """Units before there is a plan: each tank, or each compartment of one, named like T1a, T1b."""
    return tuple((tank.key if tank.compartments == 1 else f"{tank.key}{LETTERS[number]}", tank.key)
                 for tank in tanks for number in range(tank.compartments))
