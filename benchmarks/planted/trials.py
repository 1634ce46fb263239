"""More than four hundred invented trials, each with what is planted in it: one seed, one list."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from fairtank.records.folder import write_folder
from fairtank.trial import Event
from planted.factors import BY_KEY, CHORES, EVENTS, FACTORS, PLACE, READ, SETUP, STATED
from planted.facts import Facts, at
from planted.forms import usual_setup, write
from planted.layouts import LAYOUTS, aligned_units, crossed_units, plan_of
from planted.sides import SIDES, side

ALIGNED, CROSSED, FAIR, SIDE, MISSING, MEANT = "aligned", "crossed", "fair", "side effect", "missing", "meant"
SEED = 20260307
_CLEAR = ("tank_length", "tank_width")  # boxes are bought in steps; half a step is a plain difference still
# Told by the same rows: where one is planted, the other is not written as well, or it would be planted with it.
_TOGETHER = ({"water_volume", "source_water"}, {"substrate_kind", "substrate_batch", "substrate_mass"},
             {"hardscape_kind", "hardscape_mass"}, {"plant_kinds", "plant_stock", "plant_portions"}, {"water_change", "water_change_day"},
             {"planted_on", "started_on"}, {"light_on", "photoperiod"}, {"cover", "evaporation"}, {"hands", "planted_by"})


@dataclass(frozen=True)
class Trial:
    """One invented trial. sort: what was planted. kind: its name, under which trials are counted. factors: the planted one; of a side
    effect, those of which one must be told. layout: the design. facts: what is written down."""

    number: int
    sort: str
    kind: str
    factors: tuple[str, ...]
    layout: str
    facts: Facts

    def write(self, root: Path) -> None:
        """Write it as a trial folder."""
        facts = self.facts
        write_folder(root, facts.plan, setup=facts.setup, factors=facts.factors, readings=facts.readings, build=facts.build,
                     chores_done=facts.chores, events=facts.events)


def planned(seed: int = SEED) -> Iterator[tuple[str, str, tuple[str, ...], str, str, int]]:
    """(sort, kind, planted factors, form, layout, number) of every trial, without making any."""
    for number, one in enumerate(_list(seed - SEED), start=1):
        yield (*one, number)


def trials(chosen: frozenset[int] | None = None, seed: int = SEED) -> Iterator[Trial]:
    """All of them, always the same ones in the same order, or those of the numbers chosen; another seed gives other designs, forms, sizes
    and scatter to the same factors."""
    for sort, kind, factors, form, layout, number in planned(seed):
        if chosen is not None and number not in chosen:
            continue
        chance = np.random.default_rng((seed, number))
        facts = Facts(plan_of(layout, chance))
        yield Trial(number, sort, kind, _planted(facts, sort, kind, factors, form, chance), layout, facts)


def _list(shift: int) -> Iterator[tuple[str, str, tuple[str, ...], str, str]]:
    """(sort, kind, planted factors, form, layout) of every trial; shift: by how many designs and forms it is turned on."""
    turn = shift
    for one in FACTORS:
        for round_number in range(3):
            form = one.forms[(round_number + shift) % len(one.forms)]
            usable = [name for name in LAYOUTS if name != "swap_2" and not (form == SETUP and name == "rounds_4")]
            layout = usable[turn % len(usable)]
            turn += 1
            yield ALIGNED, f"{one.key} in one arm", (one.key,), form, layout
    several = [name for name in LAYOUTS if name not in ("side_1", "swap_2", "side_3", "run_in_3")]
    for place, one in enumerate(FACTORS):
        layout = several[(place + shift) % len(several)]
        form = one.forms[(place + shift) % len(one.forms)] if layout != "rounds_4" else one.forms[0]
        yield CROSSED, f"{one.key} in half of each arm", (one.key,), form, layout
    for place in range(120):
        yield FAIR, "nothing but weighing and reading", (), "", LAYOUTS[place % len(LAYOUTS)]
    for name in SIDES:
        for layout in ("side_1", "side_3", "run_in_2", "pairs_4"):
            yield SIDE, name, (), SETUP, layout
    for place, key in enumerate(("temperature", "kh", "substrate_batch", "plant_stock", "lamp_age", "doses", "planted_by", "inoculum",
                                 "flow", "filter_age", "water_change", "hardscape_mass")):
        for layout in ("side_2", "side_3"):
            yield MISSING, "not written down for one arm", (key,), BY_KEY[key].forms[place % len(BY_KEY[key].forms)], layout
    for key in ("photoperiod", "flow", "substrate_kind", "temperature", "doses", "plant_stock", "water_change", "light_at_bed"):
        for layout in ("side_1", "side_3"):
            yield MEANT, "the change itself", (key,), BY_KEY[key].forms[0], layout


def _planted(facts: Facts, sort: str, kind: str, factors: tuple[str, ...], form: str, chance: np.random.Generator) -> tuple[str, ...]:
    """Everything that is written down of a trial: the usual things, and what is planted in it."""
    if sort == SIDE:
        found = side(facts, kind)
        _usual(facts, set(found) | {"water_volume", "temperature", "flow", "light_at_bed", "evaporation", "conductivity", "gh"}, chance)
        return found
    taken = set().union(*(group for group in _TOGETHER if group & set(factors)), set(factors))
    has_setup = sort != MISSING and form != SETUP and bool(chance.random() < 0.4)  # a setup would tell of every tank
    _usual(facts, taken, chance, with_setup=has_setup)
    for key in factors:
        one = BY_KEY[key]
        if sort == MEANT:
            facts.plan = replace(facts.plan, change_factors=(key,))
        if sort == MISSING:
            known = {unit.key for unit in facts.plan.units if unit.arm == "R"}
            write(facts, one, form, set(), chance, recorded=known)
            continue
        odd = crossed_units(facts.plan, chance) if sort == CROSSED else aligned_units(facts.plan)
        size = 1.0 if key in _CLEAR or sort == MEANT else float(chance.uniform(0.8, 1.4))
        write(facts, one, form, odd, chance, size=size)
    return factors


def _usual(facts: Facts, taken: set[str], chance: np.random.Generator, *, with_setup: bool = False) -> None:
    """Most factors written down as they are in like tanks, with the scatter of lots, scales and drop tests."""
    if with_setup:
        facts.setup = usual_setup(facts)
        taken = taken | {"lamp_model", "heater_model", "filter_model", "substrate_kind", "plant_kinds"}
        taken |= {"tank_length", "tank_width", "water_level"}
    for one in FACTORS:
        together = next((group for group in _TOGETHER if one.key in group), set())
        if one.key in taken or together & taken or chance.random() < 0.35:
            continue
        form = str(chance.choice([form for form in one.forms if form not in (SETUP, PLACE)] or [PLACE]))
        if form in (CHORES, EVENTS, READ, STATED) or not together or chance.random() < 0.5:
            write(facts, one, form, set(), chance)
            taken = taken | together
    if chance.random() < 0.3 and "shelf" not in taken and len(facts.units) % 2 == 0:
        _slip(facts)


def _slip(facts: Facts) -> None:
    """Something that happened to all tanks alike."""
    facts.events.append(Event((), at(20, 12.0), None, 20, 20, "power cut", "two hours, the whole room"))
