"""What the model follows, in which order, and what is worked out once for each column (one member in one arm) before it runs."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fairtank.science.cycling import ENERGY_AMMONIA_J_MOL, ENERGY_NITRITE_J_MOL, NITRITE_OXIDISERS_SHARE, temperature_factor
from fairtank.science.gases import oxygen_saturation_mg_l
from fairtank.science.transfer import transfer_from_k600_cm_h
from fairtank.science.water import air_equilibrium
from fairtank.simulation.ecology.rates import FERTILE, MELTING, ROOTED, Parameters
from fairtank.simulation.ecology.setup import FORMS, Plants, TankSetup
from fairtank.units import convert

Array = NDArray[np.float64]
# Inside, nitrogen, phosphorus and carbon are mg of the element in a litre; CO2 and oxygen mg/L; alkalinity meq/L; plants g dry on a
# square metre of floor, film g dry on a square metre of glass; the bacteria are logs of mg/L. `release` is mg/L N a day. `fresh` falls
# from 1 to 0 as leaves grown in air go, `grown_in` rises from 0 to 1. The last seven are sums since the start, for the balance: nitrogen
# and phosphorus from the soil, carbon from air, soil, CO2 supply and bicarbonate, nitrogen lost as gas, and what hands took out less
# what they put in.
BEFORE_PLANTS = ("total_ammonia", "nitrite", "nitrate", "phosphorus", "co2", "oxygen", "alkalinity", "ln_ammonia_oxidisers",
                 "ln_nitrite_oxidisers", "release", "fresh", "grown_in", "film", "dead_n", "dead_p", "dead_c")
SUMS = ("soil_n", "soil_p", "given_c", "gas_n", "taken_n", "taken_p", "taken_c")
STATES = (*BEFORE_PLANTS, *(f"plant_{form}" for form in FORMS), *SUMS)
(AMMONIA, NITRITE, NITRATE, PHOSPHORUS, CO2, OXYGEN, ALKALINITY, LN_FIRST, LN_SECOND, RELEASE, FRESH, GROWN_IN, FILM, DEAD_N, DEAD_P,
 DEAD_C) = range(len(BEFORE_PLANTS))
PLANTS_FROM = len(BEFORE_PLANTS)
N_G_MOL, P_G_MOL, C_G_MOL, O2_G_MOL = 14.007, 30.974, 12.011, 31.9988  # IUPAC, as elsewhere in the science room
CO2_G_MOL, NO3_G_MOL, PO4_G_MOL = 44.0095, 62.005, 94.971
CARBON_SHARE = C_G_MOL / CO2_G_MOL
MEQ_PER_DKH = convert(1.0, "dKH", "meq/L")
_WARMEST_C = 30.0  # the Schmidt numbers hold up to there
_PLANT_REFERENCE_C = 24.0


@dataclass(frozen=True, eq=False)
class Columns:
    """What holds for each column, as arrays of shape (columns,), or (forms, columns) for plants.

    forms: names of the form groups that stand in any column, from the surface down. rate: name in RATES -> its column. The rest is
    worked out from setup and rates: growth and turnover of the bacteria [1/d], balances with air [mg/L], exchange [1/d], mg/L for each g/m²
    of plants and of film, depth of each form's leaves by attenuation [-], surface light by light at the bed.
    """

    forms: tuple[str, ...]
    setups: tuple[TankSetup, ...]
    arm: NDArray[np.int_]
    rate: dict[str, Array]
    plant: dict[str, Array]
    growth_first: Array
    growth_second: Array
    turnover_first: Array
    turnover_second: Array
    half_oxygen_first: Array
    half_oxygen_second: Array
    oxygen_air: Array
    co2_air: Array
    oxygen_exchange: Array
    co2_exchange: Array
    warmth: Array
    fading: Array
    mg_l_of_plants: Array
    mg_l_of_film: Array
    depth_loss: Array
    surface_by_bed: Array
    mean_share: Array
    held: NDArray[np.bool_]
    has_film: Array

    @property
    def count(self) -> int:
        """How many columns there are."""
        return int(self.arm.size)

    def by_arm(self, values: Sequence[float]) -> Array:
        """One value for each arm, laid out over the columns."""
        return np.asarray(values, dtype=np.float64)[self.arm]


def _gases(setup: TankSetup, k600: Array) -> tuple[float, float, Array, Array]:
    """Balance with air of oxygen and CO2 [mg/L], and their exchange [1/d]."""
    temp = min(setup.temp_c, _WARMEST_C)
    how = "still" if setup.surface == "still" else "wavy"
    by_day = 24 * setup.floor_cm2 / (1000 * setup.volume_l)  # 1 cm/h over 1 cm² moves 1 mL an hour
    rest = air_equilibrium(setup.temp_c, setup.water.kh_dkh, setup.room_co2_ppm)
    return (float(oxygen_saturation_mg_l(setup.temp_c)), float(rest.co2_mg_l),
            by_day * np.asarray(transfer_from_k600_cm_h(k600, temp, "oxygen", how)),
            by_day * np.asarray(transfer_from_k600_cm_h(k600, temp, "carbon_dioxide", how)))


def _plant_rows(forms: tuple[str, ...], setups: Sequence[TankSetup], rates: dict[str, Array]) -> dict[str, Array]:
    """Rates of the forms, of shape (forms, columns), and how they were planted."""
    count, arms = rates["fading"].size, len(setups)
    found = {name: np.array([rates[f"{name}_{form}"] for form in forms]).reshape(len(forms), count)
             for name in ("growth", "light_half", "most_mass", "leaf_area")}
    each = [{one.form: one for one in setup.plants} for setup in setups]
    members = count // arms
    cover = np.array([[one.get(form, Plants(form, 0.0)).cover for one in each] for form in forms]).reshape(len(forms), arms)
    melting = np.array([[MELTING[one.get(form, Plants(form, 0.0)).stock] for one in each] for form in forms]).reshape(len(forms), arms)
    rooted = np.array([[ROOTED[form] * FERTILE[setup.soil] for setup in setups] for form in forms]).reshape(len(forms), arms)
    found["cover"], found["rooted"] = np.repeat(cover, members, axis=1), np.repeat(rooted, members, axis=1) * rates["root_feeding"]
    melts = np.minimum(np.repeat(melting, members, axis=1) * rates["melt_factor"], 0.9)
    found["melt"] = -np.log1p(-melts) / rates["melt_days"]
    found["is_floating"] = np.array([[float(form == "floating")] for form in forms]).reshape(len(forms), 1)
    return found


def columns_of(setups: Sequence[TankSetup], parameters: Parameters) -> Columns:
    """The columns: all members in the first arm, then all members in the second, and so on."""
    members, arms = parameters.members, len(setups)
    rates = {name: np.tile(column, arms) for name, column in parameters.values.items()}
    arm = np.repeat(np.arange(arms), members)
    forms = tuple(form for form in FORMS if any(form == one.form and one.cover > 0 for setup in setups for one in setup.plants))
    for name, word in (("k600", "surface"), ("start", "start"), ("release", "soil")):
        rates[name] = np.concatenate([parameters.values[f"{name}_{getattr(setup, word)}"] for setup in setups])

    def spread(values: Sequence[float]) -> Array:
        return np.asarray(values, dtype=np.float64)[arm]

    faster = [[temperature_factor(setup.temp_c, energy) for setup in setups] for energy in (ENERGY_AMMONIA_J_MOL, ENERGY_NITRITE_J_MOL)]
    growth = (rates["growth_ammonia_per_d"] * spread(faster[0]), rates["growth_nitrite_per_d"] * spread(faster[1]))
    gases = [_gases(setup, rates["k600"][arm == place]) for place, setup in enumerate(setups)]
    depth = spread([setup.water_cm / 100 for setup in setups])
    path = rates["attenuation"] * depth
    # The middle of the leaves of each form, from the surface at 0 to the bed at 1: assumption, no source.
    middle = {"floating": 0.0, "stem": 0.5, "bulb": 0.6, "rosette": 0.7, "epiphyte": 0.75, "moss": 0.85, "carpet": 0.95}
    floor = [setup.floor_cm2 / 1e4 for setup in setups]
    glass = [2 * (setup.front_cm + setup.floor_cm2 / setup.front_cm) * setup.water_cm / 1e4 for setup in setups]
    litres = [setup.volume_l for setup in setups]
    release = [setup.release_mg_l_d for setup in setups]
    rates["release"] = np.where([release[place] is None for place in arm], rates["release"], spread([value or 0.0 for value in release]))
    fading = [setup.fading_per_d for setup in setups]
    return Columns(
        forms, tuple(setups), arm, rates, _plant_rows(forms, setups, rates), *growth,
        growth[0] / rates["yield_ammonia"], growth[1] / rates["yield_nitrite"], rates["half_oxygen_ammonia_mg_l"],
        rates["half_oxygen_nitrite_mg_l"], spread([one[0] for one in gases]), spread([one[1] for one in gases]),
        np.concatenate([one[2] for one in gases]), np.concatenate([one[3] for one in gases]),
        rates["warmth_factor"] ** ((spread([setup.temp_c for setup in setups]) - _PLANT_REFERENCE_C) / 10),
        np.where([fading[place] is None for place in arm], rates["fading"], spread([value or 0.0 for value in fading])),
        1000 * spread(floor) / spread(litres), 1000 * spread(glass) / spread(litres),
        np.array([[-middle[form]] for form in forms]).reshape(len(forms), 1) * path, np.exp(path) * rates["light_factor"],
        -np.expm1(-path) / path, np.array([setup.held_oxygen_mg_l is not None for setup in setups])[arm],
        spread([float(setup.has_algae) for setup in setups]),
    )


def start_of(columns: Columns) -> Array:
    """The state on the morning of day 0, of shape (states, columns); plants only of the forms that stand there."""
    setups, rate = columns.setups, columns.rate
    state = np.zeros((len(BEFORE_PLANTS) + len(columns.forms) + len(SUMS), columns.count))
    state[AMMONIA] = columns.by_arm([setup.water.ammonium_mg_l for setup in setups])
    state[NITRATE] = columns.by_arm([setup.water.nitrate_mg_l for setup in setups]) * N_G_MOL / NO3_G_MOL
    state[PHOSPHORUS] = columns.by_arm([setup.water.phosphate_mg_l for setup in setups]) * P_G_MOL / PO4_G_MOL
    state[CO2], state[OXYGEN] = columns.co2_air, columns.oxygen_air
    held = columns.by_arm([setup.held_oxygen_mg_l or 0.0 for setup in setups])
    state[OXYGEN] = np.where(columns.held, held, state[OXYGEN])
    state[ALKALINITY] = columns.by_arm([setup.water.kh_dkh for setup in setups]) * MEQ_PER_DKH
    state[RELEASE], state[FRESH] = rate["release"], 1.0
    state[FILM] = rate["film_start"] * columns.has_film
    plant = columns.plant
    state[PLANTS_FROM : PLANTS_FROM + len(columns.forms)] = (
        -np.log1p(-np.minimum(plant["cover"], 0.98)) / (rate["canopy_extinction"] * plant["leaf_area"]))
    on_plants = rate["bacteria_on_plants"] * columns.mg_l_of_plants * state[PLANTS_FROM : PLANTS_FROM + len(columns.forms)].sum(axis=0)
    state[LN_FIRST] = np.log(rate["start"] + on_plants)
    state[LN_SECOND] = state[LN_FIRST] + np.log(NITRITE_OXIDISERS_SHARE)
    return state
