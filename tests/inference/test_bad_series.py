"""Series and plans that nobody should hand over, at the inner door: refused in a sentence, or told; never a number that is none."""

import math
from dataclasses import fields, is_dataclass, replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from checking import every
from fairtank.errors import DesignError, FairtankError, InputError
from fairtank.finding import GRADES
from fairtank.inference import compare, judge
from fairtank.trial import Series, Unit
from inference.trials import event, level, levels, looks, measure, plan_of

KEYS = ("R1", "R2", "R3", "C1", "C2", "C3")


def floats_of(value):
    """Every float in a finding, however deep."""
    if isinstance(value, float):
        yield value
    elif isinstance(value, tuple):
        for one in value:
            yield from floats_of(one)
    elif is_dataclass(value):
        for field in fields(value):
            yield from floats_of(getattr(value, field.name))


def is_finite(finding):
    return all(math.isfinite(number) for number in floats_of(finding))


def good():
    return levels([10, 11, 12], [20, 22, 24])


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_value_that_is_no_finite_number_is_refused(value):
    series = (Series("R1", "cover", (0, 5), (10.0, value)), *good()[1:])
    with pytest.raises(InputError, match=r"cover of R1 on day 5 is -?(nan|inf); accepted: a finite number\. Leave a missing value out\."):
        judge(plan_of(), series)


@pytest.mark.parametrize("scale", ["log", "identity"])
@pytest.mark.parametrize("value", [1e13, -1e13, 1e300])
def test_a_value_beyond_all_measure_is_refused(scale, value):
    choice = measure(scale)
    with pytest.raises(InputError, match=r"cover of R1 on day 5 is .*; accepted: a number below 1e\+12\. Correct it if it was mistyped\."):
        judge(plan_of(choice=choice), (Series("R1", "cover", (0, 5), (10.0, value)), *good()[1:]))


@pytest.mark.parametrize("scale", ["log", "identity"])
@pytest.mark.parametrize("size", [5e-324, 1e-300, 1e-100, 1e10])
def test_values_of_any_size_give_finite_numbers(scale, size):
    choice = measure(scale)
    values = [[size * number for number in arm] for arm in ([10, 11, 12], [20, 22, 24])]
    assert is_finite(compare(plan_of(choice=choice), choice, levels(*values)))


@every(("plan", "message"), [
    (plan_of(units=(Unit("R1", "R"), Unit("C1", "C"), Unit("X", ""))), r"Unit X has no arm yet\. Draw the lot, or give it one of R, C\."),
    (plan_of(units=(Unit("R1", "R"), Unit("C1", "C"), Unit("X", "Z"))), "Unit X has the arm Z, which is not in the plan"),
    (plan_of(units=(Unit("R1", "R"), Unit("R2", "R"))), "No unit is allotted to the arm C"),
    (plan_of(choice=measure(margin=0.0)), r"The margin of cover is 0\.0; accepted: a number above 0"),
    (plan_of(choice=measure(margin=-1.0)), r"The margin of cover is -1\.0"),
    (plan_of(choice=measure(margin=math.nan)), "The margin of cover is nan"),
    (plan_of(choice=measure(margin=math.inf)), "The margin of cover is inf"),
    (plan_of(looks=looks((14, 42), (0.05,))), "The planned looks need one share of the 5 % each"),
    (plan_of(looks=looks((14, 42), (0.03, 0.03))), "all of them together at most 0.05"),
    (plan_of(looks=looks((14, 42), (0.0, 0.05))), "every share above 0"),
    (plan_of(choice=measure(window=(10, 50))), "The window of cover is day 10 to day 50"),
    (plan_of(choice=measure(window=(20, 10))), "The window of cover is day 20 to day 10"),
    (plan_of(measures=()), "The plan names 0 primary measures"),
    (plan_of(measures=(measure(), measure(key="height"))), "The plan names 2 primary measures"),
])
def test_a_plan_that_cannot_be_judged_is_refused(plan, message):
    with pytest.raises(DesignError, match=message):
        judge(plan, good())


@pytest.mark.parametrize(("series", "reason"), [
    (level("R1", 10, days=[21]), "R1 has no value between day 0 and day 21, a gap of 21 days; more than 7 spoil it."),
    (level("R1", 10, days=range(20)), "R1 has no value between day 19 and day 42, a gap of 23 days; more than 7 spoil it."),
    (level("R1", 10, days=[0, 7, 14, 21, 28, 35]), None),
    (level("R1", 10, days=[-3, -2, -1]), "R1 has no value from day 0 to day 42."),
    (level("R1", 10, days=[43, 50]), "R1 has no value from day 0 to day 42."),
    (None, "R1 has no value from day 0 to day 42."),
])
def test_a_unit_that_cannot_be_used_is_told_with_its_reason_and_stays_in_the_finding(series, reason):
    rest = [one for one in good() if one.unit != "R1"]
    finding = compare(plan_of(), measure(), [*rest, *([series] if series else [])])
    assert [unit.unit for unit in finding.units] == list(KEYS)
    assert finding.units[0].spoilt == reason
    assert (finding.units[0].z is None) == (reason is not None)
    assert finding.n_reference == (2 if reason else 3)
    assert is_finite(finding)


@pytest.mark.parametrize(("effect", "told"), [("exclude_unit", "R1 was taken out by an event on day 3."), ("keep", None)])
def test_only_an_event_takes_a_unit_out_and_it_is_named(effect, told):
    finding = compare(plan_of(), measure(), good(), [event(["R1"], 3, 3, effect, kind="")])
    assert finding.units[0].spoilt == told


@pytest.mark.parametrize("summary", ["mean", "slope"])
@pytest.mark.parametrize("value", [0.0, 1e-12, 50.0, 99.99, 100.0])
def test_values_that_are_all_equal_give_no_interval_and_no_broken_number(summary, value):
    choice = measure(summary=summary, margin=0.3)
    finding = compare(plan_of(choice=choice), choice, levels([value] * 3, [value] * 3))
    assert finding.grade in ("open", "spoilt")
    assert (finding.low, finding.high, finding.p_value) == (None, None, None)
    assert is_finite(finding)


def test_values_outside_the_trial_are_not_used_and_told():
    outside = [replace(one, days=(-5, -1, *one.days, 43), values=(99.0, 98.0, *one.values, 97.0)) for one in good()]
    plain, told = compare(plan_of(), measure(), good()), compare(plan_of(), measure(), outside)
    assert told.cautions == (*plain.cautions, "Values from before day 0 (2 days) were not used: the trial begins on day 0.",
                             "Values from after the last day (1 day) were not used: the trial ends on day 42.")
    assert replace(told, cautions=plain.cautions) == plain


def test_days_given_several_times_and_out_of_order_are_one_median_each():
    noisy = [Series(one.unit, one.measure, (*reversed(one.days), *one.days, *one.days),
                    (*one.values, *(value + 4 for value in one.values), *(value - 4 for value in one.values))) for one in good()]
    assert compare(plan_of(), measure(), noisy) == compare(plan_of(), measure(), good())


DAYS = st.lists(st.integers(-5, 50), min_size=0, max_size=25)
VALUES = st.one_of(st.sampled_from([0.0, 1e-300, 5e-324, 0.1, 50.0, 100.0]), st.floats(0, 100))
KINDS = st.sampled_from(["side_by_side", "run_in", "swap", "pairs", "rounds"])


@st.composite
def records(draw):
    """A plan of any kind, a measure on any scale, and whatever series."""
    kind, scale = draw(KINDS), draw(st.sampled_from(["logit", "log", "identity"]))
    summaries = {"swap": ["swap"], "run_in": ["mean", "change", "slope"]}.get(kind, ["mean", "slope"])
    summary = draw(st.sampled_from(summaries))
    choice = measure(scale, summary=summary, margin=draw(st.sampled_from([None, 1e-6, 0.3, 1e6])))
    units = tuple(Unit(key, key[0], tank="AB"[(key[0] == "R") == (int(key[1]) % 2 == 0)] if kind == "rounds" else key, pair=key[1],
                       round=key[1]) for key in KEYS)
    plan = plan_of(kind=kind, choice=choice, units=units, run_in_days=12 if kind == "run_in" else 0, swap_day=20, washout_days=2)
    whole = draw(st.booleans())
    series = []
    for key in KEYS:
        days = list(range(43)) if whole else draw(DAYS)
        values = draw(st.lists(VALUES, min_size=len(days), max_size=len(days)))
        series.append(Series(key, "cover", tuple(days), tuple(values), ready_made=draw(st.booleans())))
    return plan, series


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(records())
def test_whatever_the_record_there_is_a_grade_with_finite_numbers_or_a_refusal(given_record):
    plan, series = given_record
    try:
        findings, refusal = judge(plan, series), "."
    except FairtankError as error:
        findings, refusal = (), str(error)
    assert refusal.endswith(".")
    for finding in findings:
        assert finding.grade in GRADES
        assert is_finite(finding)
        assert [unit.unit for unit in finding.units if unit.spoilt is None] == [unit.unit for unit in finding.units if unit.z is not None]
        assert (finding.low is None) == (finding.high is None)
        assert finding.low is None or finding.low <= finding.estimate <= finding.high
