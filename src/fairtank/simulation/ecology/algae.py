"""The film of algae on the glass: germs that settle, growth by light and nutrients, sloughing and, once the tank has grown in, grazing."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fairtank.simulation.ecology.gases import breathing_share
from fairtank.simulation.ecology.light import growth_share
from fairtank.simulation.ecology.nitrogen import half_filled
from fairtank.simulation.ecology.pools import AMMONIA, CO2, FILM, GROWN_IN, NITRATE, PHOSPHORUS, PLANTS_FROM, Columns

Array = NDArray[np.float64]
_AMMONIUM_HALF_MG_L = 0.3  # ammonium at which it helps half as much as it can: assumption, no source


@dataclass(frozen=True, eq=False)
class FilmFlows:
    """Change of the film [g/m² a day], and what grew and was lost [mg/L dry mass a day]; arrays of shape (columns,)."""

    change: Array
    grown: Array
    lost: Array


def glass_light(state: Array, surface_umol: Array, columns: Columns) -> Array:
    """Mean light on the front glass [µmol m⁻² s⁻¹]: what the depth leaves on average, less what plants keep away from it."""
    rate, plant = columns.rate, columns.plant
    mean = rate["glass_light"] * surface_umol * columns.mean_share
    if not columns.forms:
        return np.asarray(mean)
    mass = state[PLANTS_FROM : PLANTS_FROM + len(columns.forms)]
    tall = columns.depth_loss / np.minimum(columns.depth_loss.min(axis=0), -1e-12)  # 0 at the surface, 1 near the bed
    kept = plant["leaf_area"] * mass * (plant["is_floating"] + (1 - plant["is_floating"]) * rate["overlap"] * (1 - tall))
    return np.asarray(mean * np.exp(-rate["canopy_extinction"] * kept.sum(axis=0)))


def film_flows(state: Array, surface_umol: Array, columns: Columns) -> FilmFlows:
    """What the film does in this light. Germs settle in proportion to the nutrients there are, as growth on bare glass."""
    rate, nothing = columns.rate, np.zeros(columns.count)
    if not columns.has_film.any():
        return FilmFlows(nothing, nothing, nothing)
    film, ammonium = state[FILM], state[AMMONIA]
    food = np.minimum(half_filled(ammonium + state[NITRATE], rate["film_half_n"]),
                      half_filled(state[PHOSPHORUS], rate["film_half_p"]))
    limit = np.minimum(food, half_filled(state[CO2], rate["film_half_co2"]))
    grown = rate["film_seeding"] * limit * columns.has_film
    if surface_umol.any():
        share = growth_share(glass_light(state, surface_umol, columns), rate["film_light_half"])
        helped = 1 + rate["film_ammonium"] * half_filled(ammonium, np.array(_AMMONIUM_HALF_MG_L))
        room = np.maximum(1 - film / rate["film_most"], 0.0)
        grown = grown + rate["film_growth"] * columns.warmth * share * limit * helped * room * film
    lost = (rate["film_loss"] + rate["film_grazing"] * state[GROWN_IN]) * columns.warmth * breathing_share(state) * film
    return FilmFlows(grown - lost, columns.mg_l_of_film * grown, columns.mg_l_of_film * lost)
