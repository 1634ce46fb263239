"""All equations together: how every state changes, and a bound on how fast the fastest of them runs."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fairtank.simulation.ecology import pools
from fairtank.simulation.ecology.algae import FilmFlows, film_flows
from fairtank.simulation.ecology.gases import CO2_PER_C, O2_PER_C, breathing_share, exchanged, supplied
from fairtank.simulation.ecology.nitrogen import FIRST_SHARE, OXYGEN_G_G, Nitrification, ammonium_share, nitrification
from fairtank.simulation.ecology.plants import PlantFlows, plant_flows
from fairtank.simulation.ecology.pools import Columns

Array = NDArray[np.float64]
Fastest = Callable[[], float]
RESPIRED_OF_FILM = 0.5  # of what the film loses half is respired, half dies: assumption, no source
_SPARE = 1.25  # the bound leaves out how one pool pulls on another
_ELEMENTS = (("n", pools.DEAD_N), ("p", pools.DEAD_P), ("c", pools.DEAD_C))


@dataclass(frozen=True, eq=False)
class _Turnover:
    """What living and dead matter take from the water, free into it and leave as dead matter, by element [mg/L a day]."""

    taken: dict[str, Array]
    freed: dict[str, Array]
    dead: dict[str, Array]


def _turnover(state: Array, plants: PlantFlows, film: FilmFlows, columns: Columns) -> _Turnover:
    rate = columns.rate
    decay = rate["mineralising"] * columns.warmth * breathing_share(state)
    respired, died = RESPIRED_OF_FILM * film.lost, (1 - RESPIRED_OF_FILM) * film.lost
    found = _Turnover({}, {}, {})
    for one, row in _ELEMENTS:
        plant, algae, rotten = rate[f"plant_{one}"], rate[f"film_{one}"], decay * state[row]
        found.taken[one] = plant * (plants.with_water_co2 if one == "c" else plants.from_water) + algae * film.grown
        found.freed[one] = plant * plants.respired + algae * respired + rotten
        found.dead[one] = plant * plants.died + algae * died - rotten
    return found


def _not_below_zero(state: Array) -> Array:
    """The state as the equations see it: a step may overshoot, and an empty pool is empty."""
    found = np.maximum(state, 0.0)
    found[[pools.LN_FIRST, pools.LN_SECOND]] = state[[pools.LN_FIRST, pools.LN_SECOND]]
    return found


def slope(state: Array, surface_umol: Array, co2_aim_mg_l: Array, columns: Columns) -> tuple[Array, Fastest]:
    """Change of every state [per day], shape (states, columns), and a function that gives a bound on the fastest rate [1/d].

    surface_umol: light just below the surface; co2_aim_mg_l: what the CO2 supply aims at, 0 while it is off; both of shape (columns,).
    """
    rate, sums = columns.rate, pools.PLANTS_FROM + len(columns.forms)
    state = _not_below_zero(state)
    bacteria, plants = nitrification(state, columns), plant_flows(state, surface_umol, columns)
    film = film_flows(state, surface_umol, columns)
    moved = _turnover(state, plants, film, columns)
    taken, freed, as_ammonium = moved.taken, moved.freed, ammonium_share(state, columns)
    lost_as_gas = rate["denitrifying"] * columns.warmth * state[pools.NITRATE]
    soil_n = state[pools.RELEASE]
    soil_p, soil_c = soil_n * rate["release_phosphorus"], soil_n * rate["release_carbon"]
    air_oxygen, air_co2 = exchanged(state, columns)
    given_co2 = air_co2 + supplied(state, co2_aim_mg_l, columns)
    made_c = taken["c"] + rate["plant_c"] * (plants.under_water - plants.with_water_co2)
    found = np.empty_like(state)
    found[pools.AMMONIA] = soil_n - bacteria.first + freed["n"] - taken["n"] * as_ammonium
    found[pools.NITRITE] = bacteria.first - bacteria.second
    found[pools.NITRATE] = bacteria.second - taken["n"] * (1 - as_ammonium) - lost_as_gas
    found[pools.PHOSPHORUS] = soil_p + freed["p"] - taken["p"]
    found[pools.CO2] = given_co2 + CO2_PER_C * (soil_c + freed["c"] - taken["c"])
    oxygen = (air_oxygen + O2_PER_C * (rate["photosynthetic_quotient"] * made_c - freed["c"])
              - OXYGEN_G_G * (FIRST_SHARE * bacteria.first + (1 - FIRST_SHARE) * bacteria.second))
    found[pools.OXYGEN] = np.where(columns.held, 0.0, oxygen)
    # Two acid ions for each nitrogen nitrified; one for each ammonium taken up, one less for each nitrate, for each ammonium freed or lost.
    found[pools.ALKALINITY] = (freed["n"] + lost_as_gas + taken["n"] * (1 - 2 * as_ammonium) - 2 * bacteria.first) / pools.N_G_MOL
    found[pools.LN_FIRST], found[pools.LN_SECOND] = bacteria.grows_first, bacteria.grows_second
    found[pools.RELEASE], found[pools.FRESH] = -columns.fading * state[pools.RELEASE], -state[pools.FRESH] / rate["melt_days"]
    found[pools.GROWN_IN], found[pools.FILM] = (1 - state[pools.GROWN_IN]) / rate["grown_in_days"], film.change
    for one, row in _ELEMENTS:
        found[row] = moved.dead[one]
    found[pools.PLANTS_FROM : sums] = plants.change
    by_roots = plants.grown - plants.from_water
    found[sums:] = 0.0
    found[sums], found[sums + 1], found[sums + 3] = soil_n + rate["plant_n"] * by_roots, soil_p + rate["plant_p"] * by_roots, lost_as_gas
    found[sums + 2] = given_co2 * pools.CARBON_SHARE + soil_c + rate["plant_c"] * (plants.grown - plants.with_water_co2)
    return found, lambda: _fastest(state, bacteria, taken, columns)


def _fastest(state: Array, bacteria: Nitrification, taken: dict[str, Array], columns: Columns) -> float:
    """The fastest rate at which a pool could be emptied [1/d]: what leaves it by what is in it."""
    ammonia, nitrate, phosphorus, co2 = (state[row] for row in (pools.AMMONIA, pools.NITRATE, pools.PHOSPHORUS, pools.CO2))
    first = columns.rate["ammonium_first"]
    uptake = taken["n"] / (first * ammonia + nitrate + 1e-12)
    each = np.array([bacteria.empties_ammonia + uptake * first, bacteria.empties_nitrite, uptake, taken["p"] / (phosphorus + 1e-9),
                     CO2_PER_C * taken["c"] / (co2 + 1e-6) + columns.co2_exchange + columns.rate["co2_control"],
                     columns.oxygen_exchange + columns.rate["pearling"]])
    return _SPARE * float(each.max()) + 2.0
