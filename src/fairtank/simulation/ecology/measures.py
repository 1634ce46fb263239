"""What a keeper would measure, read off the states: cover, canopy, tests, gases and pH."""

import numpy as np
from numpy.typing import NDArray

from fairtank.science import equilibria
from fairtank.science.cycling import READY_MG_L
from fairtank.science.nitrogen import unionised_fraction
from fairtank.science.water import water_of
from fairtank.simulation.ecology import pools
from fairtank.simulation.ecology.pools import Columns, start_of
from fairtank.simulation.ecology.rates import FULL_HEIGHT
from fairtank.simulation.ecology.running import Run

Array = NDArray[np.float64]
MEASURES: dict[str, tuple[str, str]] = {  # key -> unit, title
    "plant_cover": ("%", "front picture that plants cover"), "carpet_cover": ("%", "floor that plants cover"),
    "algae_cover": ("%", "front glass that algae cover"), "canopy_height": ("cm", "height of the canopy"),
    "plant_mass": ("g", "dry mass of the plants"),
    "total_ammonia": ("mg/L N", "total ammonia"), "nitrite": ("mg/L N", "nitrite"), "nitrate": ("mg/L", "nitrate, as NO3"),
    "phosphate": ("mg/L", "phosphate, as PO4"), "un_ionised_ammonia": ("mg/L N", "un-ionised ammonia at the day's highest pH"),
    "oxygen_low": ("mg/L", "least oxygen of the day"), "oxygen_high": ("mg/L", "most oxygen of the day"),
    "co2": ("mg/L", "free CO2 at the reading"), "co2_low": ("mg/L", "least CO2 of the day"), "co2_high": ("mg/L", "most CO2 of the day"),
    "ph": ("", "pH at the reading"), "ph_low": ("", "lowest pH of the day"), "ph_high": ("", "highest pH of the day"),
    "kh": ("dKH", "carbonate hardness"),
}
_LEAST_KH_DKH, _EMERSON_PH, _EMERSON_C, _LEAST_CO2_MG_L = 0.1, (6.0, 10.0), 30.0, 1e-3
# The model takes CO2 out of the water by day without the carbonate that makes up for it in truth, so that its pH would rise past what tanks
# reach; it is held here. Assumption, no source.
HIGHEST_PH = 9.0


def covers_and_heights(mass: Array, columns: Columns) -> tuple[Array, Array]:
    """Share of the floor that each form covers, and its height [cm]; mass and results of shape (days, forms, columns).

    Cover is the light that leaves keep back, seen from above. Height rises with cover to the full height of the form.
    """
    layers = columns.rate["canopy_extinction"] * columns.plant["leaf_area"] * mass
    water = columns.by_arm([setup.water_cm for setup in columns.setups])
    full = np.array([np.minimum(share * water, most) for share, most in map(FULL_HEIGHT.__getitem__, columns.forms)])
    full = full.reshape(len(columns.forms), columns.count)
    cover = -np.expm1(-layers)
    return cover, full * np.sqrt(cover)


def _picture(states: Array, columns: Columns) -> dict[str, Array]:
    """Cover in the front picture, of floor and glass [%], height of the canopy [cm] and mass of the plants [g]; shape (days, columns)."""
    mass = np.maximum(states[:, pools.PLANTS_FROM : pools.PLANTS_FROM + len(columns.forms)], 0.0)
    cover, height = covers_and_heights(mass, columns)
    water = columns.by_arm([setup.water_cm for setup in columns.setups])
    on_floor = np.array([[form != "floating"] for form in columns.forms], dtype=np.float64).reshape(len(columns.forms), 1)
    film = np.maximum(states[:, pools.FILM], 0.0)
    floor_m2 = columns.by_arm([setup.floor_cm2 / 1e4 for setup in columns.setups])
    seen = cover * height / water
    return {
        "plant_cover": 100 * (1 - np.prod(1 - np.minimum(seen, 1.0), axis=1)),
        "carpet_cover": 100 * (1 - np.prod(1 - cover * on_floor, axis=1)),
        "algae_cover": 100 * film / (film + columns.rate["film_half_cover"]),
        "canopy_height": (on_floor * height * np.minimum(cover / 0.1, 1.0)).max(axis=1, initial=0.0),
        "plant_mass": floor_m2 * mass.sum(axis=1),
    }


def ph_of(co2_mg_l: Array, kh_dkh: Array, temp_c: Array) -> Array:
    """pH of water with that much free CO2 and carbonate hardness (0.1 dKH where less is left), held at HIGHEST_PH at most."""
    shape = np.broadcast_shapes(co2_mg_l.shape, kh_dkh.shape)
    co2 = np.broadcast_to(np.maximum(co2_mg_l, _LEAST_CO2_MG_L), shape).ravel() / (1000 * pools.CO2_G_MOL)
    alkalinity = np.broadcast_to(np.maximum(kh_dkh, _LEAST_KH_DKH), shape).ravel() * equilibria.EQ_PER_DKH
    temp = np.broadcast_to(temp_c, shape).ravel()
    ph = np.asarray(equilibria.ph_from_co2(water_of(temp, alkalinity), alkalinity, co2))
    return np.minimum(ph, HIGHEST_PH).reshape(shape)


def measures_of(run: Run, columns: Columns) -> dict[str, Array]:
    """Every key of MEASURES -> shape (days, columns); one sample a day, day by day from day 0."""
    states, days = np.maximum(run.samples, 0.0), len(run.samples)
    temp = columns.by_arm([setup.temp_c for setup in columns.setups])
    kh = run.samples[:, pools.ALKALINITY] / pools.MEQ_PER_DKH
    (oxygen_low, co2_low), (oxygen_high, co2_high) = (np.moveaxis(one[:days], 1, 0) for one in (run.low, run.high))
    ph, ph_high, ph_low = (ph_of(co2, kh, temp) for co2 in (states[:, pools.CO2], co2_low, co2_high))
    return {
        **_picture(run.samples, columns),
        "total_ammonia": states[:, pools.AMMONIA], "nitrite": states[:, pools.NITRITE],
        "nitrate": states[:, pools.NITRATE] * pools.NO3_G_MOL / pools.N_G_MOL,
        "phosphate": states[:, pools.PHOSPHORUS] * pools.PO4_G_MOL / pools.P_G_MOL,
        "un_ionised_ammonia": states[:, pools.AMMONIA] * unionised_fraction(np.minimum(temp, _EMERSON_C) + 0 * ph,
                                                                            np.clip(ph_high, *_EMERSON_PH)),
        "oxygen_low": np.maximum(oxygen_low, 0.0), "oxygen_high": oxygen_high,
        "co2": states[:, pools.CO2], "co2_low": np.maximum(co2_low, 0.0), "co2_high": co2_high,
        "ph": ph, "ph_low": ph_low, "ph_high": ph_high, "kh": np.maximum(kh, 0.0),
    }


def safe_days(days: Array, total_ammonia_mg_l: Array, nitrite_mg_l: Array) -> Array:
    """The second of the first two readings in a row from which on total ammonia and nitrite both stay below 0.25 mg/L N.

    Parameters
    ----------
    days : array of shape (days,)
        Days of the readings, rising. [d]
    total_ammonia_mg_l, nitrite_mg_l : array of shape (members, days)
        As nitrogen. [mg/L N]

    Returns
    -------
    array of shape (members,)
        The day; NaN where fewer than two readings are left after the last one that is not below. [d]

    References
    ----------
    common_practice: no animals until both read zero on two days (keys from sources.py).

    Examples
    --------
    >>> safe_days(np.arange(5), np.array([[0.1, 0.9, 0.1, 0.0, 0.0]]), np.zeros((1, 5))).tolist()
    [3.0]
    """
    over = (total_ammonia_mg_l >= READY_MG_L) | (nitrite_mg_l >= READY_MG_L)
    count = over.shape[1]
    first = np.where(over.any(axis=1), count - np.argmax(over[:, ::-1], axis=1), 0) + 1
    return np.asarray(np.where(first < count, np.asarray(days, dtype=np.float64)[np.minimum(first, count - 1)], np.nan))


def contents(state: Array, columns: Columns) -> Array:
    """Nitrogen, phosphorus and carbon in a tank, with what left it less what came in: constant in time; shape (3, columns) [mg/L]."""
    rate, sums = columns.rate, dict(zip(pools.SUMS, state[pools.PLANTS_FROM + len(columns.forms):], strict=True))
    plants = columns.mg_l_of_plants * state[pools.PLANTS_FROM : pools.PLANTS_FROM + len(columns.forms)].sum(axis=0)
    film = columns.mg_l_of_film * state[pools.FILM]
    water = {"n": state[pools.AMMONIA] + state[pools.NITRITE] + state[pools.NITRATE] + state[pools.DEAD_N],
             "p": state[pools.PHOSPHORUS] + state[pools.DEAD_P], "c": pools.CARBON_SHARE * state[pools.CO2] + state[pools.DEAD_C]}
    left = {"n": sums["gas_n"] + sums["taken_n"], "p": sums["taken_p"], "c": sums["taken_c"]}
    came = {"n": sums["soil_n"], "p": sums["soil_p"], "c": sums["given_c"]}
    return np.array([water[one] + rate[f"plant_{one}"] * plants + rate[f"film_{one}"] * film + left[one] - came[one] for one in "npc"])


def balance_of(run: Run, columns: Columns) -> Array:
    """Relative error of the balances of nitrogen, phosphorus and carbon at the end, by all that was ever there; shape (3, columns)."""
    sums = dict(zip(pools.SUMS, np.abs(run.last[pools.PLANTS_FROM + len(columns.forms):]), strict=True))
    first = contents(start_of(columns), columns)
    moved = np.array([sums[came] + sums[taken] for came, taken in (("soil_n", "taken_n"), ("soil_p", "taken_p"), ("given_c", "taken_c"))])
    return np.asarray(np.abs(contents(run.last, columns) - first) / np.maximum(np.abs(first) + moved, 1e-9))
