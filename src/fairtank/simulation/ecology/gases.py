"""Carbon dioxide and oxygen: exchange with the air, the CO2 supply, and what a process moves of each."""

import numpy as np
from numpy.typing import NDArray

from fairtank.simulation.ecology.pools import C_G_MOL, CO2, CO2_G_MOL, O2_G_MOL, OXYGEN, Columns

Array = NDArray[np.float64]
CO2_PER_C, O2_PER_C = CO2_G_MOL / C_G_MOL, O2_G_MOL / C_G_MOL
BUBBLES_ABOVE = 1.2  # by the balance with air: assumption, no source
BREATHING_HALF_MG_L = 0.3  # oxygen at which respiration and decay run half as fast: assumption, no source


def exchanged(state: Array, columns: Columns) -> tuple[Array, Array]:
    """What the air gives to the water [mg/L a day]: oxygen, CO2; below 0 where it takes. Bubbles of oxygen count as taken."""
    bubbles = columns.rate["pearling"] * np.maximum(state[OXYGEN] - BUBBLES_ABOVE * columns.oxygen_air, 0.0)
    return (columns.oxygen_exchange * (columns.oxygen_air - state[OXYGEN]) - bubbles,
            columns.co2_exchange * (columns.co2_air - state[CO2]))


def supplied(state: Array, aim_mg_l: Array, columns: Columns) -> Array:
    """CO2 from the supply [mg/L a day]: in proportion to what is missing from the aim, nothing above it or where the aim is 0."""
    return np.asarray(columns.rate["co2_control"] * np.maximum(aim_mg_l - state[CO2], 0.0) * (aim_mg_l > 0))


def breathing_share(state: Array) -> Array:
    """How far respiration and decay run with the oxygen that there is, 0 to 1."""
    oxygen = state[OXYGEN]
    return np.asarray(oxygen / (BREATHING_HALF_MG_L + oxygen))
