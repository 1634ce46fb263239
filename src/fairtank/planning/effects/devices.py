"""What a device of one arm brings besides itself: warmth, displaced water, flow, shade, gas, and what a cover keeps in."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from fairtank.build import Device, Setup, Tank
from fairtank.planning.building.blending import water_of
from fairtank.planning.building.boxes import body_of, units_in
from fairtank.planning.building.equipment import hours_of
from fairtank.planning.building.tanks import ASSUMED_ROOM_C, ASSUMED_TEMP_C, ROOM_HUMIDITY_PCT, is_covered
from fairtank.planning.effects.side_effect import SideEffect
from fairtank.planning.sheet import BuildSheet
from fairtank.science.gases import electrolysis_hydrogen_mg_h, electrolysis_oxygen_mg_h
from fairtank.science.heat import USUAL_FLOW_DROP, adiabatic_rise_c, evaporation_w, steady_rise_c, turnover_per_h

# How far the heat that a tank loses per degree may be off, by the usual span of its coefficients: from memory.
LOSS_SPAN = 0.13
# Over quiet water less evaporates than the equation says: 74 % of it was measured.
QUIET_SHARE = 0.74
# Heat that takes a kilogram of water away as vapour, near 25 °C [kJ/kg]: a literature value, from memory.
VAPOUR_KJ_KG = 2440.0
# Share of the current that makes oxygen: common practice, no source.
EFFICIENCY_LOW, EFFICIENCY_HIGH = 0.3, 0.9
SECONDS_A_DAY = 86400.0


def device_effects(setup: Setup, sheet: BuildSheet, unit: str, device: Device) -> Iterator[SideEffect]:
    """All that one device brings into one unit; what cannot be worked out from its line is left out."""
    net_l = sheet.facts_of(unit).net_l
    heat_w = device.power_w * device.in_water_fraction / device.shared_by
    if heat_w > 0:
        yield _warmth(setup, sheet, unit, device, heat_w)
    if device.displaced_l > 0:
        taken = device.displaced_l / device.shared_by
        yield SideEffect(unit, "volume", -taken, -taken, -taken, "L", device.label, "water that the device takes the place of",
                         "blank", remedy_amount=taken, remedy_unit="L", share=-taken / (net_l + taken))
    if device.flow_l_h:
        rated = float(turnover_per_h(device.flow_l_h / device.shared_by, net_l))
        least, most = (1 - drop for drop in reversed(USUAL_FLOW_DROP))
        yield SideEffect(unit, "flow", rated * (least + most) / 2, rated * least, rated * most, "1/h", device.label,
                         "flow of its maker / net water, less 30 to 60 % for media and height (common practice, no source)", "same_flow")
    if device.shade_fraction > 0:
        yield _shade(sheet, unit, device)
    if device.kind == "cover":
        yield from _kept_in(setup, unit, device)
    if device.current_ma:
        yield from _gases(unit, device)


@dataclass(frozen=True)
class _Loss:
    """How a tank loses heat: watts for each degree, and how much its water holds [kJ/K]."""

    w_per_c: float
    kj_per_c: float

    def rises(self, heat_w: float, hours_per_day: float) -> tuple[float, float, float]:
        """Mean rise, and the lowest and highest of a day, the span of the loss added; the device runs so many hours in one go."""
        mean = heat_w * hours_per_day / 24 / self.w_per_c
        rate_per_h = 3.6 * self.w_per_c / self.kj_per_c
        off, day = math.exp(-rate_per_h * (24 - hours_per_day)), -math.expm1(-rate_per_h * 24)
        warmest = heat_w / self.w_per_c * -math.expm1(-rate_per_h * hours_per_day) / day
        return mean, warmest * off / (1 + LOSS_SPAN), warmest / (1 - LOSS_SPAN)


def _warmth(setup: Setup, sheet: BuildSheet, unit: str, device: Device, heat_w: float) -> SideEffect:
    """The warmth of one device, without a thermostat. Compartments of a tank share it: water passes it on through the dividers."""
    tank, hours = setup.tank_of(unit), hours_of(setup, unit, device)
    litres = sum(sheet.facts_of(other).net_l for other in units_in(setup, tank))
    kj_per_c = 1 / float(adiabatic_rise_c(1000 / 3600, 1, litres))  # so many watts for an hour are one kilojoule
    mean, low, high = _Loss(_loss_w_per_c(setup, tank, unit), kj_per_c).rises(heat_w, hours)
    covered = "" if is_covered(setup, units_in(setup, tank)) else " and evaporation"
    return SideEffect(unit, "temperature", mean, low, high, "°C", device.label,
                      f"{heat_w:g} W in the water, {hours:g} h a day, / heat that glass{covered} take for each degree; from the coolest to "
                      "the warmest hour; without a thermostat", "thermostat")


def _loss_w_per_c(setup: Setup, tank: Tank, unit: str) -> float:
    """Watts that a tank loses for each degree, with what evaporation adds where it is open."""
    covered = is_covered(setup, units_in(setup, tank))
    per_watt = float(steady_rise_c(1.0, tank.length_mm, tank.width_mm, tank.water_mm + tank.bottom_mm, tank.glass_mm, "insulated",
                                   "lid" if covered else "open"))
    if covered:
        return 1 / per_watt
    temp_c, room_c = _temperatures(setup, unit)
    surface_m2 = _surface_m2(tank)
    above, below = (float(evaporation_w(surface_m2, temp_c + step, room_c, ROOM_HUMIDITY_PCT)) for step in (0.5, -0.5))
    return 1 / per_watt + above - below


def _shade(sheet: BuildSheet, unit: str, device: Device) -> SideEffect:
    """Light that the device keeps from the unit: of its day, where that was planned, else as a share."""
    daily, share = sheet.facts_of(unit).daily_light_mol_m2, device.shade_fraction
    if daily is None:
        kept_pct = 100 * share
        return SideEffect(unit, "light", -kept_pct, -kept_pct, -kept_pct, "%", device.label, "share of the light that it keeps off",
                          "same_shade", share=-share)
    lost = share * daily
    return SideEffect(unit, "light", -lost, -lost, -lost, "mol m⁻² d⁻¹", device.label,
                      "light in a day as planned × share that it keeps off, unless the light was measured under it", "same_shade",
                      share=-share)


def _kept_in(setup: Setup, unit: str, device: Device) -> Iterator[SideEffect]:
    """Water and warmth that a cover keeps in, which an open tank would lose to the air."""
    tank, (temp_c, room_c) = setup.tank_of(unit), _temperatures(setup, unit)
    surface_m2 = _surface_m2(tank) / tank.compartments
    kept_w = float(evaporation_w(surface_m2, temp_c, room_c, ROOM_HUMIDITY_PCT))
    draught_w = float(evaporation_w(surface_m2, temp_c, room_c, ROOM_HUMIDITY_PCT, "draught"))
    if kept_w == 0:
        return
    amount, low, high = (watts * SECONDS_A_DAY / 1000 / VAPOUR_KJ_KG for watts in (kept_w, QUIET_SHARE * kept_w, draught_w))
    yield SideEffect(unit, "evaporation", -amount, -high, -low, "L/d", device.label,
                     f"heat that evaporation takes at {temp_c:g} °C in a room of {room_c:g} °C, half moist, / heat of vapour", "same_cover")
    per_watt = float(steady_rise_c(1.0, tank.length_mm, tank.width_mm, tank.water_mm + tank.bottom_mm, tank.glass_mm, "insulated", "lid"))
    rise = kept_w * tank.compartments * per_watt
    yield SideEffect(unit, "temperature", rise, QUIET_SHARE * rise / (1 + LOSS_SPAN), draught_w / kept_w * rise / (1 - LOSS_SPAN), "°C",
                     device.label, "heat that evaporation no longer takes / heat that the covered tank loses for each degree; without a "
                     "thermostat", "same_cover")


def _gases(unit: str, device: Device) -> Iterator[SideEffect]:
    current = (device.current_ma or 0.0) / device.shared_by
    hydrogen, oxygen = float(electrolysis_hydrogen_mg_h(current)), float(electrolysis_oxygen_mg_h(current))
    yield SideEffect(unit, "hydrogen", hydrogen, hydrogen, hydrogen, "mg/h", device.label,
                     "current × molar mass / (2 × Faraday's constant)", "air")
    yield SideEffect(unit, "oxygen", oxygen * (EFFICIENCY_LOW + EFFICIENCY_HIGH) / 2, oxygen * EFFICIENCY_LOW, oxygen * EFFICIENCY_HIGH,
                     "mg/h", device.label, "current × molar mass / (4 × Faraday's constant) × 0.3 to 0.9 (common practice, no source)",
                     "check_claim")


def _temperatures(setup: Setup, unit: str) -> tuple[float, float]:
    plan = water_of(setup, unit)
    return (plan.temp_c, plan.room_temp_c) if plan is not None else (ASSUMED_TEMP_C, ASSUMED_ROOM_C)


def _surface_m2(tank: Tank) -> float:
    return tank.compartments * body_of(tank).floor_cm2 / 1e4
