"""Plants by form group: growth by light, nutrients, CO2 and room; respiration; old leaves that die and leaves grown in air that melt."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fairtank.simulation.ecology.gases import breathing_share
from fairtank.simulation.ecology.light import growth_share, light_on_leaves
from fairtank.simulation.ecology.nitrogen import half_filled
from fairtank.simulation.ecology.pools import AMMONIA, CO2, FRESH, NITRATE, PHOSPHORUS, PLANTS_FROM, Columns

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class PlantFlows:
    """Change of each form [g/m² a day, shape (forms, columns)], and flows of dry mass in the water [mg/L a day, shape (columns,)].

    grown: all that grew. from_water: the part of it that took its nitrogen and phosphorus from the water. with_water_co2: the part that
    took its free CO2 from the water. under_water: the part that gave its oxygen to the water. respired, died.
    """

    change: Array
    grown: Array
    from_water: Array
    with_water_co2: Array
    under_water: Array
    respired: Array
    died: Array


def water_limit(state: Array, columns: Columns) -> Array:
    """How far the nutrients of the water carry plants, 0 to 1: the scarcer of nitrogen and phosphorus counts (Liebig)."""
    rate = columns.rate
    nitrogen = state[AMMONIA] + state[NITRATE]
    return np.minimum(half_filled(nitrogen, rate["plant_half_n"]), half_filled(state[PHOSPHORUS], rate["plant_half_p"]))


def plant_flows(state: Array, surface_umol: Array, columns: Columns) -> PlantFlows:
    """What plants do in this light.

    Growth = highest growth x warmth x light x the scarcest of nutrients and CO2 x room left. Roots in rich soil make up for part of the
    nutrients that the water lacks and bicarbonate for part of the CO2; floating leaves take CO2 from the air.
    """
    rate, plant, nothing = columns.rate, columns.plant, np.zeros(columns.count)
    if not columns.forms:
        return PlantFlows(np.zeros((0, columns.count)), *[nothing] * 6)
    mass = state[PLANTS_FROM : PLANTS_FROM + len(columns.forms)]
    respired = rate["plant_respiration"] * columns.warmth * breathing_share(state) * mass
    died = (rate["plant_death"] + plant["melt"] * state[FRESH]) * mass
    grown = from_water = with_water_co2 = under_water = np.zeros((1, columns.count))
    if surface_umol.any():
        layers = rate["canopy_extinction"] * plant["leaf_area"] * mass
        shading = layers * (plant["is_floating"] + (1 - plant["is_floating"]) * rate["overlap"])
        share = growth_share(light_on_leaves(surface_umol, columns.depth_loss, layers, shading), plant["light_half"])
        water = water_limit(state, columns)
        food = water + (1 - water) * plant["rooted"]
        co2 = half_filled(state[CO2], rate["plant_half_co2"])
        carbon = co2 + (1 - co2) * rate["bicarbonate_use"]
        limit = np.minimum(food, carbon + (1 - carbon) * plant["is_floating"])
        room = np.maximum(1 - mass / plant["most_mass"], 0.0)
        grown = plant["growth"] * columns.warmth * share * limit * room * mass
        from_water = grown * (water / np.maximum(food, 1e-12))
        under_water = grown * (1 - plant["is_floating"])
        with_water_co2 = under_water * (co2 / carbon)
    by_water = columns.mg_l_of_plants
    flows = (grown, from_water, with_water_co2, under_water, respired, died)
    return PlantFlows(grown - respired - died, *(by_water * one.sum(axis=0) for one in flows))
