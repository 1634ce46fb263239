"""Conversions between units, used at the doors only: forms, command line, file readers, reports.

The table is explicit because general libraries leave the trade's units out or guess: dKH is unknown to them,
`gallon` silently means the US one, and ppm is a bare ratio.
"""

import re
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
_US_GAL, _IMP_GAL = 3.785411784, 4.54609  # litres, both by definition
_GRAIN_MG, _POUND_G = 64.79891, 453.59237  # both by definition
_MMHG_KPA = 0.133322387415  # 13.5951 kg/L x 9.80665 m/s2 x 1 mm
# Molar masses [g/mol], so that test kits and labels that count an ion, an element or an oxide can be compared.
_N, _NO3, _NO2, _NH4, _NH3 = 14.0067, 62.0049, 46.0055, 18.03846, 17.03052
_P, _PO4, _P2O5 = 30.973762, 94.971362, 141.944524
_K, _K2O = 39.0983, 94.1960

# Quantity -> its units with their factors; the first one is the base.
_FACTORS: dict[str, dict[str, float]] = {
    "hardness": {
        "meq/L": 1.0, "mmol/L": 2.0,  # mmol/L of alkaline earths, two charges each
        "dKH": _MEQ_PER_DEGREE, "dGH": _MEQ_PER_DEGREE,
        "fH": 10 / _MG_CACO3_PER_MEQ,  # 10 mg/L CaCO3
        "e": (_GRAIN_MG / _IMP_GAL) / _MG_CACO3_PER_MEQ,  # 1 grain CaCO3 per imperial gallon
        "mg/L CaCO3": 1 / _MG_CACO3_PER_MEQ, "gr/US gal": (_GRAIN_MG / _US_GAL) / _MG_CACO3_PER_MEQ,
    },
    "volume": {"L": 1.0, "mL": 0.001, "m3": 1000.0, "US gal": _US_GAL, "imp gal": _IMP_GAL, "US fl oz": _US_GAL / 128,
               "imp fl oz": _IMP_GAL / 160},
    "length": {"cm": 1.0, "mm": 0.1, "m": 100.0, "nm": 1e-7, "in": 2.54, "ft": 30.48},
    "area": {"m2": 1.0, "cm2": 1e-4, "mm2": 1e-6, "ft2": 0.3048**2, "in2": 0.0254**2},
    "mass": {"g": 1.0, "kg": 1000.0, "mg": 0.001, "t": 1e6, "lb": _POUND_G, "oz": _POUND_G / 16},
    "density": {"kg/L": 1.0, "g/mL": 1.0, "g/cm3": 1.0, "kg/m3": 0.001, "lb/ft3": _POUND_G / 30.48**3},
    "mass per area": {"kg/m2": 1.0, "g/m2": 0.001},
    "molar mass": {"g/mol": 1.0, "kg/mol": 1000.0},
    "mass by mass": {"mg/g": 1.0, "g/kg": 1.0, "g/100 g": 10.0},
    "time": {"h": 1.0, "s": 1 / 3600, "min": 1 / 60, "d": 24.0, "week": 168.0},
    "rate": {"1/d": 1.0, "1/h": 24.0, "1/week": 1 / 7},
    "attenuation": {"1/m": 1.0, "1/cm": 100.0},
    "conductivity": {"uS/cm": 1.0, "mS/cm": 1000.0},
    "concentration": {"mg/L": 1.0, "ug/L": 0.001, "g/L": 1000.0},
    "nitrogen": {"mg/L N": 1.0, "mg/L NO3": _N / _NO3, "mg/L NO2": _N / _NO2, "mg/L NH4": _N / _NH4, "mg/L NH3": _N / _NH3},
    "phosphorus": {"mg/L P": 1.0, "mg/L PO4": _P / _PO4, "mg/L P2O5": 2 * _P / _P2O5},
    "potassium": {"mg/L K": 1.0, "mg/L K2O": 2 * _K / _K2O},
    "pressure": {"kPa": 1.0, "atm": 101.325, "hPa": 0.1, "mbar": 0.1, "bar": 100.0, "MPa": 1000.0, "kN/m2": 1.0, "mmHg": _MMHG_KPA,
                 "inHg": 25.4 * _MMHG_KPA, "psi": _POUND_G * 9.80665e-6 / 0.0254**2},
    "force": {"N": 1.0, "kN": 1000.0},
    "flow": {"L/h": 1.0, "L/min": 60.0, "mL/min": 0.06, "US gal/h": _US_GAL, "imp gal/h": _IMP_GAL},
    "mass per time": {"mg/h": 1.0, "g/h": 1000.0, "mg/d": 1 / 24, "g/d": 1000 / 24},
    "velocity": {"cm/h": 1.0, "m/d": 100 / 24, "mm/s": 360.0, "cm/s": 3600.0},
    "power": {"W": 1.0, "mW": 0.001, "kW": 1000.0},
    "energy": {"kWh": 1.0, "Wh": 0.001},
    "current": {"A": 1.0, "mA": 0.001},
    "voltage": {"V": 1.0, "mV": 0.001},
    "light": {"umol/m2/s": 1.0},
    "daily light": {"mol/m2/d": 1.0},
    "illuminance": {"lux": 1.0, "klx": 1000.0},
    "share": {"": 1.0, "%": 0.01, "ppm": 1e-6},
}
UNITS = {
    **{name: UnitOfMeasure(quantity, factor) for quantity, factors in _FACTORS.items() for name, factor in factors.items()},
    # temperature; base: degC
    "degC": UnitOfMeasure("temperature", 1.0),
    "degF": UnitOfMeasure("temperature", 5 / 9, -32.0),
    "K": UnitOfMeasure("temperature", 1.0, -273.15),
}

# What people and displays write -> the name in the table. Signs that are no letters are spelled out by `_spelled` before.
ALIASES = {
    "C": "degC", "F": "degF", "deg C": "degC", "deg F": "degF", "degc": "degC", "degf": "degF", "kelvin": "K",
    "dgh": "dGH", "dkh": "dKH", "DGH": "dGH", "DKH": "dKH", "GH": "dGH", "KH": "dKH", "degfH": "fH", "dege": "e",
    "mg/L CaCO": "mg/L CaCO3", "gpg": "gr/US gal",
    "us gal": "US gal", "US gallon": "US gal", "US gallons": "US gal", "imperial gal": "imp gal", "imperial gallon": "imp gal",
    "imperial gallons": "imp gal", "UK gal": "imp gal", "litre": "L", "litres": "L", "liter": "L", "liters": "L",
    "inch": "in", "inches": "in", "foot": "ft", "feet": "ft", "Kg": "kg", "KG": "kg", "lbs": "lb", "tonne": "t", "tonnes": "t",
    "hour": "h", "hours": "h", "hr": "h", "minute": "min", "minutes": "min", "second": "s", "seconds": "s", "day": "d", "days": "d",
    "weeks": "week", "per day": "1/d", "per hour": "1/h", "per week": "1/week", "per m": "1/m",
    "/d": "1/d", "/h": "1/h", "/week": "1/week", "/m": "1/m", "/cm": "1/cm",
    "umol m-2 s-1": "umol/m2/s", "umol/(m2 s)": "umol/m2/s", "umol/m2s": "umol/m2/s", "PPFD": "umol/m2/s",
    "mol m-2 d-1": "mol/m2/d", "mol/m2/day": "mol/m2/d", "lx": "lux", "Lux": "lux",
    "w": "W", "kw": "kW", "kwh": "kWh", "KWh": "kWh", "wh": "Wh", "percent": "%", "pct": "%",
    "US gph": "US gal/h", "LPH": "L/h", "lph": "L/h",
}
# What several units are called, and what to write instead.
_AMBIGUOUS = {
    "gal": "Write US gal or imp gal; a gallon is 3.79 L in one and 4.55 L in the other.",
    "fl oz": "Write US fl oz or imp fl oz.",
    "gph": "Write US gal/h or imp gal/h.",
    "dH": "Write dGH for general hardness or dKH for carbonate hardness.",
    "mol/L": "Write mmol/L or meq/L.",
}
_AMBIGUOUS |= {"gallon": _AMBIGUOUS["gal"], "gallons": _AMBIGUOUS["gal"], "degdH": _AMBIGUOUS["dH"], "degH": _AMBIGUOUS["dH"],
               "gal/h": _AMBIGUOUS["gph"]}
_SIGNS = str.maketrans({"°": "deg", "µ": "u", "μ": "u", "²": "2", "³": "3", "⁻": "-", "¹": "1", "·": " ", "−": "-", "\u00a0": " ",
                        "\u202f": " ", "₃": "3", "₄": "4", "₂": "2", "₅": "5"})
_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?|[-+]?(?:nan|inf)"


def convert(value: float, from_unit: str, to_unit: str) -> float:
    """The same quantity in another unit.

    Parameters
    ----------
    value : float or array of shape (n,)
        The quantity; `fairtank.science.units` takes lists too. [from_unit], any size.
    from_unit, to_unit : str
        Names from the table `UNITS`; both must measure the same quantity. `mmol/L` counts alkaline earths; `""` is a pure number.

    Returns
    -------
    float or array of shape (n,)
        The quantity. [to_unit]

    Raises
    ------
    InputError
        If the value is not a number or an array, a unit is unknown, or the two measure different quantities.

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
        if not isinstance(unit, str) or unit not in UNITS:
            raise InputError(name, unit if isinstance(unit, str) else "not a word", ", ".join(filter(None, UNITS)))
    old, new = UNITS[from_unit], UNITS[to_unit]
    if old.quantity != new.quantity:
        raise InputError("to_unit", to_unit or "a pure number", f"a unit of {old.quantity}: {', '.join(units_like(from_unit))}")
    try:
        return (value + old.offset) * old.factor / new.factor - new.offset
    except TypeError as error:
        raise InputError("value", repr(value) if isinstance(value, str) else "not a number", "a number or an array of numbers") from error


def units_like(unit: str) -> tuple[str, ...]:
    """The named units of the same quantity, in the table's order.

    Parameters
    ----------
    unit : str
        A name from the table `UNITS`.

    Returns
    -------
    tuple of str
        Names from the table; a pure number, which has no name, is left out.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> units_like("mA")
    ('A', 'mA')
    """
    return tuple(name for name, other in UNITS.items() if name and other.quantity == UNITS[unit].quantity)


def unit_from_text(text: str) -> str:
    """The table's name of a unit as people or displays write it.

    Parameters
    ----------
    text : str
        Such as `°C`, `µS/cm`, `m²`, `litres`; empty for a pure number.

    Returns
    -------
    str
        A name from the table `UNITS`.

    Raises
    ------
    InputError
        If the unit is unknown, or several units are called so.

    References
    ----------
    common_practice (what units are called; keys from sources.py).

    Examples
    --------
    >>> unit_from_text("°C"), unit_from_text("µmol m⁻² s⁻¹"), unit_from_text("l/h")
    ('degC', 'umol/m2/s', 'L/h')
    """
    spelled = _spelled(text)
    name = ALIASES.get(spelled, spelled)
    if name in UNITS:
        return name
    if spelled in _AMBIGUOUS:
        raise InputError("the unit", text.strip(), "a unit that means one thing", _AMBIGUOUS[spelled])
    raise InputError("the unit", text.strip(), f"one of the {len(UNITS)} units of the table, such as L, US gal, degC, dKH, mg/L")


def quantity_from_text(text: str) -> tuple[float, str]:
    """A number and its unit as somebody typed them.

    Parameters
    ----------
    text : str
        Such as `5 US gal`, `78degF`, `50 %` or `7`. Decimals have a point.

    Returns
    -------
    tuple of float and str
        The number, and the table's name of the unit; an empty name where no unit was typed.

    Raises
    ------
    InputError
        If there is no number at the start, a comma stands where a point is meant, or the unit is not known.

    References
    ----------
    common_practice (what units are called; keys from sources.py).

    Examples
    --------
    >>> quantity_from_text("5 US gal"), quantity_from_text("78°F"), quantity_from_text("-0.5")
    ((5.0, 'US gal'), (78.0, 'degF'), (-0.5, ''))
    """
    typed = text.replace("−", "-").replace("\u00a0", " ").strip()
    found = re.fullmatch(rf"({_NUMBER})\s*(.*)", typed, flags=re.DOTALL)
    if found is None:
        raise InputError("the value", text.strip() or "empty", "a number, with or without a unit", "Write decimals with a point.")
    number, unit = found.groups()
    if unit.startswith((",", ";")):
        pointed = typed.replace(",", ".", 1)
        decimals = re.match(r",\d+(?![,;.\d])", unit)
        hint = f"Write decimals with a point: {pointed}" if decimals else "Write one number, its decimals with a point."
        raise InputError("the value", text.strip(), "a number, with or without a unit", hint)
    return float(number), unit_from_text(unit)


def _spelled(text: str) -> str:
    """A unit with its special signs spelled in letters, single spaces, and L for litres."""
    words = " ".join(text.translate(_SIGNS).split())
    return re.sub(r"\bml\b", "mL", re.sub(r"\bl\b", "L", words))


def in_unit(value: float, written: str, wanted: str) -> float:
    """A reading in the unit that is wanted; a row without a unit, or in the same words, is taken as it is.

    Parameters
    ----------
    value : float
        [written]
    written, wanted : str
        The row's unit of measure and the wanted one, as the keeper wrote them.

    Returns
    -------
    float
        [wanted]

    Raises
    ------
    InputError
        If the two differ and one cannot be turned into the other.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> round(in_unit(1.0, "mg/L N", "mg/L NO3"), 3), in_unit(5.0, "", "mg/L"), in_unit(5.0, "drops", "drops")
    (4.427, 5.0, 5.0)
    """
    if written in ("", wanted):
        return value
    return convert(value, unit_from_text(written), unit_from_text(wanted))
