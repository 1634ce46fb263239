"""One glass box as built: weight, panes, heat and electricity, summed over the units that stand in it."""

from collections.abc import Mapping, Sequence

from fairtank.build import Device, Setup, Tank
from fairtank.planning.building.blending import water_of
from fairtank.planning.building.boxes import body_of, panes_of, units_in, weight_kg
from fairtank.planning.building.equipment import devices_of, equipment_kg, hours_of
from fairtank.planning.sheet import TankFacts
from fairtank.science.heat import energy_kwh, evaporation_w, heater_w, wall_loss_w
from fairtank.science.vessel import pressure_on_stand_kn_m2

# Where no water was planned, and the moisture of a lived-in room: common practice, no source.
ASSUMED_TEMP_C, ASSUMED_ROOM_C = 24.0, 18.0
ROOM_HUMIDITY_PCT = 50.0


def tank_facts(setup: Setup, tank: Tank, net_l: Mapping[str, float], bed_kg: Mapping[str, float],
               hardscape_kg: Mapping[str, float]) -> TankFacts:
    """The facts of a tank; net_l, bed_kg and hardscape_kg are those of its units. A compartment without a unit counts as full of water."""
    units = units_in(setup, tank)
    water_l = sum(net_l[unit] for unit in units) + (tank.compartments - len(units)) * body_of(tank).gross_l
    mass_kg = weight_kg(tank, net_water_l=water_l, bed_kg=sum(bed_kg[unit] for unit in units),
                        hardscape_kg=sum(hardscape_kg[unit] for unit in units),
                        equipment_kg=sum(equipment_kg(setup, unit) for unit in units))
    pressure = float(pressure_on_stand_kn_m2(mass_kg, tank.length_mm, tank.width_mm))
    loss_w = heat_loss_w(setup, tank, units)
    heat_w = sum(device_heat_w(setup, unit) for unit in units)
    heater = heater_w(loss_w)
    return TankFacts(tank.key, units, mass_kg, pressure, panes_of(tank), loss_w, float(heater.low_w), float(heater.high_w),
                     energy_kwh_week(setup, units, loss_w, heat_w), heat_w)


def heat_loss_w(setup: Setup, tank: Tank, units: Sequence[str]) -> float:
    """Heat that the tank loses at the coldest room [W]: through the walls and, unless a cover lies on it, from its surface.

    It stands on a mat; the air is still and half as moist as it can be. Where compartments are planned unlike, the warmest water and the
    coldest room count. A tank in a room that is warmer than its water loses nothing through its walls.
    """
    plans = [plan for unit in units if (plan := water_of(setup, unit)) is not None]
    temp_c = max((plan.temp_c for plan in plans), default=ASSUMED_TEMP_C)
    room_c = min((plan.room_temp_c for plan in plans), default=ASSUMED_ROOM_C)
    filled_mm, covered = tank.water_mm + tank.bottom_mm, is_covered(setup, units)
    through_w = float(wall_loss_w(tank.length_mm, tank.width_mm, filled_mm, tank.glass_mm, temp_c, room_c, "insulated",
                                  "lid" if covered else "open"))
    surface_m2 = tank.compartments * body_of(tank).floor_cm2 / 1e4
    vapour_w = 0.0 if covered else float(evaporation_w(surface_m2, temp_c, room_c, ROOM_HUMIDITY_PCT, "still"))
    return max(0.0, through_w + vapour_w)


def is_covered(setup: Setup, units: Sequence[str]) -> bool:
    """Whether each unit of a tank has a cover on it."""
    return all(any(device.kind == "cover" for device in devices_of(setup, unit)) for unit in units)


def device_heat_w(setup: Setup, unit: str) -> float:
    """Heat that the devices of one unit bring into its water, averaged over the day [W]; heaters are left out, they follow the loss."""
    return sum(_mean_w(setup, unit, device) * device.in_water_fraction for device in devices_of(setup, unit) if device.kind != "heater")


def energy_kwh_week(setup: Setup, units: Sequence[str], loss_w: float, heat_w: float) -> float:
    """Electricity of a tank's devices in a week [kWh].

    A heater that is given no hours of its own follows its thermostat: it makes up what the coldest room takes and the other devices do
    not bring, and no more than its power.
    """
    plugged, steady_w = 0.0, 0.0
    for unit in units:
        for device in devices_of(setup, unit):
            if device.kind == "heater" and device.hours_per_day == 24:
                steady_w += device.power_w / device.shared_by
            else:
                plugged += float(energy_kwh(device.power_w / device.shared_by, hours_of(setup, unit, device), 7))
    return plugged + float(energy_kwh(min(steady_w, max(0.0, loss_w - heat_w)), 24, 7))


def _mean_w(setup: Setup, unit: str, device: Device) -> float:
    return device.power_w / device.shared_by * hours_of(setup, unit, device) / 24
