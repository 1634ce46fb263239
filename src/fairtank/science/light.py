"""Light for plants: from lux to PPFD, per day, under a panel, down through the water, into growth.

PPFD counts the photons that plants use, 400 to 700 nm. Common practice, no source: at the bed 15 to 40 µmol m⁻² s⁻¹ is called low, 40 to
80 medium and 80 to 150 high; new tanks start with 5 to 6 hours a day.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from fairtank.errors import InputError, OutOfRangeError
from fairtank.registry import Input, Output, ReadingError, calculator
from fairtank.science import spectra
from fairtank.science.ranges import Floats, one_of, plain, within
from fairtank.science.response import CURVES, MAXIMUM, MODEL, SLOPE

# A phone is 10 to 50 % off, by phone and by lamp; 30 % stands in for a phone nobody checked: common practice, no source.
PHONE_ERROR = 0.3
_LUX = Input("lux", "illuminance", "lux", 0, 300000, error=ReadingError(PHONE_ERROR, "within", relative=True, instrument="phone lux meter"))
_LUX_READ = Input("lux", "illuminance as read", "lux", 0, 300000)
# mixed_led may be chosen everywhere, so that who has such a lamp is told why no figure comes out.
_SOURCE = Input("source", "light source: a word, a CIE name, or a wavelength", "nm", 400, 700, choices=tuple(spectra.SOURCES))
_METER = Input("meter_error_fraction", "how far the meter may be off, as a share", "", 0, 0.9, default=PHONE_ERROR)
_PPFD = Input("ppfd_umol", "PPFD", "µmol m⁻² s⁻¹", 0, 5000)
_HOURS = Input("hours", "hours of light per day", "h", 0, 24)
_DAILY = Input("daily_light_mol_m2", "light per day", "mol m⁻² d⁻¹", 0, 450)
_LENGTH = Input("length_m", "length of the lamp's glowing face", "m", 0.001, 10)
_WIDTH = Input("width_m", "width of the lamp's glowing face", "m", 0.001, 10)
_DISTANCE = Input("distance_m", "distance below the middle of the lamp, in air", "m", 0.001, 100)
_ATTENUATION = Input("attenuation_per_m", "attenuation of plant light in the water", "1/m", 0, 50)
_DEPTH = Input("depth_m", "depth of water", "m", 0, 10)
_LIGHT = Input("light_umol", "light at the leaf", "µmol m⁻² s⁻¹", 0, 5000)
_RESPIRATION = Input("respiration", "rate lost in the dark, in the unit of maximum", "", 0, 1e6, default=0.0)


@dataclass(frozen=True)
class LightRange:
    """PPFD that a lux reading may stand for, from low to high [µmol m⁻² s⁻¹]."""

    low_umol: Floats
    high_umol: Floats


@calculator(title="Lux per µmol", unit="", sources=("thimijan1983", "cie2018", "cie018"), inputs=(_SOURCE,))
def lux_per_ppfd(source: ArrayLike) -> Floats:
    """Lux for each µmol m⁻² s⁻¹ of plant light, by the kind of lamp.

    It belongs to the spectrum. Coloured plant LEDs have no one factor and are refused: see `ppfd_range_from_lux`.

    Parameters
    ----------
    source : str, or float or array of shape (n,)
        A word (`sunlight`, `white_led` ...), a CIE name (`D65`, `FL2`, `LED-B3` ...), or a wavelength. [nm], 400 to 700.

    Returns
    -------
    float or array of shape (n,)
        Lux per µmol m⁻² s⁻¹.

    Raises
    ------
    InputError
        If the source is not known, or has no one factor.
    OutOfRangeError
        If a wavelength lies outside 400 to 700 nm.

    References
    ----------
    thimijan1983 for lamps and sky, cie2018 for the illuminants, cie018 for one wavelength (keys from sources.py).

    Examples
    --------
    >>> lux_per_ppfd("LED-B3")
    69.75
    """
    found = spectra.source_of(source)
    if found is None:
        return spectra.monochromatic_lux_per_ppfd(float(source) if isinstance(source, str) else source)  # a word that is a number
    if found.lux_per_ppfd is None:
        raise InputError("source", found.key, "a light with one known ratio of lux to plant light",
                         "Lux under coloured LEDs mislead: measure with a quantum sensor, or ask for the range with ppfd_range_from_lux.")
    return found.lux_per_ppfd


@calculator(title="PPFD from lux", unit="µmol m⁻² s⁻¹", sources=("thimijan1983", "cie2018", "cie018"), inputs=(_LUX, _SOURCE))
def ppfd_from_lux(lux: ArrayLike, source: ArrayLike) -> Floats:
    """Plant light (PPFD) from a lux reading and the kind of lamp.

    A stand-in for a quantum sensor, for white light only. It can compare tanks under lamps of one kind, read with one meter.

    Parameters
    ----------
    lux : float or array of shape (n,)
        Illuminance. [lux], 0 to 300000.
    source : str, or float or array of shape (n,)
        A word (`sunlight`, `white_led` ...), a CIE name (`D65`, `FL2`, `LED-B3` ...), or a wavelength. [nm], 400 to 700.

    Returns
    -------
    float or array of shape (n,)
        PPFD. [µmol m⁻² s⁻¹]

    Raises
    ------
    InputError
        If the source is not known, or has no one factor.
    OutOfRangeError
        If a number lies outside its range.

    References
    ----------
    thimijan1983, cie2018, cie018: PPFD = lux / factor (keys from sources.py).

    Examples
    --------
    >>> round(ppfd_from_lux(10800, "sunlight"), 1)
    200.0
    """
    return plain(within(_LUX, lux) / lux_per_ppfd(source))


@calculator(title="Range of PPFD from lux", sources=("thimijan1983", "cie2018", "cie018", "common_practice"),
            inputs=(_LUX_READ, _SOURCE, _METER),
            outputs=(Output("low_umol", "lowest PPFD", "µmol m⁻² s⁻¹"), Output("high_umol", "highest PPFD", "µmol m⁻² s⁻¹")))
def ppfd_range_from_lux(lux: ArrayLike, source: ArrayLike, meter_error_fraction: ArrayLike = PHONE_ERROR) -> LightRange:
    """Lowest and highest plant light that a lux reading may stand for, also under coloured LEDs.

    Two things are unknown at once: the meter, 30 % off unless told otherwise, and the spectrum of a mixed lamp, 30 to 60 lux per µmol.
    A lamp of red and blue chips alone is worth more photons still than the range says: only a quantum sensor tells.

    Parameters
    ----------
    lux : float or array of shape (n,)
        Illuminance as read. [lux], 0 to 300000.
    source : str, or float or array of shape (n,)
        A word (`mixed_led`, `white_led` ...), a CIE name (`D65`, `LED-B3` ...), or a wavelength. [nm], 400 to 700.
    meter_error_fraction : float or array of shape (n,)
        How far the meter may be off, as a share of its reading. [-], 0 to 0.9.

    Returns
    -------
    LightRange
        low_umol and high_umol. [µmol m⁻² s⁻¹]

    Raises
    ------
    InputError
        If the source is not known.
    OutOfRangeError
        If a number lies outside its range.

    References
    ----------
    thimijan1983, cie2018, cie018 for the sources; common_practice for mixed LEDs and for the meter (keys from sources.py).

    Examples
    --------
    >>> found = ppfd_range_from_lux(3000, "mixed_led", 0.3)
    >>> round(found.low_umol, 1), round(found.high_umol, 1)
    (35.0, 130.0)
    """
    read, error = within(_LUX_READ, lux), within(_METER, meter_error_fraction)
    found = spectra.source_of(source)
    most: Floats = lux_per_ppfd(source) if found is None else found.high
    least: Floats = most if found is None else found.low
    return LightRange(plain(read * (1 - error) / most), plain(read * (1 + error) / least))


@calculator(title="Light per day", unit="mol m⁻² d⁻¹", sources=("arithmetic",), inputs=(_PPFD, _HOURS))
def daily_light_mol_m2(ppfd_umol: ArrayLike, hours: ArrayLike) -> Floats:
    """Light per day (DLI): photons that fall on a square metre while the lamp is on.

    Holds for a lamp that is on or off; with a slow dawn and dusk add the steps up.

    Parameters
    ----------
    ppfd_umol : float or array of shape (n,)
        PPFD. [µmol m⁻² s⁻¹], 0 to 5000.
    hours : float or array of shape (n,)
        Hours of light per day. [h], 0 to 24.

    Returns
    -------
    float or array of shape (n,)
        Light per day. [mol m⁻² d⁻¹]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    arithmetic: PPFD x hours x 3600 / 10⁶ (keys from sources.py).

    Examples
    --------
    >>> round(daily_light_mol_m2(50, 8), 2)
    1.44
    """
    return plain(within(_PPFD, ppfd_umol) * within(_HOURS, hours) * 3600 / 1e6)


@calculator(title="Hours for a light per day", unit="h", sources=("arithmetic",), inputs=(_DAILY, _PPFD))
def hours_from_daily_light(daily_light_mol_m2: ArrayLike, ppfd_umol: ArrayLike) -> Floats:
    """Hours that the lamp must be on for a wanted light per day.

    The same light per day in fewer, brighter hours is not the same to plants: above their saturation they cannot use it.

    Parameters
    ----------
    daily_light_mol_m2 : float or array of shape (n,)
        Light per day. [mol m⁻² d⁻¹], 0 to 450.
    ppfd_umol : float or array of shape (n,)
        PPFD, above 0. [µmol m⁻² s⁻¹], 0 to 5000.

    Returns
    -------
    float or array of shape (n,)
        Hours of light per day. [h]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range, or the day is too short for that light.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> round(hours_from_daily_light(1.44, 50), 2)
    8.0
    """
    daily, ppfd = within(_DAILY, daily_light_mol_m2), within(_PPFD, ppfd_umol)
    if (ppfd == 0).any():
        raise OutOfRangeError("ppfd_umol", "0.0 µmol m⁻² s⁻¹", "more than 0", "A dark lamp never gets there.")
    hours = daily * 1e6 / (ppfd * 3600)
    if (hours > 24 * (1 + 1e-12)).any():  # rounding must not refuse a lamp that is never off
        raise OutOfRangeError("daily_light_mol_m2", f"{float(daily.max())!r} mol m⁻² d⁻¹", "what the lamp gives in 24 hours",
                              f"It would take {float(np.max(hours)):.1f} hours a day.")
    return plain(np.minimum(hours, 24.0))


@calculator(title="Share of a panel's light", unit="", sources=("lambert_panel",), inputs=(_LENGTH, _WIDTH, _DISTANCE))
def panel_share(length_m: ArrayLike, width_m: ArrayLike, distance_m: ArrayLike) -> Floats:
    """Light under the middle of an evenly glowing panel, as a share of the light right at its face.

    Divide the shares of two distances for what raising the lamp does. It holds for a matt panel (Lambert) in air; lenses, the water's
    surface and reflecting walls change it: under water, measure.

    Parameters
    ----------
    length_m : float or array of shape (n,)
        Length of the glowing face. [m], 0.001 to 10.
    width_m : float or array of shape (n,)
        Width of the glowing face. [m], 0.001 to 10.
    distance_m : float or array of shape (n,)
        Distance below the middle of the lamp. [m], 0.001 to 100.

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
    lambert_panel: four quarters of the view factor from a small face to a parallel rectangle (keys from sources.py).

    Examples
    --------
    >>> round(panel_share(0.6, 0.2, 0.3), 4)
    0.257
    """
    length, width, distance = within(_LENGTH, length_m), within(_WIDTH, width_m), within(_DISTANCE, distance_m)
    x, y = length / (2 * distance), width / (2 * distance)
    along, across = np.hypot(1, x), np.hypot(1, y)
    return plain(2 / np.pi * (x / along * np.arctan(y / along) + y / across * np.arctan(x / across)))


@calculator(title="Error of the inverse square rule", unit="", sources=("lambert_panel",), inputs=(_LENGTH, _WIDTH, _DISTANCE))
def inverse_square_error(length_m: ArrayLike, width_m: ArrayLike, distance_m: ArrayLike) -> Floats:
    """By how much the inverse square rule overstates the light under a panel, as a share of the true light.

    A panel is no point: the rule is less than 2 % off only from about five times the longest side on, far above an aquarium.

    Parameters
    ----------
    length_m : float or array of shape (n,)
        Length of the glowing face. [m], 0.001 to 10.
    width_m : float or array of shape (n,)
        Width of the glowing face. [m], 0.001 to 10.
    distance_m : float or array of shape (n,)
        Distance below the middle of the lamp. [m], 0.001 to 100.

    Returns
    -------
    float or array of shape (n,)
        Overstatement: 0.1 is 10 % too high. [-]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    lambert_panel: far away the share is length x width / (π distance²) (keys from sources.py).

    Examples
    --------
    >>> round(inverse_square_error(0.6, 0.2, 0.3), 2)
    0.65
    """
    share = panel_share(length_m, width_m, distance_m)
    point = within(_LENGTH, length_m) * within(_WIDTH, width_m) / (np.pi * within(_DISTANCE, distance_m) ** 2)
    return plain(point / share - 1)


@calculator(title="Share of light left at a depth", unit="", sources=("kirk2011",), inputs=(_ATTENUATION, _DEPTH))
def light_at_depth_share(attenuation_per_m: ArrayLike, depth_m: ArrayLike) -> Floats:
    """Share of the light just below the surface that is left at a depth.

    Literature values, from memory: clear tap water 0.1 to 0.4 per m, slightly yellow 0.5 to 1.5, stained by wood 2 to 6, green with
    algae 2 to 10; before it, 2 to 5 % lost at the surface, 8 to 10 % in a clean cover glass. The spread of the beam comes on top.

    Parameters
    ----------
    attenuation_per_m : float or array of shape (n,)
        Attenuation of plant light. [1/m], 0 to 50.
    depth_m : float or array of shape (n,)
        Depth of water above. [m], 0 to 10.

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
    kirk2011: exp(-K depth) (keys from sources.py).

    Examples
    --------
    >>> round(light_at_depth_share(2, 0.30), 4)
    0.5488
    """
    return plain(np.exp(-within(_ATTENUATION, attenuation_per_m) * within(_DEPTH, depth_m)))


@calculator(title="Mean share of light over a depth", unit="", sources=("kirk2011",), inputs=(_ATTENUATION, _DEPTH))
def mean_light_share(attenuation_per_m: ArrayLike, depth_m: ArrayLike) -> Floats:
    """Mean light from the surface down to a depth, as a share of the light just below the surface.

    It is what drifting algae see on average. Attenuations: see `light_at_depth_share`.

    Parameters
    ----------
    attenuation_per_m : float or array of shape (n,)
        Attenuation of plant light. [1/m], 0 to 50.
    depth_m : float or array of shape (n,)
        Depth of water. [m], 0 to 10.

    Returns
    -------
    float or array of shape (n,)
        Share from 0 to 1; 1 in perfectly clear water. [-]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    kirk2011: (1 - exp(-K depth)) / (K depth) (keys from sources.py).

    Examples
    --------
    >>> round(mean_light_share(2, 0.30), 4)
    0.752
    """
    path = within(_ATTENUATION, attenuation_per_m) * within(_DEPTH, depth_m)
    # expm1 keeps its digits in clear water, where 1 - exp(-path) would lose them.
    return plain(np.where(path == 0, 1.0, -np.expm1(-path) / np.where(path == 0, 1.0, path)))


@calculator(title="Photosynthesis at a light", unit="", sources=("jassby1976", "monod1949", "smith1936"),
            inputs=(MODEL, _LIGHT, MAXIMUM, SLOPE, _RESPIRATION))
def photosynthesis(model: str, light_umol: ArrayLike, maximum: ArrayLike, slope: ArrayLike, respiration: ArrayLike = 0.0) -> Floats:
    """Rate of photosynthesis or growth at a light, by one of three curves that share slope and maximum.

    With one slope and maximum jassby_platt is highest everywhere and monod lowest. None of them knows harm by too much light.

    Parameters
    ----------
    model : str
        jassby_platt, monod or smith. [-]
    light_umol : float or array of shape (n,)
        Light at the leaf. [µmol m⁻² s⁻¹], 0 to 5000.
    maximum : float or array of shape (n,)
        Rate at full light. [any unit], 1e-06 to 1e+06.
    slope : float or array of shape (n,)
        Rise of the rate per µmol m⁻² s⁻¹ in dim light. [any unit by µmol m⁻² s⁻¹], 1e-09 to 1e+06.
    respiration : float or array of shape (n,)
        Rate lost in the dark. [any unit, as maximum], 0 to 1e+06.

    Returns
    -------
    float or array of shape (n,)
        Rate, below 0 in dim light where there is respiration. [unit of maximum]

    Raises
    ------
    InputError
        If the model is not one of the three.
    OutOfRangeError
        If a number lies outside its range.

    References
    ----------
    jassby1976: tanh; monod1949: half of the maximum at maximum / slope; smith1936 (keys from sources.py).

    Examples
    --------
    >>> round(photosynthesis("jassby_platt", 100, 10, 0.1), 3)
    7.616
    """
    word, most = one_of(MODEL, model), within(MAXIMUM, maximum)
    relative = within(SLOPE, slope) * within(_LIGHT, light_umol) / most
    return plain(most * CURVES[word](relative) - within(_RESPIRATION, respiration))
