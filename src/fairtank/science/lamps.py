"""Setting lamps: light against dimmer position.

Two lamps of one make at one setting can differ; what is set equal is the light at the bed, read with one sensor at one place. A dimmer
need not be proportional: light = slope x setting ^ power is fitted to the readings (common practice, no source).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fairtank.errors import InputError, NotEnoughDataError, OutOfRangeError
from fairtank.registry import Input, Output, calculator
from fairtank.science.ranges import Floats, plain, within

# A curve of two numbers is fitted to no fewer settings than this.
_LEAST_SETTINGS = 3

_TARGET = Input("target_umol", "wanted light", "µmol m⁻² s⁻¹", 0.01, 5000)
_SETTINGS = Input("settings", "settings that were read, as shares of full output, separated by commas", "", 0.001, 1)
# A sensor that reads a few percent high does so at every setting; a target in its own readings is then met all the same.
_READINGS = Input("readings", "light at each of these settings, separated by commas", "µmol m⁻² s⁻¹", 0.01, 5000)
_SETTING = Input("setting_fraction", "setting asked about, as a share of full output", "", 0.001, 1)


@dataclass(frozen=True)
class LampSetting:
    """The setting that gives the wanted light, and the curve it was read from: light = slope x setting ^ power.

    setting_fraction: share of full output. slope: light at full output by the curve [µmol m⁻² s⁻¹]. power: 1 where light is
    proportional to the setting. largest_residual: how far the curve is from the worst reading, as a share of the curve; 0 where one
    reading at full output was all. is_extrapolated: the setting lies outside the settings that were read, so that nobody saw it.
    """

    setting_fraction: Floats
    slope: float
    power: float
    largest_residual: float
    is_extrapolated: bool | NDArray[np.bool_]


@calculator(title="Lamp setting for a light", sources=("common_practice", "arithmetic"), inputs=(_TARGET, _SETTINGS, _READINGS),
            outputs=(Output("setting_fraction", "setting as a share of full output"),
                     Output("slope", "light at full output by the curve", "µmol m⁻² s⁻¹"),
                     Output("power", "power of the curve, 1 where proportional"),
                     Output("largest_residual", "worst reading against the curve, as a share"),
                     Output("is_extrapolated", "outside the settings that were read")))
def lamp_setting(target_umol: ArrayLike, settings: ArrayLike, readings: ArrayLike) -> LampSetting:
    """Setting of a dimmed lamp that gives the wanted light, from readings at some settings.

    Three different settings or more give a curve; one reading at full output (setting 1) is taken as proportional, which holds within a
    few percent for lamps dimmed by pulses only. Check the setting found with the sensor.

    Parameters
    ----------
    target_umol : float or array of shape (n,)
        Wanted light. [µmol m⁻² s⁻¹], 0.01 to 5000.
    settings : array of shape (m,)
        Settings that were read, as shares of full output. [-], 0.001 to 1.
    readings : array of shape (m,)
        Light at each of these settings, at one place. [µmol m⁻² s⁻¹], 0.01 to 5000.

    Returns
    -------
    LampSetting
        setting_fraction [-], slope [µmol m⁻² s⁻¹], power [-], largest_residual [-], is_extrapolated.

    Raises
    ------
    OutOfRangeError
        If a number lies outside its range, or the wanted light is more than the lamp gives.
    InputError
        If the lists differ in length, or light does not rise with the setting.
    NotEnoughDataError
        If there are fewer than three settings, and not one alone at full output.

    References
    ----------
    common_practice for the curve; arithmetic: least squares on logarithms (keys from sources.py).

    Examples
    --------
    >>> found = lamp_setting(80, [0.25, 0.5, 1.0], [30, 60, 120])
    >>> round(found.setting_fraction, 3), round(found.power, 3), found.is_extrapolated
    (0.667, 1.0, False)
    """
    target, (slope, power, at, light) = within(_TARGET, target_umol), _curve(settings, readings)
    full = float(light[at == 1].mean()) if (at == 1).any() else slope
    if (target > full * (1 + 1e-9)).any():
        raise OutOfRangeError("target_umol", f"{float(target.max())!r} µmol m⁻² s⁻¹",
                              f"no more than the lamp gives, about {full:.4g} µmol m⁻² s⁻¹",
                              "Lower the lamp, add one, or choose a lower target.")
    # A curve that runs a little below the reading at full output would ask for more than full.
    setting = np.minimum((target / slope) ** (1 / power), 1.0)
    # Down from one reading at full output is what proportional means; how the lamp dims there was still not seen.
    outside = (setting < at.min() * (1 - 1e-9)) | (setting > at.max() * (1 + 1e-9))
    residual = float(np.abs(light / (slope * at**power) - 1).max()) if at.size > 1 else 0.0
    return LampSetting(plain(setting), slope, power, residual, bool(outside) if outside.ndim == 0 else outside)


@calculator(title="Light at a lamp setting", unit="µmol m⁻² s⁻¹", sources=("common_practice", "arithmetic"),
            inputs=(_SETTING, _SETTINGS, _READINGS))
def light_at_setting(setting_fraction: ArrayLike, settings: ArrayLike, readings: ArrayLike) -> Floats:
    """Light that a dimmed lamp gives at a setting, from readings at some settings.

    The same curve as in `lamp_setting`. Below the lowest setting that was read it is a guess; some lamps go dark there.

    Parameters
    ----------
    setting_fraction : float or array of shape (n,)
        Setting asked about, as a share of full output. [-], 0.001 to 1.
    settings : array of shape (m,)
        Settings that were read, as shares of full output. [-], 0.001 to 1.
    readings : array of shape (m,)
        Light at each of these settings, at one place. [µmol m⁻² s⁻¹], 0.01 to 5000.

    Returns
    -------
    float or array of shape (n,)
        Light. [µmol m⁻² s⁻¹]

    Raises
    ------
    OutOfRangeError
        If a number lies outside its range.
    InputError
        If the lists differ in length, or light does not rise with the setting.
    NotEnoughDataError
        If there are fewer than three settings, and not one alone at full output.

    References
    ----------
    common_practice for the curve; arithmetic: least squares on logarithms (keys from sources.py).

    Examples
    --------
    >>> round(light_at_setting(0.75, [0.25, 0.5, 1.0], [30, 60, 120]), 1)
    90.0
    """
    slope, power, _, _ = _curve(settings, readings)
    return plain(slope * within(_SETTING, setting_fraction) ** power)


def _curve(settings: ArrayLike, readings: ArrayLike) -> tuple[float, float, NDArray[np.float64], NDArray[np.float64]]:
    """Slope and power of light = slope x setting ^ power, with the settings and readings behind them."""
    at = np.atleast_1d(within(_SETTINGS, settings, "Settings are shares: half is 0.5. Leave out the lamp switched off."))
    light = np.atleast_1d(within(_READINGS, readings))
    if at.shape != light.shape or at.ndim != 1:
        raise InputError("readings", "of another length than settings", "one reading for each setting")
    if at.size == 1 and at[0] == 1:
        return float(light[0]), 1.0, at, light
    if np.unique(at).size < _LEAST_SETTINGS:
        raise NotEnoughDataError(f"Read the light at {_LEAST_SETTINGS} different settings or more, or once at full output, setting 1, "
                                 "where the lamp is dimmed by pulses.")
    x, y = np.log(at), np.log(light)
    power = float(((x - x.mean()) * (y - y.mean())).sum() / ((x - x.mean()) ** 2).sum())
    if power <= 0:
        raise InputError("readings", "lower at higher settings", "light that rises with the setting",
                         "Do settings and readings stand in the same order?")
    return float(np.exp(y.mean() - power * x.mean())), power, at, light
