"""Ammonia and the first weeks of a new tank.

Total ammonia is counted as nitrogen, mg/L N, throughout: a test that counts ammonium (NH4) reads 1.288 times as much, one that
counts ammonia (NH3) 1.216 times. The poisonous part is the un-ionised one, which grows with pH and temperature.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from fairtank.errors import InputError
from fairtank.registry import Input, Output, ReadingError, calculator
from fairtank.science.cycling import FORECAST_OUTPUTS, KINETICS, STARTS, CycleForecast, Range, Sets, drawn, forecast, foreseen, sets_at
from fairtank.science.ranges import Floats, one_number, one_of, plain, within

# pKa of ammonium = first + second / T [K]; emerson1975. A help page of a public package misprints the second as 2727.92.
_PKA_FIRST, _PKA_SECOND = 0.09018, 2729.92
# Un-ionised ammonia [mg/L N] at which sensitive animals may suffer, and that is said to harm; un_ionised_caution.
CAUTION_MG_L, HARM_MG_L = 0.02, 0.05
# The criterion is not told for pH below this; at a lower pH it would be milder still.
_CRITERION_LEAST_PH = 6.5

# How far readings are off: common practice, no source. A drop test does not tell less than its first colour step, 0.25 mg/L, from none.
_TEMP = Input("temp_c", "water temperature", "°C", 0, 30, error=ReadingError(0.5, instrument="thermometer"))
_PH = Input("ph", "pH", "", 6, 10, error=ReadingError(0.1, instrument="pH probe"))
_PH_LOAD = Input("ph", "pH", "", 6, 9, error=ReadingError(0.1, instrument="pH probe"))
_PH_CRITERION = Input("ph", "pH", "", 6.5, 9, error=ReadingError(0.1, instrument="pH probe"))
TOTAL = Input("total_mg_l", "total ammonia that was read, as nitrogen", "mg/L N", 0, 100,
              error=ReadingError(0.25, relative=True, instrument="drop test", least=0.25), figure_from=0.25)

CYCLE_TEMP = Input("temp_c", "water temperature", "°C", 15, 32)
CYCLE_PH = Input("ph", "pH; the model is for 6.5 or more", "", 6.5, 8.5, default=7.0)
START = Input("start", "bacteria at the start: a bare tank, or one seeded from a running tank", choices=tuple(STARTS), default="bare")
RELEASE = Input("release_mg_l_d", "ammonia that soil, food or drops give off on the first day, a day", "mg/L N", 0, 20, default=1.0)
FADING = Input("fading_per_d", "how fast that fades", "1/d", 0, 2, default=0.05)
START_AMMONIA = Input("start_ammonia_mg_l", "total ammonia in the water at the start", "mg/L N", 0, 20, default=0.0)
OXYGEN = Input("oxygen_mg_l", "oxygen in the water", "mg/L", 2, 15, default=8.0)
DAILY_CHANGE = Input("daily_change_fraction", "share of the water that is changed a day, on average", "", 0, 0.9, default=0.0)

_PH_HINT = ("Below 6.5 nitrifying bacteria slow down, and this model does not know by how much: there is no honest forecast. Above 8.5 "
            "ammonia slows the bacteria that take up nitrite.")


@dataclass(frozen=True)
class AmmoniaLoad:
    """What a reading of total ammonia means for animals; each a float or an array of shape (n,).

    ammonia_mg_l: un-ionised ammonia [mg/L N]. share_of_caution: of the 0.02 mg/L at which sensitive animals may suffer. share_of_harm: of
    the 0.05 mg/L that is said to harm. chronic_mg_l: total ammonia that natural waters should not exceed over 30 days [mg/L N], a
    literature value from memory. share_of_chronic: the reading as a share of it. Above 1 a share is over the line.
    """

    ammonia_mg_l: Floats
    share_of_caution: Floats
    share_of_harm: Floats
    chronic_mg_l: Floats
    share_of_chronic: Floats


@calculator(title="Un-ionised share of ammonia", unit="", sources=("emerson1975",), inputs=(_TEMP, _PH))
def unionised_fraction(temp_c: ArrayLike, ph: ArrayLike) -> Floats:
    """Share of total ammonia that is un-ionised, the part that harms animals.

    For fresh water. Salts lower the share, which is left out: by 1 to 4 % in soft water and by 5 to 10 % in hard water (PHREEQC, 6 to
    20 dGH). So the share errs on the safe side.

    Parameters
    ----------
    temp_c : float or array of shape (n,)
        Water temperature. [°C], 0 to 30.
    ph : float or array of shape (n,)
        pH. [-], 6 to 10.

    Returns
    -------
    float or array of shape (n,)
        Share from 0 to 1. [-]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    emerson1975, pKa and share (keys from sources.py).

    Examples
    --------
    >>> round(unionised_fraction(24.0, 8.0), 4)
    0.0502
    """
    pka = _PKA_FIRST + _PKA_SECOND / (within(_TEMP, temp_c) + 273.15)
    return plain(1 / (1 + 10 ** (pka - within(_PH, ph))))


@calculator(title="Un-ionised ammonia", unit="mg/L N", sources=("emerson1975",), inputs=(TOTAL, _TEMP, _PH))
def ammonia_mg_l(total_mg_l: ArrayLike, temp_c: ArrayLike, ph: ArrayLike) -> Floats:
    """Un-ionised ammonia, as nitrogen, from what a test reads.

    Read the test's sheet first: if it counts NH4 divide by 1.288, if NH3 by 1.216, to have nitrogen.

    Parameters
    ----------
    total_mg_l : float or array of shape (n,)
        Total ammonia that was read, as nitrogen. [mg/L N], 0 to 100.
    temp_c : float or array of shape (n,)
        Water temperature. [°C], 0 to 30.
    ph : float or array of shape (n,)
        pH. [-], 6 to 10.

    Returns
    -------
    float or array of shape (n,)
        Un-ionised ammonia. [mg/L N]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    emerson1975 (keys from sources.py).

    Examples
    --------
    >>> round(ammonia_mg_l(1.0, 24.0, 8.0), 4)
    0.0502
    """
    return plain(within(TOTAL, total_mg_l) * unionised_fraction(temp_c, ph))


@calculator(title="Ammonia criterion, one hour", unit="mg/L N", sources=("epa2013ammonia", "epa2013ammonia_headline"),
            inputs=(_TEMP, _PH_CRITERION))
def criterion_acute_mg_l(temp_c: ArrayLike, ph: ArrayLike) -> Floats:
    """Total ammonia that natural waters should not exceed for an hour, as a caution only.

    Made for streams with trout and mussels; your animals may bear more or less. The formula is a literature value, from
    memory; at pH 7 and 20 °C it gives the 17 mg/L that its authors announced.

    Parameters
    ----------
    temp_c : float or array of shape (n,)
        Water temperature. [°C], 0 to 30.
    ph : float or array of shape (n,)
        pH. [-], 6.5 to 9.

    Returns
    -------
    float or array of shape (n,)
        Total ammonia. [mg/L N]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    epa2013ammonia, acute formula, from memory; epa2013ammonia_headline (keys from sources.py).

    Examples
    --------
    >>> round(criterion_acute_mg_l(20.0, 7.0), 1)
    16.8
    """
    temp, ph = within(_TEMP, temp_c), within(_PH_CRITERION, ph)
    below, above = 1 + 10 ** (7.204 - ph), 1 + 10 ** (ph - 7.204)
    trout = 0.275 / below + 39.0 / above
    mussels = 0.7249 * (0.0114 / below + 1.6181 / above) * 23.12 * 10 ** (0.036 * (20 - temp))
    return plain(np.minimum(trout, mussels))


@calculator(title="Ammonia criterion, 30 days", unit="mg/L N", sources=("epa2013ammonia", "epa2013ammonia_headline"),
            inputs=(_TEMP, _PH_CRITERION))
def criterion_chronic_mg_l(temp_c: ArrayLike, ph: ArrayLike) -> Floats:
    """Total ammonia that natural waters should not exceed on the mean of 30 days, as a caution only.

    Made for streams with mussels and young fish; your animals may bear more or less. The formula is a literature value,
    from memory; at pH 7 and 20 °C it gives the 1.9 mg/L that its authors announced.

    Parameters
    ----------
    temp_c : float or array of shape (n,)
        Water temperature. [°C], 0 to 30.
    ph : float or array of shape (n,)
        pH. [-], 6.5 to 9.

    Returns
    -------
    float or array of shape (n,)
        Total ammonia. [mg/L N]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    epa2013ammonia, chronic formula, from memory; epa2013ammonia_headline (keys from sources.py).

    Examples
    --------
    >>> round(criterion_chronic_mg_l(20.0, 7.0), 1)
    1.9
    """
    temp, ph = within(_TEMP, temp_c), within(_PH_CRITERION, ph)
    by_ph = 0.0278 / (1 + 10 ** (7.688 - ph)) + 1.1994 / (1 + 10 ** (ph - 7.688))
    return plain(0.8876 * by_ph * 2.126 * 10 ** (0.028 * (20 - np.maximum(temp, 7))))


@calculator(title="Is this much ammonia safe?", sources=("emerson1975", "un_ionised_caution", "epa2013ammonia"),
            inputs=(TOTAL, _TEMP, _PH_LOAD), cautions=("plants_animals",),
            outputs=(Output("ammonia_mg_l", "un-ionised ammonia", "mg/L N"),
                     Output("share_of_caution", "share of the caution value, 0.02 mg/L"),
                     Output("share_of_harm", "share of the harmful value, 0.05 mg/L"),
                     Output("chronic_mg_l", "30-day criterion for total ammonia", "mg/L N"),
                     Output("share_of_chronic", "the reading as a share of that criterion")))
def ammonia_load(total_mg_l: ArrayLike, temp_c: ArrayLike, ph: ArrayLike) -> AmmoniaLoad:
    """How much of a reading of total ammonia is un-ionised, and how near that is to what harms animals.

    A share above 1 is over its line: no animals go in, and those that are in need a water change. The three lines are
    cautions of the literature, not limits for your animals. Below pH 6.5 the criterion for pH 6.5 is told, which is the
    stricter one.

    Parameters
    ----------
    total_mg_l : float or array of shape (n,)
        Total ammonia that was read, as nitrogen. [mg/L N], 0 to 100.
    temp_c : float or array of shape (n,)
        Water temperature. [°C], 0 to 30.
    ph : float or array of shape (n,)
        pH. [-], 6 to 9.

    Returns
    -------
    AmmoniaLoad
        ammonia_mg_l and chronic_mg_l [mg/L N]; share_of_caution, share_of_harm and share_of_chronic [-].

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    emerson1975; un_ionised_caution for 0.02 and 0.05 mg/L; epa2013ammonia, from memory (keys from sources.py).

    Examples
    --------
    >>> load = ammonia_load(1.0, 24.0, 8.0)
    >>> round(load.ammonia_mg_l, 4), round(load.share_of_harm, 2), round(load.share_of_chronic, 2)
    (0.0502, 1.0, 1.67)
    """
    ph = within(_PH_LOAD, ph)
    ammonia = ammonia_mg_l(total_mg_l, temp_c, ph)
    chronic = criterion_chronic_mg_l(temp_c, np.maximum(ph, _CRITERION_LEAST_PH))
    return AmmoniaLoad(ammonia, plain(ammonia / CAUTION_MG_L), plain(ammonia / HARM_MG_L), plain(chronic + 0 * ammonia),
                       plain(within(TOTAL, total_mg_l) / chronic))


@calculator(title="Forecast of the first weeks", sources=("wiesmann1994", "vannecke2015", "fao_glossary_cycling", "sandu1997"),
            inputs=(CYCLE_TEMP, CYCLE_PH, START, RELEASE, FADING, START_AMMONIA, OXYGEN, DAILY_CHANGE), outputs=FORECAST_OUTPUTS)
def cycle_forecast(temp_c: float, ph: float = 7.0, *, start: str = "bare", release_mg_l_d: float = 1.0, fading_per_d: float = 0.05,
                   start_ammonia_mg_l: float = 0.0, oxygen_mg_l: float = 8.0, daily_change_fraction: float = 0.0) -> CycleForecast:
    """When ammonia and nitrite of a new tank rise and vanish, as a band and never as one date.

    Two kinds of bacteria grow on ammonia and on nitrite. The band holds nine in ten of 100 sets of values, drawn from what
    the literature allows for the bacteria and from how many there may be at the start (an assumption, no source). Plants,
    which take up ammonia, are not in the model: a densely planted tank shows less. pH acts only as a gate. Readings of your
    own narrow the band: see `start_from_readings`; trust the test kit, not the forecast, before animals go in.

    Parameters
    ----------
    temp_c : float
        Water temperature. [°C], 15 to 32.
    ph : float
        pH; below 6.5 there is no forecast. [-], 6.5 to 8.5.
    start : str
        `bare`, or `seeded` with filter material or soil of a running tank. [-]
    release_mg_l_d : float
        Ammonia that soil, food or drops give off on the first day, a day. [mg/L N], 0 to 20.
    fading_per_d : float
        How fast that fades: 0.05 halves it in 14 days, 0 keeps it up. [1/d], 0 to 2.
    start_ammonia_mg_l : float
        Total ammonia in the water at the start. [mg/L N], 0 to 20.
    oxygen_mg_l : float
        Oxygen in the water. [mg/L], 2 to 15.
    daily_change_fraction : float
        Share of the water that is changed a day, on average. [-], 0 to 0.9.

    Returns
    -------
    CycleForecast
        Days and heights of both peaks, the day from which both stay below 0.25 mg/L N, and bacteria at the start; each by the
        usual values, and as low and high end of the band.

    Raises
    ------
    OutOfRangeError
        If a number lies outside its range.
    InputError
        If the word is not one of those named, or there is no ammonia at all.

    References
    ----------
    wiesmann1994 for growth, yield and half-saturation, from memory; vannecke2015 for the effect of temperature;
    fao_glossary_cycling for one to six weeks; sandu1997 for the integration (keys from sources.py).

    Examples
    --------
    >>> weeks = cycle_forecast(25.0)
    >>> round(weeks.ammonia_peak_mg_l, 1), weeks.done_low_day < weeks.done_day < weeks.done_high_day
    (4.3, True)
    """
    sets = cycle_sets(STARTS[one_of(START, start)], temp_c, ph, release_mg_l_d, fading_per_d, start_ammonia_mg_l, oxygen_mg_l,
                      daily_change_fraction)
    return forecast(sets, foreseen(sets))


def cycle_sets(start_mg_l: Range, temp_c: float, ph: float, release_mg_l_d: float, fading_per_d: float, start_ammonia_mg_l: float,
               oxygen_mg_l: float, daily_change_fraction: float) -> Sets:
    """The sets of values for a tank, the usual ones in column 0; inputs as in `cycle_forecast`, which are checked here."""
    given = ((CYCLE_TEMP, temp_c), (CYCLE_PH, ph), (RELEASE, release_mg_l_d), (FADING, fading_per_d), (START_AMMONIA, start_ammonia_mg_l),
             (OXYGEN, oxygen_mg_l), (DAILY_CHANGE, daily_change_fraction))
    temp, _, release, fading, ammonia, oxygen, change = (one_number(declared, value, _PH_HINT if declared is CYCLE_PH else "")
                                                         for declared, value in given)
    if release + ammonia == 0:
        raise InputError("release_mg_l_d", "0 and so is start_ammonia_mg_l", "some ammonia, given off or there at the start",
                         "Without ammonia there is nothing to forecast.")
    drawn_sets = drawn({**KINETICS, "start": start_mg_l})
    return sets_at(drawn_sets, temp, oxygen, release_mg_l_d=release, fading_per_d=fading, dilution_per_d=-float(np.log1p(-change)),
                   ammonia_mg_l=ammonia, start_mg_l=drawn_sets["start"])
