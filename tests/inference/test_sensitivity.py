"""The alternatives fixed beforehand, and when a finding is fragile."""

import pytest

from fairtank.inference import compare
from fairtank.inference.series.scales import Scale
from fairtank.trial import Series
from inference.trials import event, level, levels, measure, plan_of

LOGIT = Scale("logit")


def cover(*logits):
    return [LOGIT.back(value) for value in logits]


def test_without_gaps_or_events_only_the_other_scale_is_tried():
    finding = compare(plan_of(), measure(margin=0.3), levels(cover(-2.0, -2.1, -1.9), cover(-1.0, -1.2, -0.8)))
    assert finding.alternatives == (("on the values as they are", "matters"),)
    assert "fragile" not in finding.tags


def gappy(unit, value, days=(*range(20), *range(30, 43))):
    return level(unit, value, days=days)


def test_a_unit_with_a_gap_is_kept_in_the_alternative_and_unequal_gaps_are_tagged():
    series = [*levels(cover(-2.0, -2.1, -1.9), cover(-1.0, -1.2, -0.8))[:5], gappy("C3", LOGIT.back(-0.8))]
    finding = compare(plan_of(), measure(), series)
    assert (finding.n_reference, finding.n_changed) == (3, 2)
    assert dict(finding.alternatives)["with units kept across gaps"] == "differs"
    assert "gaps" in finding.tags


def test_as_many_gaps_in_both_arms_are_not_tagged():
    whole = levels(cover(-2.0, -2.1, -1.9, -2.0), cover(-1.0, -1.2, -0.8, -1.0))
    series = [*whole[:3], gappy("R4", LOGIT.back(-2.0)), *whole[4:7], gappy("C4", LOGIT.back(-1.0))]
    finding = compare(plan_of(4, 4), measure(), series)
    assert "with units kept across gaps" in dict(finding.alternatives)
    assert "gaps" not in finding.tags


def test_a_grade_that_hangs_on_a_gap_is_fragile():
    series = [*levels(cover(-2.0, -2.1, -1.9), cover(-1.0, -1.2, -0.8)), gappy("C4", LOGIT.back(-2.5))]
    finding = compare(plan_of(3, 4), measure(), series)
    assert finding.grade == "differs"
    assert dict(finding.alternatives)["with units kept across gaps"] == "open"
    assert finding.tags == ("fragile", "gaps")


def test_a_spoilt_finding_is_never_called_fragile():
    series = [*levels(cover(-2.0, -2.1, -1.9), []), *(gappy(f"C{number}", LOGIT.back(-1.0)) for number in (1, 2, 3))]
    finding = compare(plan_of(), measure(), series)
    assert finding.grade == "spoilt"
    assert dict(finding.alternatives)["with units kept across gaps"] != "spoilt"
    assert "fragile" not in finding.tags


def test_what_events_took_out_is_put_back_in_the_alternative():
    odd = [-1.0, -1.2, -2.6]
    finding = compare(plan_of(3, 3), measure(), levels(cover(-2.0, -2.1, -1.9), cover(*odd)), [event(["C3"], 4, 4, "exclude_unit", "leak")])
    assert finding.n_changed == 2
    assert dict(finding.alternatives)["with nothing taken out by events"] == "open"


def test_excluded_days_are_put_back_too():
    changed = [Series(f"C{number}", "cover", tuple(range(43)), tuple(90.0 if 10 <= day <= 14 else value for day in range(43)))
               for number, value in ((1, 26.0), (2, 24.0), (3, 28.0))]
    series = [*levels([10.0, 11.0, 12.0], [])[:3], *changed]
    finding = compare(plan_of(), measure(), series, [event([], 10, 14, "exclude_window", "flood")])
    assert finding.natural.changed == pytest.approx(26.0, rel=0.01)
    assert "with nothing taken out by events" in dict(finding.alternatives)


@pytest.mark.parametrize("harmless", [event(["R1"], 4, 6, "keep"), event(["R1"], 60, 61, "exclude_window")])
def test_an_event_that_takes_nothing_out_has_no_alternative(harmless):
    finding = compare(plan_of(), measure(), levels(cover(-2.0, -2.1, -1.9), cover(-1.0, -1.2, -0.8)), [harmless])
    assert "with nothing taken out by events" not in dict(finding.alternatives)


@pytest.mark.parametrize(("scale", "unit", "values", "expected"), [
    ("logit", "%", [10, 11, 12, 20, 22, 24], "on the values as they are"),
    ("log", "cm2", [10, 11, 12, 20, 22, 24], "on the values as they are"),
    ("identity", "%", [10, 11, 12, 20, 22, 24], "on the logit scale"),
    ("identity", "g", [10, 11, 12, 20, 22, 24], "on the log scale"),
    ("identity", "", [-10, 11, 12, 20, 22, 24], None),
    ("identity", "%", [10, 11, 12, 20, 22, 124], None),
])
def test_the_other_scale_fits_the_measure(scale, unit, values, expected):
    choice = measure(scale, unit=unit or "a*")
    finding = compare(plan_of(choice=choice), choice, levels(values[:3], values[3:]))
    assert [what for what, _ in finding.alternatives] == ([expected] if expected else [])


def test_the_margin_becomes_the_same_step_on_the_other_scale():
    """A margin of 0.5 on the logit at 10 % cover is a step to 15.5 %, 5.5 points: clearly more matters, clearly less does not."""
    for points, grade in ((6.5, "matters"), (4.5, "alike")):
        reference, changed = [9.9, 10.0, 10.1], [9.9 + points, 10.0 + points, 10.1 + points]
        finding = compare(plan_of(), measure(margin=0.5), levels(reference, changed))
        assert dict(finding.alternatives)["on the values as they are"] == grade == finding.grade


@pytest.mark.parametrize(("units", "count"), [(4, 0), (5, 10)])
def test_units_are_left_out_in_turn_from_five_per_arm_on(units, count):
    reference, changed = [-2.0 + 0.05 * step for step in range(units)], [-1.0 + 0.05 * step for step in range(units)]
    finding = compare(plan_of(units, units), measure(), levels(cover(*reference), cover(*changed)))
    without = [(what, grade) for what, grade in finding.alternatives if what.startswith("without ")]
    assert len(without) == count
    assert {grade for _, grade in without} <= {"differs"}


def test_a_finding_that_rests_on_one_unit_is_fragile():
    finding = compare(plan_of(6, 6), measure(margin=0.3), levels(cover(0, 0.1, 0.2, 0.3, 0.4, 0.5), cover(0.5, 0.6, 0.7, 0.8, 0.9, -0.25)))
    assert len({grade for _, grade in finding.alternatives}) > 1
    assert "fragile" in finding.tags
