"""What is settled before any value is looked at, and which plans are refused."""

import pytest

from fairtank import registry
from fairtank.errors import DesignError
from fairtank.inference import question
from fairtank.inference.question import alpha_of, check_arms, settle_question
from fairtank.trial import Arm, MeasureChoice, Plan, Unit
from inference.trials import looks, measure, plan_of


def own_measure(monkeypatch):
    entry = registry.Entry("measure", "plant_cover", "Plant cover", "%", (), "", lambda: None, scale="logit")
    monkeypatch.setattr(question, "_own_measures", lambda: {"plant_cover": entry})


def settled_for(choice):
    asked = settle_question(plan_of(choice=choice), choice, treated=(0, 42), sources=())
    return asked.title, asked.unit_of_measure, asked.scale


def test_what_the_plan_leaves_out_comes_from_the_measure(monkeypatch):
    own_measure(monkeypatch)
    assert settled_for(MeasureChoice("plant_cover")) == ("Plant cover", "%", "logit")
    assert settled_for(MeasureChoice("plant_cover", scale="identity", title="Green")) == ("Green", "%", "identity")


def test_an_unknown_measure_is_taken_as_it_is(monkeypatch):
    own_measure(monkeypatch)
    assert settled_for(MeasureChoice("weight")) == ("weight", "", "identity")


def test_a_measure_that_says_everything_is_not_looked_up(monkeypatch):
    monkeypatch.setattr(question, "_own_measures", None)
    assert settled_for(measure("log", unit="g")) == ("Cover by eye", "g", "log")


def test_one_reading_spends_the_whole_five_per_cent_and_the_last_look_its_share():
    assert alpha_of(plan_of()) == 0.05
    assert alpha_of(plan_of(looks=looks((14, 28, 42), (0.005, 0.010, 0.035)))) == 0.035


@pytest.mark.parametrize("budget", [(0.05,), (0.03, 0.03), (0.0, 0.05), ()])
def test_a_budget_that_does_not_add_up_is_refused(budget):
    with pytest.raises(DesignError, match=r"The planned looks need one share of the 5 % each.*at most 0\.05"):
        alpha_of(plan_of(looks=looks((14, 42), budget)))


@pytest.mark.parametrize("margin", [0.0, -0.5, float("nan"), float("inf")])
def test_a_margin_must_be_above_zero(margin):
    with pytest.raises(DesignError, match=r"The margin of cover is .*; accepted: a number above 0"):
        settle_question(plan_of(), measure(margin=margin), treated=(0, 42), sources=())


@pytest.mark.parametrize("arms", [
    (Arm("R", "reference"),),
    (Arm("R", "reference"), Arm("S", "reference")),
    (Arm("R", "reference"), Arm("C", "changed"), Arm("D", "changed")),
])
def test_anything_but_one_arm_of_each_role_is_refused(arms):
    given = plan_of()
    plan = Plan(given.title, given.start, 42, "side_by_side", arms, given.units, given.measures)
    with pytest.raises(DesignError, match=f"The plan has {len(arms)} arms; this version judges one reference arm against one changed arm"):
        check_arms(plan)


@pytest.mark.parametrize(("unit", "message"), [
    (Unit("T1", ""), "Unit T1 has no arm yet. Draw the lot, or give it one of R, C."),
    (Unit("T1", "X"), "Unit T1 has the arm X, which is not in the plan."),
    (Unit("T1", "R"), "No unit is allotted to the arm C."),
])
def test_a_unit_without_an_arm_or_an_arm_without_a_unit_is_refused(unit, message):
    with pytest.raises(DesignError, match=message):
        check_arms(plan_of(units=(unit,)))


@pytest.mark.parametrize(("scale", "margin", "message"), [
    ("logit", 5.0, r"The margin of cover is 5; on its scale that is a step in log-odds, from 10 % to 94\.3 %\. Accepted: up to 3\. "
                   r"Did you mean per cent\? 0\.5 takes 10 % to 15\.5 %\."),
    ("log", 20.0, r"The margin of cover is 20; on its scale that is a factor of 4\.85e\+08\. Accepted: up to 3\. Did you mean per cent\? "
                  r"0\.5 is a factor of 1\.65\."),
])
def test_a_margin_that_was_meant_in_per_cent_is_refused(scale, margin, message):
    with pytest.raises(DesignError, match=message):
        settled_for(measure(scale, margin=margin))


def test_a_margin_of_three_and_any_margin_on_values_as_they_are_stand():
    assert settled_for(measure("logit", margin=3.0))[2] == "logit"
    assert settled_for(measure("identity", margin=500.0))[2] == "identity"
