"""Every rate of the tank model with its band, in one table; and draws from the bands.

Most of these numbers are assumptions: chosen so that tanks of the model do what keepers see, and never measured. The table says so row
by row, and the bands are wide because of it.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fairtank.science.cycling import KINETICS, STARTS
from fairtank.simulation.ecology.setup import FORMS

Array = NDArray[np.float64]
ASSUMED, RECALLED = "assumption, no source", "literature value, from memory"


@dataclass(frozen=True)
class Rate:
    """One rate: lowest, usual, highest; unit; where it is from; what it is.

    source: a key of sources.toml (all of them literature values, from memory), or one of the two sentences above. between_tanks: by how
    much (SD of the log) it differs between tanks set up alike; 0 where it is the same for all of them. group: rates of one group are drawn
    together, so that two arms that use different members of it still share one draw; empty: the rate is drawn by itself.
    """

    low: float
    usual: float
    high: float
    unit: str
    source: str
    meaning: str
    between_tanks: float = 0.0
    group: str = ""


def _of_forms(name: str, usual: tuple[float, ...], spread: float, unit: str, source: str, meaning: str) -> dict[str, Rate]:
    """One row for each form group, in the order of FORMS, drawn together: low = usual / spread, high = usual x spread."""
    return {f"{name}_{form}": Rate(value / spread, value, value * spread, unit, source, f"{meaning}, {form}", group=name)
            for form, value in zip(FORMS, usual, strict=True)}


# What the rates of `fairtank.science.cycling` are; their bands stand there.
_MEANINGS = {
    "growth_ammonia_per_d": ("1/d", "highest growth of ammonia oxidisers"), "growth_nitrite_per_d": ("1/d", "the same, nitrite oxidisers"),
    "yield_ammonia": ("g/g N", "ammonia oxidisers grown on ammonia"), "yield_nitrite": ("g/g N", "nitrite oxidisers grown on nitrite"),
    "half_ammonia_mg_l": ("mg/L N", "ammonia at which the first grow half as fast"),
    "half_nitrite_mg_l": ("mg/L N", "nitrite at which the others grow half as fast"),
    "half_oxygen_ammonia_mg_l": ("mg/L", "oxygen, the same, ammonia oxidisers"),
    "half_oxygen_nitrite_mg_l": ("mg/L", "oxygen, the same, nitrite oxidisers"), "decay_per_d": ("1/d", "bacteria of both kinds that die"),
}
_NITRIFIERS = {name: Rate(span.low, span.usual, span.high, _MEANINGS[name][0], "wiesmann1994", _MEANINGS[name][1])
               for name, span in KINETICS.items()}
_STARTS = {f"start_{word}": Rate(span.low, span.usual, span.high, "mg/L", ASSUMED, f"ammonia oxidisers at the start, {word}", 0.4, "start")
           for word, span in STARTS.items()}
_SOIL = {
    "release_rich": Rate(0.12, 0.45, 1.6, "mg/L N a day", ASSUMED, "ammonia that a rich soil gives off on day 0", 0.15, "release"),
    "release_lean": Rate(0.02, 0.08, 0.3, "mg/L N a day", ASSUMED, "the same, lean soil", 0.15, "release"),
    "release_inert": Rate(0.004, 0.015, 0.06, "mg/L N a day", ASSUMED, "the same, bare sand or gravel", 0.3, "release"),
    "fading": Rate(0.025, 0.05, 0.10, "1/d", ASSUMED, "fading of what the soil gives off"),
    "release_phosphorus": Rate(0.01, 0.03, 0.1, "g P/g N", ASSUMED, "phosphorus given off with it"),
    "release_carbon": Rate(0.3, 1.0, 3.0, "g C/g N", ASSUMED, "carbon dioxide given off with it, as carbon"),
    "mineralising": Rate(0.02, 0.06, 0.15, "1/d", ASSUMED, "dead matter turned back into ammonia, phosphate and CO2"),
    "denitrifying": Rate(0.001, 0.005, 0.02, "1/d", ASSUMED, "nitrate lost as gas in the bed"),
}
_WATER = {
    "attenuation": Rate(0.2, 0.6, 2.0, "1/m", "kirk2011", "attenuation of plant light in the water, clear to tea-stained", 0.1),
    "light_factor": Rate(0.85, 1.0, 1.15, "", ASSUMED, "light in truth, by the light that was told", 0.06),
    "k600_still": Rate(0.3, 0.6, 1.0, "cm/h", RECALLED, "transfer velocity, still surface", 0.1, "k600"),
    "k600_gentle": Rate(1.0, 2.0, 4.0, "cm/h", "cole1998", "transfer velocity, gentle return", 0.1, "k600"),
    "k600_ripple": Rate(4.0, 6.0, 10.0, "cm/h", RECALLED, "transfer velocity, rippled", 0.1, "k600"),
    "k600_air_stone": Rate(10.0, 20.0, 50.0, "cm/h", RECALLED, "transfer velocity, air stone", 0.1, "k600"),
    "pearling": Rate(8.0, 20.0, 50.0, "1/d", ASSUMED, "oxygen that leaves as bubbles, by what is above 1.2 times the balance with air"),
    "co2_control": Rate(12.0, 24.0, 48.0, "1/d", ASSUMED, "how fast a CO2 supply reaches what it aims at"),
}
_PLANTS = {
    **_of_forms("growth", (0.80, 0.65, 0.35, 0.40, 0.16, 0.25, 0.58), 1.4, "1/d", ASSUMED, "growth in lasting full light at 24 °C"),
    **_of_forms("light_half", (120, 60, 45, 40, 20, 20, 45), 1.6, "µmol m⁻² s⁻¹", ASSUMED, "light at which growth levels off"),
    **_of_forms("most_mass", (60, 250, 150, 180, 140, 150, 150), 1.4, "g/m²", ASSUMED, "dry mass on a square metre that leaves no room"),
    **_of_forms("leaf_area", (0.040, 0.045, 0.035, 0.030, 0.018, 0.045, 0.050), 1.4, "m²/g", ASSUMED, "leaf area by dry mass"),
    "canopy_extinction": Rate(0.4, 0.6, 0.8, "", ASSUMED, "light kept back by a layer of leaves as large as the floor"),
    "overlap": Rate(0.15, 0.35, 0.6, "", ASSUMED, "share of lower plants that stands under taller ones"),
    "plant_half_n": Rate(0.02, 0.08, 0.3, "mg/L N", ASSUMED, "nitrogen at which plants grow half as fast"),
    "plant_half_p": Rate(0.004, 0.015, 0.05, "mg/L P", ASSUMED, "phosphorus, the same"),
    "plant_half_co2": Rate(0.4, 1.2, 3.0, "mg/L", ASSUMED, "free CO2, the same"),
    "bicarbonate_use": Rate(0.1, 0.2, 0.4, "", ASSUMED, "what bicarbonate makes up of the CO2 that the water lacks"),
    "bacteria_on_plants": Rate(2e-6, 1e-5, 5e-5, "mg/mg", ASSUMED, "ammonia oxidisers that come in on dry plants", 0.4),
    "root_feeding": Rate(0.3, 0.6, 0.9, "", ASSUMED, "what roots in rich soil make up of what the water lacks"),
    "plant_respiration": Rate(0.006, 0.012, 0.025, "1/d", ASSUMED, "mass respired at 24 °C"),
    "plant_death": Rate(0.002, 0.004, 0.010, "1/d", ASSUMED, "old leaves that die"),
    "plant_n": Rate(0.015, 0.025, 0.040, "g/g", "gerloff1966", "nitrogen in dry plants"),
    "plant_p": Rate(0.0013, 0.003, 0.006, "g/g", "gerloff1966", "phosphorus in dry plants"),
    "plant_c": Rate(0.34, 0.38, 0.42, "g/g", ASSUMED, "carbon in dry plants"),
    "melt_factor": Rate(0.4, 1.0, 1.7, "", ASSUMED, "melt of leaves grown in air, by the usual share", 0.15),
    "melt_days": Rate(4.0, 7.0, 12.0, "d", ASSUMED, "days in which 63 % of the melt is over"),
    "ammonium_first": Rate(5.0, 20.0, 50.0, "", ASSUMED, "how many times rather plants take ammonium than nitrate"),
    "photosynthetic_quotient": Rate(1.0, 1.1, 1.3, "mol/mol", ASSUMED, "oxygen given off by CO2 taken up"),
    "warmth_factor": Rate(1.6, 2.0, 2.4, "", ASSUMED, "times faster for 10 °C more, plants, algae and decay"),
}
_FILM = {
    "film_growth": Rate(0.7, 1.1, 1.6, "1/d", ASSUMED, "growth of the film in lasting full light at 24 °C"),
    "film_light_half": Rate(12.0, 25.0, 60.0, "µmol m⁻² s⁻¹", ASSUMED, "light at which it levels off"),
    "glass_light": Rate(0.2, 0.35, 0.5, "", ASSUMED, "light that reaches the front glass, by the mean light in the water"),
    "film_half_n": Rate(0.005, 0.03, 0.1, "mg/L N", ASSUMED, "nitrogen at which it grows half as fast"),
    "film_half_p": Rate(0.001, 0.005, 0.02, "mg/L P", ASSUMED, "phosphorus, the same"),
    "film_half_co2": Rate(0.02, 0.06, 0.2, "mg/L", ASSUMED, "CO2, the same"),
    "film_ammonium": Rate(0.3, 1.0, 2.0, "", ASSUMED, "how much faster it grows with plenty of ammonium"),
    "film_loss": Rate(0.03, 0.06, 0.10, "1/d", ASSUMED, "film respired and sloughed off in a fresh tank"),
    "film_grazing": Rate(0.08, 0.20, 0.40, "1/d", ASSUMED, "more of it once the tank has grown in", 0.12),
    "grown_in_days": Rate(14.0, 25.0, 45.0, "d", ASSUMED, "days in which a tank grows in by 63 %", 0.10),
    "film_seeding": Rate(3e-4, 2e-3, 1e-2, "g/m² a day", ASSUMED, "germs that settle on the glass", 0.35),
    "film_start": Rate(1e-3, 5e-3, 3e-2, "g/m²", ASSUMED, "film on the glass at the start", 0.35),
    "film_most": Rate(6.0, 10.0, 18.0, "g/m²", ASSUMED, "dry film that leaves no room"),
    "film_half_cover": Rate(0.6, 1.5, 4.0, "g/m²", ASSUMED, "dry film that hides half of the glass"),
    "film_n": Rate(0.025, 0.04, 0.06, "g/g", ASSUMED, "nitrogen in dry film"),
    "film_p": Rate(0.002, 0.005, 0.009, "g/g", ASSUMED, "phosphorus in dry film"),
    "film_c": Rate(0.34, 0.40, 0.46, "g/g", ASSUMED, "carbon in dry film"),
}
RATES: dict[str, Rate] = {**_NITRIFIERS, **_STARTS, **_SOIL, **_WATER, **_PLANTS, **_FILM}
# Share of the leaves that melts, by how the plants were grown: assumption, no source.
MELTING = {"in_vitro": 0.25, "potted": 0.40, "bunched": 0.25, "own": 0.08}
# Height of a full stand as a share of the water, or in cm where that is less: assumption, no source.
FULL_HEIGHT = {"floating": (0.08, 3.0), "stem": (1.0, 60.0), "bulb": (0.8, 40.0), "rosette": (0.6, 25.0), "epiphyte": (0.5, 14.0),
               "moss": (0.3, 7.0), "carpet": (0.15, 4.0)}
ROOTED = {"floating": 0.0, "stem": 0.6, "bulb": 1.0, "rosette": 1.0, "epiphyte": 0.0, "moss": 0.0, "carpet": 1.0}
FERTILE = {"rich": 1.0, "lean": 0.5, "inert": 0.0}


@dataclass(frozen=True, eq=False)
class Parameters:
    """The rates of the model, one column for each member: name as in RATES -> array of shape (members,)."""

    values: dict[str, Array]

    @property
    def members(self) -> int:
        """How many columns there are."""
        return len(self.values["fading"])

    def of(self, columns: NDArray[np.int_]) -> "Parameters":
        """Those columns, in that order."""
        return Parameters({name: column[columns] for name, column in self.values.items()})


def usual_parameters() -> Parameters:
    """The usual value of every rate: one member, which is no best guess.

    >>> usual_parameters().members
    1
    """
    return Parameters({name: np.array([rate.usual]) for name, rate in RATES.items()})


def drawn_parameters(members: int = 200, seed: int = 1) -> Parameters:
    """Rates drawn from their bands: triangles on the log scale whose top is the usual value, spread evenly (Latin hypercube).

    Parameters
    ----------
    members : int
        How many sets. [none], 1 or more.
    seed : int
        The same seed gives the same sets on every machine. [none], 0 or more.

    Returns
    -------
    Parameters
        Each rate within its band.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> drawn = drawn_parameters(50, seed=3).values["fading"]
    >>> bool(drawn.min() >= 0.025 and drawn.max() <= 0.1)
    True
    """
    rng = np.random.default_rng(seed)
    shares: dict[str, Array] = {}
    values = {}
    for name, rate in RATES.items():
        group = rate.group or name
        if group not in shares:
            shares[group] = (rng.permutation(members) + rng.random(members)) / members
        values[name] = _triangle(rate, shares[group])
    return Parameters(values)


def _triangle(rate: Rate, share: Array) -> Array:
    """Quantiles of the triangle on the log scale."""
    low, top, high = np.log([rate.low, rate.usual, rate.high])
    width, left = high - low, top - low
    rising = low + np.sqrt(share * width * left)
    falling = high - np.sqrt((1 - share) * width * (width - left))
    return np.clip(np.exp(np.where(share < left / width, rising, falling)), rate.low, rate.high)


def like_tanks(parameters: Parameters, tanks: int, seed: int) -> Parameters:
    """For every member so many tanks set up alike: members x tanks columns, tank by tank within a member.

    They differ only in rates that differ between like tanks, each by its own normal deviate on the log scale.
    """
    rng = np.random.default_rng([seed, 1])
    count = parameters.members
    deviates = {group: rng.standard_normal(count * tanks) for group in dict.fromkeys(rate.group or name for name, rate in RATES.items()
                                                                                      if rate.between_tanks)}
    return Parameters({name: np.repeat(parameters.values[name], tanks)
                       * (np.exp(rate.between_tanks * deviates[rate.group or name]) if rate.between_tanks else 1.0)
                       for name, rate in RATES.items()})
