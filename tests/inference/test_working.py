"""The numbers on the way to the interval, against scipy and by their own arithmetic."""

import math

import pytest

from fairtank.inference import judge
from fairtank.trial import Unit
from inference.trials import levels, measure, plan_of

CHOICE = measure("identity", unit="g")


def facts_of(plan, series):
    finding = judge(plan, series)[0]
    return finding, dict(finding.facts)


def test_two_arms_give_their_means_and_their_scatter():
    from scipy import stats

    reference, changed = (10.0, 12.0, 15.0), (14.0, 19.0, 15.5)
    finding, facts = facts_of(plan_of(3, 3, choice=CHOICE), levels(reference, changed))
    assert facts["mean_changed"] - facts["mean_reference"] == pytest.approx(finding.estimate)
    assert (facts["spread_reference"], facts["spread_changed"]) == pytest.approx((stats.tstd(reference), stats.tstd(changed)))
    told = stats.ttest_ind(changed, reference, equal_var=False)
    assert facts["standard_error"] == pytest.approx(finding.estimate / told.statistic)
    assert facts["multiplier"] == pytest.approx(stats.t.isf(0.025, told.df))


@pytest.mark.parametrize("kind", ["pairs", "rounds"])
def test_pairs_and_rounds_give_their_differences(kind):
    from scipy import stats

    differences = (2.0, 3.0, 1.0, 4.5, 2.5, 3.5)
    units = tuple(Unit(f"{arm}{place}", arm, **({"pair": str(place)} if kind == "pairs" else
                                                {"round": str(place), "tank": "left" if (arm == "C") == (place % 2 == 0) else "right"}))
                  for arm in "RC" for place in range(1, 7))
    series = levels([10.0] * 6, [10.0 + difference for difference in differences])
    finding, facts = facts_of(plan_of(kind=kind, units=units, choice=CHOICE), series)
    assert tuple(facts[f"difference_{place}"] for place in range(1, 7)) == pytest.approx(differences)
    df = 5 if kind == "pairs" else 4
    assert facts["multiplier"] == pytest.approx(stats.t.isf(0.025, df))
    assert facts["half_width"] == pytest.approx(finding.high - finding.estimate)
    if kind == "pairs":
        assert facts["standard_error"] == pytest.approx(stats.sem(differences))


def test_an_interval_is_multiplier_times_standard_error():
    finding, facts = facts_of(plan_of(4, 5, choice=CHOICE), levels((1.0, 2.0, 4.0, 3.0), (5.0, 5.5, 9.0, 7.0, 6.0)))
    assert facts["multiplier"] * facts["standard_error"] == pytest.approx(finding.high - finding.estimate)


def test_one_tank_each_gives_no_scatter():
    _, facts = facts_of(plan_of(1, 1, choice=CHOICE), levels((1.0,), (2.0,)))
    assert facts.keys() == {"mean_reference", "mean_changed"}
    assert math.isclose(facts["mean_changed"], 2.0)
