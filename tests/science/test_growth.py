"""Growth: worked rates, curves against solved differential equations, and the gap in which something set in."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from checking import agrees
from fairtank import registry
from fairtank.errors import InputError, OutOfRangeError
from fairtank.science import growth

LOGISTIC = {"capacity": 80, "start": 2, "rate_per_day": 0.25}
GOMPERTZ = {"capacity": 80, "start": 2, "rate_per_day": 0.12}
SIZES = st.floats(0.01, 1000)


@pytest.mark.published(entry="relative_growth_rate", source="arithmetic", where="(ln W2 - ln W1) / (t2 - t1) by hand")
@pytest.mark.parametrize(("start", "end", "days", "printed"), [
    (2, 8, 14, ".09902"), (1, 16, 3, ".92420"), (1, 7, 7, ".27799"), (1, 64, 3, "1.3863"), (1, 32, 3, "1.1552"),
])
def test_the_growth_rate_equals_the_hand_worked_plants(start, end, days, printed):
    assert agrees(growth.relative_growth_rate(start, end, days), printed)


@pytest.mark.published(entry="relative_growth_rate", source="hoffmann2002", where="mean of logarithms; 1, 2, 4 to 2, 8, 16 in 10 days")
def test_the_mean_growth_rate_is_that_of_the_logarithms_not_the_logarithm_of_the_means():
    start, end = [1, 2, 4], [2, 8, 16]
    rate = growth.relative_growth_rate(start, end, 10)
    assert agrees(rate, ".11552")
    assert agrees(np.log(np.mean(end) / np.mean(start)) / 10, ".13122"), "what averaging the sizes first would have said"


def test_scatter_alone_is_no_growth():
    """Plants scatter more at the end with the same middle of their logarithms: no growth, though their mean size rose."""
    rng = np.random.default_rng(5)
    noise = rng.normal(size=500)
    noise -= noise.mean()
    start, end = np.exp(0.1 * noise), np.exp(0.8 * noise)
    assert growth.relative_growth_rate(start, end, 10) == pytest.approx(0, abs=1e-12)
    assert end.mean() > 1.2 * start.mean()


def test_the_plants_of_the_end_need_not_be_those_of_the_start():
    assert growth.relative_growth_rate([1, 1, 1], [2, 2], 1) == pytest.approx(np.log(2))
    assert isinstance(growth.relative_growth_rate([2], [8], 14), float)


@given(start=SIZES, end=SIZES, days=st.floats(1, 100), scale=st.floats(0.1, 10))
def test_a_growth_rate_knows_no_unit_and_runs_backwards(start, end, days, scale):
    rate = growth.relative_growth_rate(start, end, days)
    assert growth.relative_growth_rate(scale * start, scale * end, days) == pytest.approx(rate, abs=1e-9)
    assert growth.relative_growth_rate(end, start, days) == pytest.approx(-rate, abs=1e-12)
    assert start * np.exp(rate * days) == pytest.approx(end, rel=1e-9)


@pytest.mark.published(entry="doubling_days", source="arithmetic", where="ln 2 / rate by hand; 2.5 days is about 7-fold in 7 days")
def test_doubling_times_equal_the_hand_worked_ones():
    assert agrees(growth.doubling_days(.231), "3.00")
    assert agrees(growth.doubling_days(growth.relative_growth_rate(2, 8, 14)), "7.00")
    assert agrees(np.exp(.275 * 7), "6.86")
    assert agrees(2 ** (7 / growth.doubling_days(np.log(2) / 2.5)), "6.96")
    assert growth.doubling_days([.231, .462]) == pytest.approx([3.0006, 1.5003], abs=1e-4)


@pytest.mark.published(entry="inhibition", source="oecd201", where="both definitions; 1 to 64 against 1 to 32 in 3 days by hand")
def test_inhibition_of_rate_and_of_yield_equal_the_hand_worked_pair():
    found = growth.inhibition(64, 32, 1, 3)
    assert agrees(found.growth_rate_pct, "16.67")
    assert agrees(found.yield_pct, "50.79")


def test_the_two_inhibitions_have_two_names_and_only_one_depends_on_how_long_it_ran():
    assert [part.name for part in registry.entry("calculator", "inhibition").outputs] == ["growth_rate_pct", "yield_pct"]
    short, long = (growth.inhibition(np.exp(0.5 * days), np.exp(0.4 * days), 1, days) for days in (2, 20))
    assert short.growth_rate_pct == pytest.approx(20)
    assert long.growth_rate_pct == pytest.approx(20)
    assert long.yield_pct > short.yield_pct + 30


def test_equal_tanks_show_no_inhibition_and_a_better_one_less_than_none():
    assert growth.inhibition([60, 70], [60, 70], 1, 3) == growth.Inhibition(0.0, 0.0)
    assert growth.inhibition(32, 64, 1, 3).growth_rate_pct < 0
    several = growth.inhibition([64, 64], [32, 32, 32], [1, 1], 3)
    assert (several.growth_rate_pct, several.yield_pct) == pytest.approx((100 / 6, 100 * 32 / 63))


@pytest.mark.published(entry="logistic", source="arithmetic", where="K 80, N0 2, r 0.25; and dN/dt = r N (1 - N / K) by scipy")
@pytest.mark.parametrize(("day", "printed"), [(7, "10.286"), (14, "36.736"), (21, "66.409"), (28, "77.253")])
def test_logistic_growth_equals_the_worked_days(day, printed):
    size = growth.logistic(day, **LOGISTIC)
    assert agrees(size, printed)
    assert size == pytest.approx(solved(lambda n: 0.25 * n * (1 - n / 80), day), rel=1e-7)


@pytest.mark.published(entry="gompertz", source="arithmetic", where="K 80, N0 2, c 0.12; and dN/dt = c N ln(K / N) by scipy")
@pytest.mark.parametrize(("day", "printed"), [(7, "16.273"), (14, "40.226"), (21, "59.455"), (28, "70.379")])
def test_gompertz_growth_equals_the_worked_days(day, printed):
    size = growth.gompertz(day, **GOMPERTZ)
    assert agrees(size, printed)
    assert size == pytest.approx(solved(lambda n: 0.12 * n * np.log(80 / n), day), rel=1e-7)


def solved(slope, day):
    """Size on a day, from 2 on day 0, by another program's solver of the growth equation."""
    from scipy.integrate import solve_ivp

    return solve_ivp(lambda _, size: slope(size), (0, day), [2.0], rtol=1e-10, atol=1e-12).y[0, -1]


@pytest.mark.published(entry="inflection_days", source="arithmetic", where="ln(K / N0 - 1) / r and ln(ln(K / N0)) / c by hand")
@pytest.mark.parametrize(("curve", "given", "share", "printed"), [
    ("logistic", LOGISTIC, 1 / 2, "14.654"), ("gompertz", GOMPERTZ, 1 / np.e, "10.878"),
])
def test_the_day_of_fastest_growth_equals_the_worked_one_and_is_the_steepest(curve, given, share, printed):
    day = growth.inflection_days(curve, **given)
    assert agrees(day, printed)
    sizes = getattr(growth, curve)(np.array([day - 0.5, day - 0.25, day + 0.25, day + 0.5]), **given)
    assert sizes[2] - sizes[1] > max(sizes[1] - sizes[0], sizes[3] - sizes[2])
    assert getattr(growth, curve)(day, **given) == pytest.approx(share * given["capacity"], rel=1e-9)


@pytest.mark.parametrize("curve", [growth.logistic, growth.gompertz])
@given(capacity=st.floats(1, 100), start=st.floats(0.1, 200), rate=st.floats(0.01, 1))
def test_a_curve_begins_at_its_start_ends_at_its_capacity_and_never_crosses_it(curve, capacity, start, rate):
    sizes = curve(np.linspace(0, 50 / rate, 50), capacity, start, rate)
    assert sizes[0] == pytest.approx(start, rel=1e-9)
    assert sizes[-1] == pytest.approx(capacity, rel=1e-6)
    assert ((sizes - capacity) * (start - capacity) >= -1e-9 * capacity**2).all()


def test_early_logistic_growth_is_exponential():
    assert growth.logistic(1, 1e9, 1, 0.25) == pytest.approx(np.exp(0.25), rel=1e-8)


@pytest.mark.published(entry="onset", source="arithmetic", where="3 % on day 10, 7 % on day 12, threshold 5 %, by hand")
def test_the_onset_equals_the_hand_worked_gap():
    found = growth.onset([10, 12], [3, 7], 5)
    assert (found.last_below, found.first_at) == (10.0, 12.0)
    assert agrees(found.linear, "11.000")
    assert agrees(found.log_linear, "11.206")


def test_the_onset_is_the_first_time_and_a_value_at_the_threshold_counts():
    found = growth.onset([0, 3, 7, 10, 14], [0, 2, 5, 1, 9], 5)
    assert (found.last_below, found.first_at, found.linear) == (3.0, 7.0, 7.0)
    assert growth.onset([0, 3], [0, 9], 5).log_linear is None, "nothing grows from 0 by a factor"
    assert growth.onset([0, 3], [-2, 9], -1).log_linear is None


def test_an_onset_before_the_first_or_after_the_last_day_is_told_as_such():
    assert growth.onset([0, 7], [6, 8], 5) == growth.Onset(None, 0.0, None, None)
    assert growth.onset([0, 7], [1, 2], 5) == growth.Onset(7.0, None, None, None)
    assert growth.onset(4, 9, 5) == growth.Onset(None, 4.0, None, None)


@given(values=st.lists(st.floats(0.1, 100), min_size=2, max_size=12), threshold=st.floats(1, 90))
def test_both_points_of_a_chart_lie_in_the_gap(values, threshold):
    found = growth.onset(range(len(values)), values, threshold)
    if found.last_below is not None and found.first_at is not None:
        assert found.last_below <= found.linear <= found.first_at
        assert found.last_below <= found.log_linear <= found.first_at
        assert found.log_linear >= found.linear - 1e-9, "the line through logarithms sags, so it arrives later"
        assert max(values[:int(found.first_at)]) < threshold


def test_arrays_give_arrays():
    assert isinstance(growth.logistic(7, 80, 2, .25), float)
    assert growth.gompertz([7, 14], 80, 2, .12).shape == (2,)
    assert growth.inflection_days("logistic", [80, 40], 2, .25).shape == (2,)


@pytest.mark.parametrize(("call", "sentence"), [
    (lambda: growth.relative_growth_rate(0, 8, 14), r"start is 0\.0; accepted: 1e-12 to 1e\+12\. A plant that died has no growth rate"),
    (lambda: growth.relative_growth_rate(1, 8, 0), r"days is 0\.0 d; accepted: 0\.01 to 10000 d"),
    (lambda: growth.doubling_days(0), r"rate_per_day is 0\.0 1/d; accepted: 1e-06 to 100 1/d\. What does not grow never doubles"),
    (lambda: growth.inhibition(1, 2, 1, 3), r"control is 1; accepted: more than at the start, 1\. A control that did not grow"),
    (lambda: growth.inhibition(2, 0, 1, 3), r"treated is 0\.0; accepted|end is 0\.0; accepted"),
    (lambda: growth.logistic(-1, 80, 2, .25), r"days is -1\.0 d; accepted: 0 to 10000 d"),
    (lambda: growth.gompertz(1, 80, 0, .25), r"start is 0\.0; accepted"),
    (lambda: growth.inflection_days("gompertz", 2, 80, .25), r"start is 80; accepted: less than the capacity\. Were the two exchanged"),
    (lambda: growth.onset([0, 1], [1, float("nan")], 5), r"values is nan; .* Leave out days without a value"),
])
def test_a_number_outside_its_range_is_refused_by_name_value_and_range(call, sentence):
    with pytest.raises(OutOfRangeError, match=sentence):
        call()


@pytest.mark.parametrize(("call", "sentence"), [
    (lambda: growth.relative_growth_rate([], [], 14), r"end is an empty list; accepted: one size or more"),
    (lambda: growth.relative_growth_rate(1, 8, [7, 14]), r"days is several numbers; accepted: one number of days"),
    (lambda: growth.inflection_days("linear", 80, 2, .25), r"curve is 'linear'; accepted: logistic, gompertz"),
    (lambda: growth.onset([0, 1], [1], 5), r"values is of another length than days, or empty"),
    (lambda: growth.onset([], [], 5), r"values is of another length than days, or empty"),
    (lambda: growth.onset([1, 0], [1, 2], 5), r"days is not rising; accepted: days in rising order"),
    (lambda: growth.onset([0, 1], [1, 2], [5, 6]), r"threshold is several numbers; accepted: one number"),
])
def test_lists_that_do_not_fit_are_refused(call, sentence):
    with pytest.raises(InputError, match=sentence):
        call()
