"""Conductivity, ionic strength and what a "TDS" meter really shows.

A TDS meter measures conductivity and multiplies it by a factor of its maker. No factor is right: a milligram of one salt conducts twice
as well as a milligram of another. Compare tanks by conductivity at 25 °C.
"""

from dataclasses import dataclass

from numpy.typing import ArrayLike

from fairtank.registry import Input, Output, ReadingError, calculator
from fairtank.science.equilibria import IONIC_STRENGTH_PER_US_CM
from fairtank.science.ranges import Floats, plain, within


@dataclass(frozen=True)
class SaltConductivity:
    """Conductivity at 25 °C of one salt in pure water, by PHREEQC 3 (phreeqc.dat): what was dissolved [mg/L, without the water in its
    crystals] and its conductivity [µS/cm].
    """

    solution: str
    dissolved_mg_l: float
    conductivity_us_cm: float

    @property
    def factor(self) -> float:
        """Milligrams per litre for each µS/cm."""
        return self.dissolved_mg_l / self.conductivity_us_cm


# phreeqc3; masses from the molar masses of the salts, mmol per kg of water taken as mmol/L.
SALT_CONDUCTIVITIES = (
    SaltConductivity("1 mmol/L sodium chloride", 58.44, 123.2),
    SaltConductivity("1 mmol/L potassium chloride", 74.55, 146.3),
    SaltConductivity("10 mmol/L potassium chloride", 745.5, 1396.0),
    SaltConductivity("100 mg/L gypsum", 79.1, 142.3),
    SaltConductivity("4 dKH of sodium bicarbonate", 119.8, 130.6),
    SaltConductivity("10 mg/L nitrate as potassium nitrate", 16.31, 23.20),
)
# Factors that makers of meters set: common practice, no source.
METER_FACTORS = (0.5, 0.7)
# Rise of conductivity per degree, as a share of its value at 25 °C: recalled as 0.019 to 0.02, not read.
SLOPE_PER_DEGREE = 0.02

# Meters of the trade are told to be right to 2 % of the reading: common practice, no source.
_METER = ReadingError(0.02, "within", relative=True, instrument="conductivity meter")
_AT_TEMPERATURE = Input("conductivity_us_cm", "conductivity as measured, without temperature compensation", "µS/cm", 0, 20000, error=_METER)
_AT_25 = Input("conductivity_us_cm", "conductivity at 25 °C", "µS/cm", 0, 20000, error=_METER)
_TEMPERATURE = Input("temp_c", "water temperature", "°C", 5, 35, error=ReadingError(0.5, "within", instrument="aquarium thermometer"))
_SLOPE = Input("slope_fraction", "rise per degree as a share", "", 0.015, 0.025, default=SLOPE_PER_DEGREE)
_TDS = Input("tds_mg_l", "what the TDS meter shows", "mg/L", 0, 10000)


@dataclass(frozen=True)
class TdsRange:
    """What may stand behind one conductivity [mg/L].

    low_mg_l, high_mg_l: dissolved salts, by which salts they are. meter_low_mg_l, meter_high_mg_l: what TDS meters of different makers
    show in the same water.
    """

    low_mg_l: Floats
    high_mg_l: Floats
    meter_low_mg_l: Floats
    meter_high_mg_l: Floats


@dataclass(frozen=True)
class ConductivityRange:
    """The conductivities at 25 °C that may stand behind one TDS reading [µS/cm]."""

    low_us_cm: Floats
    high_us_cm: Floats


@calculator(title="Conductivity at 25 °C", unit="µS/cm", sources=("conductivity_slope",), inputs=(_AT_TEMPERATURE, _TEMPERATURE, _SLOPE))
def conductivity_25_us_cm(conductivity_us_cm: ArrayLike, temp_c: ArrayLike, slope_fraction: ArrayLike = SLOPE_PER_DEGREE) -> Floats:
    """Conductivity that the same water would have at 25 °C.

    For meters that show conductivity at the temperature of the water. Most meters already convert; converting twice is the usual mistake.

    Parameters
    ----------
    conductivity_us_cm : float or array of shape (n,)
        Conductivity at the temperature of the water. [µS/cm], 0 to 20000.
    temp_c : float or array of shape (n,)
        Water temperature. [°C], 5 to 35.
    slope_fraction : float or array of shape (n,)
        Rise per degree as a share of the value at 25 °C. [-], 0.015 to 0.025.

    Returns
    -------
    float or array of shape (n,)
        Conductivity at 25 °C. [µS/cm]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    conductivity_slope, a literature value from memory (keys from sources.py).

    Examples
    --------
    >>> round(conductivity_25_us_cm(270, 20), 1)
    300.0
    """
    measured, warmer = within(_AT_TEMPERATURE, conductivity_us_cm), within(_TEMPERATURE, temp_c) - 25
    return plain(measured / (1 + within(_SLOPE, slope_fraction) * warmer))


@calculator(title="Ionic strength from conductivity", unit="mmol/L", sources=("aqion_conductivity",), inputs=(_AT_25,))
def ionic_strength_mmol_l(conductivity_us_cm: ArrayLike) -> Floats:
    """Ionic strength of a fresh water, estimated from its conductivity.

    It fits hard waters. By PHREEQC it is up to twice too high where the salts are of single charges (potassium nitrate, bicarbonate of
    sodium), which moves CO2 in `carbonate` by less than 3 %.

    Parameters
    ----------
    conductivity_us_cm : float or array of shape (n,)
        Conductivity at 25 °C. [µS/cm], 0 to 20000.

    Returns
    -------
    float or array of shape (n,)
        Ionic strength. [mmol/L]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    aqion_conductivity, eq. 2 (keys from sources.py).

    Examples
    --------
    >>> round(ionic_strength_mmol_l(500), 3)
    8.0
    """
    return plain(1000 * IONIC_STRENGTH_PER_US_CM * within(_AT_25, conductivity_us_cm))


@calculator(title="Dissolved salts behind a conductivity", sources=("phreeqc3", "common_practice"),
            outputs=(Output("low_mg_l", "dissolved salts, at least", "mg/L"), Output("high_mg_l", "dissolved salts, at most", "mg/L"),
                     Output("meter_low_mg_l", "a TDS meter shows, at least", "mg/L"),
                     Output("meter_high_mg_l", "a TDS meter shows, at most", "mg/L")),
            inputs=(_AT_25,))
def tds_range_mg_l(conductivity_us_cm: ArrayLike) -> TdsRange:
    """From how much to how much salt may be dissolved at one conductivity, and what TDS meters show for it.

    There is no single factor: sodium chloride has 0.47 mg/L for each µS/cm, sodium bicarbonate 0.92. "TDS" is conductivity times a factor
    of the maker; two meters in one tank may differ by 40 %. Compare tanks by conductivity.

    Parameters
    ----------
    conductivity_us_cm : float or array of shape (n,)
        Conductivity at 25 °C. [µS/cm], 0 to 20000.

    Returns
    -------
    TdsRange
        low_mg_l and high_mg_l by salt, meter_low_mg_l and meter_high_mg_l by maker. [mg/L]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    phreeqc3 for the salts (`SALT_CONDUCTIVITIES`); common_practice for the factors of meters (keys from sources.py).

    Examples
    --------
    >>> salts = tds_range_mg_l(300)
    >>> round(salts.low_mg_l), round(salts.high_mg_l)
    (142, 275)
    """
    factors = [row.factor for row in SALT_CONDUCTIVITIES]
    conductivity = within(_AT_25, conductivity_us_cm)
    return TdsRange(*(plain(factor * conductivity) for factor in (min(factors), max(factors), *METER_FACTORS)))


@calculator(title="Conductivity behind a TDS reading", sources=("common_practice",),
            outputs=(Output("low_us_cm", "conductivity at 25 °C, at least", "µS/cm"),
                     Output("high_us_cm", "conductivity at 25 °C, at most", "µS/cm")),
            inputs=(_TDS,))
def conductivity_from_tds(tds_mg_l: ArrayLike) -> ConductivityRange:
    """From which to which conductivity a TDS reading may come, when the factor of its maker is not known.

    Makers set 0.5 to 0.7. Where the manual names the factor, divide the reading by it instead; better, switch the meter to µS/cm.

    Parameters
    ----------
    tds_mg_l : float or array of shape (n,)
        What the meter shows as mg/L or ppm. [mg/L], 0 to 10000.

    Returns
    -------
    ConductivityRange
        low_us_cm and high_us_cm. [µS/cm]

    Raises
    ------
    OutOfRangeError
        If the reading lies outside its range.

    References
    ----------
    common_practice for the factors of meters (keys from sources.py).

    Examples
    --------
    >>> behind = conductivity_from_tds(150)
    >>> round(behind.low_us_cm), round(behind.high_us_cm)
    (214, 300)
    """
    shown = within(_TDS, tds_mg_l)
    smallest, largest = METER_FACTORS
    return ConductivityRange(plain(shown / largest), plain(shown / smallest))
