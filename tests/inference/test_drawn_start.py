"""The exact test of a drawn start: against counting by hand, against scipy, and on simulated tanks."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fairtank.errors import DesignError, InputError, NotEnoughDataError
from fairtank.inference.designs.drawn_start import AT_ONCE, THESE_TANKS, drawn_start, smallest_p, start_weights

DAYS, WINDOW, WIDE = range(42), (14, 27), (11, 31)


def wandering(rng, phi, trials=1, days=42):
    shocks = rng.standard_normal((trials, days))
    for day in range(1, days):
        shocks[:, day] = phi * shocks[:, day - 1] + math.sqrt(1 - phi**2) * shocks[:, day]
    return shocks


def counted_p(treated, reference, window, drawn_day, direction):
    """The same p, one draw after the other, in plain Python."""
    seen = []
    for sign in (1, -1):
        for start in range(window[0], window[1] + 1):
            gaps = [sign * (a - b) for a, b in zip(treated, reference, strict=True)]
            seen.append((sign, start, sum(gaps[start:]) / (len(gaps) - start) - sum(gaps[:start]) / start))
    turned = {"more": 1, "less": -1}.get(direction)
    sizes = {(sign, start): abs(value) if turned is None else turned * value for sign, start, value in seen}
    return sum(size >= sizes[1, drawn_day] - 1e-9 for size in sizes.values()) / len(sizes)


@pytest.mark.parametrize("direction", ["less", "more", "either"])
@pytest.mark.parametrize("drawn_day", [11, 20, 31])
def test_p_is_the_share_of_draws_counted_one_by_one(direction, drawn_day):
    values = wandering(np.random.default_rng(5), 0.8, 2)
    found = drawn_start(DAYS, values[0], values[1], start_window=WIDE, drawn_day=drawn_day, direction=direction)
    assert found.p_value == pytest.approx(counted_p(values[0], values[1], WIDE, drawn_day, direction))
    assert found.assignments == 42


def test_the_slope_statistic_is_the_change_of_two_fitted_slopes():
    values = wandering(np.random.default_rng(6), 0.3)[0]
    found = drawn_start(DAYS, values, np.zeros(42), start_window=WINDOW, drawn_day=20, direction="more", statistic="slope")
    before, after = (np.polyfit(days, values[days], 1)[0] for days in (np.arange(20), np.arange(20, 42)))
    assert found.estimate == pytest.approx(after - before)
    assert (found.at_once_low, found.at_once_high) == (None, None)


def test_the_smallest_p_is_one_in_all_draws():
    assert round(smallest_p(14, "more"), 3) == 0.036
    assert smallest_p(20, "either") == 0.05
    treated = [0.0] * 20 + [5.0] * 22
    for window, direction in ((WINDOW, "more"), (WIDE, "either")):
        found = drawn_start(DAYS, treated, [0.0] * 42, start_window=window, drawn_day=20, direction=direction)
        assert found.p_value == pytest.approx(found.smallest_p)
        assert (found.estimate, found.grade) == (5.0, "differs")


def test_a_step_the_other_way_is_no_finding_when_less_was_expected():
    treated = [0.0] * 20 + [5.0] * 22
    found = drawn_start(DAYS, treated, [0.0] * 42, start_window=WINDOW, drawn_day=20, direction="less")
    assert (found.p_value, found.grade) == (1.0, "open")


@pytest.mark.parametrize("phi", [0.3, 0.8, 0.95])
@pytest.mark.parametrize("drift", [0.0, 0.05])
@pytest.mark.parametrize(("window", "direction", "statistic"), [
    (WINDOW, "more", "level"), (WIDE, "either", "level"), (WINDOW, "less", "slope")])
def test_false_alarms_stay_below_five_in_a_hundred_however_the_tanks_wander(phi, drift, window, direction, statistic):
    rng = np.random.default_rng(8)
    trials, starts = 1500, range(window[0], window[1] + 1)
    gaps = wandering(rng, phi, trials) + drift * np.arange(42)
    by_start = gaps @ start_weights(DAYS, starts, statistic).T
    # The lot names the tank, too: a lasting trend between the two is turned round in half of the trials.
    by_start *= rng.choice([-1.0, 1.0], (trials, 1))
    drawn = rng.integers(0, len(starts), trials)
    both = np.concatenate([by_start, -by_start], axis=1)
    sizes = {"more": both, "less": -both, "either": np.abs(both)}[direction]
    p_values = (sizes >= sizes[np.arange(trials), drawn][:, None] - 1e-9).mean(axis=1)
    assert (p_values <= 0.05).mean() <= 0.05 + 2.58 * math.sqrt(0.05 * 0.95 / trials)
    for row in range(5):  # the vectorised p above is the function's own
        sign = 1.0 if np.isclose(by_start[row, 0], (gaps[row] @ start_weights(DAYS, starts, statistic).T)[0]) else -1.0
        found = drawn_start(DAYS, sign * gaps[row], np.zeros(42), start_window=window, drawn_day=window[0] + int(drawn[row]),
                            direction=direction, statistic=statistic)
        assert found.p_value == pytest.approx(p_values[row])


def test_a_step_is_covered_by_the_interval_for_a_change_that_worked_at_once():
    rng, trials, held = np.random.default_rng(9), 150, 0
    for _ in range(trials):
        values, day = wandering(rng, 0.8, 2), int(rng.integers(WIDE[0], WIDE[1] + 1))
        treated = values[0] + 3.0 * (np.arange(42) >= day)
        found = drawn_start(DAYS, treated, values[1], start_window=WIDE, drawn_day=day, direction="either")
        assert found.at_once_low <= found.estimate <= found.at_once_high
        held += found.at_once_low <= 3.0 <= found.at_once_high
    assert held / trials >= 0.95 - 2.58 * math.sqrt(0.05 * 0.95 / trials)


@given(st.integers(0, 2**32 - 1), st.integers(WIDE[0], WIDE[1]), st.sampled_from(["more", "less", "either"]))
def test_where_the_interval_leaves_out_zero_the_test_found_a_difference(seed, drawn_day, direction):
    values = wandering(np.random.default_rng(seed), 0.5, 2)
    found = drawn_start(DAYS, values[0] + 1.5 * (np.arange(42) >= drawn_day), values[1], start_window=WIDE, drawn_day=drawn_day,
                        direction=direction)
    holds_zero = (found.at_once_low is None or found.at_once_low <= 0) and (found.at_once_high is None or found.at_once_high >= 0)
    # The kept effects may have gaps; the interval spans them, so that it can only be wider than the test.
    assert holds_zero or found.grade == "differs"


@pytest.mark.parametrize("shift", [-2.0, 0.7])
def test_the_interval_moves_with_the_step(shift):
    values = wandering(np.random.default_rng(11), 0.8, 2)
    step = shift * (np.arange(42) >= 18)
    first, second = (drawn_start(DAYS, values[0] + add, values[1], start_window=WIDE, drawn_day=18, direction="either")
                     for add in (0.0, step))
    assert second.at_once_low == pytest.approx(first.at_once_low + shift, abs=1e-6)
    assert second.at_once_high == pytest.approx(first.at_once_high + shift, abs=1e-6)


def test_one_way_tests_bound_one_side_only():
    values = wandering(np.random.default_rng(12), 0.8, 2)
    more, less = (drawn_start(DAYS, values[0], values[1], start_window=WINDOW, drawn_day=18, direction=way) for way in ("more", "less"))
    assert (more.at_once_low is not None, more.at_once_high) == (True, None)
    assert (less.at_once_low, less.at_once_high is not None) == (None, True)


def test_a_lasting_difference_and_days_without_a_photo_do_not_break_it():
    days = [day for day in DAYS if day % 3]
    values = wandering(np.random.default_rng(13), 0.8, 2)[:, days]
    there, here = (drawn_start(days, values[0] + add, values[1], start_window=WINDOW, drawn_day=18, direction="more")
                   for add in (0.0, 9.0))
    assert (there.p_value, there.estimate) == pytest.approx((here.p_value, here.estimate))
    assert there.days_before + there.days_after == len(days)


def test_equal_tanks_are_open():
    found = drawn_start(DAYS, [1.0] * 42, [1.0] * 42, start_window=WINDOW, drawn_day=18, direction="more")
    assert (found.p_value, found.estimate, found.grade) == (1.0, 0.0, "open")


def test_it_says_that_it_speaks_of_these_tanks_and_of_a_change_that_worked_at_once():
    assert THESE_TANKS.startswith("This says that the change moved these two tanks. Whether it would move others is not known")
    assert "only if the change worked at once" in AT_ONCE


@pytest.mark.parametrize(("change", "error", "message"), [
    ({"start_window": (14, 33), "direction": "either"}, DesignError,
     "The window holds 20 possible starts; looking both ways needs at least 21"),
    ({"drawn_day": 28}, DesignError, "The start was drawn for day 28, outside the window from day 14 to day 27"),
    ({"start_window": (4, 27)}, NotEnoughDataError, "A start on day 4 leaves 4 days with values in both tanks before it and 38 from it on"),
    ({"statistic": "kink"}, InputError, "statistic is kink; accepted: level or slope"),
    ({"direction": "up"}, InputError, "direction is up; accepted: less, more, either"),
    ({"alpha": 1.0}, InputError, "alpha is 1.0; accepted: above 0, below 1"),
    ({"days": range(41)}, InputError, "days is 41 long; accepted: as many as values; there are 42 and 42"),
    ({"days": [0, *range(41)]}, InputError, "days is not in rising order"),
    ({"treated": [math.nan] * 42}, InputError, "a value is nan; accepted: a number"),
])
def test_what_cannot_be_judged_is_refused(change, error, message):
    given_values = {"days": DAYS, "treated": [0.0] * 42, "reference": [1.0] * 42, "start_window": WINDOW, "drawn_day": 18,
                    "direction": "more", **change}
    places = [given_values.pop(name) for name in ("days", "treated", "reference")]
    with pytest.raises(error, match=message):
        drawn_start(*places, **given_values)
