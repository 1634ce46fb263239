"""The shopping list and what the trial costs: needed, owned, packs to buy, money, electricity.

A price that nobody gave is never taken for nothing: its cost is None, it is named, and the sum then says `at least`.
"""

import math
from collections import defaultdict
from dataclasses import dataclass

from fairtank.build import Device, Material, Setup
from fairtank.errors import DesignError
from fairtank.planning.building.beds import densities
from fairtank.planning.building.rounding import weighable
from fairtank.planning.sheet import PARTS, BuildSheet, SheetLine

# Each unit in the smallest of its kind.
_SMALL = {"kg": ("mg", 1e6), "g": ("mg", 1e3), "mg": ("mg", 1.0), "L": ("mL", 1e3), "mL": ("mL", 1.0), "piece": ("piece", 1.0)}
# A count that is a whole number but for rounding of floats is that number.
_NEAR = 1e-9
TANKS_NOTE = ("Tanks are not priced here. A tank that must be bought can be written down as a device of kind other, shared by the units "
              "that stand in it.")


@dataclass(frozen=True)
class ShoppingLine:
    """One material or device over all units and the whole trial.

    needed: with the waste allowance, in unit_of_measure. waste: the part of needed that is allowance. owned: what is there already.
    to_buy: needed less owned. packs: whole packs to buy; None where nobody said how it is sold. pack_size: what one pack holds, in
    unit_of_measure. price: of one pack. cost: of all packs; None where it is not known. left_over: what remains if the whole allowance is
    used; None where packs are not known. note: what is missing.
    """

    material: str
    title: str
    needed: float
    waste: float
    unit_of_measure: str
    owned: float
    to_buy: float
    packs: int | None
    pack_size: float | None
    price: float | None
    cost: float | None
    left_over: float | None
    note: str = ""


@dataclass(frozen=True)
class RunningCost:
    """Electricity of all tanks [kWh] per week and for the trial, and its cost; None where the price of a kWh was not given."""

    energy_kwh_week: float
    energy_kwh_trial: float
    cost_week: float | None
    cost_trial: float | None


@dataclass(frozen=True)
class Shopping:
    """The whole list and its sums.

    purchases: sum of the costs that are known. total: purchases and the electricity of the trial; per_unit and per_week: total by
    the number of units and of weeks. missing: what has no cost because something was not said. is_at_least: something is missing, so that
    the true sums are higher. currency: the keeper's own word. notes: sentences a reader must know.
    """

    lines: tuple[ShoppingLine, ...]
    running: RunningCost
    purchases: float
    total: float
    per_unit: float
    per_week: float
    missing: tuple[str, ...]
    is_at_least: bool
    currency: str
    notes: tuple[str, ...]


def shopping_list(setup: Setup, sheet: BuildSheet) -> Shopping:
    """What must be bought for all units and the whole trial, in packs, and what it costs.

    Parameters
    ----------
    setup : Setup
        The build, with prices and packs in its catalogue.
    sheet : BuildSheet
        The sheet made from it.

    Returns
    -------
    Shopping
        One line per material and device, running cost and sums.

    Raises
    ------
    DesignError
        If a material is sold by a unit in which its amount cannot be told; all of them are named.

    References
    ----------
    arithmetic; the usual waste allowance is common_practice (keys from sources.py).
    """
    lines = (*_material_lines(setup, sheet), *(_device_line(setup, device) for device in setup.devices if _holders(setup, device)))
    running = running_cost(setup, sheet)
    missing = [line.title for line in lines if line.cost is None]
    if running.cost_trial is None and running.energy_kwh_trial > 0:
        missing.append("electricity")
    purchases = sum(line.cost or 0.0 for line in lines)
    total = purchases + (running.cost_trial or 0.0)
    return Shopping(lines, running, purchases, total, total / len(setup.units), total / setup.weeks, tuple(missing), bool(missing),
                    setup.money.currency, (TANKS_NOTE,))


def running_cost(setup: Setup, sheet: BuildSheet) -> RunningCost:
    """Electricity of all tanks per week and over the trial, at full power of each device while it runs.

    Parameters
    ----------
    setup : Setup
        The build, with the price of a kWh.
    sheet : BuildSheet
        The sheet made from it.

    Returns
    -------
    RunningCost
        kWh and money; money is None where no price was given.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    week_kwh, price = sum(facts.energy_kwh_week for facts in sheet.tanks), setup.money.electricity_per_kwh
    trial_kwh = week_kwh * setup.weeks
    if price is None:
        return RunningCost(week_kwh, trial_kwh, None, None)
    return RunningCost(week_kwh, trial_kwh, week_kwh * price, trial_kwh * price)


def _material_lines(setup: Setup, sheet: BuildSheet) -> list[ShoppingLine]:
    """One line per material, in the order of building; amounts given again and again count as often as they are given."""
    used: dict[str, list[SheetLine]] = defaultdict(list)
    for line in sorted(sheet.lines, key=lambda line: PARTS.index(line.part)):
        if line.part not in ("glass", "equipment", "light"):
            row = catalogue_row(setup, line.material)
            used[row.key if row is not None else line.material].append(line)
    made, problems = [], []
    for key, lines in used.items():
        try:
            made.append(_material_line(setup, key, lines))
        except DesignError as refusal:
            problems.append(str(refusal))
    if problems:
        raise DesignError("\n".join(problems))
    return made


def catalogue_row(setup: Setup, name: str) -> Material | None:
    """The catalogue's row of a key, else the salt of that formula, else None."""
    by_key = next((material for material in setup.materials if material.key == name), None)
    return by_key or next((material for material in setup.materials if material.kind == "salt" and material.formula == name), None)


def _material_line(setup: Setup, key: str, lines: list[SheetLine]) -> ShoppingLine:
    row = catalogue_row(setup, key)
    is_water = row is None and lines[0].part == "water" and lines[0].unit_of_measure == "L"
    title = row.label if row is not None else lines[0].title.rsplit(", ", 1)[0]  # less "first fill"
    measure = (row.pack_unit if row is not None else "") or lines[0].unit_of_measure
    bare = sum(_amount(setup, row, line, measure) * line.times for line in lines)
    share = 0.0 if is_water else setup.waste_fraction if row is None or row.waste_fraction is None else row.waste_fraction
    pack = None if row is None else row.pieces_per_pack if row.kind == "plant" and row.pieces_per_pack else row.pack_size
    return _priced(key, title, bare, share, measure, row.owned if row is not None else 0.0, pack, row.price if row is not None else None)


def _amount(setup: Setup, row: Material | None, line: SheetLine, measure: str) -> float:
    """The amount of a line, once, in the unit in which the material is sold."""
    kind, factor = _SMALL[line.unit_of_measure]
    wanted, per = _SMALL[measure]
    if kind == wanted:
        return line.planned * factor / per
    if row is not None and row.kind == "layer" and kind == "mg" and wanted == "mL":
        bulk_kg_l, _ = densities(row)
        return line.planned * factor / bulk_kg_l / 1e3 / per  # mg by kg/L is µL
    if row is not None and row.kind in ("rock", "wood") and wanted == "piece":
        pieces = setup.rocks if row.kind == "rock" else setup.woods
        return next(piece.count for piece in pieces if piece.material == row.key and setup.holds(piece.scope, line.unit)
                    and weighable(piece.mass_kg, "kg") == line.planned)
    sold = row.label if row is not None else line.title
    raise DesignError(f"{sold} is sold by {measure} and needed by {line.unit_of_measure}: give its pack in a unit of the same kind.")


def _device_line(setup: Setup, device: Device) -> ShoppingLine:
    return _priced(device.key, device.label, _holders(setup, device) / device.shared_by, 0.0, "piece", device.owned, 1.0, device.price)


def _holders(setup: Setup, device: Device) -> int:
    """How many units have or share a device."""
    return sum(setup.holds(device.scope, unit) for unit in setup.units)


def _priced(key: str, title: str, bare: float, waste_share: float, measure: str, owned: float, pack: float | None,
            price: float | None) -> ShoppingLine:
    """A line from the bare need: allowance on top, stock off, whole packs, money."""
    waste = bare * waste_share
    needed = math.ceil(bare + waste - _NEAR) if measure == "piece" else bare + waste
    waste = needed - bare
    to_buy = max(0.0, needed - owned)
    packs = 0 if to_buy == 0 else None if not pack else math.ceil(to_buy / pack - _NEAR)
    cost = 0.0 if packs == 0 else None if packs is None or price is None else packs * price
    left_over = None if packs is None else owned + packs * (pack or 0.0) - needed
    missing = [words for words, is_missing in (("pack size not given", packs is None), ("price not given", price is None and packs != 0))
               if is_missing]
    return ShoppingLine(key, title, _tidy(needed), _tidy(waste), measure, owned, _tidy(to_buy), packs, pack, price, cost,
                        None if left_over is None else _tidy(left_over), "; ".join(missing))


def _tidy(amount: float) -> float:
    """Without the last digits of sums of floats."""
    return round(float(amount), 6)
