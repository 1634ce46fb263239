"""Light of one unit: the lamp's setting for the light wanted at the bed, and the light per day."""

from dataclasses import dataclass

from fairtank.build import Light, Setup
from fairtank.errors import DesignError
from fairtank.planning.building.equipment import devices_of
from fairtank.planning.building.lines import sheet_line
from fairtank.planning.sheet import SheetLine
from fairtank.science.lamps import lamp_setting
from fairtank.science.light import daily_light_mol_m2, ppfd_from_lux

# Readings further off the curve than this are worth a second look: common practice, no source.
SCATTER_SHARE = 0.1


@dataclass(frozen=True)
class Lighting:
    """Light of one unit: lines, and light per day at the bed [mol m⁻² d⁻¹], None where no light was planned."""

    lines: tuple[SheetLine, ...] = ()
    daily_mol_m2: float | None = None


def lighting_of(setup: Setup, unit: str, light: Light | None) -> Lighting:
    """The lines of the light plan of one unit.

    Where nothing was measured there is no setting, only the light to aim at: a lamp's printed output says nothing about the bed of this
    tank. What was measured in lux is turned into plant light by the kind of lamp.
    """
    if light is None:
        return Lighting()
    lamps = [device for device in devices_of(setup, unit) if device.kind == "lamp"]
    lamp = lamps[0].key if len(lamps) == 1 else "light"
    daily = float(daily_light_mol_m2(light.target_umol, light.hours_per_day))
    aim = f"{light.target_umol:g} µmol m⁻² s⁻¹ at the bed, {daily:.2f} mol m⁻² d⁻¹"
    hours = sheet_line(unit, "light", lamp, "lamp hours a day", light.hours_per_day, "h", note=aim)
    if not light.measured:
        words = f"nothing was measured yet: set the lamp by a meter at the bed; {daily:.2f} mol m⁻² d⁻¹"
        return Lighting((sheet_line(unit, "light", lamp, "light at the bed", light.target_umol, "µmol m⁻² s⁻¹", note=words), hours), daily)
    settings = [setting for setting, _ in light.measured]
    readings = [reading for _, reading in light.measured]
    source = ""
    if light.unit_of_measure == "lux":
        readings = [float(ppfd_from_lux(lux, light.source)) for lux in readings]
        source = f", from lux under {light.source.replace('_', ' ')}"
    found = lamp_setting(light.target_umol, settings, readings)
    measured = "1 reading" if len(settings) == 1 else f"{len(settings)} readings"
    words = f"of full output, for {aim}; from {measured}{source}; measure again once set"
    if found.is_extrapolated:
        words += "; outside the settings that were read"
    if found.largest_residual > SCATTER_SHARE:
        words += f"; a reading is {100 * found.largest_residual:.0f} % off the curve"
    setting = sheet_line(unit, "light", lamp, "lamp setting", 100 * float(found.setting_fraction), "%", note=words)
    if setting.planned == 0:
        raise DesignError(f"{light.target_umol:g} µmol m⁻² s⁻¹ would be {100 * float(found.setting_fraction):.2g} % of full output, which "
                          "no dimmer is set to: raise the lamp, shade it, or take a weaker one.")
    return Lighting((setting, hours), daily)
