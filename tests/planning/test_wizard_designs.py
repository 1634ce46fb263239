"""The designs that are proposed, and the plans that answers make."""

from datetime import date

import pytest

from checking import every
from fairtank.inference.foresight.layouts import layout_of, start_window_in
from fairtank.planning.wizard.designs import affordable, chosen, proposals, proposed_design, start_window
from fairtank.planning.wizard.making import factors_of, margin_for, plan_of
from fairtank.planning.wizard.making_setup import setup_of
from fairtank.planning.wizard.step import Told


def told(**answers):
    return Told({"change": "x", "primary": "algae_cover", "weeks": 6, "tanks": 6, "expect": "less", "course": "at_once", **answers})


def kinds(one):
    return {proposal.kind for proposal in proposals(one)}


@every("weeks", range(2, 27))
@every("expect", ["less", "either"])
@every("course", ["at_once", "builds_up"])
def test_the_window_of_a_drawn_start_is_the_one_that_the_judging_would_choose(weeks, expect, course):
    found = start_window(told(weeks=weeks, expect=expect, course=course))
    assert found == start_window_in(0, weeks * 7, expect, builds_up=course == "builds_up")


def test_what_is_in_the_tank_from_the_start_is_only_compared_side_by_side():
    for key in ("substrate_kind", "plant_stock"):
        assert kinds(told(moves=(key,))) <= {"side_by_side", "pairs"}
        assert kinds(told(moves=(key,), tanks=2)) == {"side_by_side"}


def test_what_builds_up_is_offered_no_design_that_is_judged_otherwise():
    assert not kinds(told(course="builds_up", tanks=2)) & {"run_in", "swap"}


def test_two_tanks_are_offered_a_drawn_start_and_more_a_run_in():
    assert proposed_design(told(tanks=2)) == "drawn_start_2"
    assert proposed_design(told(tanks=6)) == "run_in_6"
    assert proposed_design(told(tanks=6, weeks=3)) == "side_by_side_6"
    assert proposed_design(told(tanks=2, moves=("substrate_kind",))) == "side_by_side_2"


def test_money_buys_tanks_in_even_numbers():
    assert [affordable(told(tanks=2, money=money, tank_cost=100.0)) for money in (0, 199, 200, 350, 400)] == [0, 0, 2, 2, 4]
    assert affordable(told(tanks=3, money=100, tank_cost=100.0)) == 1
    assert "side_by_side_8" in {one.key for one in proposals(told(tanks=6, money=250, tank_cost=100.0))}


@every("tanks", [2, 3, 5, 6, 12, 24])
@every("weeks", [2, 4, 6, 20])
@every("course", ["at_once", "builds_up"])
def test_every_design_that_is_offered_can_be_laid_out(tanks, weeks, course):
    one = told(tanks=tanks, weeks=weeks, course=course, level=10.0, margin=5.0)
    for proposal in proposals(one):
        plan = plan_of(one, proposal)
        layout = layout_of(plan, plan.measures[0])
        assert layout.tanks == (2 if proposal.kind == "drawn_start" else proposal.tanks)
        assert {unit.arm for unit in plan.units} == {"R", "C"}
        assert not plan.drawn


def test_shelves_become_blocks_with_neighbours_beside_each_other():
    plan = plan_of(told(tanks=6, shelves=2, design="side_by_side_6"))
    assert [unit.block for unit in plan.units] == ["shelf 1"] * 3 + ["shelf 2"] * 3
    assert [unit.position for unit in plan.units][3:] == ["shelf 2, place 1", "shelf 2, place 2", "shelf 2, place 3"]
    assert len({unit.position for unit in plan.units}) == 6


def test_the_margin_of_a_slope_is_the_difference_at_the_end_spread_over_the_days():
    soon, slow = (told(level=10.0, margin=5.0, course=course, design="side_by_side_6") for course in ("at_once", "builds_up"))
    plan = plan_of(slow)
    assert plan.measures[0].summary == "slope"
    assert plan.measures[0].margin * 42 == pytest.approx(margin_for(soon).margin, abs=1e-4)


def test_what_was_answered_of_each_tank_becomes_a_row_of_each_tank():
    rows = factors_of(told(tanks=3, design="side_by_side_3", window="some", window_tanks=(1.0, 3.0), lamp_age=(0.0, 0.0, 9.0),
                           filter_age=(4.0,), stock="per_tank", planted_by="two people"))
    by_key = {(row.factor, row.unit): row.value for row in rows}
    assert by_key["window_side", "T1"] == by_key["window_side", "T3"] != by_key["window_side", "T2"]
    assert by_key["lamp_age", "T3"] == 9.0
    assert by_key["filter_age", ""] == 4.0
    assert len({by_key["plant_stock", unit] for unit in ("T1", "T2", "T3")}) == 3
    assert by_key["planted_by", ""] == "two people"


def test_the_setup_differs_between_arms_only_in_what_the_change_moves():
    base = {"setup": True, "size": (45.0, 28.0, 36.0, 6.0), "bed": "silica_sand", "bed_cm": 5.0, "plants": "moss 2, moss! 3, \u6c34 1",
            "lamp": (18.0, 7.0), "water": (4.0, 7.0, 30.0), "design": "side_by_side_6"}  # fmt: skip
    plain = told(**base)
    setup = setup_of(plain, plan_of(plain))
    assert all(not line.scope.arms for line in (*setup.layers, *setup.devices, *setup.plantings))
    assert len({material.key for material in setup.materials}) == len(setup.materials)
    lit = told(**{**base, "lamp": (18.0, 7.0, 10.0)})
    assert [(one.scope.arms, one.hours_per_day) for one in setup_of(lit, plan_of(lit)).devices] == [(("R",), 7.0), (("C",), 10.0)]
    wet = told(**{**base, "water": (4.0, 7.0, 25.0, 50.0)})
    assert [(one.scope.arms, one.change_fraction) for one in setup_of(wet, plan_of(wet)).water] == [(("R",), 0.25), (("C",), 0.5)]
    bedded = told(**base, changed_bed="pond_soil_under_sand")
    layers = setup_of(bedded, plan_of(bedded)).layers
    assert [(one.material, one.scope.arms, one.depth_mm) for one in layers] == [
        ("silica_sand", ("R",), 50.0), ("pond_soil", ("C",), 20.0), ("silica_sand", ("C",), 30.0)]
    assert setup_of(told(setup=False), plan_of(plain)) is None


def test_a_design_that_is_no_longer_open_gives_way_to_the_first_that_is():
    assert chosen(told(design="drawn_start_2", tanks=6)).kind == "side_by_side"
    assert plan_of(Told({}, today=date(2026, 3, 1))).start == date(2026, 3, 1)
