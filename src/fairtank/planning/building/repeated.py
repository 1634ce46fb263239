"""A setup for other tanks: what goes by depth, area, litre or target, reckoned anew for another keeper's glass, and told line by line.

A bed keeps its depth, plants their number for each area, doses their amount for each litre, light its target, the water its hardness. What
belongs to the first keeper, such as prices, devices and the water from the tap, is left for the second one to decide.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from fairtank.build import Dose, Layer, Money, Piece, Planting, Scope, Setup, Tank
from fairtank.planning.buildsheet import build_sheet
from fairtank.planning.sheet import BuildSheet, SheetLine, UnitFacts

TAKEN, RECKONED, OPEN = "taken over", "reckoned anew", "yours to decide"


@dataclass(frozen=True)
class Moved:
    """One line of what became of a setup. kind: TAKEN, RECKONED or OPEN. was, now: empty where there was nothing, or is nothing yet."""

    kind: str
    what: str
    was: str
    now: str


def setup_repeated(old: Setup, tanks: Sequence[Tank], places: tuple[tuple[str, str], ...],
                   arms: tuple[tuple[str, str], ...]) -> tuple[Setup, tuple[Moved, ...]]:
    """The setup for other tanks, and what became of each of its lines.

    Parameters
    ----------
    old : Setup
        As the first keeper built it.
    tanks : sequence of Tank
        The other keeper's, under the same keys.
    places, arms : tuples of pairs
        Which unit stands in which tank, and has which arm.

    Returns
    -------
    tuple of Setup and tuple of Moved

    Raises
    ------
    DesignError
        If either setup cannot be built as it is described.

    References
    ----------
    arithmetic, common_practice (keys from sources.py).
    """
    before = build_sheet(old)
    facts = {one.unit: one for one in before.units}
    bare = replace(old, tanks=tuple(tanks), places=places, arms=arms, money=Money(), layers=tuple(_layer(old, facts, one)
                                                                                                  for one in old.layers),
                   materials=tuple(replace(one, price=None, owned=0.0, batch="") for one in old.materials), doses=(),
                   light=tuple(replace(one, measured=(), source="", unit_of_measure="umol") for one in old.light),
                   devices=tuple(replace(one, price=None, owned=0.0) for one in old.devices))
    sizes = _Sizes(facts, _floors(bare))
    scaled = replace(bare, rocks=tuple(_piece(sizes, old, one) for one in old.rocks), woods=tuple(_piece(sizes, old, one)
                                                                                                  for one in old.woods),
                     plantings=tuple(_planting(sizes, old, one) for one in old.plantings))
    new = replace(scaled, doses=tuple(_dose(old, facts, one) for one in old.doses))
    after = build_sheet(new)
    return new, tuple(_told(old, before, new, after))


@dataclass(frozen=True)
class _Sizes:
    """How the inner floors of the units compare: as built before, and the other tanks' [cm²]."""

    before: dict[str, UnitFacts]
    now: dict[str, float]

    def floor_ratio(self, setup: Setup, scope: Scope) -> float:
        """By how much the floor of the units of a line is larger now."""
        unit = _first(setup, scope)
        old = self.before[unit]
        return self.now[unit] / (old.inner_length_mm * old.inner_width_mm / 100)


def _floors(bare: Setup) -> dict[str, float]:
    """The inner floor of each unit of the other tanks [cm²]; beds alone are enough to know it."""
    sheet = build_sheet(replace(bare, rocks=(), woods=(), plantings=(), devices=(), light=(), water=(), doses=()))
    return {one.unit: one.inner_length_mm * one.inner_width_mm / 100 for one in sheet.units}


def _first(setup: Setup, scope: Scope) -> str:
    """A unit for which a line holds; the first of all where none does."""
    return next((unit for unit in setup.units if setup.holds(scope, unit)), setup.units[0])


def _layer(old: Setup, facts: dict[str, UnitFacts], layer: Layer) -> Layer:
    """A layer by its depth, however it was given."""
    if layer.mass_kg is None:
        return layer
    unit = _first(old, layer.scope)
    own = [one for one in old.layers if old.holds(one.scope, unit)]
    return replace(layer, mass_kg=None, depth_mm=round(facts[unit].layers[own.index(layer)].depth_mm, 1))


def _piece(sizes: _Sizes, old: Setup, piece: Piece) -> Piece:
    """Rock and wood for the same share of the floor; pieces stay as many."""
    return replace(piece, mass_kg=_figures(piece.mass_kg * sizes.floor_ratio(old, piece.scope), 2))


def _planting(sizes: _Sizes, old: Setup, planting: Planting) -> Planting:
    ratio = sizes.floor_ratio(old, planting.scope)
    if planting.count is not None:
        return replace(planting, count=max(1, round(planting.count * ratio)))
    return planting if planting.area_cm2 is None else replace(planting, area_cm2=round(planting.area_cm2 * ratio, 1))


def _dose(old: Setup, facts: dict[str, UnitFacts], dose: Dose) -> Dose:
    """A dose by its amount for each litre of net water."""
    if dose.per_litre:
        return dose
    litres = facts[_first(old, dose.scope)].net_l
    return replace(dose, per_litre=True, mass_mg=None if dose.mass_mg is None else _figures(dose.mass_mg / litres, 4),
                   volume_ml=None if dose.volume_ml is None else _figures(dose.volume_ml / litres, 4))


def _figures(value: float, figures: int) -> float:
    return float(f"{value:.{figures}g}")


def _told(old: Setup, before: BuildSheet, new: Setup, after: BuildSheet) -> list[Moved]:
    """What became of everything, in the order in which a keeper builds."""
    unit = old.units[0]
    was, now = (next(one for one in sheet.units if one.unit == unit) for sheet in (before, after))
    told = [Moved(RECKONED, f"water in {unit}", f"{was.net_l:.1f} L", f"{now.net_l:.1f} L")]
    told += _changed_lines(before, after, unit)
    told += [Moved(TAKEN, f"light wanted at the bed, {one.hours_per_day:g} h a day", f"{one.target_umol:g} µmol m⁻² s⁻¹",
                   f"{one.target_umol:g} µmol m⁻² s⁻¹") for one in new.light]
    for water in new.water:
        told.append(Moved(TAKEN, "water temperature and water change", f"{water.temp_c:g} °C, {100 * water.change_fraction:g} %",
                          f"{water.temp_c:g} °C, {100 * water.change_fraction:g} %"))
    return [*told, *_open(old, before, new, after)]


def _changed_lines(before: BuildSheet, after: BuildSheet, unit: str) -> list[Moved]:
    """Bed, rock, plants and doses of one unit, as planned then and now; lines are found again by part and title."""
    then = {(line.part, line.title): line for line in before.lines if line.unit == unit}
    told = []
    for line in after.lines:
        if line.unit != unit or line.part not in ("bed", "hardscape", "plants", "doses", "water"):
            continue
        earlier = then.get((line.part, line.title))
        was = "" if earlier is None else _amount(earlier)
        told.append(Moved(RECKONED, f"{line.title} ({line.note})" if line.note and line.part == "bed" else line.title, was, _amount(line)))
    return told


def _amount(line: SheetLine) -> str:
    """What a line says, in words: pieces need no unit."""
    return f"{line.planned:g}" if line.unit_of_measure == "piece" else f"{line.planned:g} {line.unit_of_measure}".strip()


def _open(old: Setup, before: BuildSheet, new: Setup, after: BuildSheet) -> list[Moved]:
    """What only the other keeper can know."""
    told = []
    for device in old.devices:
        if device.is_change:
            told.append(Moved(TAKEN, f"{device.label}, which is part of the change", "", device.label))
        elif device.kind == "heater":
            low, high = after.tanks[0].heater_low_w, after.tanks[0].heater_high_w
            told.append(Moved(OPEN, f"your heater: {low:.0f} to {high:.0f} W hold the temperature", f"{device.power_w:g} W", ""))
        elif device.kind in ("filter", "pump") and device.flow_l_h:
            flow = device.flow_l_h * after.units[0].net_l / before.units[0].net_l
            told.append(Moved(OPEN, f"your {device.kind}: {flow:.0f} L/h turn the water over as often", f"{device.flow_l_h:g} L/h", ""))
        else:
            told.append(Moved(OPEN, f"your {device.kind.replace('co2', 'CO2')}", device.label, ""))
    told += [Moved(OPEN, "light readings at your bed, at full output or at three settings", f"{len(one.measured)} readings", "")
             for one in old.light if one.measured]
    told += [Moved(OPEN, "your tap water: the setup still holds the first keeper's", f"{one.tap.gh_dgh:g} dGH, {one.tap.kh_dkh:g} dKH", "")
             for one in old.water]
    if old.money != Money():
        told.append(Moved(OPEN, "your prices and what you own", old.money.currency, ""))
    return told
