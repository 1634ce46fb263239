"""Side by side: published plant weights as an end-point trial, and many null trials with tanks that wander."""

import math

import numpy as np
import pytest

from checking import agrees
from fairtank.errors import DesignError
from fairtank.inference import compare
from fairtank.trial import Series
from inference.trials import levels, measure, plan_of, table

ROWS = table("dobson1983_plantgrowth.csv")
GROUPS = {group: [float(row["weight_g"]) for row in ROWS if row["group"] == group] for group in ("ctrl", "trt1", "trt2")}


def harvest(treatment):
    """Ten pots per arm, one ready-made weight each, on the last day."""
    choice = measure("identity", key="weight", unit="g")
    pots = levels(GROUPS["ctrl"], GROUPS[treatment], days=[42], key="weight", ready_made=True)
    return compare(plan_of(10, 10, choice=choice), choice, pots)


@pytest.mark.published(entry="side_by_side", source="dobson1983", where="R datasets::PlantGrowth, group means 5.032, 4.661, 5.526")
@pytest.mark.parametrize(("treatment", "printed", "grade"), [("trt1", "4.661", "open"), ("trt2", "5.526", "differs")])
def test_the_plant_weights_are_judged_as_scipy_judges_them(treatment, printed, grade):
    from scipy.stats import ttest_ind

    finding = harvest(treatment)
    other = ttest_ind(GROUPS[treatment], GROUPS["ctrl"], equal_var=False)
    limits = other.confidence_interval()
    assert agrees(finding.natural.reference, "5.032")
    assert agrees(finding.natural.changed, printed)
    assert (finding.low, finding.high, finding.p_value) == pytest.approx((limits.low, limits.high, other.pvalue), rel=1e-9)
    assert (finding.grade, finding.basis, finding.arrangements) == (grade, "own tanks", 184756)
    assert (finding.shuffle_p < 0.05) == (grade == "differs")


def test_change_needs_a_run_in():
    with pytest.raises(DesignError, match="The summary of cover is change, which needs a run-in; a side_by_side design has none"):
        compare(plan_of(), measure(summary="change"), ())


def test_a_window_of_the_plan_is_kept_and_none_is_the_whole_trial():
    series = levels([10, 11, 12], [20, 22, 24])
    assert compare(plan_of(), measure(window=(7, 35)), series).window == (7, 35)
    assert compare(plan_of(), measure(), series).window == (0, 42)


TRIALS, DAYS, PER_ARM = 400, 43, 3


def wandering_tanks():
    """Null trials: like tanks at levels 0.5 logit apart, each wandering from day to day (AR(1), 0.8), 8 % of photos missing."""
    rng = np.random.default_rng(20260301)
    noise = rng.normal(0, 0.25, size=(TRIALS, 2 * PER_ARM, DAYS))
    for day in range(1, DAYS):
        noise[..., day] = 0.8 * noise[..., day - 1] + 0.6 * noise[..., day]
    logits = -1.5 + rng.normal(0, 0.5, size=(TRIALS, 2 * PER_ARM, 1)) + noise
    return logits, rng.random(logits.shape) >= 0.08


def cover_series(unit, logits, seen):
    """The days on which a photo exists, as cover in per cent."""
    return Series(unit, "cover", tuple(np.flatnonzero(seen).tolist()), tuple((100 / (1 + np.exp(-logits[seen]))).tolist()))


def test_like_tanks_are_rarely_told_apart_while_counting_days_tells_them_apart_all_the_time():
    from scipy.stats import ttest_ind

    logits, seen = wandering_tanks()
    plan = plan_of(PER_ARM, PER_ARM)
    claims = naive = 0
    for trial in range(TRIALS):
        series = [cover_series(unit.key, logits[trial, row], seen[trial, row]) for row, unit in enumerate(plan.units)]
        claims += compare(plan, measure(), series).grade == "differs"
        arms = [logits[trial, rows][seen[trial, rows]] for rows in (slice(0, PER_ARM), slice(PER_ARM, None))]
        naive += ttest_ind(*arms).pvalue < 0.05
    assert claims / TRIALS <= 0.05 + 2.58 * math.sqrt(0.05 * 0.95 / TRIALS)
    assert naive / TRIALS > 0.25
