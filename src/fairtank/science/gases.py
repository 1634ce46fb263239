"""Oxygen and carbon dioxide between water and air: saturation, exchange at the surface, electrolysis, and gas in a room.

A tank loses or gains gas through its surface as transfer velocity x surface x (what is dissolved - what air would leave
in it). That one line decides whether a device that makes oxygen, or a bottle that gives carbon dioxide, can be seen in
the water at all.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fairtank.errors import OutOfRangeError
from fairtank.registry import Input, ReadingError, calculator
from fairtank.science.equilibria import vapour_pressure_atm
from fairtank.science.ranges import Floats, plain, within

# The table that oxygen saturation here belongs to. Older instrument tables read 9.2 instead of 9.09 mg/L at 20 °C: never
# mix the two in one trial.
OXYGEN_TABLE = "Benson & Krause 1984"

# ln of saturation [mg/L] at 1 atm as a polynomial in 1/T [K]; benson1984.
_OXYGEN = (-139.34411, 1.575701e5, -6.642308e7, 1.243800e10, -8.621949e11)
# Schmidt number in fresh water as a polynomial in °C; wanninkhof1992.
_SCHMIDT_OXYGEN = (1800.6, -120.10, 3.7818, -0.047608)
_SCHMIDT_CARBON_DIOXIDE = (1911.1, -118.11, 3.4527, -0.04132)

# Transfer velocity of a tank's surface [cm/h], lowest and highest: literature values, from memory (SURFACES_NOTE). Readings
# of the tank itself beat them: see `transfer_from_readings`. Lakes without wind have about 2.1 (cole1998, from memory).
SURFACES = {"still": (0.3, 1.0), "gentle": (1.0, 4.0), "rippled": (4.0, 10.0), "agitated": (10.0, 50.0)}
SURFACES_NOTE = {
    "still": "covered by a film, nothing moves", "gentle": "a soft return, hardly a ripple", "rippled": "ripples all over",
    "agitated": "air stone, spray bar or strong current",
}

FARADAY_C_MOL = 96485.33212
_OXYGEN_G_MOL = 31.9988
_HYDROGEN_G_MOL = 2.01588
_CARBON_DIOXIDE_G_MOL = 44.0095
_MOLAR_VOLUME_L = 24.465  # of any gas at 25 °C and 1 atm
# 1 cm/h over 1 m² moves 10 L of water's worth of gas an hour.
_L_PER_CM_M2 = 10.0

# How far readings are off: common practice, no source. A transfer velocity that was looked up, not measured, is off by half.
TEMP = Input("temp_c", "water temperature", "°C", 0, 40, error=ReadingError(0.5, instrument="thermometer"))
PRESSURE = Input("pressure_atm", "air pressure at the tank itself, not reduced to sea level", "atm", 0.5, 1.1, default=1.0,
                 error=ReadingError(0.01, instrument="barometer"))
_TEMP_TO_30 = Input("temp_c", "water temperature", "°C", 0, 30, error=ReadingError(0.5, instrument="thermometer"))
_CURRENT = Input("current_ma", "current through the device", "mA", 0, 20000,
                 error=ReadingError(0.03, relative=True, instrument="multimeter"))
_EFFICIENCY = Input("efficiency", "share of the current that makes gas", "", 0, 1, default=1.0)
_SOURCE = Input("source_mg_h", "gas made or given in an hour", "mg/h", 0, 1e6)
_EXCESS = Input("excess_mg_l", "how much more is dissolved than air leaves in it", "mg/L", -1000, 5000)
_TRANSFER = Input("transfer_cm_h", "transfer velocity at the surface", "cm/h", 0.05, 200,
                  error=ReadingError(0.5, relative=True, instrument="table of surfaces"))
SURFACE = Input("surface_m2", "open water surface", "m²", 0.001, 50, error=ReadingError(0.03, relative=True, instrument="tape"))
VOLUME = Input("volume_l", "water in the tank", "L", 0.1, 50000, error=ReadingError(0.05, relative=True, instrument="tape"))
_GAS_MASS = Input("mass_kg", "carbon dioxide that escapes", "kg", 0, 100)
_ROOM = Input("room_m3", "room volume: length x width x height", "m³", 1, 1e5,
              error=ReadingError(0.1, relative=True, instrument="tape"))

_PRESSURE_HINT = ("Give the pressure at the tank in atm (1013.25 hPa is 1 atm). A barometer or weather report reduced to sea level is "
                  "not it: station_pressure_atm converts one.")


@calculator(title="Oxygen saturation of fresh water", unit="mg/L", sources=("benson1984", "en25814"), inputs=(TEMP, PRESSURE))
def oxygen_saturation_mg_l(temp_c: ArrayLike, pressure_atm: ArrayLike = 1.0) -> Floats:
    """Oxygen that fresh water holds in balance with moist air.

    This is the 100 % of an oxygen meter. The pressure is the one at the tank: high places have less, and a barometer
    reading reduced to sea level hides that. The table is that of Benson & Krause 1984; EN 25814 is within 0.01 mg/L of it
    from 15 to 30 °C, older instrument tables are up to 0.15 mg/L off, so name the table. The water-vapour term of the
    pressure part is a literature value, from memory; another published form of it gives the same digits.

    Parameters
    ----------
    temp_c : float or array of shape (n,)
        Water temperature. [°C], 0 to 40.
    pressure_atm : float or array of shape (n,)
        Air pressure at the tank itself. [atm], 0.5 to 1.1.

    Returns
    -------
    float or array of shape (n,)
        Dissolved oxygen at 100 % saturation. [mg/L]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    benson1984, fresh-water fit and pressure correction; en25814, table (keys from sources.py).

    Examples
    --------
    >>> round(oxygen_saturation_mg_l(20.0), 2)
    9.09
    """
    temp, pressure = within(TEMP, temp_c), within(PRESSURE, pressure_atm, _PRESSURE_HINT)
    kelvin = temp + 273.15
    at_sea_level = np.exp(_polynomial(1 / kelvin, _OXYGEN))
    vapour = vapour_pressure_atm(temp)
    theta = 0.000975 - 1.426e-5 * temp + 6.436e-8 * temp**2
    return plain(at_sea_level * (pressure - vapour) * (1 - theta * pressure) / ((1 - vapour) * (1 - theta)))


@calculator(title="Schmidt number of oxygen", unit="", sources=("wanninkhof1992",), inputs=(_TEMP_TO_30,))
def schmidt_oxygen(temp_c: ArrayLike) -> Floats:
    """How slowly oxygen spreads in fresh water compared with the water's own friction (the Schmidt number).

    The lower it is, the faster the gas passes the surface. It carries a transfer velocity from one gas or temperature
    to another; see `transfer_from_k600_cm_h`.

    Parameters
    ----------
    temp_c : float or array of shape (n,)
        Water temperature. [°C], 0 to 30.

    Returns
    -------
    float or array of shape (n,)
        Schmidt number. [-]

    Raises
    ------
    OutOfRangeError
        If the temperature lies outside 0 to 30 °C, for which the fit was made.

    References
    ----------
    wanninkhof1992, fresh-water fit (keys from sources.py).

    Examples
    --------
    >>> round(schmidt_oxygen(20.0), 1)
    530.5
    """
    return plain(_polynomial(within(_TEMP_TO_30, temp_c), _SCHMIDT_OXYGEN))


@calculator(title="Schmidt number of carbon dioxide", unit="", sources=("wanninkhof1992",), inputs=(_TEMP_TO_30,))
def schmidt_carbon_dioxide(temp_c: ArrayLike) -> Floats:
    """How slowly carbon dioxide spreads in fresh water compared with the water's own friction (the Schmidt number).

    At 20 °C it is 600: the value that k600, the transfer velocity of the literature, is named after.

    Parameters
    ----------
    temp_c : float or array of shape (n,)
        Water temperature. [°C], 0 to 30.

    Returns
    -------
    float or array of shape (n,)
        Schmidt number. [-]

    Raises
    ------
    OutOfRangeError
        If the temperature lies outside 0 to 30 °C, for which the fit was made.

    References
    ----------
    wanninkhof1992, fresh-water fit (keys from sources.py).

    Examples
    --------
    >>> round(schmidt_carbon_dioxide(20.0), 1)
    599.4
    """
    return plain(_polynomial(within(_TEMP_TO_30, temp_c), _SCHMIDT_CARBON_DIOXIDE))


@calculator(title="Oxygen made by electrolysis", unit="mg/h", sources=("codata2018",), inputs=(_CURRENT, _EFFICIENCY),
            cautions=("electrolysis", "mains"))
def electrolysis_oxygen_mg_h(current_ma: ArrayLike, efficiency: ArrayLike = 1.0) -> Floats:
    """Oxygen that a current can make from water in an hour: Faraday's law, four electrons a molecule.

    Efficiency 1 is the most that is possible. Real devices reach 0.3 to 0.9 (common practice, no source): chloride in
    the water takes a part of the current and gives chlorine, and some gas turns back into water.

    Parameters
    ----------
    current_ma : float or array of shape (n,)
        Current through the device. [mA], 0 to 20000.
    efficiency : float or array of shape (n,)
        Share of the current that makes oxygen. [-], 0 to 1.

    Returns
    -------
    float or array of shape (n,)
        Oxygen. [mg/h]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    codata2018, Faraday constant (keys from sources.py).

    Examples
    --------
    >>> round(electrolysis_oxygen_mg_h(50), 2)
    14.92
    """
    amperes = within(_CURRENT, current_ma) / 1000
    return plain(amperes * 3600 * within(_EFFICIENCY, efficiency) * _OXYGEN_G_MOL * 1000 / (4 * FARADAY_C_MOL))


@calculator(title="Hydrogen made by electrolysis", unit="mg/h", sources=("codata2018",), inputs=(_CURRENT, _EFFICIENCY),
            cautions=("electrolysis", "mains"))
def electrolysis_hydrogen_mg_h(current_ma: ArrayLike, efficiency: ArrayLike = 1.0) -> Floats:
    """Hydrogen that a current makes from water in an hour: Faraday's law, two electrons a molecule.

    Hydrogen burns: under a closed lid it collects. 1 Ah makes 37.6 mg, or 0.46 L at 25 °C. Keep efficiency at 1 when the
    question is whether there is enough air.

    Parameters
    ----------
    current_ma : float or array of shape (n,)
        Current through the device. [mA], 0 to 20000.
    efficiency : float or array of shape (n,)
        Share of the current that makes hydrogen. [-], 0 to 1.

    Returns
    -------
    float or array of shape (n,)
        Hydrogen. [mg/h]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    codata2018, Faraday constant (keys from sources.py).

    Examples
    --------
    >>> round(electrolysis_hydrogen_mg_h(1000), 2)
    37.61
    """
    amperes = within(_CURRENT, current_ma) / 1000
    return plain(amperes * 3600 * within(_EFFICIENCY, efficiency) * _HYDROGEN_G_MOL * 1000 / (2 * FARADAY_C_MOL))


@calculator(title="Lasting excess of a gas that is made in the water", unit="mg/L", sources=("arithmetic",),
            inputs=(_SOURCE, _TRANSFER, SURFACE))
def steady_excess_mg_l(source_mg_h: ArrayLike, transfer_cm_h: ArrayLike, surface_m2: ArrayLike) -> Floats:
    """How far a gas stands above its balance with air, once the surface lets out as much as is made.

    It takes some three time constants to get there; see `time_constant_h`. Gas that rises as bubbles and leaves unused is
    not in the water: give only what dissolves. Plants and animals are left out.

    Parameters
    ----------
    source_mg_h : float or array of shape (n,)
        Gas made or given in an hour that dissolves. [mg/h], 0 to 1e+06.
    transfer_cm_h : float or array of shape (n,)
        Transfer velocity at the surface. [cm/h], 0.05 to 200.
    surface_m2 : float or array of shape (n,)
        Open water surface. [m²], 0.001 to 50.

    Returns
    -------
    float or array of shape (n,)
        Excess over the balance with air. [mg/L]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    arithmetic: source = velocity x surface x excess (keys from sources.py).

    Examples
    --------
    >>> round(steady_excess_mg_l(14.92, 1.0, 0.18), 2)
    8.29
    """
    return plain(within(_SOURCE, source_mg_h) / (_L_PER_CM_M2 * within(_TRANSFER, transfer_cm_h) * within(SURFACE, surface_m2)))


@calculator(title="Time constant of gas exchange", unit="h", sources=("arithmetic",), inputs=(VOLUME, _TRANSFER, SURFACE))
def time_constant_h(volume_l: ArrayLike, transfer_cm_h: ArrayLike, surface_m2: ArrayLike) -> Floats:
    """Hours in which 63 % of an excess of gas leaves the tank.

    After three time constants 95 % is gone. Read nothing as lasting before that.

    Parameters
    ----------
    volume_l : float or array of shape (n,)
        Water in the tank. [L], 0.1 to 50000.
    transfer_cm_h : float or array of shape (n,)
        Transfer velocity at the surface. [cm/h], 0.05 to 200.
    surface_m2 : float or array of shape (n,)
        Open water surface. [m²], 0.001 to 50.

    Returns
    -------
    float or array of shape (n,)
        Time constant. [h]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    arithmetic: volume / (velocity x surface) (keys from sources.py).

    Examples
    --------
    >>> round(time_constant_h(60, 2.0, 0.18), 1)
    16.7
    """
    return plain(within(VOLUME, volume_l) / (_L_PER_CM_M2 * within(_TRANSFER, transfer_cm_h) * within(SURFACE, surface_m2)))


@calculator(title="Gas lost through the surface", unit="mg/h", sources=("arithmetic",), inputs=(_EXCESS, _TRANSFER, SURFACE))
def exchange_mg_h(excess_mg_l: ArrayLike, transfer_cm_h: ArrayLike, surface_m2: ArrayLike) -> Floats:
    """Gas that leaves the water in an hour at a given excess; below zero the water takes gas up from the air.

    The excess is what is dissolved less what air would leave in it: for carbon dioxide 30 mg/L read less 0.6 mg/L.

    Parameters
    ----------
    excess_mg_l : float or array of shape (n,)
        How much more is dissolved than air leaves in it. [mg/L], -1000 to 5000.
    transfer_cm_h : float or array of shape (n,)
        Transfer velocity at the surface. [cm/h], 0.05 to 200.
    surface_m2 : float or array of shape (n,)
        Open water surface. [m²], 0.001 to 50.

    Returns
    -------
    float or array of shape (n,)
        Gas through the surface. [mg/h]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    arithmetic: velocity x surface x excess (keys from sources.py).

    Examples
    --------
    >>> round(exchange_mg_h(29.4, 2.0, 0.18), 1)
    105.8
    """
    return plain(within(_EXCESS, excess_mg_l) * _L_PER_CM_M2 * within(_TRANSFER, transfer_cm_h) * within(SURFACE, surface_m2))


@calculator(title="Carbon dioxide in a room after a leak", unit="ppm", sources=("arithmetic", "niosh_pocket_guide"),
            inputs=(_GAS_MASS, _ROOM), cautions=("co2_cylinder",))
def room_co2_ppm(mass_kg: ArrayLike, room_m3: ArrayLike) -> Floats:
    """How far carbon dioxide in a closed room rises when a cylinder or a bag of dry ice empties into it.

    The gas is taken as mixed and the room as tight: near the floor it can be far more, with open windows it is less. Add
    the 400 to 1500 ppm that a room has anyway. Limits: 5000 ppm over a working day, 30000 ppm for 15 minutes, 40000 ppm
    is dangerous at once.

    Parameters
    ----------
    mass_kg : float or array of shape (n,)
        Carbon dioxide that escapes. [kg], 0 to 100.
    room_m3 : float or array of shape (n,)
        Room volume. [m³], 1 to 100000.

    Returns
    -------
    float or array of shape (n,)
        Rise of carbon dioxide. [ppm]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range, or there would be more gas than room.

    References
    ----------
    arithmetic: 24.465 L a mole at 25 °C and 1 atm; niosh_pocket_guide for the limits (keys from sources.py).

    Examples
    --------
    >>> round(room_co2_ppm(0.5, 30))
    9265
    """
    mass, room = within(_GAS_MASS, mass_kg), within(_ROOM, room_m3)
    ppm = mass / _CARBON_DIOXIDE_G_MOL * _MOLAR_VOLUME_L / room * 1e6
    if (ppm > 1e6).any():
        raise OutOfRangeError("mass_kg", f"{float(mass.max())!r} kg", "no more gas than the room has space for", "Is the mass given in g?")
    return plain(ppm)


def _polynomial(x: NDArray[np.float64], coefficients: tuple[float, ...]) -> NDArray[np.float64]:
    """The polynomial with these coefficients, the constant first; numpy's own comes with a module that is slow to load."""
    total = np.zeros_like(x)
    for coefficient in reversed(coefficients):
        total = total * x + coefficient
    return total
