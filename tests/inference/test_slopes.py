"""The summary slope: a least-squares line through each unit's days."""

import math
from dataclasses import replace

import numpy as np
import pytest

from fairtank.errors import DesignError
from fairtank.inference import compare
from fairtank.inference.series.scales import Scale
from fairtank.inference.series.slopes import least_squares_slope, slope_or_trouble, used_days
from fairtank.trial import Series
from inference.trials import measure, plan_of

LOGIT = Scale("logit")
RATES = {"R1": 0.080, "R2": 0.085, "R3": 0.092, "C1": 0.050, "C2": 0.061, "C3": 0.055}


def rising(unit, rate, *, start=-3.0, days=range(43)):
    """A cover whose log-odds rise by the same amount every day."""
    return Series(unit, "cover", tuple(days), tuple(LOGIT.back(start + rate * day) for day in days))


def trial_series(**more):
    return [rising(unit, rate, start=-3.0 + 0.3 * number, **more) for number, (unit, rate) in enumerate(RATES.items())]


@pytest.mark.published(entry="side_by_side", source="scipy_library",
                       where="stats.linregress on each unit's log-odds, stats.ttest_ind on the slopes")
def test_the_slopes_and_their_interval_are_scipys():
    from scipy.stats import linregress, ttest_ind

    rng = np.random.default_rng(4)
    series = [replace(one, values=tuple(float(value) for value in np.clip(np.array(one.values) * rng.uniform(0.9, 1.1, 43), 0.3, 99)))
              for one in trial_series()]
    slopes = {one.unit: linregress(one.days, [LOGIT.forward(value) for value in one.values]).slope for one in series}
    choice = measure(summary="slope")
    finding = compare(plan_of(choice=choice), choice, series)
    assert [unit.z for unit in finding.units] == pytest.approx([slopes[unit.unit] for unit in finding.units], rel=1e-9)
    other = ttest_ind(*([slopes[f"{arm}{number}"] for number in (1, 2, 3)] for arm in "CR"), equal_var=False)
    limits = other.confidence_interval()
    assert (finding.low, finding.high, finding.p_value) == pytest.approx((limits.low, limits.high, other.pvalue), rel=1e-9)


def test_slopes_do_not_care_at_which_level_a_tank_starts():
    choice = measure(summary="slope", margin=0.01)
    finding = compare(plan_of(choice=choice), choice, trial_series())
    assert finding.estimate == pytest.approx((0.050 + 0.061 + 0.055 - 0.080 - 0.085 - 0.092) / 3, rel=1e-9)
    assert (finding.grade, finding.natural) == ("matters", None)


def test_slopes_that_differ_by_thousandths_a_day_are_scatter_and_not_the_limit_of_the_scale():
    choice = measure(summary="slope")
    series = [rising(unit, 0.08 + 0.0005 * number) for number, unit in enumerate(RATES)]
    finding = compare(plan_of(choice=choice), choice, series)
    assert finding.low is not None
    assert finding.tags == ()


def test_with_a_run_in_the_slope_is_that_of_the_treated_days_alone():
    choice = measure(summary="slope")
    bent = [Series(one.unit, "cover", one.days, tuple(LOGIT.back(max(0, day - 14) * RATES[one.unit] - 2) for day in one.days))
            for one in trial_series()]
    finding = compare(plan_of(choice=choice, kind="run_in", run_in_days=14), choice, bent)
    assert [unit.z for unit in finding.units] == pytest.approx(list(RATES.values()), rel=1e-9)
    assert (finding.window, finding.run_in) == ((14, 42), None)
    assert "Cover by eye: the run-in is not used; a slope is that of the treated days alone." in finding.cautions


def test_every_day_has_the_same_weight_however_the_days_are_spaced():
    points = [(0, 1.0), (1, 1.0), (2, 1.0), (30, 9.0)]
    assert least_squares_slope(points) == pytest.approx(np.polyfit(*zip(*points, strict=True), 1)[0], rel=1e-12)


def test_more_than_a_tenth_of_clipped_days_ends_the_line_before_the_first_of_them():
    values = {day: min(10.0 * day + 5, 100.0) for day in range(30)}
    kept, window = used_days(values, (0, 29), LOGIT)
    assert list(kept) == list(range(10))
    assert window == (0, 9)
    few = {day: 100.0 if day == 29 else 50.0 + day for day in range(30)}
    assert used_days(few, (0, 29), LOGIT) == (few, (0, 29))
    assert math.isfinite(slope_or_trouble(values, (0, 29), LOGIT, keep_gaps=False))


@pytest.mark.parametrize(("values", "said"), [
    ({}, "has no value from day 0 to day 29"),
    (dict.fromkeys(range(0, 30, 5), 5.0), "has values on 6 days; a slope needs at least 8"),
    (dict.fromkeys(range(30), 0.0), "has values on 0 days before the first one at the limit of the scale; a slope needs at least 8"),
    ({day: float(day + 5) for day in (*range(10), *range(20, 30))}, "has no value between day 9 and day 20, a gap of 11 days"),
])
def test_days_that_cannot_carry_a_line_say_why(values, said):
    assert slope_or_trouble(values, (0, 29), LOGIT, keep_gaps=False).startswith(said)


@pytest.mark.parametrize("kind", ["side_by_side", "run_in"])
def test_a_slope_over_a_week_is_refused(kind):
    choice = measure(summary="slope", window=(20, 26))
    with pytest.raises(DesignError, match="The window of cover has 7 days; a slope needs at least 8"):
        compare(plan_of(choice=choice, kind=kind), choice, ())
