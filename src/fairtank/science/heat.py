"""Heat loss, heaters, warming by devices, electricity and the turn-over of the filter.

A loss computed here is an estimate within some 15 % for the walls and worse for the surface: air that moves, a window or a warm lamp
change it. What the tank truly loses is read from the heater's running time.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fairtank.registry import Input, Output, ReadingError, calculator
from fairtank.science.heat_transfer import BASE_INPUT, BOX_INPUTS, TOP_INPUT, conductance_w_k, vapour_kpa
from fairtank.science.ranges import Floats, one_of, plain, within
from fairtank.science.vessel import WATER_KG_L

# Heat capacity of water at 25 °C [kJ/(kg K)], iapws95.
WATER_KJ_KG_K = 4.181
# Evaporation [kW/(m² kPa)], and per m/s of air over the surface: the SI form of smith1998, from memory and held against it.
_EVAPORATION, _EVAPORATION_PER_M_S = 0.089, 0.0782
# Air over the surface [m/s]: common practice, no source.
AIR_M_S = {"still": 0.0, "draught": 0.25, "fan": 1.0}
# Heater by heat loss, heater [W/L], turn-over of the filter [1/h], share of the rated flow that media and hose take: common practice,
# no source.
HEATER_BY_LOSS = (1.5, 2.0)
USUAL_HEATER_W_L = (0.5, 1.0)
USUAL_TURNOVER_PER_H = (3.0, 10.0)
USUAL_FLOW_DROP = (0.3, 0.6)

# What a thermometer, a hygrometer or a bucket is off by, at most: common practice, no source.
_THERMOMETER = ReadingError(0.5, instrument="aquarium or room thermometer")
_TEMP = Input("temp_c", "water temperature", "°C", 5, 40, error=_THERMOMETER)
_ROOM = Input("room_temp_c", "room temperature, at its coldest", "°C", 0, 40, error=_THERMOMETER)
_SURFACE = Input("surface_m2", "open water surface", "m²", 0, 10)
_HUMIDITY = Input("humidity_pct", "relative humidity of the room", "%", 0, 100, error=ReadingError(5, instrument="hygrometer"))
_AIR = Input("air", "air over the surface", choices=tuple(AIR_M_S), default="still")
_LOSS = Input("loss_w", "heat loss at the coldest room", "W", 0, 10000)
_VOLUME = Input("volume_l", "water in the tank", "L", 0.1, 50000)
_RISE = Input("rise_c", "how much warmer", "°C", 0, 40)
_POWER = Input("power_w", "power that ends as heat in the water", "W", 0, 10000)
_HEATER = Input("power_w", "power of the heater", "W", 1, 10000)
_PLUG = Input("power_w", "power at the plug", "W", 0, 10000)
_HOURS = Input("hours", "time it runs", "h", 0, 10000)
_HOURS_PER_DAY = Input("hours_per_day", "hours a day", "h", 0, 24)
_DAYS = Input("days", "days", "d", 0, 100000)
_FLOW = Input("flow_l_h", "flow", "L/h", 0, 100000)
_BUCKET = Input("bucket_l", "water caught", "L", 0.1, 1000, error=ReadingError(0.1, instrument="bucket with marks"))
_SECONDS = Input("seconds", "time it took", "s", 1, 36000, error=ReadingError(1, instrument="stopwatch"))


@dataclass(frozen=True)
class Heater:
    """Usual size of a heater, from low to high [W]."""

    low_w: Floats
    high_w: Floats


@calculator(title="Heat loss through the glass", unit="W", sources=("heat_coefficients",),
            inputs=(*BOX_INPUTS, _TEMP, _ROOM, BASE_INPUT, TOP_INPUT), cautions=("mains",))
def wall_loss_w(length_mm: ArrayLike, width_mm: ArrayLike, height_mm: ArrayLike, glass_mm: ArrayLike, temp_c: ArrayLike,
                room_temp_c: ArrayLike, base: str = "insulated", top: str = "apart") -> Floats:
    """Heat that leaves the tank through its four walls and, if asked, through bottom and top.

    (1) loss = U A (t_water - t_room), (2) U = 1 / (1/h_out + glass/k + 1/h_in), all three from memory: 9 and 200 W/(m² K), 1.0 W/(m K).
    The usual span of these numbers makes U 13 % less or more. Negative: the room warms the tank.

    The base is `insulated` (on a mat and a board: no loss counted) or `bare`. The top is `apart` (not counted here), `lid` (cover
    glass with droplets below) or `open`, which counts the dry part only: add `evaporation_w`, often the larger one.

    Parameters
    ----------
    length_mm : float or array of shape (n,)
        Outer length. [mm], 50 to 5000.
    width_mm : float or array of shape (n,)
        Outer depth from front to back. [mm], 50 to 5000.
    height_mm : float or array of shape (n,)
        Outer height, up to the water line. [mm], 50 to 2000.
    glass_mm : float or array of shape (n,)
        Glass thickness. [mm], 2 to 30.
    temp_c : float or array of shape (n,)
        Water temperature. [°C], 5 to 40.
    room_temp_c : float or array of shape (n,)
        Room temperature, at its coldest. [°C], 0 to 40.
    base : str
        What the bottom stands on: insulated or bare. [-]
    top : str
        What the top is: apart, lid or open. [-]

    Returns
    -------
    float or array of shape (n,)
        Heat loss. [W]

    Raises
    ------
    OutOfRangeError
        If a number lies outside its range.
    InputError
        If base or top is none of its words.

    References
    ----------
    heat_coefficients, from memory (keys from sources.py).

    Examples
    --------
    >>> round(wall_loss_w(600, 300, 360, 6, 25, 20), 1)
    26.5
    """
    warmer = within(_TEMP, temp_c) - within(_ROOM, room_temp_c)
    return plain(conductance_w_k(length_mm, width_mm, height_mm, glass_mm, base, top) * warmer)


@calculator(title="Heat loss by evaporation", unit="W", sources=("smith1998", "buck1981", "common_practice"),
            inputs=(_SURFACE, _TEMP, _ROOM, _HUMIDITY, _AIR), cautions=("mains",))
def evaporation_w(surface_m2: ArrayLike, temp_c: ArrayLike, room_temp_c: ArrayLike, humidity_pct: ArrayLike,
                  air: str = "still") -> Floats:
    """Heat that evaporation takes from an open water surface.

    (1) loss = A (p_water - p_room) (0.089 + 0.0782 v) kW, pressures of vapour in kPa, v the air over the surface in m/s. The equation was
    made for pools; over a quiet one 74 % of it was measured. Where the room's air is moister than the air at the surface, 0 is told.
    It can exceed the loss through the walls; a cover stops most of it.

    Parameters
    ----------
    surface_m2 : float or array of shape (n,)
        Open water surface. [m²], 0 to 10.
    temp_c : float or array of shape (n,)
        Water temperature. [°C], 5 to 40.
    room_temp_c : float or array of shape (n,)
        Room temperature. [°C], 0 to 40.
    humidity_pct : float or array of shape (n,)
        Relative humidity of the room. [%], 0 to 100.
    air : str
        Air over the surface: still (0 m/s), draught (0.25 m/s) or fan (1 m/s); the speeds are common practice, no source. [-]

    Returns
    -------
    float or array of shape (n,)
        Heat loss. [W]

    Raises
    ------
    OutOfRangeError
        If a number lies outside its range.
    InputError
        If air is none of its words.

    References
    ----------
    smith1998 for the equation, its SI form from memory; buck1981 for the vapour pressure, from memory; common_practice for the air speeds
    (keys from sources.py).

    Examples
    --------
    >>> round(evaporation_w(0.18, 25, 20, 50))
    32
    """
    water_kpa = vapour_kpa(within(_TEMP, temp_c))
    room_kpa = vapour_kpa(within(_ROOM, room_temp_c)) * within(_HUMIDITY, humidity_pct) / 100
    per_m2_kpa = 1000 * (_EVAPORATION + _EVAPORATION_PER_M_S * AIR_M_S[one_of(_AIR, air)])
    return plain(within(_SURFACE, surface_m2) * np.maximum(water_kpa - room_kpa, 0) * per_m2_kpa)


@calculator(title="Size of the heater", outputs=(Output("low_w", "from", "W"), Output("high_w", "to", "W")), sources=("common_practice",),
            inputs=(_LOSS,), cautions=("mains",))
def heater_w(loss_w: ArrayLike) -> Heater:
    """Usual power of a heater for this heat loss at the coldest room: one and a half times to twice the loss.

    Common practice, no source; by volume the trade takes 0.5 to 1 W/L. Two small heaters instead of one large one do less harm when one
    sticks. All tanks of a trial get the same heater and are read with the same thermometer.

    Parameters
    ----------
    loss_w : float or array of shape (n,)
        Heat loss at the coldest room, walls and surface together. [W], 0 to 10000.

    Returns
    -------
    Heater
        low_w and high_w. [W]

    Raises
    ------
    OutOfRangeError
        If the loss lies outside its range; a room warmer than the tank needs no heater.

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> heater_w(60)
    Heater(low_w=90.0, high_w=120.0)
    """
    loss = within(_LOSS, loss_w, "Where the room is warmer than the tank, no heater is needed.")
    return Heater(plain(HEATER_BY_LOSS[0] * loss), plain(HEATER_BY_LOSS[1] * loss))


def _kj_per_k(volume_l: ArrayLike) -> NDArray[np.float64]:
    """Heat that warms this water by one degree [kJ/K]."""
    return within(_VOLUME, volume_l) * WATER_KG_L * WATER_KJ_KG_K


@calculator(title="Time to heat up", unit="h", sources=("arithmetic", "iapws95"), inputs=(_VOLUME, _RISE, _HEATER), cautions=("mains",))
def heat_up_h(volume_l: ArrayLike, rise_c: ArrayLike, power_w: ArrayLike) -> Floats:
    """Time that a heater needs to warm the water, if nothing is lost on the way.

    (1) time = V ρ c Δt / P. With losses it takes longer, and with a heater below the loss it never ends. Glass, bed and stones take
    heat too: a tenth more or so.

    Parameters
    ----------
    volume_l : float or array of shape (n,)
        Water in the tank. [L], 0.1 to 50000.
    rise_c : float or array of shape (n,)
        How much warmer. [°C], 0 to 40.
    power_w : float or array of shape (n,)
        Power of the heater. [W], 1 to 10000.

    Returns
    -------
    float or array of shape (n,)
        Time. [h]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    arithmetic; iapws95 for density and heat capacity at 25 °C (keys from sources.py).

    Examples
    --------
    >>> round(heat_up_h(60, 5, 100), 2)
    3.47
    """
    return plain(_kj_per_k(volume_l) * within(_RISE, rise_c) / (within(_HEATER, power_w) * 3.6))


@calculator(title="Warming by a device, nothing lost", unit="°C", sources=("arithmetic", "iapws95"), inputs=(_POWER, _HOURS, _VOLUME),
            cautions=("mains",))
def adiabatic_rise_c(power_w: ArrayLike, hours: ArrayLike, volume_l: ArrayLike) -> Floats:
    """How much a device warms the water in this time if no heat is lost: an upper bound.

    (1) Δt = P t / (V ρ c). Nearly all electric power that is used inside the water ends there as heat, also that of a pump or a
    light source under water. After hours the loss catches up; see `steady_rise_c`.

    Parameters
    ----------
    power_w : float or array of shape (n,)
        Power that ends as heat in the water. [W], 0 to 10000.
    hours : float or array of shape (n,)
        Time it runs. [h], 0 to 10000.
    volume_l : float or array of shape (n,)
        Water in the tank. [L], 0.1 to 50000.

    Returns
    -------
    float or array of shape (n,)
        Rise. [°C]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    arithmetic; iapws95 for density and heat capacity at 25 °C (keys from sources.py).

    Examples
    --------
    >>> round(adiabatic_rise_c(10, 8, 60), 2)
    1.15
    """
    return plain(within(_POWER, power_w) * within(_HOURS, hours) * 3.6 / _kj_per_k(volume_l))


@calculator(title="Warming by a device, day and night", unit="°C", sources=("heat_coefficients",),
            inputs=(_POWER, *BOX_INPUTS, BASE_INPUT, TOP_INPUT), cautions=("mains",))
def steady_rise_c(power_w: ArrayLike, length_mm: ArrayLike, width_mm: ArrayLike, height_mm: ArrayLike, glass_mm: ArrayLike,
                  base: str = "insulated", top: str = "apart") -> Floats:
    """How much warmer a tank without a heater settles because of a device that runs without a pause.

    (1) Δt = P / sum of U A, losses as in `wall_loss_w`, evaporation left out: with an open surface the true rise is smaller. Give the
    mean power over the day for a device that runs for hours only. A thermostat hides the warming; it then shows as less heating.

    Parameters
    ----------
    power_w : float or array of shape (n,)
        Power that ends as heat in the water. [W], 0 to 10000.
    length_mm : float or array of shape (n,)
        Outer length. [mm], 50 to 5000.
    width_mm : float or array of shape (n,)
        Outer depth from front to back. [mm], 50 to 5000.
    height_mm : float or array of shape (n,)
        Outer height, up to the water line. [mm], 50 to 2000.
    glass_mm : float or array of shape (n,)
        Glass thickness. [mm], 2 to 30.
    base : str
        What the bottom stands on: insulated or bare. [-]
    top : str
        What the top is: apart, lid or open. [-]

    Returns
    -------
    float or array of shape (n,)
        Rise. [°C]

    Raises
    ------
    OutOfRangeError
        If a number lies outside its range.
    InputError
        If base or top is none of its words.

    References
    ----------
    heat_coefficients, from memory (keys from sources.py).

    Examples
    --------
    >>> round(steady_rise_c(10, 600, 300, 360, 6), 2)
    1.88
    """
    return plain(within(_POWER, power_w) / conductance_w_k(length_mm, width_mm, height_mm, glass_mm, base, top))


@calculator(title="Electricity", unit="kWh", sources=("arithmetic",), inputs=(_PLUG, _HOURS_PER_DAY, _DAYS), cautions=("mains",))
def energy_kwh(power_w: ArrayLike, hours_per_day: ArrayLike, days: ArrayLike) -> Floats:
    """Electricity that a device takes over so many days.

    Parameters
    ----------
    power_w : float or array of shape (n,)
        Power at the plug. [W], 0 to 10000.
    hours_per_day : float or array of shape (n,)
        Hours a day. [h], 0 to 24.
    days : float or array of shape (n,)
        Days. [d], 0 to 100000.

    Returns
    -------
    float or array of shape (n,)
        Energy. [kWh]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> energy_kwh(25, 8, 365)
    73.0
    """
    return plain(within(_PLUG, power_w) * within(_HOURS_PER_DAY, hours_per_day) * within(_DAYS, days) / 1000)


@calculator(title="Turn-over of the filter", unit="1/h", sources=("common_practice",), inputs=(_FLOW, _VOLUME), cautions=("mains",))
def turnover_per_h(flow_l_h: ArrayLike, volume_l: ArrayLike) -> Floats:
    """How often an hour the filter moves the tank's water: flow by volume.

    Common practice, no source: 3 to 10 times an hour. The flow on the box is that of the bare pump; media, hose and height take
    30 to 60 % of it, so measure the real one with `flow_by_bucket_l_h`.

    Parameters
    ----------
    flow_l_h : float or array of shape (n,)
        Flow. [L/h], 0 to 100000.
    volume_l : float or array of shape (n,)
        Water in the tank. [L], 0.1 to 50000.

    Returns
    -------
    float or array of shape (n,)
        Turn-over. [1/h]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> turnover_per_h(300, 60)
    5.0
    """
    return plain(within(_FLOW, flow_l_h) / within(_VOLUME, volume_l))


@calculator(title="Flow by bucket and watch", unit="L/h", sources=("arithmetic",), inputs=(_BUCKET, _SECONDS), cautions=("mains",))
def flow_by_bucket_l_h(bucket_l: ArrayLike, seconds: ArrayLike) -> Floats:
    """Real flow of a filter, from the water that its outlet fills into a bucket.

    Hold the outlet at its usual height, and take a bucket that needs half a minute or more.

    Parameters
    ----------
    bucket_l : float or array of shape (n,)
        Water caught. [L], 0.1 to 1000.
    seconds : float or array of shape (n,)
        Time it took. [s], 1 to 36000.

    Returns
    -------
    float or array of shape (n,)
        Flow. [L/h]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> flow_by_bucket_l_h(2.5, 30)
    300.0
    """
    return plain(within(_BUCKET, bucket_l) * 3600 / within(_SECONDS, seconds))
