"""The air over the tank: its pressure by altitude or barometer, and what an oxygen reading is in percent under it."""

from numpy.typing import ArrayLike

from fairtank.registry import Input, ReadingError, calculator
from fairtank.science.gases import PRESSURE, TEMP, oxygen_saturation_mg_l
from fairtank.science.ranges import Floats, plain, within

# Standard atmosphere below 11 km, icao_atmosphere: lapse rate by sea-level temperature [1/m], and gravity x molar mass /
# (gas constant x lapse rate).
_LAPSE_PER_M = 0.0065 / 288.15
_POWER = 9.80665 * 0.0289644 / (8.31432 * 0.0065)
_HPA_PER_ATM = 1013.25

# How far readings are off: common practice, no source.
_ALTITUDE = Input("altitude_m", "altitude above the sea", "m", -400, 5000, error=ReadingError(30, instrument="map or phone"))
_SEA_LEVEL = Input("sea_level_hpa", "barometer or weather report, reduced to sea level", "hPa", 930, 1065,
                   error=ReadingError(2, instrument="barometer"))
_NOT_REDUCED = ("Below 930 hPa a reading is most likely the pressure at the tank already, not reduced to sea level: divide it by 1013.25 "
                "and use it as it is, in atm.")
_OXYGEN_READ = Input("oxygen_mg_l", "oxygen that was read", "mg/L", 0, 40, error=ReadingError(0.2, "standard", instrument="oxygen meter"))


def _share_left(altitude_m: ArrayLike) -> Floats:
    """Air pressure at an altitude as a share of that at sea level, in the standard atmosphere."""
    return plain((1 - _LAPSE_PER_M * within(_ALTITUDE, altitude_m)) ** _POWER)


@calculator(title="Air pressure by altitude", unit="atm", sources=("icao_atmosphere",), inputs=(_ALTITUDE,))
def pressure_from_altitude_atm(altitude_m: ArrayLike) -> Floats:
    """Usual air pressure at an altitude, for the oxygen formulas.

    It is the standard atmosphere: the weather moves the pressure by some 3 % around it. With a barometer at hand take
    `station_pressure_atm` instead.

    Parameters
    ----------
    altitude_m : float or array of shape (n,)
        Altitude above the sea. [m], -400 to 5000.

    Returns
    -------
    float or array of shape (n,)
        Air pressure at the tank. [atm]

    Raises
    ------
    OutOfRangeError
        If the altitude lies outside its range.

    References
    ----------
    icao_atmosphere, below 11 km (keys from sources.py).

    Examples
    --------
    >>> round(pressure_from_altitude_atm(1000), 4)
    0.887
    """
    return _share_left(altitude_m)


@calculator(title="Air pressure from a barometer set to sea level", unit="atm", sources=("icao_atmosphere",),
            inputs=(_SEA_LEVEL, _ALTITUDE))
def station_pressure_atm(sea_level_hpa: ArrayLike, altitude_m: ArrayLike) -> Floats:
    """Air pressure at the tank, from a barometer or weather report that is reduced to sea level.

    Weather reports and most house barometers show what the pressure would be at the sea, so that towns can be compared.
    Used as it is, it makes oxygen at 1000 m seem 13 % higher than it is.

    Parameters
    ----------
    sea_level_hpa : float or array of shape (n,)
        Barometer or weather report, reduced to sea level. [hPa], 930 to 1065.
    altitude_m : float or array of shape (n,)
        Altitude above the sea. [m], -400 to 5000.

    Returns
    -------
    float or array of shape (n,)
        Air pressure at the tank. [atm]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range. A reading below 930 hPa is most likely not reduced: it is the pressure at the
        tank already.

    References
    ----------
    icao_atmosphere, below 11 km (keys from sources.py).

    Examples
    --------
    >>> round(station_pressure_atm(1013.25, 1000), 4)
    0.887
    """
    pressure = within(_SEA_LEVEL, sea_level_hpa, _NOT_REDUCED)
    return plain(pressure / _HPA_PER_ATM * _share_left(altitude_m))


@calculator(title="Oxygen in percent of saturation", unit="%", sources=("benson1984",), inputs=(_OXYGEN_READ, TEMP, PRESSURE))
def oxygen_saturation_pct(oxygen_mg_l: ArrayLike, temp_c: ArrayLike, pressure_atm: ArrayLike = 1.0) -> Floats:
    """Oxygen that was read, as percent of what the water holds in balance with air.

    Leaves pearl when the film of water around them is over the pressure of all gases together; it does not say that
    the whole tank is at 100 %. A total gas pressure over 110 % is the usual caution for animals (literature value, from
    memory); oxygen alone is only a part of it.

    Parameters
    ----------
    oxygen_mg_l : float or array of shape (n,)
        Oxygen that was read. [mg/L], 0 to 40.
    temp_c : float or array of shape (n,)
        Water temperature. [°C], 0 to 40.
    pressure_atm : float or array of shape (n,)
        Air pressure at the tank itself. [atm], 0.5 to 1.1.

    Returns
    -------
    float or array of shape (n,)
        Percent of saturation. [%]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    benson1984 for the saturation (keys from sources.py).

    Examples
    --------
    >>> round(oxygen_saturation_pct(8.0, 25.0), 1)
    96.8
    """
    return plain(100 * within(_OXYGEN_READ, oxygen_mg_l) / oxygen_saturation_mg_l(temp_c, pressure_atm))
