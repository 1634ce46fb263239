"""What the change brings besides itself: everything in which the arms come to differ because of a device, layer, dose or light."""

from fairtank.build import Setup
from fairtank.planning.effects.devices import device_effects
from fairtank.planning.effects.doses import dose_effects
from fairtank.planning.effects.lines import layer_effects, light_effects, piece_effects
from fairtank.planning.effects.side_effect import SideEffect, is_apart
from fairtank.planning.sheet import BuildSheet


def side_effects(setup: Setup, sheet: BuildSheet) -> tuple[SideEffect, ...]:
    """What each unit gets besides what the change is meant to do.

    Looked at are devices that belong to the change, and every device, layer, stone, wood, dose and light that not all units have. A dummy
    in the other arm is such a device too: the two then stand beside each other, and the difference is what is left. Unlike waters and
    unlike plants are changes of their own and are not taken apart here.

    Parameters
    ----------
    setup : Setup
        The whole build.
    sheet : BuildSheet
        The sheet of that setup.

    Returns
    -------
    tuple of SideEffect
        Unit by unit in the order of the plan; devices first, then bed, stones and wood, light, doses.

    References
    ----------
    arithmetic, common_practice, and the sources of the calculators used (keys from sources.py).
    """
    found: list[SideEffect] = []
    for unit in setup.units:
        for device in setup.devices:
            if setup.holds(device.scope, unit) and (device.is_change or is_apart(setup, device.scope)):
                found += device_effects(setup, sheet, unit, device)
        found += layer_effects(setup, sheet, unit)
        found += piece_effects(setup, sheet, unit)
        found += light_effects(setup, sheet, unit)
        found += dose_effects(setup, sheet, unit)
    return tuple(found)
