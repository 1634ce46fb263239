"""Rounds of the same two tanks: what sets the tanks apart for good is no effect."""

import math

import numpy as np
import pytest

from checking import agrees
from fairtank.errors import DesignError
from fairtank.inference import compare
from fairtank.inference.designs.rounds import fit_rounds
from fairtank.trial import Unit
from inference.trials import level, measure, plan_of, table

PLAIN = measure("identity", unit="g")
EFFECT, APART = 2.0, 5.0
SLIPS = (0.1, -0.2, 0.3, -0.1, 0.05, -0.15)


def trial(count=6, *, effect=EFFECT, apart=APART, alternated=None, gone=(), choice=PLAIN, follow=0,
          **more):
    """Rounds in the tanks A and B; A stands higher by `apart` whatever it carries, and the change goes to and fro."""
    carries_a = alternated or [number % 2 == 0 for number in range(count)]
    units, series = [], []
    for number, in_a in enumerate(carries_a, start=1):
        for tank in "AB":
            is_changed = (tank == "A") == in_a
            key = f"{tank}{number}"
            units.append(Unit(key, "C" if is_changed else "R", tank=tank, round=str(number)))
            value = 50 + 3 * number + (apart if tank == "A" else 0) + is_changed * (effect + SLIPS[(number - 1) % 6])
            if key not in gone:
                first = follow * (number - 1)
                series.append(level(key, value, days=range(first, first + (follow or 43))))
    days = {"days": follow * len(carries_a) - 1, "round_days": follow} if follow else {}
    return plan_of(kind="rounds", choice=choice, units=tuple(units), **{**days, **more}), series


@pytest.mark.published(entry="rounds", source="statsmodels_library", where="OLS of the round difference on 1 and c: intercept, its "
                       "interval, its p, and the coefficient of c")
def test_effect_interval_and_lasting_difference_are_those_of_ordinary_least_squares():
    import statsmodels.api as sm

    for count in (4, 5, 6):
        plan, series = trial(count)
        finding = compare(plan, PLAIN, series)
        values = {one.unit: one.values[0] for one in series}
        by_round = [(f"A{number}", f"B{number}") for number in range(1, count + 1)]
        c = np.array([1 if plan.arm_of(a).key == "C" else -1 for a, _ in by_round])
        d = np.array([(values[a] - values[b]) * sign for (a, b), sign in zip(by_round, c, strict=True)])
        fitted = sm.OLS(d, np.column_stack([np.ones(count), c])).fit()
        low, high = fitted.conf_int()[0]
        assert (finding.estimate, finding.low, finding.high) == pytest.approx((fitted.params[0], low, high), rel=1e-9)
        assert finding.p_value == pytest.approx(fitted.pvalues[0], rel=1e-9)
        assert finding.df == fitted.df_resid == count - 2
        assert dict(finding.facts)["tank_difference"] == pytest.approx(fitted.params[1], rel=1e-9)


@pytest.mark.as_it_was("data and results recalled from Senn, Cross-over Trials in Clinical Research, chapter 3", "2026-11-25")
def test_the_two_orders_of_the_recalled_cross_over_give_its_pooled_interval():
    """Period differences, turned so that each is change less reference, have the same form as rounds: the order is the sign."""
    rows = table("senn2002_peak_flow.csv")
    signs = [1 if row["first"] == "formoterol" else -1 for row in rows]
    fit = fit_rounds([sign * (float(row["period_1"]) - float(row["period_2"])) for sign, row in zip(signs, rows, strict=True)], signs,
                     alpha=0.05)
    assert agrees(fit.interval.estimate, "46.607")
    assert agrees(fit.interval.df, "11")
    assert agrees(fit.interval.p_value, "0.0012048")
    assert agrees(fit.interval.low, "22.888")
    assert agrees(fit.interval.high, "70.326")
    assert agrees((fit.interval.high - fit.interval.low) / 2 / 2.2009852, "10.777")


def test_a_lasting_difference_between_the_tanks_drops_out():
    for apart in (-20.0, 0.0, 5.0, 80.0):
        plan, series = trial(apart=apart)
        finding = compare(plan, PLAIN, series)
        assert finding.estimate == pytest.approx(EFFECT + sum(SLIPS) / 6, rel=1e-9)
        assert dict(finding.facts)["tank_difference"] == pytest.approx(apart, abs=0.3)
        assert (finding.grade, finding.n_reference, finding.n_changed) == ("differs", 6, 6)


def test_rounds_have_no_shuffle_test():
    plan, series = trial()
    finding = compare(plan, PLAIN, series)
    assert (finding.shuffle_p, finding.arrangements) == (None, 0)


@pytest.mark.parametrize("count", [2, 3])
def test_fewer_than_four_rounds_are_alone(count):
    plan, series = trial(count)
    finding = compare(plan, PLAIN, series)
    factor = {2: 2 / 4, 3: (1 / 2 + 1) / 4}[count]
    assert (finding.grade, finding.low) == ("alone", None)
    assert finding.tipping_spread == pytest.approx(finding.estimate / (1.96 * math.sqrt(factor)), rel=1e-9)
    assert finding.estimate == pytest.approx(EFFECT, abs=0.3)


def test_one_round_is_alone_and_says_that_the_tanks_are_still_in_the_number():
    plan, series = trial(1)
    finding = compare(plan, PLAIN, series)
    assert (finding.grade, finding.estimate) == ("alone", pytest.approx(EFFECT + APART + SLIPS[0]))
    assert "In every round that could be used A carried the change: a lasting difference between the tanks is still in the number." \
        in finding.cautions


def test_a_round_with_one_tank_lost_is_left_out():
    plan, series = trial(6, gone=("B3",))
    finding = compare(plan, PLAIN, series)
    assert (finding.n_changed, finding.df) == (5, 3)
    assert "A3 is left alone in round 3: the other tank has no number." in [unit.spoilt for unit in finding.units]


def test_rounds_left_with_the_change_in_one_tank_only_are_alone():
    plan, series = trial(6, alternated=[True, True, True, True, False, False], gone=("A5", "A6"))
    finding = compare(plan, PLAIN, series)
    assert (finding.grade, finding.n_changed) == ("alone", 4)


def test_a_change_that_leans_on_one_tank_carries_a_caution():
    plan, series = trial(5, alternated=[True, True, True, True, False])
    assert any(text.startswith("A carried the change in 4 of the rounds and B in 1:") for text in compare(plan, PLAIN, series).cautions)
    plan, series = trial(5)
    assert not any("carried the change" in text for text in compare(plan, PLAIN, series).cautions)


def test_rounds_that_follow_one_another_are_read_on_their_own_days():
    plan, series = trial(4, follow=14)
    finding = compare(plan, PLAIN, series)
    together = compare(*(lambda made: (made[0], PLAIN, made[1]))(trial(4)))
    assert (finding.estimate, finding.low) == pytest.approx((together.estimate, together.low), rel=1e-9)
    assert finding.window == (0, 13)
    assert [unit.days for unit in finding.units] == [14] * 8


def test_a_window_of_rounds_that_follow_one_another_counts_the_days_of_the_round():
    choice = measure("identity", unit="g", window=(4, 13))
    plan, series = trial(4, follow=14, choice=choice)
    finding = compare(plan, choice, series)
    assert finding.window == (4, 13)
    assert [unit.days for unit in finding.units] == [10] * 8
    choice = measure("identity", unit="g", window=(4, 14))
    with pytest.raises(DesignError, match=r"The window of cover is day 4 to day 14 of each round; accepted: .* both from day 0 to day 13"):
        compare(plan, choice, series)


def test_rounds_that_do_not_fit_into_the_days_are_refused():
    plan, series = trial(4, follow=14, days=54)
    with pytest.raises(DesignError, match="4 rounds of 14 days need 56 days, and the trial has 55"):
        compare(plan, PLAIN, series)


def units_of(*rows):
    return tuple(Unit(f"u{number}", arm, tank=tank, round=one) for number, (arm, tank, one) in enumerate(rows))


@pytest.mark.parametrize(("units", "said"), [
    (units_of(("R", "A", ""), ("C", "B", "1")), "Unit u0 has no round"),
    (units_of(("R", "", "1"), ("C", "B", "1")), "Unit u0 names no tank"),
    (units_of(("R", "A", "1"), ("C", "B", "1"), ("C", "D", "2"), ("R", "A", "2")), r"The rounds use 3 tanks \(A, B, D\)"),
    (units_of(("R", "A", "1"), ("C", "B", "1"), ("C", "A", "2")), "Round 2 holds 0 reference and 1 changed units"),
    (units_of(("R", "A", "1"), ("C", "B", "1"), ("R", "A", "2"), ("C", "B", "2")), "The same tank carries the change in every round"),
])
def test_rounds_that_do_not_set_the_same_two_tanks_against_each_other_are_refused(units, said):
    with pytest.raises(DesignError, match=said):
        compare(plan_of(kind="rounds", units=units), PLAIN, ())
