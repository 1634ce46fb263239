"""What hands and timers do to a tank: light and CO2 going on and off, water changes, doses, trims, wipes."""

import numpy as np
from numpy.typing import NDArray

from fairtank.simulation.ecology import pools
from fairtank.simulation.ecology.pools import Columns
from fairtank.simulation.ecology.setup import Dose, Event, Light, TankSetup, Trim, Water, WaterChange

Array = NDArray[np.float64]
_TAKEN_N, _TAKEN_P, _TAKEN_C = 4, 5, 6  # places among the sums


def light_on_day(setup: TankSetup, day: int) -> Light:
    """The light that holds on a day."""
    return [light for light in setup.light if light.from_day <= day][-1]


def _supply_h(setup: TankSetup, day: int) -> tuple[float, float] | None:
    """From when to when the CO2 supply runs: as long before the light goes on as before it goes off."""
    spans = light_on_day(setup, day).spans_h
    if not spans or setup.co2_target_mg_l == 0 or day < setup.co2_from_day:
        return None
    return max(spans[0][0] - setup.co2_lead_h, 0.0), max(spans[-1][1] - setup.co2_lead_h, 0.0)


def inputs_at(setup: TankSetup, time_d: float) -> tuple[float, float]:
    """Light at the bed [µmol m⁻² s⁻¹] and CO2 aimed at [mg/L] at a moment between two edges."""
    day = int(time_d)
    hour, light, supply = 24 * (time_d - day), light_on_day(setup, day), _supply_h(setup, day)
    is_lit = any(on <= hour < off for on, off in light.spans_h)
    return (light.ppfd_bed_umol if is_lit else 0.0), (setup.co2_target_mg_l if supply and supply[0] <= hour < supply[1] else 0.0)


def edges_d(setup: TankSetup, end_d: float) -> set[float]:
    """The moments at which light or CO2 supply goes on or off, and those of the events."""
    found = {moment_d(event) for event in setup.events}
    for day in range(int(np.ceil(end_d))):
        light, supply = light_on_day(setup, day), _supply_h(setup, day)
        hours = [hour for span in light.spans_h for hour in span] if light.ppfd_bed_umol > 0 else []
        found |= {day + hour / 24 for hour in (*hours, *(supply or ()))}
    return {edge for edge in found if 0 <= edge < end_d}


def moment_d(event: Event) -> float:
    """When an event happens [d]."""
    return event.day + event.hour / 24


def new_water(water: Water, columns: Columns) -> dict[int, Array | float]:
    """What new water brings, by row of the state."""
    return {pools.AMMONIA: water.ammonium_mg_l, pools.NITRITE: 0.0, pools.NITRATE: water.nitrate_mg_l * pools.N_G_MOL / pools.NO3_G_MOL,
            pools.PHOSPHORUS: water.phosphate_mg_l * pools.P_G_MOL / pools.PO4_G_MOL, pools.CO2: columns.co2_air,
            pools.OXYGEN: columns.oxygen_air, pools.ALKALINITY: water.kh_dkh * pools.MEQ_PER_DKH}


def applied(state: Array, event: Event, arm: int, columns: Columns) -> Array:
    """The state after an event in one arm; what was taken out less what was put in is added to the sums."""
    state, place = state.copy(), columns.arm == arm
    before = state.copy()
    plants, rate = slice(pools.PLANTS_FROM, pools.PLANTS_FROM + len(columns.forms)), columns.rate
    if isinstance(event, WaterChange):
        for row, level in new_water(columns.setups[arm].water, columns).items():
            state[row] += event.share * (place & ~columns.held if row == pools.OXYGEN else place) * (level - state[row])
    elif isinstance(event, Dose):
        for row, gain in ((pools.AMMONIA, event.ammonium_mg_l), (pools.NITRATE, event.nitrate_mg_l * pools.N_G_MOL / pools.NO3_G_MOL),
                          (pools.PHOSPHORUS, event.phosphate_mg_l * pools.P_G_MOL / pools.PO4_G_MOL)):
            state[row, place] += gain
    elif isinstance(event, Trim):
        cut = np.array([[event.form in ("", form)] for form in columns.forms], dtype=bool).reshape(len(columns.forms), 1)
        state[plants] = np.where(cut & place, (1 - event.share) * state[plants], state[plants])
    else:
        state[pools.FILM, place] *= 1 - event.share
    less = before - state
    plant_mg_l, film_mg_l = columns.mg_l_of_plants * less[plants].sum(axis=0), columns.mg_l_of_film * less[pools.FILM]
    sums = pools.PLANTS_FROM + len(columns.forms)
    dissolved = {"n": less[pools.AMMONIA] + less[pools.NITRITE] + less[pools.NITRATE], "p": less[pools.PHOSPHORUS],
                 "c": pools.CARBON_SHARE * less[pools.CO2]}
    for row, one in ((_TAKEN_N, "n"), (_TAKEN_P, "p"), (_TAKEN_C, "c")):
        state[sums + row] += dissolved[one] + rate[f"plant_{one}"] * plant_mg_l + rate[f"film_{one}"] * film_mg_l
    return state
