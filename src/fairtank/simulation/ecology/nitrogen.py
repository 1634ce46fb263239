"""Nitrogen: what the soil gives off, the two steps of nitrification as in `fairtank.science.cycling`, and who takes which form."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fairtank.science.nitrification import nitrification_oxygen_mg_l
from fairtank.simulation.ecology.pools import AMMONIA, LN_FIRST, LN_SECOND, NITRATE, NITRITE, OXYGEN, Columns

Array = NDArray[np.float64]
OXYGEN_G_G = float(nitrification_oxygen_mg_l(1.0))  # 4.57: three quarters in the first step, one in the second
FIRST_SHARE = 0.75
_NOTHING = 1e-12  # keeps 0 / 0 away; mg/L
_HIGHEST_LN = 20.0


@dataclass(frozen=True, eq=False)
class Nitrification:
    """Nitrogen turned over [mg/L a day], growth of the logs of the bacteria [1/d], and how fast each pool is emptied [1/d]."""

    first: Array
    second: Array
    grows_first: Array
    grows_second: Array
    empties_ammonia: Array
    empties_nitrite: Array


def nitrification(state: Array, columns: Columns) -> Nitrification:
    """Equations 1, 2 and 4 of `fairtank.science.cycling`, with the oxygen that there is."""
    rate = columns.rate
    ammonia, nitrite, oxygen = state[AMMONIA], state[NITRITE], state[OXYGEN]
    air_first, air_second = oxygen / (columns.half_oxygen_first + oxygen), oxygen / (columns.half_oxygen_second + oxygen)
    per_first, per_second = 1 / (rate["half_ammonia_mg_l"] + ammonia), 1 / (rate["half_nitrite_mg_l"] + nitrite)
    most_first = columns.turnover_first * air_first * np.exp(np.minimum(state[LN_FIRST], _HIGHEST_LN))
    most_second = columns.turnover_second * air_second * np.exp(np.minimum(state[LN_SECOND], _HIGHEST_LN))
    first_share, second_share = ammonia * per_first, nitrite * per_second
    return Nitrification(most_first * first_share, most_second * second_share,
                         columns.growth_first * air_first * first_share - rate["decay_per_d"],
                         columns.growth_second * air_second * second_share - rate["decay_per_d"],
                         most_first * per_first, most_second * per_second)


def half_filled(level: Array, half: Array) -> Array:
    """Monod's share of the growth with plenty: level / (half + level)."""
    return np.asarray(level / (half + level))


def ammonium_share(state: Array, columns: Columns) -> Array:
    """Share of the nitrogen that plants and algae take as ammonium, which they prefer to nitrate."""
    preferred = columns.rate["ammonium_first"] * state[AMMONIA]
    return np.asarray(preferred / (preferred + state[NITRATE] + _NOTHING))
