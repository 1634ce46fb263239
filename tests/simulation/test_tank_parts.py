"""Light, gas exchange and growth of the tank model against closed forms, and its balances of nitrogen, phosphorus and carbon."""

from dataclasses import replace

import numpy as np
import pytest

from fairtank.science import co2, gases, growth, light, nitrogen, transfer
from fairtank.simulation.ecology.algae import film_flows
from fairtank.simulation.ecology.light import growth_share, light_on_leaves, mean_of_fading
from fairtank.simulation.ecology.measures import HIGHEST_PH, contents, ph_of
from fairtank.simulation.ecology.plants import plant_flows, water_limit
from fairtank.simulation.ecology.pools import FILM, NITRATE, PHOSPHORUS, PLANTS_FROM, columns_of, start_of
from fairtank.simulation.ecology.running import run
from fairtank.simulation.tank import (
    FORMS,
    STATES,
    Dose,
    Light,
    Plants,
    TankSetup,
    Trim,
    Water,
    WaterChange,
    Wipe,
    drawn_parameters,
    tank_course,
    usual_parameters,
)

EMPTY = TankSetup(plants=(), has_algae=False, release_mg_l_d=0.0)


def set_to(parameters, **values):
    """The parameters with some rates set."""
    for name, value in values.items():
        parameters.values[name][:] = value
    return parameters


def test_mean_light_is_that_of_the_science_room():
    paths = np.array([0.0, 0.15, 0.6, 3.0])
    assert mean_of_fading(paths) == pytest.approx(light.mean_light_share(paths / 0.3, 0.3), rel=1e-9)


def test_the_light_that_was_measured_at_the_bed_is_the_light_at_the_bed():
    setup, rates = TankSetup(water_cm=40.0), set_to(usual_parameters(), attenuation=1.5, light_factor=1.0)
    surface = columns_of([setup], rates).surface_by_bed[0] * 45.0
    assert surface * light.light_at_depth_share(1.5, 0.4) == pytest.approx(45.0)


def test_mean_light_in_a_canopy_is_the_integral_over_its_layers():
    layers = np.array([[0.7], [1.8]])
    got = light_on_leaves(np.array([100.0]), np.array([[-0.1], [-0.3]]), layers, layers)
    depth = (np.arange(20000) + 0.5) / 20000
    for row, above in ((0, 0.1), (1, 0.3 + 0.7)):
        assert got[row, 0] == pytest.approx(np.mean(100 * np.exp(-above - depth * layers[row, 0])), rel=1e-6)


@pytest.mark.parametrize("umol", [5.0, 50.0, 400.0])
def test_growth_answers_to_light_as_the_curve_of_the_science_room(umol):
    assert growth_share(np.array([umol]), np.array([60.0]))[0] == pytest.approx(light.photosynthesis("jassby_platt", umol, 1.0, 1 / 60.0))


def test_carbon_dioxide_fades_to_its_balance_with_air_as_an_exponential():
    """After the supply has gone off for good nothing but exchange is left."""
    setup = replace(EMPTY, co2_target_mg_l=20.0, light=(Light(40.0), Light(40.0, (), from_day=1)))
    hours = np.arange(24, 71, 6.0)
    course = tank_course(setup, days=2, times_d=hours / 24, tolerance=1e-6)
    co2 = course.states[0, :, STATES.index("co2")]
    velocity = transfer.transfer_from_k600_cm_h(2.0, setup.temp_c, "carbon_dioxide", "wavy")
    constant_h = gases.time_constant_h(setup.volume_l, velocity, setup.floor_cm2 / 1e4)
    rest = float(columns_of([setup], usual_parameters()).co2_air[0])
    assert co2 - rest == pytest.approx((co2[0] - rest) * np.exp(-(hours - hours[0]) / constant_h), abs=1e-3)


def test_a_carbon_dioxide_supply_settles_where_it_balances_the_loss_to_air():
    setup = replace(EMPTY, co2_target_mg_l=20.0, light=(Light(40.0, ((0.0, 24.0),)),), co2_lead_h=0.0)
    columns = columns_of([setup], usual_parameters())
    lost, gained = float(columns.co2_exchange[0]), float(columns.rate["co2_control"][0])
    rest = float(columns.co2_air[0])
    end = tank_course(setup, days=1, times_d=np.array([0.05, 1.9]), tolerance=1e-6).states[0, :, STATES.index("co2")]
    settled = (gained * 20.0 + lost * rest) / (gained + lost)
    assert end[1] == pytest.approx(settled, rel=1e-4)
    assert end[0] == pytest.approx(settled + (rest - settled) * np.exp(-(gained + lost) * 0.05), rel=1e-4)


def lone_plants(**changes):
    """Floating plants in lasting light with plenty of food and no shade of their own; and the rates of their growth and loss [1/d]."""
    rates = set_to(usual_parameters(), canopy_extinction=1e-6, melt_factor=1e-12, plant_n=1e-9, plant_p=1e-9, light_factor=1.0, **changes)
    setup = replace(EMPTY, plants=(Plants("floating", 2e-7),), light=(Light(40.0, ((0.0, 24.0),)),), water=Water(150.0, 15.0),
                    held_oxygen_mg_l=8.0)
    columns = columns_of([setup], rates)
    food = float(water_limit(start_of(columns), columns)[0])
    shine = float(columns.surface_by_bed[0]) * 40.0
    gained = rates.values["growth_floating"][0] * np.tanh(shine / rates.values["light_half_floating"][0]) * food
    lost = rates.values["plant_death"][0] + rates.values["plant_respiration"][0] * 8.0 / 8.3
    return setup, rates, gained, lost, float(start_of(columns)[PLANTS_FROM, 0])


def test_plants_with_plenty_grow_exponentially():
    setup, rates, gained, lost, start = lone_plants(most_mass_floating=1e9)
    course = tank_course(setup, rates, days=3, times_d=np.arange(4.0), tolerance=1e-6)
    mass = course.states[0, :, STATES.index("plant_floating")]
    assert mass == pytest.approx(start * np.exp((gained - lost) * course.days), rel=1e-4)


def test_plants_that_run_out_of_room_follow_the_logistic_curve():
    setup, rates, gained, lost, start = lone_plants(most_mass_floating=60.0)
    course = tank_course(setup, rates, days=16, times_d=np.arange(0, 17, 4.0), tolerance=1e-5)
    mass = course.states[0, :, STATES.index("plant_floating")]
    assert mass == pytest.approx(growth.logistic(course.days, 60.0 * (1 - lost / gained), start, gained - lost), rel=1e-3)


def test_the_scarcest_nutrient_counts():
    columns = columns_of([TankSetup()], usual_parameters())
    state = start_of(columns)
    state[NITRATE], state[PHOSPHORUS] = 10.0, 0.015
    assert water_limit(state, columns)[0] == pytest.approx(0.5)  # half-saturation of phosphorus
    state[NITRATE], state[PHOSPHORUS] = 0.08 - state[0], 10.0
    assert water_limit(state, columns)[0] == pytest.approx(0.5)  # and of nitrogen


def test_a_taller_neighbour_takes_light_and_growth():
    rates = usual_parameters()
    alone, shaded = (columns_of([TankSetup(plants=plants)], rates) for plants in (
        (Plants("carpet", 0.3),), (Plants("floating", 0.5), Plants("carpet", 0.3))))
    changes = [plant_flows(start_of(columns), 45.0 * columns.surface_by_bed, columns).change[-1, 0] for columns in (alone, shaded)]
    assert changes[1] < changes[0]


def test_film_grows_in_light_only_and_slower_under_floating_plants():
    columns = columns_of([TankSetup(plants=()), TankSetup(plants=(Plants("floating", 0.6),))], usual_parameters())
    state = start_of(columns)
    state[FILM] = 0.5
    lit, dark = (film_flows(state, umol * columns.surface_by_bed, columns).change for umol in (45.0, 0.0))
    assert (lit > dark).all()
    assert lit[1] < lit[0]
    assert (dark < 0).all()


EVENTFUL = TankSetup(
    plants=tuple(Plants(form, 0.1, "own") for form in FORMS), co2_target_mg_l=15.0, water=Water(10.0, 0.5, 0.1), soil="rich",
    events=(WaterChange(1, 0.5), Dose(1, 5.0, 0.5, 0.3, hour=14.0), Trim(2, 0.3), Wipe(2, 0.9), WaterChange(3, 0.4, 20.0)))


def test_nitrogen_phosphorus_and_carbon_are_kept_to_a_millionth():
    course = tank_course(EVENTFUL, drawn_parameters(5, 4), days=4)
    assert course.balance.shape == (5, 3)
    assert course.balance.max() < 1e-6
    assert course.balance[:, 0].max() < 1e-10  # only rounding


@pytest.mark.parametrize(("element", "dissolved"), [("n", ("total_ammonia", "nitrite", "nitrate")), ("p", ("phosphorus",))])
def test_a_closed_tank_keeps_its_nitrogen_and_phosphorus_by_an_own_sum(element, dissolved):
    """Nothing from the soil, no change, no loss as gas: what is in water, plants, film and dead matter adds up as on the first day."""
    rates = set_to(drawn_parameters(3, 9), denitrifying=0.0, root_feeding=0.0)
    setup = replace(EVENTFUL, events=(), soil="inert", release_mg_l_d=0.0)
    states = tank_course(setup, rates, days=4).states
    by_name = {name: states[:, :, column] for column, name in enumerate(STATES)}
    floor_m2, glass_m2 = 0.16, 2 * (0.45 + 0.16 / 0.45) * 0.28
    grams = sum(by_name[f"plant_{form}"] for form in FORMS) * floor_m2 * rates.values[f"plant_{element}"][:, None]
    grams = grams + by_name["film"] * glass_m2 * rates.values[f"film_{element}"][:, None]
    total = sum(by_name[name] for name in dissolved) + by_name[f"dead_{element}"] + 1000 * grams / 45.0
    assert total == pytest.approx(np.repeat(total[:, :1], 5, axis=1), rel=1e-6)


def test_ph_is_that_of_co2_and_kh_and_held_where_the_model_runs_out_of_co2():
    found = ph_of(np.array([20.0, 1.0, 0.01]), np.array([4.0, 4.0, 4.0]), np.array([24.0, 24.0, 24.0]))
    back = co2.carbonate(24.0, 4.0, found[:2]).co2_mg_l
    assert back == pytest.approx([20.0, 1.0], rel=1e-3)
    assert found[2] == HIGHEST_PH


def test_the_sums_say_what_hands_took_out():
    """A tank in the dark without life: half of its nitrate goes with half of its water."""
    setup = replace(EMPTY, light=(Light(0.0),), water=Water(0.0, 0.0, 0.0), events=(Dose(0, 20.0, hour=3.0), WaterChange(0, 0.5, 6.0)))
    rates = set_to(usual_parameters(), denitrifying=0.0)
    dosed = 20.0 * 14.007 / 62.005
    after = tank_course(setup, rates, days=1, times_d=np.array([0.2, 0.3])).states[0]
    assert after[:, STATES.index("nitrate")] == pytest.approx([dosed, dosed / 2], rel=1e-9)
    assert after[:, STATES.index("taken_n")] == pytest.approx([-dosed, -dosed / 2], rel=1e-9)


def test_a_trim_takes_its_form_only_and_a_wipe_the_film():
    columns = columns_of([replace(EVENTFUL, events=(Trim(0, 0.5, "stem", 0.0), Wipe(0, 0.75, 0.0)))], usual_parameters())
    before = start_of(columns)[:, 0]
    after = run(columns, np.array([0.0001]), 0.001).samples[0, :, 0]
    shares = after[PLANTS_FROM : PLANTS_FROM + 7] / before[PLANTS_FROM : PLANTS_FROM + 7]
    assert shares[FORMS.index("stem")] == pytest.approx(0.5, rel=1e-3)
    assert np.delete(shares, FORMS.index("stem")) == pytest.approx(np.ones(6), rel=1e-3)
    assert after[FILM] / before[FILM] == pytest.approx(0.25, rel=1e-2)
    assert contents(after[:, None], columns) == pytest.approx(contents(before[:, None], columns), rel=1e-9)


def test_no_pool_falls_below_zero():
    columns = columns_of([EVENTFUL, replace(EVENTFUL, soil="inert", water=Water(0.0, 0.0))], drawn_parameters(8, 2))
    samples = run(columns, np.arange(0, 3.9, 0.1), 4.0).samples
    pools = [row for row in range(PLANTS_FROM + len(columns.forms)) if not STATES[row].startswith(("ln_", "alkal"))]
    assert samples[:, pools].min() >= -1e-6


def test_un_ionised_ammonia_is_that_of_the_science_room():
    measures = tank_course(replace(EMPTY, release_mg_l_d=1.0), days=3).measures
    asked = nitrogen.ammonia_mg_l(measures["total_ammonia"], 24.0, measures["ph_high"])
    assert measures["un_ionised_ammonia"] == pytest.approx(asked, rel=1e-9)
    assert (measures["ph_low"] <= measures["ph_high"]).all()
