"""The trade's ways to judge dissolved CO2, and how far each is off.

The table of pH and KH, the drop of pH, and the colour of an indicator solution all lean on the carbonate system of
`fairtank.science.water`; here each is a special case of it, with what it leaves out.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fairtank.registry import Input, Output, calculator
from fairtank.science import equilibria
from fairtank.science.equilibria import CO2_G_MOL, EQ_PER_DKH, Numbers
from fairtank.science.ranges import Floats, plain, within
from fairtank.science.water import ALKALINITY, PH, TEMPERATURE, carbonate, water_of

TRADE_FACTOR = 3.0  # common practice, no source
PHOSPHATE_G_MOL, PHOSPHATE_PKA = 94.971, 7.2  # H2PO4- = H+ + HPO4--; titrated from HPO4-- to H2PO4- at the end point, pH 4.5
# Bromothymol blue: recalled, not read. Colour words by the pH of the indicator: common practice, no source; with 4 dKH at 25 °C they
# fall on 10, 15, 40 and 50 mg/L.
BROMOTHYMOL_PKA = 7.1
BLUE_ABOVE_PH, GREEN_BELOW_PH, GREEN_ABOVE_PH, YELLOW_BELOW_PH = 7.13, 6.95, 6.53, 6.43
_LIMITS_PH = np.array([BLUE_ABOVE_PH, GREEN_BELOW_PH, GREEN_ABOVE_PH, YELLOW_BELOW_PH])
COLOURS = ("blue", "blue-green", "green", "yellow-green", "yellow")

_TITRATED = replace(ALKALINITY, low=0.1)
_TABLE_PH = replace(PH, high=8.5)
_DEGASSED = replace(PH, name="degassed_ph", label="pH of the same water after a day of airing, measured")
_PH_ERROR = Input("ph_error", "standard error of the pH", "", 0, 1, default=0.1)
_ALKALINITY_ERROR = Input("alkalinity_error_dkh", "standard error of the KH", "dKH", 0, 5, default=0.5)
_PHOSPHATE = Input("phosphate_mg_l", "phosphate (PO4)", "mg/L", 0, 20, default=0.0)
_ORGANIC = Input("organic_fraction", "share of the titrated KH that is organic acid, from wood and soil", "", 0, 1, default=0.0)
# The CO2 is assumed and not read here, so that a thermometer's error alone would make the answer look surer than it is.
_ABOUT_TEMPERATURE = replace(TEMPERATURE, error=None)
_REFERENCE = Input("alkalinity_dkh", "carbonate hardness (KH) of the reference water in the indicator", "dKH", 0.5, 20)
_CO2 = Input("co2_mg_l", "free carbon dioxide in the tank", "mg/L", 0.1, 300)


@dataclass(frozen=True)
class TradeTable:
    """The trade's table beside the whole model.

    table_co2_mg_l: what the table reads [mg/L]. co2_mg_l: what the model gives [mg/L]. true_factor: what should stand in place of 3.
    reads_low_pct: by how much the table reads too low [%]; negative where it reads too high.
    """

    table_co2_mg_l: Floats
    co2_mg_l: Floats
    true_factor: Floats
    reads_low_pct: Floats


@dataclass(frozen=True)
class PhDrop:
    """CO2 before and after a drop of pH [mg/L], and how many times the first the second is."""

    start_co2_mg_l: Floats
    co2_mg_l: Floats
    times: Floats


@dataclass(frozen=True)
class AlkalinityParts:
    """What a titrated KH is made of: carbonate, phosphate and organic acids [dKH]."""

    carbonate_dkh: Floats
    phosphate_dkh: Floats
    organic_dkh: Floats


@dataclass(frozen=True)
class IndicatorColour:
    """What an indicator shows: pH of its reference water, share of the dye that is blue [-], and the colour in a word."""

    ph: Floats
    blue_fraction: Floats
    colour: str | NDArray[np.str_]


@dataclass(frozen=True)
class IndicatorLimits:
    """Where the colours of an indicator change, as CO2 in the tank [mg/L]."""

    blue_below_mg_l: Floats
    green_from_mg_l: Floats
    green_to_mg_l: Floats
    yellow_above_mg_l: Floats


@calculator(title="CO2 by the trade's table", unit="mg/L", sources=("common_practice",), inputs=(ALKALINITY, PH),
            cautions=("co2_cylinder", "co2_animals"))
def trade_table_co2_mg_l(alkalinity_dkh: ArrayLike, ph: ArrayLike) -> Floats:
    """What the trade's table of pH and KH reads: three times KH times ten to the power of 7 less pH.

    It knows no temperature and reads low: by 24 % at 15 °C, 11 % at 25 °C and 6 % at 30 °C (`trade_table_check`). It is here for
    comparison with what others state; `carbonate` is the better figure.

    Parameters
    ----------
    alkalinity_dkh : float or array of shape (n,)
        Carbonate hardness. [dKH], 0 to 20.
    ph : float or array of shape (n,)
        pH. [-], 5 to 9.5.

    Returns
    -------
    float or array of shape (n,)
        Carbon dioxide as the table reads it. [mg/L]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> round(trade_table_co2_mg_l(4, 6.6), 1)
    30.1
    """
    return plain(TRADE_FACTOR * within(ALKALINITY, alkalinity_dkh) * 10 ** (7 - within(PH, ph)))


@calculator(title="How far the trade's CO2 table is off", sources=("plummer1982", "common_practice"),
            outputs=(Output("table_co2_mg_l", "what the table reads", "mg/L"), Output("co2_mg_l", "what the whole model gives", "mg/L"),
                     Output("true_factor", "what should stand in place of 3"), Output("reads_low_pct", "the table reads too low by", "%")),
            inputs=(TEMPERATURE, _TITRATED, _TABLE_PH), cautions=("co2_cylinder", "co2_animals"))
def trade_table_check(temp_c: ArrayLike, alkalinity_dkh: ArrayLike, ph: ArrayLike) -> TradeTable:
    """The trade's table beside the whole model, with the factor that should stand in it.

    The factor falls from 3.95 at 15 °C to 3.2 at 30 °C. Both fail alike where part of the KH is no carbonate (`alkalinity_parts`) or where
    pH or KH is read badly.

    Parameters
    ----------
    temp_c : float or array of shape (n,)
        Water temperature. [°C], 5 to 35.
    alkalinity_dkh : float or array of shape (n,)
        Carbonate hardness; below 1 dKH a drop test tells an interval only. [dKH], 0.1 to 20.
    ph : float or array of shape (n,)
        pH. [-], 5 to 8.5.

    Returns
    -------
    TradeTable
        table_co2_mg_l and co2_mg_l [mg/L], true_factor [-], reads_low_pct [%].

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    plummer1982 for the model, common_practice for the table (keys from sources.py).

    Examples
    --------
    >>> check = trade_table_check(20, 4, 6.6)
    >>> round(check.true_factor, 1), round(check.reads_low_pct)
    (3.6, 17)
    """
    titrated, probe = within(_TITRATED, alkalinity_dkh), within(_TABLE_PH, ph)
    co2 = np.asarray(carbonate(temp_c, titrated, probe).co2_mg_l)
    table = np.broadcast_to(np.asarray(trade_table_co2_mg_l(titrated, probe)), co2.shape)
    return TradeTable(plain(table), plain(co2), plain(TRADE_FACTOR * co2 / table), plain(100 * (1 - table / co2)))


@calculator(title="Error of CO2 from errors of pH and KH", unit="", sources=("gum2008",), inputs=(_TITRATED, _PH_ERROR, _ALKALINITY_ERROR))
def co2_reading_error_fraction(alkalinity_dkh: ArrayLike, ph_error: ArrayLike = 0.1, alkalinity_error_dkh: ArrayLike = 0.5) -> Floats:
    """Relative standard error of a CO2 figure from pH and KH, by how far the two readings are off.

    A pH that is off by 0.1 moves CO2 by 23 %; half a degree of 4 dKH by 12.5 %; both together by 26 %. It is the straight-line rule and
    too small once it passes about a third.

    Parameters
    ----------
    alkalinity_dkh : float or array of shape (n,)
        Carbonate hardness. [dKH], 0.1 to 20.
    ph_error : float or array of shape (n,)
        Standard error of the pH. [-], 0 to 1.
    alkalinity_error_dkh : float or array of shape (n,)
        Standard error of the carbonate hardness. [dKH], 0 to 5.

    Returns
    -------
    float or array of shape (n,)
        Standard error of CO2 as a share of it. [-]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    gum2008, 5.1.2 (keys from sources.py).

    Examples
    --------
    >>> round(co2_reading_error_fraction(4), 2)
    0.26
    """
    by_ph = np.log(10) * within(_PH_ERROR, ph_error)
    return plain(np.hypot(by_ph, within(_ALKALINITY_ERROR, alkalinity_error_dkh) / within(_TITRATED, alkalinity_dkh)))


@calculator(title="CO2 after a drop of pH", sources=("plummer1982", "common_practice"),
            outputs=(Output("start_co2_mg_l", "CO2 of the aired water", "mg/L"), Output("co2_mg_l", "CO2 at the lower pH", "mg/L"),
                     Output("times", "times as much as at the start")),
            inputs=(TEMPERATURE, ALKALINITY, _DEGASSED, PH), cautions=("co2_cylinder", "co2_animals"))
def co2_after_ph_drop(temp_c: ArrayLike, alkalinity_dkh: ArrayLike, degassed_ph: ArrayLike, ph: ArrayLike) -> PhDrop:
    """CO2 before and after a drop of pH from the aired water, as in the practice of "one degree of pH makes 30 mg/L".

    A drop of 1.0 multiplies CO2 by little more than ten. From water at rest with outdoor air it ends at 6 to 7 mg/L, in a stuffy room of
    1000 ppm at about 15; 30 mg/L would need 3 mg/L at the start. So it takes the pH measured in the same water after a day of airing, never
    a guessed one.

    Parameters
    ----------
    temp_c : float or array of shape (n,)
        Water temperature. [°C], 5 to 35.
    alkalinity_dkh : float or array of shape (n,)
        Carbonate hardness, the same before and after. [dKH], 0 to 20.
    degassed_ph : float or array of shape (n,)
        pH measured after a day of airing. [-], 5 to 9.5.
    ph : float or array of shape (n,)
        pH with CO2; above the other one where plants have taken CO2 out. [-], 5 to 9.5.

    Returns
    -------
    PhDrop
        start_co2_mg_l and co2_mg_l [mg/L]; times [-], ten to the power of the drop where the aired water would hold no carbonate.

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    plummer1982 for the model, common_practice for the rule (keys from sources.py).

    Examples
    --------
    >>> drop = co2_after_ph_drop(25, 4, 8.32, 7.32)
    >>> round(drop.start_co2_mg_l, 2), round(drop.co2_mg_l, 1), round(drop.times, 1)
    (0.63, 6.5, 10.2)
    """
    aired, now = within(_DEGASSED, degassed_ph), within(PH, ph)
    start, end = (np.asarray(carbonate(temp_c, alkalinity_dkh, probe).co2_mg_l) for probe in (aired, now))
    start, end, drop = np.broadcast_arrays(start, end, aired - now)
    return PhDrop(plain(start), plain(end), plain(np.where(start > 0, end / np.where(start > 0, start, 1.0), 10**drop)))


@calculator(title="What a titrated KH is made of", sources=("common_practice", "phreeqc3"),
            outputs=(Output("carbonate_dkh", "carbonate", "dKH"), Output("phosphate_dkh", "phosphate", "dKH"),
                     Output("organic_dkh", "organic acids", "dKH")),
            inputs=(ALKALINITY, PH, _PHOSPHATE, _ORGANIC))
def alkalinity_parts(alkalinity_dkh: ArrayLike, ph: ArrayLike, phosphate_mg_l: ArrayLike = 0.0,
                     organic_fraction: ArrayLike = 0.0) -> AlkalinityParts:
    """How much of a titrated KH is carbonate, and how much is phosphate or organic acid that the test counts along.

    Phosphate hardly matters: 1 mg/L is 0.01 dKH. Acids from wood and soil do: a quarter of 4 dKH makes CO2 read a third too high. No test
    tells their share; it has to be assumed, and shows how far a figure may be off. Give the carbonate part to `carbonate`.

    Parameters
    ----------
    alkalinity_dkh : float or array of shape (n,)
        Carbonate hardness as titrated. [dKH], 0 to 20.
    ph : float or array of shape (n,)
        pH. [-], 5 to 9.5.
    phosphate_mg_l : float or array of shape (n,)
        Phosphate as PO4. [mg/L], 0 to 20.
    organic_fraction : float or array of shape (n,)
        Share of the titrated KH that is organic acid. [-], 0 to 1.

    Returns
    -------
    AlkalinityParts
        carbonate_dkh (0 where the others would be more than the whole), phosphate_dkh and organic_dkh. [dKH]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    phreeqc3 for the second constant of phosphoric acid, pKa 7.2; common_practice for the end point of the test at pH 4.5 (keys from
    sources.py).

    Examples
    --------
    >>> parts = alkalinity_parts(4, 6.6, phosphate_mg_l=1, organic_fraction=0.25)
    >>> round(parts.carbonate_dkh, 2), round(parts.phosphate_dkh, 3)
    (2.99, 0.006)
    """
    titrated, acid = within(ALKALINITY, alkalinity_dkh), 10 ** (PHOSPHATE_PKA - within(PH, ph))
    phosphate = within(_PHOSPHATE, phosphate_mg_l) / (1000 * PHOSPHATE_G_MOL * EQ_PER_DKH) / (1 + acid)
    organic = titrated * within(_ORGANIC, organic_fraction)
    carbonate_dkh, phosphate, organic = np.broadcast_arrays(np.maximum(titrated - organic - phosphate, 0.0), phosphate, organic)
    return AlkalinityParts(plain(carbonate_dkh), plain(phosphate), plain(organic))


@calculator(title="Colour of an indicator solution", sources=("plummer1982", "bromothymol", "common_practice"),
            outputs=(Output("ph", "pH of the reference water"), Output("blue_fraction", "share of the dye that is blue"),
                     Output("colour", "colour")),
            inputs=(_ABOUT_TEMPERATURE, _REFERENCE, _CO2), cautions=("co2_cylinder", "co2_animals"))
def indicator_colour(temp_c: ArrayLike, alkalinity_dkh: ArrayLike, co2_mg_l: ArrayLike) -> IndicatorColour:
    """What colour an indicator shows in a tank with that much CO2: reference water of known KH with bromothymol blue, behind a gap of air.

    The gap lets CO2 through and nothing else, so the colour tells the CO2 that reference water and tank share; the tank's own KH does not
    matter. It follows the tank by one to three hours or more, and the eye tells three colours, no figures.

    Parameters
    ----------
    temp_c : float or array of shape (n,)
        Temperature of tank and indicator. [°C], 5 to 35.
    alkalinity_dkh : float or array of shape (n,)
        Carbonate hardness of the reference water, not of the tank. [dKH], 0.5 to 20.
    co2_mg_l : float or array of shape (n,)
        Free carbon dioxide in the tank. [mg/L], 0.1 to 300.

    Returns
    -------
    IndicatorColour
        ph, blue_fraction [-] and colour, one of blue, blue-green, green, yellow-green, yellow.

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    plummer1982 for the pH; bromothymol for the dye, pKa 7.1, a literature value, from memory; common_practice for the words (keys from
    sources.py).

    Examples
    --------
    >>> seen = indicator_colour(25, 4, 30)
    >>> round(seen.ph, 2), seen.colour
    (6.65, 'green')
    """
    temperature, reference = within(TEMPERATURE, temp_c), within(_REFERENCE, alkalinity_dkh) * EQ_PER_DKH
    co2 = within(_CO2, co2_mg_l) / (1000 * CO2_G_MOL)

    def at_rest(temp: Numbers, eq_l: Numbers, mol_l: Numbers) -> Numbers:
        return equilibria.ph_from_co2(water_of(temp, eq_l), eq_l, mol_l)

    ph = equilibria.in_blocks(at_rest, temperature, reference, co2)
    steps = (ph <= BLUE_ABOVE_PH).astype(int) + (ph <= GREEN_BELOW_PH) + (ph < GREEN_ABOVE_PH) + (ph < YELLOW_BELOW_PH)
    colour = np.array(COLOURS)[steps]
    return IndicatorColour(plain(ph), plain(1 / (1 + 10 ** (BROMOTHYMOL_PKA - ph))), str(colour) if colour.ndim == 0 else colour)


@calculator(title="Where an indicator changes colour", sources=("plummer1982", "common_practice"),
            outputs=(Output("blue_below_mg_l", "blue below", "mg/L"), Output("green_from_mg_l", "green from", "mg/L"),
                     Output("green_to_mg_l", "green to", "mg/L"), Output("yellow_above_mg_l", "yellow above", "mg/L")),
            inputs=(_ABOUT_TEMPERATURE, _REFERENCE), cautions=("co2_cylinder", "co2_animals"))
def indicator_limits(temp_c: ArrayLike, alkalinity_dkh: ArrayLike) -> IndicatorLimits:
    """How much CO2 the colours of an indicator stand for, with reference water of that KH.

    With 4 dKH green is about 15 to 40 mg/L; with half the KH it is half as much. Eyes and lamps differ, and the words are habit. Green
    does not mean that animals bear it: with 4 dKH its upper end is where keepers stop the gas, and they watch the animals from 30 mg/L on.

    Parameters
    ----------
    temp_c : float or array of shape (n,)
        Temperature of tank and indicator. [°C], 5 to 35.
    alkalinity_dkh : float or array of shape (n,)
        Carbonate hardness of the reference water, not of the tank. [dKH], 0.5 to 20.

    Returns
    -------
    IndicatorLimits
        blue_below_mg_l, green_from_mg_l, green_to_mg_l and yellow_above_mg_l. [mg/L]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    plummer1982 for CO2; common_practice for the pH at which the colours change (keys from sources.py).

    Examples
    --------
    >>> limits = indicator_limits(25, 4)
    >>> round(limits.green_from_mg_l), round(limits.green_to_mg_l)
    (15, 40)
    """
    def levels(temp: Numbers, eq_l: Numbers) -> Numbers:
        water = water_of(temp, eq_l)
        return np.array([equilibria.split_at_ph(water, eq_l, ph).co2_mol_l for ph in _LIMITS_PH])

    reference = within(_REFERENCE, alkalinity_dkh) * EQ_PER_DKH
    return IndicatorLimits(*map(plain, equilibria.in_blocks(levels, within(TEMPERATURE, temp_c), reference) * (1000 * CO2_G_MOL)))


@calculator(title="KH to which limestone dissolves", unit="dKH", sources=("plummer1982", "davies1962"),
            inputs=(_ABOUT_TEMPERATURE, _CO2))
def calcite_alkalinity_dkh(temp_c: ArrayLike, co2_mg_l: ArrayLike) -> Floats:
    """KH at which pure water stops dissolving limestone (calcite), by how much CO2 it is kept at.

    With air alone (0.63 mg/L at 25 °C) hard rock raises KH to about 3; with CO2 to ten and more. It takes weeks to come near, and
    calcium or KH that the water brings along lowers how much dissolves.

    Parameters
    ----------
    temp_c : float or array of shape (n,)
        Water temperature. [°C], 5 to 35.
    co2_mg_l : float or array of shape (n,)
        Free carbon dioxide that the water is kept at. [mg/L], 0.1 to 300.

    Returns
    -------
    float or array of shape (n,)
        Carbonate hardness; general hardness is as large. [dKH]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    plummer1982 for the constants of the carbonate system and of calcite; davies1962 for activities (keys from sources.py).

    Examples
    --------
    >>> round(calcite_alkalinity_dkh(25, 0.63))
    3
    """
    co2 = within(_CO2, co2_mg_l) / (1000 * CO2_G_MOL)
    return plain(equilibria.in_blocks(equilibria.alkalinity_of_calcite, within(TEMPERATURE, temp_c), co2) / EQ_PER_DKH)
