"""Pairs: one difference for each pair, and the pairs are the sample."""

import math
from itertools import product

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from checking import agrees
from fairtank.errors import DesignError, NotEnoughDataError
from fairtank.inference import compare
from fairtank.inference.designs.pairs import one_sample, pairs_shuffle_p
from fairtank.trial import Series, Unit
from inference.trials import event, level, measure, plan_of
from inference.worked.data import MAIZE, sleep

PLAIN = measure("identity", unit="h")


def trial(differences, *, choice=PLAIN, gone=(), **more):
    """Pairs whose reference stands at 100 plus the pair's own level, each value the same on every day."""
    units, series = [], []
    for number, difference in enumerate(differences, start=1):
        own = 100.0 + 7 * number
        for arm, value in (("R", own), ("C", own + difference)):
            units.append(Unit(f"{arm}{number}", arm, pair=f"p{number}"))
            if f"{arm}{number}" not in gone:
                series.append(level(f"{arm}{number}", value))
    return plan_of(kind="pairs", choice=choice, units=tuple(units), **more), series


@pytest.mark.published(entry="pairs", source="student1908", where="R datasets::sleep, t.test(extra ~ group, paired): group 1 minus group 2")
def test_the_sleep_data_in_pairs_give_the_printed_paired_test():
    plan, series = trial([one - other for one, other in zip(*sleep(), strict=True)])
    finding = compare(plan, PLAIN, series)
    assert agrees(finding.estimate, "-1.58")
    assert agrees(finding.df, "9")
    assert agrees(finding.p_value, "0.002833")
    assert agrees(finding.low, "-2.4598858")
    assert agrees(finding.high, "-0.7001142")
    assert (finding.grade, finding.n_reference, finding.n_changed, finding.arrangements) == ("differs", 10, 10, 1024)


@pytest.mark.as_it_was("differences and counts recalled from Fisher, The Design of Experiments: 863 of 32768 in each tail", "2026-11-25")
def test_darwins_maize_gives_the_recalled_shuffle_and_t_test():
    plan, series = trial(MAIZE)
    finding = compare(plan, PLAIN, series)
    assert finding.arrangements == 32768
    assert finding.shuffle_p == pytest.approx(2 * 863 / 32768, rel=1e-10)
    assert agrees(finding.p_value, "0.0497029")
    # The interval alone leaves out no effect; the shuffle of 15 pairs, which must agree, does not.
    assert (finding.grade, finding.shuffle_gate_refused) == ("open", True)


@pytest.mark.published(entry="pairs", source="scipy_library", where="stats.permutation_test of samples, and stats.ttest_1samp")
def test_the_shuffle_and_the_interval_of_pairs_are_scipys():
    from scipy.stats import permutation_test, ttest_1samp

    exact = permutation_test((np.array(MAIZE, float),), np.mean, permutation_type="samples", n_resamples=np.inf)
    assert pairs_shuffle_p(MAIZE) == pytest.approx(exact.pvalue, rel=1e-10)
    other = ttest_1samp(MAIZE, 0)
    interval = one_sample(MAIZE, alpha=0.05)
    assert agrees(other.statistic, "2.14799")
    assert interval.p_value == pytest.approx(other.pvalue, rel=1e-9)
    limits = other.confidence_interval()
    assert (interval.low, interval.high) == pytest.approx((limits.low, limits.high), rel=1e-9)


DIFFERENCES = st.lists(st.floats(-10, 10).map(lambda value: round(value, 2)), min_size=1, max_size=8)


@given(DIFFERENCES)
def test_the_shuffle_counts_every_way_to_turn_pairs_round(differences):
    seen = abs(math.fsum(differences))
    ways = [abs(math.fsum(sign * value for sign, value in zip(signs, differences, strict=True)))
            for signs in product((1, -1), repeat=len(differences))]
    assume(all(abs(total - seen) < 1e-12 or abs(total - seen) > 1e-6 for total in ways))
    assert pairs_shuffle_p(differences) == pytest.approx(sum(total >= seen - 1e-9 for total in ways) / len(ways), rel=1e-10)


def test_what_a_pair_has_in_common_drops_out():
    near, far = trial([1.0, 1.4, 0.7, 1.2]), trial([1.0, 1.4, 0.7, 1.2])
    lifted = [Series(one.unit, one.measure, one.days, tuple(value + 50 * int(one.unit[1:]) for value in one.values)) for one in far[1]]
    there, back = compare(near[0], PLAIN, near[1]), compare(far[0], PLAIN, lifted)
    assert (back.estimate, back.low, back.high) == pytest.approx((there.estimate, there.low, there.high), rel=1e-9)


def test_a_unit_without_its_partner_is_left_out_and_says_why():
    plan, series = trial([1.0, 1.4, 0.7, 1.2], gone=("R2",))
    finding = compare(plan, PLAIN, series)
    told = {unit.unit: unit.spoilt for unit in finding.units if unit.spoilt}
    assert told == {"R2": "R2 has no value from day 0 to day 42.", "C2": "C2 is left without its partner: R2 has no number."}
    assert (finding.n_reference, finding.n_changed) == (3, 3)
    assert finding.estimate == pytest.approx((1.0 + 0.7 + 1.2) / 3)


@pytest.mark.parametrize("count", [1, 2])
def test_fewer_than_three_pairs_are_alone(count):
    plan, series = trial([1.0, 1.4][:count])
    finding = compare(plan, PLAIN, series)
    assert (finding.grade, finding.low, finding.basis) == ("alone", None, "none")
    assert finding.tipping_spread == pytest.approx(finding.estimate / (1.96 * math.sqrt(1 / count)), rel=1e-9)


def test_three_pairs_are_judged_on_two_degrees_of_freedom_and_eight_must_pass_the_shuffle():
    plan, series = trial([1.0, 1.4, 0.7])
    assert compare(plan, PLAIN, series).df == 2
    plan, series = trial([1.0, 1.4, 0.7, 1.2, 0.8, 1.1, 1.3, 0.9])
    finding = compare(plan, PLAIN, series)
    assert (finding.grade, finding.arrangements, finding.shuffle_p) == ("differs", 256, pytest.approx(2 / 256))
    assert [name for name, _ in finding.alternatives if name.startswith("without")] == [f"without pair p{number}" for number in range(1, 9)]


def test_pairs_that_all_differ_by_the_same_amount_have_no_interval():
    plan, series = trial([1.0, 1.0, 1.0, 1.0])
    finding = compare(plan, PLAIN, series)
    assert (finding.grade, finding.low, finding.estimate) == ("open", None, 1.0)
    assert "at the limit of the scale" in finding.tags


def test_no_whole_pair_left_is_a_spoilt_trial():
    plan, series = trial([1.0, 1.4], gone=("R1", "C2"))
    finding = compare(plan, PLAIN, series)
    assert finding.grade == "spoilt"
    assert finding.spoilt_reason.startswith("no whole pair is left: R1 has no value")


def test_pairs_with_a_run_in_are_judged_by_how_far_each_moved():
    choice = measure("identity", summary="change", unit="h")
    plan, series = trial([1.0, 1.4, 0.7], choice=choice, run_in_days=14)
    moved = [Series(one.unit, "cover", one.days, tuple(value + (day >= 14) * 2 * (one.unit[0] == "C") for day, value in
                                                       zip(one.days, one.values, strict=True))) for one in series]
    wobbled = [Series(one.unit, "cover", one.days, tuple(value + 0.1 * int(one.unit[1]) * (day >= 14) * (one.unit[0] == "C")
                                                        for day, value in zip(one.days, one.values, strict=True))) for one in moved]
    assert compare(plan, choice, wobbled).estimate == pytest.approx(2.2, rel=1e-9)


@pytest.mark.parametrize(("units", "said"), [
    ((Unit("R1", "R"), Unit("C1", "C", pair="a")), "Unit R1 has no pair"),
    ((Unit("R1", "R", pair="a"), Unit("C1", "C", pair="b")), "Pair a holds 1 reference and 0 changed units; a pair is one of each"),
    ((Unit("R1", "R", pair="a"), Unit("C1", "C", pair="a"), Unit("C2", "C", pair="a")), "Pair a holds 1 reference and 2 changed units"),
])
def test_units_that_do_not_stand_in_pairs_are_refused(units, said):
    with pytest.raises(DesignError, match=said):
        compare(plan_of(kind="pairs", units=units), PLAIN, ())


def test_several_pairs_in_one_shared_water_are_refused():
    units = tuple(Unit(f"{arm}{pair}", arm, tank="T", compartment=f"{arm}{pair}", pair=pair) for pair in "ab" for arm in "RC")
    with pytest.raises(DesignError, match="The compartments of a tank share water, and T holds units of 2 pairs"):
        compare(plan_of(kind="pairs", units=units, shared_water=True), PLAIN, ())


def test_one_difference_has_no_interval():
    with pytest.raises(NotEnoughDataError, match="The number of pairs is 1; an interval needs at least 2"):
        one_sample([1.0], alpha=0.05)


def test_an_event_that_takes_one_of_a_pair_out_takes_the_pair_out():
    plan, series = trial([1.0, 1.4, 0.7, 1.2])
    finding = compare(plan, PLAIN, series, [event(["C3"], 5, 5, "exclude_unit", "leak")])
    assert (finding.n_changed, dict(finding.alternatives)["with nothing taken out by events"]) == (3, finding.grade)
