"""More than two arms: one finding per planned comparison, all of them under one promise, and the arms' places."""

from dataclasses import replace
from functools import partial

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fairtank.errors import DesignError, InputError
from fairtank.inference import judge, outcome
from fairtank.inference.designs.many_arms import among_all, for_two, held_together, pairs_of, versus
from fairtank.inference.findings import finding_of
from fairtank.inference.judging import comparisons
from fairtank.inference.question import settle_question
from fairtank.inference.record import Record
from fairtank.trial import Arm, Series, Unit
from inference.several import PLAIN, THREE, judged, trial
from inference.trials import event, level, looks, measure

APART = ([1.0, 2.0, 3.0], [2.0, 3.0, 4.5], [9.0, 10.0, 11.0])


def test_each_changed_arm_is_held_against_the_reference():
    found = judged("side_by_side", THREE, APART)
    assert [(one.reference_arm, one.changed_arm, one.comparisons) for one in found] == [("R", "A", 2), ("R", "B", 2)]
    assert [(one.reference_label, one.changed_label) for one in found] == [("plain", "dim"), ("plain", "bright")]
    assert [one.grade for one in found] == ["open", "differs"]
    assert [" ".join(unit.unit for unit in one.units) for one in found] == ["R1 R2 R3 A1 A2 A3", "R1 R2 R3 B1 B2 B3"]
    for one, changed in zip(found, APART[1:], strict=True):
        ours = held_together(APART[0], changed, 2, alpha=0.05, scale="identity")
        assert (one.estimate, one.low, one.high, one.p_value) == pytest.approx((ours.estimate, ours.low, ours.high, ours.p_value), rel=1e-9)
        assert (one.n_reference, one.n_changed, one.level, one.shuffle_p) == (3, 3, 0.95, None)
        facts = dict(one.facts)
        assert facts["standard_error"] * facts["multiplier"] == pytest.approx((one.high - one.low) / 2, rel=1e-9)


def test_all_pairs_only_if_they_were_planned():
    found = judged("side_by_side", THREE, APART, compare="all")
    assert [(one.reference_arm, one.changed_arm, one.comparisons) for one in found] == [("R", "A", 3), ("R", "B", 3), ("A", "B", 3)]
    alone = judged("side_by_side", THREE, APART)
    assert all(wide.high > narrow.high for wide, narrow in zip(found, alone, strict=False))
    assert found[2].estimate == pytest.approx(10.0 - 9.5 / 3)


def test_places_are_told_with_what_the_intervals_leave_open():
    for one in judged("side_by_side", THREE, APART):
        assert [(arm.arm, arm.place, arm.best, arm.worst) for arm in one.ranking] == [("B", 1, 1, 1), ("A", 2, 2, 3), ("R", 3, 2, 3)]


def test_arms_that_cannot_be_told_apart_may_have_any_place():
    ranking = judged("side_by_side", THREE, ([1.0, 2.0, 3.0], [2.0, 3.0, 4.5], [2.0, 2.5, 3.0]))[0].ranking
    assert {(arm.best, arm.worst) for arm in ranking} == {(1, 3)}


def test_an_arm_of_one_unit_is_alone_and_may_have_any_place():
    alone, other = judged("side_by_side", THREE, ([1.0, 2.0, 3.0], [20.0], [9.0, 10.0, 11.0]))
    assert (alone.grade, alone.low, alone.estimate) == ("alone", None, 18.0)
    assert alone.tipping_spread > 0
    assert other.grade == "differs"
    assert {arm.arm: (arm.best, arm.worst) for arm in other.ranking} == {"A": (1, 3), "B": (1, 2), "R": (2, 3)}


def test_an_arm_without_a_usable_unit_spoils_its_own_comparison_only():
    spoilt, other = judged("side_by_side", THREE, APART, gone=("A1", "A2", "A3"))
    assert spoilt.grade == "spoilt"
    assert spoilt.spoilt_reason.startswith("no usable unit in dim: A1 has no value from day 0 to day 42.")
    assert (other.grade, other.comparisons, other.ranking) == ("differs", 2, ())


def test_an_event_takes_a_unit_out_of_its_arm():
    found = judged("side_by_side", THREE, APART, events=(event(["B1"], 3, 3, "exclude_unit"),))
    assert [one.n_changed for one in found] == [3, 2]
    assert ("with nothing taken out by events", "differs") in found[1].alternatives


@pytest.mark.parametrize("scale", ["logit", "log", "identity"])
def test_all_equal_gives_no_interval_and_no_claim(scale):
    for one in judged("side_by_side", THREE, ([5.0] * 3,) * 3, choice=measure(scale)):
        assert (one.grade, one.low, one.p_value) == ("open", None, None)
        assert "at the limit of the scale" in one.tags
        assert {(arm.best, arm.worst) for arm in one.ranking} == {(1, 3)}


def test_a_value_that_is_no_number_is_refused():
    plan, series = trial("side_by_side", THREE, APART)
    broken = (replace(series[0], values=(float("nan"), *series[0].values[1:])), *series[1:])
    with pytest.raises(InputError, match="cover of R1 on day 0 is nan; accepted: a finite number"):
        judge(plan, broken)


def test_zeros_are_clipped_alike_in_every_comparison():
    found = judged("side_by_side", THREE, ([1.0, 2.0, 0.0], [2.0, 3.0, 4.0], [0.1, 0.2, 0.3]), choice=measure("log"))
    assert all("taken as 0.05" in " ".join(one.cautions) for one in found)


def test_a_run_in_makes_each_unit_its_own_yardstick():
    choice = replace(measure("identity", unit="g"), summary="change")
    plan, series = trial("run_in", THREE, APART, choice=choice, run_in_days=14)
    lifted = tuple(Series(one.unit, one.measure, one.days, tuple(value * (day >= 14) + 100 for day, value in zip(one.days, one.values,
                                                                                                          strict=True))) for one in series)
    found = judge(plan, lifted)
    plain = judged("side_by_side", THREE, APART)
    assert [(one.estimate, one.low, one.grade) for one in found] == [(pytest.approx(one.estimate), pytest.approx(one.low), one.grade)
                                                                    for one in plain]
    assert all(one.run_in == (0, 13) for one in found)


def test_slopes_are_compared_per_day():
    plan, series = trial("side_by_side", THREE, APART, choice=replace(PLAIN, summary="slope"))
    rising = tuple(replace(one, values=tuple(value * day for day, value in zip(one.days, one.values, strict=True))) for one in series)
    for one, plain in zip(judge(plan, rising), judged("side_by_side", THREE, APART), strict=True):
        assert (one.estimate, one.low, one.high) == pytest.approx((plain.estimate, plain.low, plain.high), rel=1e-6)
        assert one.natural is None


def test_a_planned_look_holds_all_comparisons_at_its_own_share():
    plan, series = trial("side_by_side", THREE, APART, looks=looks((21, 42), (0.01, 0.04)))
    for one, changed in zip(judge(plan, series), APART[1:], strict=True):
        ours = held_together(APART[0], changed, 2, alpha=0.04, scale="identity")
        assert (one.level, one.low) == (0.96, pytest.approx(ours.low, rel=1e-9))
        assert [(look.day, look.level) for look in one.looks] == [(21, 0.99)]


def test_compartments_that_share_water_are_averaged_first():
    units = tuple(Unit(f"{arm.key}{tank}{part}", arm.key, tank=f"{arm.key}{tank}", compartment=part)
                  for arm in THREE for tank in "12" for part in "ab")
    plan, _ = trial("side_by_side", THREE, APART)
    series = tuple(level(unit.key, 1.0 + place) for place, unit in enumerate(units))
    first, _ = judge(replace(plan, units=units, shared_water=True), series)
    assert [unit.unit for unit in first.units] == ["R1", "R2", "A1", "A2"]
    assert (first.n_reference, first.n_changed, first.estimate) == (2, 2, 4.0)


def test_a_threshold_and_two_references_are_refused():
    with pytest.raises(DesignError, match="is threshold; with more than two arms this version judges mean, change and slope"):
        judged("side_by_side", THREE, APART, choice=replace(PLAIN, summary="threshold", threshold=5.0))
    with pytest.raises(DesignError, match="Several arms need exactly one with the role reference"):
        judged("side_by_side", (*THREE[:2], Arm("B", "reference")), APART)


def test_a_unit_without_an_arm_and_an_arm_without_a_unit_are_refused():
    plan, series = trial("side_by_side", THREE, APART)
    with pytest.raises(DesignError, match="Unit X has no arm yet"):
        judge(replace(plan, units=(*plan.units, Unit("X", ""))), series)
    with pytest.raises(DesignError, match="No unit is allotted to the arm D"):
        judge(replace(plan, arms=(*THREE, Arm("D", "changed"))), series)


@settings(deadline=None, max_examples=15)
@given(st.lists(st.lists(st.integers(10, 900).map(lambda value: value / 10), min_size=2, max_size=4, unique=True), min_size=3, max_size=3))
def test_the_adjusted_p_agrees_with_the_interval_and_places_with_all_pairs(values):
    found = judged("side_by_side", THREE, values, compare="all")
    for one in found:
        if one.low is not None and abs(one.p_value - 0.05) > 1e-9:
            assert (one.grade == "differs") == (one.p_value <= 0.05) == (not one.low <= 0 <= one.high)
    places = {arm.arm: (arm.best, arm.worst) for arm in found[0].ranking}
    for key, (best, worst) in places.items():
        higher = sum((one.reference_arm == key and one.low > 0) or (one.changed_arm == key and one.high < 0) for one in found)
        lower = sum((one.reference_arm == key and one.high < 0) or (one.changed_arm == key and one.low > 0) for one in found)
        assert (best, worst) == (1 + higher, 3 - lower)


def test_several_comparisons_do_stage_one_once(monkeypatch):
    done = []
    counted = outcome.unit_summary
    monkeypatch.setattr(outcome, "unit_summary", lambda *given, **more: done.append(given[3].key) or counted(*given, **more))
    found = judged("side_by_side", THREE, APART, compare="all")
    assert len(found) == 3
    # Each unit twice: on the plan's scale and on the other one that is tried.
    assert sorted(done) == sorted(2 * [f"{arm}{number}" for arm in "RAB" for number in (1, 2, 3)])


def test_doing_stage_one_once_changes_no_number():
    plan, series = trial("side_by_side", THREE, APART, compare="all")
    record, choice = Record(series, (event(["A2"], 5, 30, "exclude_window"),)), plan.measures[0]
    together = comparisons(plan, choice, record)
    for pair, finding in zip(pairs_of(plan), together, strict=True):
        question = replace(settle_question(for_two(plan, *pair), choice, treated=(0, 42), sources=()), plan=among_all(plan, *pair),
                           contrast=partial(versus, comparisons=3))
        apart = finding_of(question, record)
        assert (finding.estimate, finding.low, finding.alternatives, finding.tags) == (
            apart.estimate, apart.low, apart.alternatives, apart.tags)


def test_several_arms_before_their_reading_day_are_not_read_and_not_ranked():
    plan, series = trial("side_by_side", THREE, APART)
    cut = tuple(replace(one, days=one.days[:40], values=one.values[:40]) for one in series)
    early, late = judge(plan, cut, today=41), judge(plan, cut, today=43)
    reason = "The trial is not over: values reach day 39 of 42. It is read on day 42, 2026-04-12."
    assert [one.spoilt_reason for one in early] == [reason] * 2
    assert [one.ranking for one in early] == [(), ()]
    assert [len(one.ranking) for one in late] == [3, 3]
