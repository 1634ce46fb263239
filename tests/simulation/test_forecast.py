"""Weighing courses by readings, weighed quantiles, and what a forecast tells from its courses."""

import itertools
from statistics import NormalDist

import numpy as np
import pytest

from fairtank.simulation.fit import LEAST_MEMBERS, Observed, fit_of, spread_of, weighed_quantiles
from fairtank.simulation.forecast import arm_forecast, parting_of, telling_photos, telling_tests
from fairtank.simulation.tank import Light, TankSetup, tank_ensemble

MEMBERS, DAYS = 40, 21


@pytest.fixture(scope="module")
def two():
    """A tank with rich soil, and the same tank with four more hours of light."""
    longer = TankSetup(light=(Light(spans_h=((8.0, 20.0),)),))
    return tank_ensemble({"R": TankSetup(), "C": longer}, members=MEMBERS, days=DAYS, seed=3)


@pytest.fixture(scope="module")
def alike():
    """Weights of courses that nothing was weighed in."""
    return np.full(MEMBERS, 1 / MEMBERS)


def true_readings(ensemble, member, days=(4, 8, 12, 16)):
    """What a keeper whose tank is that very course would read, without error."""
    measures = ("total_ammonia", "nitrite")
    return tuple(Observed("R", day, key, float(ensemble.courses["R"].measures[key][member, day])) for day in days for key in measures)


def test_weighed_quantiles_of_equal_weights_are_numpys_and_what_is_not_reached_is_infinite():
    values = np.random.default_rng(1).normal(0, 1, (101, 3))
    ours = weighed_quantiles(values, np.full(101, 1 / 101), (0.05, 0.5, 0.95))
    assert ours == pytest.approx(np.quantile(values, (0.05, 0.5, 0.95), axis=0, method="inverted_cdf"))
    found = weighed_quantiles(np.array([4.0, np.nan, 2.0]), np.array([0.25, 0.5, 0.25]), (0.25, 0.5, 0.95))
    assert found.tolist() == [2.0, 4.0, np.inf]


def test_without_readings_every_course_weighs_alike(two):
    fit = fit_of(two, ())
    assert (fit.counted, fit.softened, fit.outside) == (0, 1.0, 0)
    assert fit.effective_members == pytest.approx(MEMBERS)


def test_one_reading_weighs_courses_by_its_normal_density_with_both_errors(two):
    values = two.courses["R"].measures["nitrate"][:, 10]
    size = np.hypot(np.maximum(0.3 * values, 2.5), 0.25 * values)  # the reading's own error, and what the model leaves out
    normal = [NormalDist(*each) for each in zip(values, size, strict=True)]
    density = np.array([one.pdf(6.0) for one in normal])
    fit = fit_of(two, (Observed("R", 10, "nitrate", 6.0),))
    assert fit.softened == 1.0
    assert fit.weights == pytest.approx(density / density.sum())
    assert spread_of("nitrate", values) == pytest.approx(size)
    below = fit_of(two, (Observed("R", 10, "nitrate", 6.0, is_below=True),))
    chance = np.array([one.cdf(6.0) for one in normal])
    assert below.weights == pytest.approx(chance / chance.sum())


def test_readings_of_a_known_course_narrow_the_safe_day_and_keep_its_own_within(two, alike):
    days = two.courses["R"].safe_day
    inside = 0
    wide = arm_forecast(two, "R", alike, is_fitted=False).safe
    for member in range(0, MEMBERS, 4):
        fit = fit_of(two, true_readings(two, member))
        safe = arm_forecast(two, "R", fit.weights, is_fitted=True).safe
        end = DAYS if safe.high_day is None else safe.high_day
        inside += safe.low_day <= min(np.nan_to_num(days[member], nan=DAYS), DAYS) <= end
        assert safe.before == (wide.low_day, wide.high_day)
        assert fit.effective_members >= LEAST_MEMBERS - 1e-6
    assert inside >= 9


def test_readings_that_no_course_comes_near_are_held_back_and_counted_as_outside(two):
    wild = tuple(Observed("R", day, "nitrite", 9.0) for day in range(2, 12))
    fit = fit_of(two, wild)
    assert fit.outside == fit.counted == 10
    assert fit.softened < 1
    assert fit.effective_members == pytest.approx(LEAST_MEMBERS, rel=0.01)
    late = fit_of(two, (Observed("R", DAYS + 1, "nitrite", 9.0), Observed("X", 3, "nitrite", 9.0), Observed("R", 3, "iron", 1.0)))
    assert late.counted == 0


def test_bands_hold_nine_in_ten_of_the_courses_and_the_parting_is_that_of_pairs(two, alike):
    one = arm_forecast(two, "R", alike, is_fitted=False)
    values = two.courses["R"].measures["plant_cover"]
    band = one.bands["plant_cover"]
    within = np.mean((values >= np.array(band.low)) & (values <= np.array(band.high)), axis=0)
    assert within.min() >= 0.9
    assert one.safe.before is None
    most = two.courses["R"].measures["un_ionised_ammonia"].max()
    assert one.most_ammonia_mg_l[0] <= one.most_ammonia_mg_l[1] <= one.most_ammonia_mg_l[2] <= most
    parting = parting_of(two, ("R", "C"), "plant_cover", (10, 20), alike)
    means = [two.courses[arm].measures["plant_cover"][:, 10:21].mean(axis=1) for arm in "RC"]
    assert parting.middle == pytest.approx(np.median(means[1] - means[0]), abs=0.5)
    assert 0 < parting.low < parting.middle < parting.high, "more light, more plants, under the same draws"
    back = parting_of(two, ("C", "R"), "plant_cover", (10, 20), alike)
    assert back.high == pytest.approx(-parting.low, abs=0.5)
    assert parting_of(two, ("R", "R"), "plant_cover", (10, 20), alike).high == 0


def test_telling_tests_lie_apart_are_still_to_come_and_do_tell(two, alike):
    tests = telling_tests(two, "R", alike)
    assert 1 <= len(tests) <= 3
    days = [one.day for one in tests]
    assert all(later - earlier >= 4 for earlier, later in itertools.pairwise(days))
    assert all(0.05 <= one.narrowed_fraction <= 1 for one in tests)
    assert all(one.day > 12 for one in telling_tests(two, "R", alike, last_read_day=12))
    single = np.zeros(MEMBERS)
    single[3] = 1.0
    assert telling_tests(two, "R", single) == (), "nothing is left to tell"


def test_photos_tell_most_where_the_band_is_widest(two, alike):
    one = arm_forecast(two, "R", alike, is_fitted=False)
    photos = telling_photos(one, "algae_cover")
    width = np.array(one.bands["algae_cover"].high) - np.array(one.bands["algae_cover"].low)
    assert photos.high - photos.low == pytest.approx(width.max())
    assert photos.first_day <= int(np.argmax(width)) <= photos.last_day
