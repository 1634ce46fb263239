"""The model behind the demo trials: how plants and algae of one tank stand on one day.

Everything is a pure function of (seed, unit, day). The parameters are invented: plausible for a young planted tank,
written down once, and not fitted to any outcome. Nothing here knows how a trial will be judged.
"""

import math
from dataclasses import dataclass
from functools import lru_cache

from fairtank.simulation.chance import normal

# Terms of the day noise that are summed; 0.6**16 is below 0.0003.
_MEMORY_DAYS = 16


@dataclass(frozen=True)
class GrowthParameters:
    """What drives a tank. All values are invented.

    algae_start_pct: algae cover of the picture on day 0 [%]. algae_rate_logit_d: its growth per day on the logit scale.
    algae_tank_sd_logit, algae_rate_sd_logit_d: how far tanks set up alike lie apart in level and in rate (standard deviations).
    algae_noise_sd_logit, noise_memory: size of the day noise and its correlation from one day to the next.
    algae_effect_logit_d: what the change adds to the algae's rate. plant_start_fraction: plant mass on day 0 as a share of the full mass.
    plant_rate_d: logistic rate of the plants. plant_tank_sd: relative spread of that rate between tanks.
    plant_effect_d: what the change adds to the plants' rate.
    """

    algae_start_pct: float = 2.0
    algae_rate_logit_d: float = 0.055
    algae_tank_sd_logit: float = 0.30
    algae_rate_sd_logit_d: float = 0.008
    algae_noise_sd_logit: float = 0.10
    noise_memory: float = 0.6
    algae_effect_logit_d: float = -0.030
    plant_start_fraction: float = 0.16
    plant_rate_d: float = 0.095
    plant_tank_sd: float = 0.06
    plant_effect_d: float = 0.0


@dataclass(frozen=True)
class TankState:
    """One tank on one day.

    plant_fraction: plant mass as a share of the mass of a full tank, 0 to 1. carpet_fraction: share of the carpet's ground that is
    overgrown, 0 to 1. algae_pct: algae cover that the model asks for [% of the picture of the tank]; what a picture shows is
    its own truth, because plants hide algae and algae hide plants.
    """

    plant_fraction: float
    carpet_fraction: float
    algae_pct: float


def day_noise(seed: int, unit: str, day: int, memory: float) -> float:
    """Day noise of standard deviation 1 that remembers the day before (first-order autoregression, summed backwards).

    Each day has its own seeded shock, so that any day can be computed without the days before it.

    >>> day_noise(1, "T1", 4, 0.6) == day_noise(1, "T1", 4, 0.6)
    True
    """
    scale = math.sqrt((1 - memory**2) / (1 - memory ** (2 * _MEMORY_DAYS)))
    return scale * sum(memory**k * _shock(seed, unit, day - k) for k in range(_MEMORY_DAYS))


@lru_cache(maxsize=4096, typed=True)
def _shock(seed: int, unit: str, day: int) -> float:
    """What a day adds; the days after it ask for it again and again."""
    return normal(seed, unit, "day noise", day)


def tank_state(parameters: GrowthParameters, seed: int, unit: str, day: int, *, changed_since: int | None = None) -> TankState:
    """Plants and algae of one tank on one day.

    Plants grow logistically; the carpet follows a Gompertz curve; algae grow linearly on the logit scale with a tank's own level,
    rate and day noise. The change alters rates from its first day on, so that an effect builds up and never jumps.

    Parameters
    ----------
    parameters : GrowthParameters
        What drives the tank.
    seed : int
        The scenario's seed.
    unit : str
        The tank's key.
    day : int
        Whole days since the start. [d]
    changed_since : int or None
        The first day of the change, None for a tank without it. [d]

    Returns
    -------
    TankState
        Plant mass, carpet and algae.

    References
    ----------
    common_practice (growth curves; the numbers are invented).

    Examples
    --------
    >>> alone = tank_state(GrowthParameters(), 1, "T1", 30)
    >>> less = tank_state(GrowthParameters(), 1, "T1", 30, changed_since=10)
    >>> less.algae_pct < alone.algae_pct
    True
    """
    p = parameters
    treated_days = 0 if changed_since is None else max(0, day - changed_since)
    pace = max(0.2, 1 + p.plant_tank_sd * normal(seed, unit, "plant pace"))
    odds = math.log(1 / p.plant_start_fraction - 1) - p.plant_rate_d * pace * day - p.plant_effect_d * treated_days
    carpet = math.exp(math.log(0.22) * math.exp(-0.085 * pace * day))
    start = math.log(p.algae_start_pct / (100 - p.algae_start_pct))
    level = start + p.algae_tank_sd_logit * normal(seed, unit, "algae level")
    rate = p.algae_rate_logit_d + p.algae_rate_sd_logit_d * normal(seed, unit, "algae rate")
    logit = level + rate * day + p.algae_effect_logit_d * treated_days
    logit += p.algae_noise_sd_logit * day_noise(seed, unit, day, p.noise_memory)
    return TankState(1 / (1 + math.exp(odds)), carpet, 100 / (1 + math.exp(-logit)))
