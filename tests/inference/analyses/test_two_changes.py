"""Two changes at once: what each does averaged over the other, both under one promise; npk as printed."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from checking import agrees
from fairtank.errors import DesignError, NotEnoughDataError
from fairtank.inference import judge
from fairtank.inference.designs.four_ways import CELLS
from fairtank.inference.designs.two_changes import effect_interval, factorial_contrasts, interaction_of, ways_of
from fairtank.inference.intervals.multiple import many_to_one_critical
from fairtank.trial import Arm, Unit
from inference.several import FOUR, PLAIN, judged, trial
from inference.trials import event, level, measure, table

APART = ([1.0, 2.0, 3.0], [4.0, 5.0, 6.5], [1.0, 2.0, 3.3], [4.0, 5.0, 6.0])


def peas():
    rows = table("venables2002_npk.csv")
    letters = {"N": "nitrogen", "P": "phosphate", "K": "potash"}
    signs = {letter: [1 if row[name] == "1" else -1 for row in rows] for letter, name in letters.items()}
    return [float(row["yield_lb"]) for row in rows], signs, [row["block"] for row in rows]


@pytest.mark.published(entry="two_changes", source="venables2002", where="R datasets::npk, aov(yield ~ block + N*P*K): F and p of N")
def test_nitrogen_on_peas_in_blocks_gives_the_printed_f():
    nitrogen = factorial_contrasts(*peas())[0]
    assert agrees(nitrogen.t ** 2, "12.259")
    assert agrees(nitrogen.p_value, "0.0044")
    assert nitrogen.df == 12


@pytest.mark.as_it_was("the other rows of what R prints for the same data, recalled", "2026-11-26")
def test_the_peas_in_blocks_give_the_recalled_table():
    effects = {one.name: one for one in factorial_contrasts(*peas())}
    printed = {"P": ("0.544", "0.47490"), "K": ("6.166", "0.02880"), "N:P": ("1.378", "0.26317"),
               "N:K": ("2.146", "0.16865"), "P:K": ("0.031", "0.86275")}
    for name, (f, p) in printed.items():
        assert agrees(effects[name].t ** 2, f)
        assert agrees(effects[name].p_value, p)
        assert effects[name].df == 12


@pytest.mark.published(entry="two_changes", source="statsmodels_library", where="OLS with signs as columns, uneven ways")
def test_uneven_ways_give_statsmodels_least_squares():
    import numpy as np
    import statsmodels.api as sm

    values = [1.0, 2.0, 3.1, 4.0, 5.5, 2.0, 3.0, 2.2, 7.0, 8.0]
    first, second = [-1, -1, -1, 1, 1, -1, -1, -1, 1, 1], [-1, -1, -1, -1, -1, 1, 1, 1, 1, 1]
    other = sm.OLS(values, np.column_stack([np.ones(10), first, second, np.multiply(first, second)])).fit()
    for place, one in enumerate(factorial_contrasts(values, {"a": first, "b": second}), start=1):
        assert one.estimate == pytest.approx(2 * other.params[place], rel=1e-9)
        assert one.error == pytest.approx(2 * other.bse[place], rel=1e-9)
        assert one.p_value == pytest.approx(other.pvalues[place], rel=1e-9)


def test_contrasts_that_cannot_be_told_apart_are_refused():
    with pytest.raises(NotEnoughDataError, match="4 units are too few, or too unevenly placed, for 3 contrasts"):
        factorial_contrasts([1, 2, 3, 4], {"a": [-1, 1, -1, 1], "b": [-1, -1, 1, 1]})
    with pytest.raises(NotEnoughDataError, match="too unevenly placed"):
        factorial_contrasts([1, 2, 3, 4, 5, 6], {"a": [-1, 1] * 3, "b": [-1, 1] * 3})


def test_each_change_is_judged_averaged_over_the_other():
    light, gas = judged("two_changes", FOUR, APART)
    assert [(one.changed_label, one.reference_label, one.reference_arm, one.changed_arm) for one in (light, gas)] == [
        ("with light", "without light", "N", "L"), ("with co2", "without co2", "N", "C")]
    means = [sum(own) / 3 for own in APART]
    assert light.estimate == pytest.approx((means[1] + means[3] - means[0] - means[2]) / 2)
    assert gas.estimate == pytest.approx((means[2] + means[3] - means[0] - means[1]) / 2)
    assert (light.grade, gas.grade) == ("differs", "open")
    for one in (light, gas):
        facts = dict(one.facts)
        assert (one.n_reference, one.n_changed, one.comparisons, len(one.units)) == (6, 6, 2, 12)
        assert one.estimate == pytest.approx(facts["mean_changed"] - facts["mean_reference"])
        assert facts["multiplier"] == pytest.approx(many_to_one_critical(0.05, one.df, (0.0, 0.0)), rel=1e-8)
        assert facts["interaction"] == pytest.approx(means[3] - means[2] - means[1] + means[0])
        assert facts["interaction_low"] < facts["interaction"] < facts["interaction_high"]


def test_with_one_scatter_in_all_ways_the_estimate_and_error_are_the_books():
    values = ([1.0, 2.0, 3.0], [4.0, 5.0, 6.0], [1.5, 2.5, 3.5], [6.0, 7.0, 8.0])
    ways = ways_of(dict(zip(CELLS, values, strict=True)), "identity")
    books = {one.name: one for one in factorial_contrasts(
        [value for own in values for value in own],
        {name: [1 if cell[place] else -1 for cell in CELLS for _ in range(3)] for place, name in enumerate("ab")})}
    for place, name in enumerate("ab"):
        interval = effect_interval(ways, place, alpha=0.05)
        assert interval.estimate == pytest.approx(books[name].estimate)
        assert ways.error((-0.5, 0.5, -0.5, 0.5))[0] == pytest.approx(books["a"].error)
        assert interval.df == pytest.approx(books[name].df)
    assert interaction_of(ways, alpha=0.05).estimate == pytest.approx(2 * books["a:b"].estimate)


def test_whole_blocks_are_the_sample_and_what_sets_them_apart_drops_out():
    plain = judged("two_changes", FOUR, APART, in_blocks=True)
    lifted = judged("two_changes", FOUR, tuple([value + 40 * place for place, value in enumerate(own)] for own in APART), in_blocks=True)
    for one, other in zip(plain, lifted, strict=True):
        assert (other.estimate, other.low, other.high) == pytest.approx((one.estimate, one.low, one.high), rel=1e-9)
        assert (one.df, dict(one.facts)["blocks"]) == (2, 3)
        assert "Each block of four tanks gives one number; what sets the blocks apart drops out." in one.cautions


def test_a_block_with_a_lost_tank_is_left_out_and_says_why():
    values = tuple([*own, own[0] + 0.4] for own in APART)
    light, _ = judged("two_changes", FOUR, values, in_blocks=True, gone=("L2",))
    told = {unit.unit: unit.spoilt for unit in light.units if unit.spoilt}
    assert told["N2"] == "N2 is left out: its block has no number for every way."
    assert (light.df, light.n_reference, light.n_changed) == (2, 6, 6)
    alone, _ = judged("two_changes", FOUR, APART, in_blocks=True, gone=("L2",))
    assert (alone.grade, alone.low) == ("alone", None)


def test_compartments_that_share_water_are_averaged_and_are_no_blocks():
    units = tuple(Unit(f"{arm.key}{tank}{part}", arm.key, tank=f"{arm.key}{tank}", compartment=part, block=f"{tank}{part}")
                  for arm in FOUR for tank in "123" for part in "ab")
    plan, _ = trial("two_changes", FOUR, APART)
    series = tuple(level(unit.key, 1.0 + place) for place, unit in enumerate(units))
    light, _ = judge(replace(plan, units=units, shared_water=True), series)
    assert (light.n_reference, light.n_changed, light.estimate) == (6, 6, 6.0)
    assert "blocks" not in dict(light.facts)


def test_one_unit_in_a_way_is_alone():
    for one in judged("two_changes", FOUR, (*APART[:2], [1.0], APART[3])):
        assert (one.grade, one.low, one.p_value) == ("alone", None, None)
        assert one.tipping_spread is not None


def test_a_way_without_a_usable_unit_spoils_both_questions():
    for one in judged("two_changes", FOUR, APART, gone=("C1", "C2", "C3")):
        assert one.grade == "spoilt"
        assert one.spoilt_reason.startswith("no usable unit in C: C1 has no value from day 0 to day 42.")


def test_an_event_takes_a_unit_out():
    light, _ = judged("two_changes", FOUR, APART, events=(event(["N1"], 2, 2, "exclude_unit"),))
    assert (light.n_reference, light.n_changed) == (5, 6)
    assert any(name == "with nothing taken out by events" for name, _ in light.alternatives)


@pytest.mark.parametrize("scale", ["logit", "log", "identity"])
def test_all_equal_gives_no_interval_and_no_claim(scale):
    for one in judged("two_changes", FOUR, ([5.0] * 2,) * 4, choice=measure(scale)):
        assert (one.grade, one.estimate, one.low) == ("open", pytest.approx(0.0, abs=1e-12), None)
        assert "at the limit of the scale" in one.tags


def test_slope_and_change_go_through_the_same_four_ways():
    choice = replace(PLAIN, summary="change")
    plan, series = trial("two_changes", FOUR, APART, choice=choice, run_in_days=14)
    later = tuple(replace(one, values=tuple(50 + value * (day >= 14) for day, value in zip(one.days, one.values, strict=True)))
                  for one in series)
    plain = judged("two_changes", FOUR, APART)
    assert [one.low for one in judge(plan, later)] == pytest.approx([one.low for one in plain])
    plan, series = trial("two_changes", FOUR, APART, choice=replace(PLAIN, summary="slope"))
    rising = tuple(replace(one, values=tuple(value * day for day, value in zip(one.days, one.values, strict=True))) for one in series)
    assert [one.low for one in judge(plan, rising)] == pytest.approx([one.low for one in plain], rel=1e-6)


REFUSED = [
    (lambda arms: arms[:3], "Two changes at once need four arms; missing: light and co2"),
    (lambda arms: arms[:2], r"The arms name 1 changes \(light\); two changes at once need exactly two"),
    (lambda arms: (*arms[:3], replace(arms[3], changes=("light",))), "The arms L and LC are treated alike: light alone"),
    (lambda arms: (replace(arms[0], role="changed"), replace(arms[1], role="reference"), *arms[2:]),
     "The one arm with the role reference is that with neither light nor co2: N"),
    (lambda arms: (*arms, Arm("X", "changed", changes=("food",))), r"The arms name 3 changes \(light, co2, food\)"),
]


@pytest.mark.parametrize(("changed", "message"), REFUSED)
def test_four_ways_that_are_not_there_are_refused(changed, message):
    arms = changed(FOUR)
    with pytest.raises(DesignError, match=message):
        judged("two_changes", arms, (*APART, APART[0])[: len(arms)])


def test_thresholds_unallotted_units_and_empty_ways_are_refused():
    with pytest.raises(DesignError, match="The summary of cover is threshold; this version judges mean, change and slope in a two_changes"):
        judged("two_changes", FOUR, APART, choice=replace(PLAIN, summary="threshold", threshold=2.0))
    plan, series = trial("two_changes", FOUR, APART)
    with pytest.raises(DesignError, match="Unit X has no arm yet"):
        judge(replace(plan, units=(*plan.units, Unit("X", ""))), series)
    with pytest.raises(DesignError, match=r"No unit is allotted to the arm LC \(light and co2\)"):
        judge(replace(plan, units=plan.units[:9]), series[:9])


WAYS = st.lists(st.lists(st.integers(10, 900).map(lambda value: value / 10), min_size=2, max_size=5, unique=True), min_size=4, max_size=4)


@settings(deadline=None, max_examples=40)
@given(WAYS)
def test_p_and_interval_agree_and_the_changes_may_trade_places(values):
    ways = ways_of(dict(zip(CELLS, values, strict=True)), "identity")
    turned = ways_of({cell[::-1]: own for cell, own in zip(CELLS, values, strict=True)}, "identity")
    for place in (0, 1):
        interval = effect_interval(ways, place, alpha=0.05)
        other = effect_interval(turned, 1 - place, alpha=0.05)
        assert (interval.estimate, interval.low) == pytest.approx((other.estimate, other.low), rel=1e-9, abs=1e-9)
        if abs(interval.p_value - 0.05) > 1e-9:
            assert (interval.p_value <= 0.05) == (not interval.low <= 0 <= interval.high)


def test_one_way_without_scatter_is_enough_to_withhold_the_intervals():
    for place in range(4):
        values = [list(own) for own in APART]
        values[place] = [values[place][0]] * 3
        found = judged("two_changes", FOUR, values)
        assert [(one.grade, one.low, one.tags) for one in found] == [("open", None, ("at the limit of the scale",))] * 2
        assert all("interaction_low" not in dict(one.facts) for one in found)
