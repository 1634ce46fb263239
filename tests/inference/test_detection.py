"""Readings below a test's limit: what stands in, both ends tried, the tag, the interval that is withheld, and how far off the stand-in "
  "is."""

import math
from statistics import NormalDist

import numpy as np
import pytest
from tests.inference.trials import event, measure, plan_of

from fairtank.inference import judge
from fairtank.inference.earlier.borrowing import entries_of
from fairtank.inference.series.detection import AT_THE_LIMIT, AT_THE_LOWEST, LIMIT_OVER_ROOT_2, filled, stands_in
from fairtank.trial import MeasureChoice, Series

DAYS = tuple(range(0, 43, 6))
NITRATE = measure("log", key="nitrate", unit="mg/L", margin=0.3)


def readings_of(unit, values, *, limit=2.0, days=DAYS, key="nitrate"):
    """A series of readings: what lies below the limit carries the limit."""
    below = tuple(value < limit for value in values)
    return Series(unit, key, tuple(days), tuple(limit if flag else float(value) for value, flag in zip(values, below, strict=True)),
                  (None,) * len(values), ready_made=True, below=below)


WAVE = (1.0, 1.2, 0.9, 1.1, 0.8, 1.0, 1.15, 0.85)


def trial(levels, **more):
    """Readings that wave about each unit's level."""
    return tuple(readings_of(unit, [level * factor for factor in WAVE], **more) for unit, level in levels.items())


LEVELS = {"R1": 5.0, "R2": 6.0, "R3": 5.5, "C1": 2.2, "C2": 2.6, "C3": 2.4}


def found_for(series, choice=NITRATE, **more):
    return judge(plan_of(3, 3, choice=choice), series, **more)[0]


def test_the_stand_in_is_the_limit_over_the_square_root_of_2_and_the_ends_are_the_limit_and_the_lowest():
    assert stands_in(4.0, LIMIT_OVER_ROOT_2, "log") == pytest.approx(2.8284271)
    assert [stands_in(4.0, way, scale) for way, scale in ((AT_THE_LIMIT, "log"), (AT_THE_LOWEST, "log"), (AT_THE_LOWEST, "identity"))] == \
        [4.0, 0.4, 0.0]


def test_only_flagged_values_of_that_measure_are_replaced():
    series = (readings_of("R1", (5, 1)), readings_of("R1", (1, 1), key="phosphate"), Series("C1", "nitrate", (0,), (2.0,)))
    changed = filled(series, "nitrate", AT_THE_LIMIT, "log")
    assert changed == series
    assert filled(series, "nitrate", AT_THE_LOWEST, "identity")[0].values == (5.0, 0.0)
    assert filled(series, "nitrate", AT_THE_LOWEST, "identity")[1:] == series[1:]


def test_the_units_numbers_hold_the_stand_in_and_the_finding_says_so():
    found = found_for(trial(LEVELS))
    z = {unit.unit: unit.z for unit in found.units}
    # C1: 2.2 times the wave; 0.9, 0.8 and 0.85 fall below 2. Trapezoid over days 0 to 42, every 6 days.
    logs = [math.log(2.2 * factor if 2.2 * factor >= 2 else 2 / math.sqrt(2)) for factor in WAVE]
    assert z["C1"] == pytest.approx((sum(logs) - (logs[0] + logs[-1]) / 2) / 7)
    assert found.below_detection.days == 48
    assert (found.below_detection.lowest, found.below_detection.highest) == (2.0, 2.0)
    assert "hornung1990" in found.sources
    (said,) = [text for text in found.cautions if "what the test can tell" in text]
    assert said == (f"Cover by eye: on {found.below_detection.below} of 48 tank-days it lay below what the test can tell (2 mg/L); it "
                    f"was taken "
                    "as the limit divided by the square root of 2. The other ways tried are all of them at the limit, and all of them "
                    "at a tenth "
                    "of the limit.")


def test_both_ends_are_among_the_alternatives_and_a_grade_that_moves_is_fragile():
    found = found_for(trial({**LEVELS, "C1": 2.0, "C2": 2.9, "C3": 3.2}))
    tried = dict(found.alternatives)
    assert {AT_THE_LIMIT, AT_THE_LOWEST} <= tried.keys()
    assert ("fragile" in found.tags) == any(grade != found.grade for grade in tried.values())
    assert (found.grade, tried[AT_THE_LIMIT], tried[AT_THE_LOWEST]) == ("differs", "differs", "open")


def test_no_reading_below_the_limit_changes_nothing():
    series = trial(LEVELS, limit=0.1)
    plain = tuple(Series(one.unit, one.measure, one.days, one.values, one.ses, ready_made=True) for one in series)
    assert found_for(series) == found_for(plain)
    assert found_for(series).below_detection is None


@pytest.mark.parametrize(("low_days", "is_tagged"), [(9, False), (10, True)])
def test_the_tag_comes_with_more_than_a_fifth_of_all_unit_days(low_days, is_tagged):
    values = [[5.0 + unit / 10] * 8 for unit in range(6)]
    for place in range(low_days):
        values[place % 6][place // 6 * 2] = 1.0
    found = found_for(tuple(readings_of(unit, own) for unit, own in zip(LEVELS, values, strict=True)))
    assert (found.below_detection.below, "below detection" in found.tags) == (low_days, is_tagged)


def test_an_arm_that_lies_below_on_nearly_all_days_has_no_interval():
    found = found_for(trial({**LEVELS, "C1": 1.0, "C2": 1.2, "C3": 1.5}))
    assert found.below_detection.arms_below == ("C",)
    assert (found.grade, found.low, found.high, found.p_value, found.basis) == ("open", None, None, None, "none")
    assert "below detection" in found.tags
    assert "at the limit of the scale" not in found.tags


def test_an_arm_below_on_more_than_half_of_its_days_holds_the_difference_back_and_is_never_called_alike():
    found = found_for(trial({"R1": 1.96, "R2": 1.97, "R3": 1.98, "C1": 2.1, "C2": 2.12, "C3": 2.14}))
    assert found.below_detection.arms_half == ("R",)
    assert (found.grade, found.low > -0.3, found.high < 0.3) == ("open", True, True)
    assert ("Cover by eye: more than half of the readings of plain lay below what the test can tell. That holds the difference back: "
            "the true "
            "one may be larger than the interval says.") in found.cautions


def test_stand_ins_lend_no_spread_to_later_trials():
    plan = plan_of(3, 3, choice=NITRATE)
    low, high = {"C1": 1.6, "C2": 1.9, "C3": 2.0}, {"C1": 3.1, "C2": 3.6, "C3": 4.0}
    hidden, seen = (judge(plan, trial({**LEVELS, **changed})) for changed in (low, high))
    assert "below detection" in hidden[0].tags
    assert entries_of(plan, hidden) == ()
    assert len(entries_of(plan, seen)) == 1


def test_days_that_an_event_takes_out_and_units_that_it_takes_out_do_not_count():
    events = (event(["R1"], 0, 20, "exclude_window"), event(["R2"], 3, 3, "exclude_unit"))
    found = found_for(trial(LEVELS), events=events)
    assert found.below_detection.days == 48 - 8 - 4


def test_several_readings_of_a_day_are_below_when_half_of_them_are():
    twice = Series("C1", "nitrate", (0, 0, 6, 6, 12, 12), (2.0, 3.0, 2.0, 2.0, 3.0, 3.0), (None,) * 6, ready_made=True,
                   below=(True, False, True, True, False, False))
    found = found_for((twice, *(one for one in trial(LEVELS, limit=0.1) if one.unit != "C1")))
    assert (found.below_detection.days, found.below_detection.below) == (43, 2)


def threshold(limit, at=3.0):
    choice = MeasureChoice("nitrate", "primary", summary="threshold", scale="log", threshold=at, title="Nitrate", unit_of_measure="mg/L")
    rising = {unit: readings_of(unit, [level * day / 20 for day in DAYS], limit=limit) for unit, level in LEVELS.items()}
    return judge(plan_of(3, 3, choice=choice), tuple(rising.values()))[0]


def test_a_reading_below_a_limit_no_higher_than_the_threshold_has_not_reached_it():
    found = threshold(2.0)
    reached = {unit.unit: unit.reached for unit in found.units}
    # R1 rises by 0.25 a day: 1.5 on day 6 (below the limit), 3.0 on day 12.
    assert reached["R1"] == (6, 12)
    assert any("counts as below the threshold" in text for text in found.cautions)


def test_a_threshold_below_the_limit_is_not_judged():
    found = threshold(4.0)
    assert found.grade == "spoilt"
    assert found.spoilt_reason == ("the test cannot tell less than 4 mg/L, which is more than the threshold of 3: whether a reading "
                                   "below it "
                                   "reached the threshold is not known")


def test_alike_is_tried_with_the_arms_at_opposite_ends():
    alike = {unit: 2.3 + place / 50 for place, unit in enumerate(LEVELS)}
    found = found_for(trial(alike))
    assert found.grade == "alike"
    opposite = [grade for way, grade in found.alternatives if "elsewhere" in way]
    assert len(opposite) == 2
    assert "fragile" in found.tags
    assert not any("elsewhere" in way for way, _ in found_for(trial(LEVELS)).alternatives)


def test_a_plain_zero_is_taken_as_it_stands_and_told():
    series = (readings_of("R1", (5, 0, 5, 0, 5, 5, 5, 5), limit=0), *(one for one in trial(LEVELS, limit=0) if one.unit != "R1"))
    found = found_for(series)
    assert ("2 readings are 0 and were taken as they stand. A test that shows 0 means less than it can tell: its limit as the value, with "
            "below_detection true, says so.") in found.cautions
    assert any(text.startswith("Values of 0 have no place on the log scale") for text in found.cautions)
    assert found.below_detection is None


def test_readings_of_one_and_the_same_day_are_an_end_point():
    found = found_for(tuple(readings_of(unit, (level,), days=(42,)) for unit, level in LEVELS.items()))
    assert found.reading_day == 42
    assert found.grade != "spoilt"


@pytest.mark.parametrize(("spread", "share", "mean_pct", "middle_pct"), [
    (0.3, 0.15, -1.7, -2.9), (0.3, 0.30, -3.2, -4.6), (0.6, 0.15, -0.3, -0.5), (0.6, 0.30, -0.1, 1.0),
    (1.0, 0.15, 0.2, 2.6), (1.0, 0.30, 1.2, 9.1),
])
def test_the_stand_in_is_off_by_little_when_up_to_30_of_100_lognormal_readings_lie_below(spread, share, mean_pct, middle_pct):
    # Seed 11, 200 000 readings; the exact bias follows from the normal distribution's own integrals.
    limit = math.exp(spread * NormalDist().inv_cdf(share))
    true = np.exp(np.random.default_rng(11).normal(0, spread, 200_000))
    told = np.where(true < limit, stands_in(limit, LIMIT_OVER_ROOT_2, "log"), true)
    assert 100 * (told.mean() / true.mean() - 1) == pytest.approx(mean_pct, abs=0.2)
    assert 100 * (math.exp(np.log(told).mean() - np.log(true).mean()) - 1) == pytest.approx(middle_pct, abs=0.4)
    quantile = NormalDist().inv_cdf(share)
    below = share * math.log(limit / math.sqrt(2)) + spread * NormalDist().pdf(quantile)  # E[log stand-in] - E[log true], below the limit
    assert 100 * (math.exp(below) - 1) == pytest.approx(middle_pct, abs=0.4)
