"""Filters, heaters, lamps and the rest: lines, what they displace, how often a filter turns the water over."""

from fairtank.build import Device, Light, Setup
from fairtank.planning.building.lines import sheet_line
from fairtank.planning.sheet import SheetLine
from fairtank.science.heat import USUAL_FLOW_DROP, turnover_per_h


def devices_of(setup: Setup, unit: str) -> tuple[Device, ...]:
    """The devices that a unit has or shares."""
    return tuple(device for device in setup.devices if setup.holds(device.scope, unit))


def light_of(setup: Setup, unit: str) -> Light | None:
    """The light plan of a unit, or None."""
    return next((light for light in setup.light if setup.holds(light.scope, unit)), None)


def hours_of(setup: Setup, unit: str, device: Device) -> float:
    """Hours a day that a device runs in a unit: its own, and for a lamp those of the unit's light plan where there is one."""
    light = light_of(setup, unit)
    return light.hours_per_day if device.kind == "lamp" and light is not None else device.hours_per_day


def displaced_by_devices_l(setup: Setup, unit: str) -> float:
    """Volume of equipment under water in one unit [L]; a shared device counts with its part."""
    return sum(device.displaced_l / device.shared_by for device in devices_of(setup, unit))


def equipment_kg(setup: Setup, unit: str) -> float:
    """Mass of equipment of one unit [kg]; a shared device counts with its part."""
    return sum(device.mass_kg / device.shared_by for device in devices_of(setup, unit))


def equipment_lines(setup: Setup, unit: str, net_l: float) -> tuple[SheetLine, ...]:
    """One line per device, with its power, its hours and, where its flow is known, how often it turns the unit's water over."""
    lines = []
    for device in devices_of(setup, unit):
        words = [f"one for {device.shared_by} units"] if device.shared_by > 1 else []
        if device.power_w:
            words.append(f"{device.power_w:g} W, {hours_of(setup, unit, device):g} h a day")
        if device.flow_l_h:
            words.append(turnover_words(device.flow_l_h / device.shared_by, net_l))
        if device.is_change:
            words.append("belongs to the change")
        lines.append(sheet_line(unit, "equipment", device.key, device.label, 1, "piece", note="; ".join(words)))
    return tuple(lines)


def turnover_words(flow_l_h: float, net_l: float) -> str:
    """How often a filter turns the water over, as its maker says and as it will be with media in it."""
    rated = float(turnover_per_h(flow_l_h, net_l))
    least, most = USUAL_FLOW_DROP
    return (f"rated flow turns the water over {rated:.1f} times an hour; media and height take {100 * least:g} to {100 * most:g} % of it "
            f"(common practice, no source), so expect {rated * (1 - most):.1f} to {rated * (1 - least):.1f}; measure with bucket and watch")
