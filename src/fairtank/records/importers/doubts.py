"""Values that were probably not meant in the unit under which they stand, such as 77 under °C: they are held back until somebody looked."""

from dataclasses import dataclass
from functools import cache

from fairtank.errors import InputError
from fairtank.planning.evenness.wording import quantity_factor
from fairtank.records.folder.cells import number_text
from fairtank.units import in_unit


@dataclass(frozen=True)
class Usual:
    """What a quantity usually is in a planted tank: from low to high in unit; others: units in which it may have been read instead."""

    unit: str
    low: float
    high: float
    others: tuple[str, ...] = ()


# Wide, so that only slips fall outside. common practice, no source
USUAL = {
    "temperature": Usual("°C", 4, 40, ("°F", "K")), "room_temperature": Usual("°C", -10, 50, ("°F", "K")),
    "kh": Usual("dKH", 0, 40, ("mg/L CaCO3",)), "gh": Usual("dGH", 0, 80, ("mg/L CaCO3",)), "ph": Usual("", 3, 11),
    "conductivity": Usual("µS/cm", 5, 10_000, ("mS/cm",)), "nitrate": Usual("mg/L", 0, 300, ("ug/L",)),
    "phosphate": Usual("mg/L", 0, 30, ("ug/L",)), "co2": Usual("mg/L", 0, 150, ("ug/L",)), "oxygen": Usual("mg/L", 0, 25, ("ug/L",)),
}
_IONS = {"mg/L NO3": "mg/L", "mg/L PO4": "mg/L", "mg/L N": "mg/L", "mg/L P": "mg/L"}


def doubt_of(quantity: str, value: float, unit: str, *, is_as_written: bool = True) -> str:
    """Why a value was probably not meant in its unit, as a sentence; empty where it is usual, or nothing is known of it.

    is_as_written: it was not converted, so that another unit may have been meant.

    >>> doubt_of("temperature", 77, "°C")
    '77 °C is unusual for temperature, which is 4 to 40 °C in most tanks; 77 °F would be 25 °C'
    """
    limits = _limits(quantity, unit)
    if limits is None or limits[0] <= value <= limits[1]:
        return ""
    usual = USUAL[quantity_factor(quantity)]
    spaced = f" {unit}" if unit else ""
    span = f"{usual.low:g} to {usual.high:g} {usual.unit}".rstrip()
    said = f"{number_text(float(f'{value:.4g}'))}{spaced} is unusual for {quantity}, which is {span} in most tanks"
    for other in usual.others if is_as_written else ():
        turned = in_unit(value, other, usual.unit)
        if usual.low <= turned <= usual.high and other != unit:
            said += f"; {number_text(value)} {other} would be {number_text(float(f'{turned:.3g}'))} {usual.unit}"
            break
    return said


@cache
def _limits(quantity: str, unit: str) -> tuple[float, float] | None:
    """The usual limits told in the unit of the readings; None where nothing is known."""
    usual = USUAL.get(quantity_factor(quantity))
    if usual is None or (not unit and usual.unit):
        return None
    try:
        low, high = (in_unit(limit, usual.unit, _IONS.get(unit, unit)) for limit in (usual.low, usual.high))
    except InputError:
        return None
    return low, high
