"""The arms of trial.toml: their keys, the doses of a ladder, the four ways of two changes, and which comparisons were planned."""

from collections import Counter
from typing import Any

from fairtank.inference.designs.doses import FEWEST_DOSES
from fairtank.inference.designs.four_ways import CELLS, cell_of, way_words
from fairtank.records.folder.cells import number_text
from fairtank.records.folder.problems import Problems, listed, shown
from fairtank.records.folder.toml_section import FILE, Section, toml_shown
from fairtank.trial import ROLES, Arm, Unit

DOSE_ACCEPTED = "how much of the change the arm receives, a number of 0 or more"
SEVERAL_KINDS = ("side_by_side", "run_in")
FOUR_WAYS = 'four arms with changes = [], ["light"], ["co2"] and ["light", "co2"], in names of your own'


def read_arms(sections: list[Section], kind: str | None) -> tuple[Arm, ...]:
    """The arms; a dose and changes where the kind of trial asks for them."""
    arms = []
    for section in sections:
        dose = section.number("dose", None)
        if dose is not None and dose < 0:
            section.fault("dose", f"{number_text(dose)} is out of range", DOSE_ACCEPTED)
        if kind == "ladder" and not section.has("dose"):
            section.fault("dose", "the key is missing", f"{DOSE_ACCEPTED}, as kind is ladder")
        changes = section.names("changes")
        for key, only in (("dose", "ladder"), ("changes", "two_changes")):
            if section.has(key) and kind not in (only, None):
                section.fault(key, f"the key does not fit a trial of kind {kind}", f'{key} only with kind = "{only}" in [design]')
        arms.append(Arm(section.name("key"), section.choice("role", ROLES), section.text("name"), dose, changes or ()))
    check_twice(sections, tuple(arm.key for arm in arms), "arm")
    return tuple(arms)


def check_twice(sections: list[Section], keys: tuple[str | None, ...], noun: str) -> None:
    """No key may stand twice."""
    first: dict[str, int] = {}
    for number, (section, key) in enumerate(zip(sections, keys, strict=True), start=1):
        if key and first.setdefault(key, number) != number:
            section.fault("key", f"{shown(key)} is already the key of [[{noun}]] {first[key]}", f"a key of its own for each {noun}")


def check_arms(arms: tuple[Arm, ...], units: tuple[Unit, ...], problems: Problems) -> None:
    """One reference, at least one changed arm, and a unit for each."""
    roles = Counter(arm.role for arm in arms)
    if arms and None not in roles:
        if roles["reference"] != 1:
            read = f'{roles["reference"] or "no"} arms have the role reference'
            problems.add(FILE, None, "[[arm]], role", read, 'exactly one arm with role = "reference"')
        elif not roles["changed"]:
            problems.add(FILE, None, "[[arm]], role", "no arm has the role changed", 'at least one arm with role = "changed"')
    used = {unit.first_arm or unit.arm for unit in units} | {unit.arm for unit in units}
    if units and used <= {arm.key for arm in arms} | {""}:
        for number, arm in enumerate(arms, start=1):
            if arm.key and arm.key not in used:
                read = f"no unit was given to arm {shown(arm.key)}"
                problems.add(FILE, None, f"[[arm]] {number}, key", read, "at least one unit for each arm")


def check_several(design: Section, sections: list[Section], arms: tuple[Arm, ...], layout: dict[str, Any]) -> None:
    """What a ladder, two changes at once and planned comparisons ask of the arms together."""
    kind = layout["kind"]
    if layout["compare"] == "all" and kind is not None:
        if kind not in SEVERAL_KINDS:
            design.fault("compare", f"all does not fit a trial of kind {kind}", f"all only with kind = {' or '.join(SEVERAL_KINDS)}")
        elif len(arms) == 2:
            design.fault("compare", "all pairs were asked for, and there is only one: the plan has 2 arms",
                         "all with three arms or more; else leave it out")
    if layout["dose_unit"] and kind not in ("ladder", None):
        design.fault("dose_unit", f"the key does not fit a trial of kind {kind}", 'dose_unit only with kind = "ladder"')
    if kind == "ladder":
        _check_doses(sections, arms)
    if kind == "two_changes":
        _check_ways(design, sections, arms)


def _check_doses(sections: list[Section], arms: tuple[Arm, ...]) -> None:
    """Each arm has a dose of its own, and there are at least three."""
    first: dict[float, int] = {}
    for number, (section, arm) in enumerate(zip(sections, arms, strict=True), start=1):
        if arm.dose is not None and first.setdefault(arm.dose, number) != number:
            section.fault("dose", f"{number_text(arm.dose)} is already the dose of [[arm]] {first[arm.dose]}",
                          "a dose of its own for each arm")
    if sections and all(arm.dose is not None for arm in arms) and len(first) < FEWEST_DOSES:
        doses = listed(tuple(number_text(dose) for dose in first))
        sections[-1].fault("dose", f"the ladder has {len(first)} different doses ({doses})",
                           f"at least {FEWEST_DOSES} different doses; with two plan the trial side by side")


def _check_ways(design: Section, sections: list[Section], arms: tuple[Arm, ...]) -> None:
    """Neither, each alone and both: each way once, and the reference is the arm with neither."""
    names = tuple(dict.fromkeys(name for arm in arms for name in arm.changes))
    if len(names) != 2:
        read = f"the arms name {len(names)} changes{f' ({listed(names)})' if names else ''}"
        design.fault("kind", read, f"two changes: {FOUR_WAYS}")
        return
    both = (names[0], names[1])
    first: dict[tuple[bool, bool], int] = {}
    for number, (section, arm) in enumerate(zip(sections, arms, strict=True), start=1):
        cell = cell_of(both, arm.changes)
        if first.setdefault(cell, number) != number:
            section.fault("changes", f"{toml_shown(list(arm.changes))} are already the changes of [[arm]] {first[cell]}", FOUR_WAYS)
        if arm.role == "reference" and any(cell):
            section.fault("role", f"the reference has the changes {toml_shown(list(arm.changes))}",
                          "the arm with neither change as reference")
    missing = [way_words(both, cell) for cell in CELLS if cell not in first]
    if missing:
        design.fault("kind", f"an arm is missing: {'; '.join(missing)}", FOUR_WAYS)
