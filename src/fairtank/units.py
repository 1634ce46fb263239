"""Conversions between units, used at the doors only: forms, command line, file readers, reports.

The table is explicit because general libraries leave the trade's units out or guess: dKH is unknown to them,
`gallon` silently means the US one, and ppm is a bare ratio.
"""

from dataclasses import dataclass

from fairtank.errors import InputError


@dataclass(frozen=True)
class UnitOfMeasure:
    """A unit: the quantity it measures, its factor to that quantity's base unit and, for temperatures, its offset."""

    quantity: str
    factor: float
    offset: float = 0.0


# One German degree is 10 mg/L CaO = 0.178325 mmol/L of alkaline earths = 0.356650 meq/L (molar mass of CaO 56.0774 g/mol).
_MEQ_PER_DEGREE = 2 * 10 / 56.0774
# One meq of CaCO3 is half its molar mass, 100.0869 g/mol.
_MG_CACO3_PER_MEQ = 100.0869 / 2

UNITS = {
    # hardness and alkalinity; base: meq/L
    "meq/L": UnitOfMeasure("hardness", 1.0),
    "mmol/L": UnitOfMeasure("hardness", 2.0),  # of alkaline earths, two charges each
    "dKH": UnitOfMeasure("hardness", _MEQ_PER_DEGREE),
    "dGH": UnitOfMeasure("hardness", _MEQ_PER_DEGREE),
    "fH": UnitOfMeasure("hardness", 10 / _MG_CACO3_PER_MEQ),  # 10 mg/L CaCO3
    "e": UnitOfMeasure("hardness", (64.79891 / 4.54609) / _MG_CACO3_PER_MEQ),  # 1 grain CaCO3 per imperial gallon
    "mg/L CaCO3": UnitOfMeasure("hardness", 1 / _MG_CACO3_PER_MEQ),
    # volume; base: L
    "L": UnitOfMeasure("volume", 1.0),
    "mL": UnitOfMeasure("volume", 0.001),
    "US gal": UnitOfMeasure("volume", 3.785411784),
    "imp gal": UnitOfMeasure("volume", 4.54609),
    # length; base: cm
    "cm": UnitOfMeasure("length", 1.0),
    "mm": UnitOfMeasure("length", 0.1),
    "in": UnitOfMeasure("length", 2.54),
    # mass; base: g
    "g": UnitOfMeasure("mass", 1.0),
    "kg": UnitOfMeasure("mass", 1000.0),
    "lb": UnitOfMeasure("mass", 453.59237),
    # temperature; base: degC
    "degC": UnitOfMeasure("temperature", 1.0),
    "degF": UnitOfMeasure("temperature", 5 / 9, -32.0),
    # conductivity; base: uS/cm
    "uS/cm": UnitOfMeasure("conductivity", 1.0),
    "mS/cm": UnitOfMeasure("conductivity", 1000.0),
}


def convert(value: float, from_unit: str, to_unit: str) -> float:
    """The same quantity in another unit.

    Parameters
    ----------
    value : float or array of shape (n,)
        The quantity. [from_unit], any size.
    from_unit, to_unit : str
        Names from the table `UNITS`; both must measure the same quantity. `mmol/L` counts alkaline earths.

    Returns
    -------
    float or array of shape (n,)
        The quantity. [to_unit]

    Raises
    ------
    InputError
        If a unit is unknown, or the two measure different quantities.

    References
    ----------
    arithmetic (definitions of the units; keys from sources.py).

    Examples
    --------
    >>> round(convert(1.0, "dKH", "mg/L CaCO3"), 3)
    17.848
    >>> convert(77.0, "degF", "degC")
    25.0
    """
    for name, unit in (("from_unit", from_unit), ("to_unit", to_unit)):
        if unit not in UNITS:
            raise InputError(name, unit, ", ".join(UNITS))
    old, new = UNITS[from_unit], UNITS[to_unit]
    if old.quantity != new.quantity:
        alike = ", ".join(name for name, unit in UNITS.items() if unit.quantity == old.quantity)
        raise InputError("to_unit", to_unit, f"a unit of {old.quantity}: {alike}")
    return (value + old.offset) * old.factor / new.factor - new.offset
