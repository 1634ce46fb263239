"""Layouts of a plan and the ways beside it."""

from dataclasses import replace

import pytest

from fairtank.errors import DesignError
from fairtank.inference.foresight.layouts import Layout, alternatives_to, drawn_start_days, layout_of, start_window_in, weighing_of
from fairtank.trial import Arm, Unit
from inference.trials import measure, plan_of


def layout(*sizes, **more):
    choice = more.pop("choice", measure())
    return layout_of(plan_of(*sizes, choice=choice, **more), choice)


def test_a_plan_side_by_side_counts_all_its_days():
    assert layout(3, 3) == Layout("side_by_side", 3, 3, 0, 42)
    assert layout(2, 3, choice=measure(window=(7, 28))) == Layout("side_by_side", 2, 3, 7, 28)


def test_a_run_in_counts_only_with_the_summary_change():
    run_in = {"kind": "run_in", "days": 56, "run_in_days": 14}
    assert layout(2, 2, choice=measure(summary="change"), **run_in) == Layout("run_in", 2, 2, 14, 56, (0, 13))
    assert layout(2, 2, **run_in) == Layout("run_in", 2, 2, 14, 56)


def test_compartments_that_share_water_count_as_one_tank():
    units = tuple(Unit(f"{tank}{side}", arm, tank=tank) for tank, arm in (("T1", "R"), ("T2", "C")) for side in "ab")
    assert layout(units=units, shared_water=True).tanks == 2
    assert layout(units=units, shared_water=False).tanks == 4


def test_units_without_an_arm_yet_are_dealt_evenly():
    assert layout(units=tuple(Unit(f"T{number}", "") for number in range(6))).tanks == 6
    assert layout(units=tuple(Unit(f"T{number}", "") for number in range(6))).smaller_arm == 3


def test_pairs_and_rounds_are_counted_by_their_names():
    pairs = tuple(Unit(f"{arm}{number}", arm, pair=str(number)) for number in range(4) for arm in "RC")
    assert layout(kind="pairs", units=pairs).n_changed == 4
    rounds = tuple(Unit(f"{arm}{number}", arm, tank=arm, round=str(number)) for number in range(5) for arm in "RC")
    found = layout(kind="rounds", units=rounds, days=104, round_days=21, washout_days=3)
    assert (found.rounds, found.tanks, found.end_day) == (5, 2, 104)
    assert (weighing_of(found).days[0], weighing_of(found).days[-1]) == (3, 20)
    each_from_0 = layout(kind="rounds", units=rounds, days=27)
    assert (each_from_0.last_day, each_from_0.end_day) == (27, 5 * 28 - 1)


def several(sizes, doses=None, **more):
    """A layout with as many arms as there are sizes, the reference first."""
    keys = "RABC"[: len(sizes)]
    arms = tuple(Arm(key, "changed" if key != "R" else "reference", dose=None if doses is None else doses[place])
                 for place, key in enumerate(keys))
    units = tuple(Unit(f"{key}{number}", key) for key, size in zip(keys, sizes, strict=True) for number in range(size))
    choice = more.pop("choice", measure())
    return layout_of(replace(plan_of(units=units, choice=choice, **more), arms=arms), choice)


def test_several_arms_are_counted_one_by_one():
    found = several((4, 3, 5))
    assert (found.arms, found.tanks, found.smaller_arm, found.n_reference, found.n_changed) == ((4, 3, 5), 12, 3, 4, 3)
    assert several((2, 2, 2), compare="all").all_pairs


def test_a_ladder_has_a_dose_for_every_arm():
    found = several((2, 2, 2), (0.0, 5.0, 10.0), kind="ladder")
    assert found.doses == (0.0, 5.0, 10.0)
    with pytest.raises(DesignError, match="The arm R has no dose; in a ladder each arm needs its dose"):
        several((2, 2, 2), kind="ladder")
    with pytest.raises(DesignError, match="In a ladder each arm has a dose of its own"):
        several((2, 2, 2), (5.0, 5.0, 7.0), kind="ladder")


def test_two_changes_in_whole_blocks_are_counted_by_block():
    units = tuple(Unit(f"{key}{block}", key, block=str(block)) for block in range(3) for key in "RABC")
    arms = tuple(Arm(key, "changed" if key != "R" else "reference") for key in "RABC")
    found = layout_of(replace(plan_of(units=units, kind="two_changes"), arms=arms), measure())
    assert (found.blocks, found.arms) == (3, (3, 3, 3, 3))
    assert dict(alternatives_to(found, "less"))["tank"].blocks == 4
    assert several((3, 3, 3, 3), kind="two_changes").blocks == 0


def test_beside_several_arms_stand_the_same_tanks_in_two():
    ways = dict(alternatives_to(several((2, 2, 2, 2), kind="two_changes"), "less"))
    assert list(ways) == ["plan", "tank", "two_arms", "run_in", "weeks", "tank_run_in"]
    assert ways["tank"].arms == (3, 3, 3, 3)
    assert ways["two_arms"] == Layout("side_by_side", 4, 4, 0, 42)
    assert (ways["run_in"].kind, ways["run_in"].run_in) == ("two_changes", (0, 13))


def test_more_rounds_come_in_twos():
    rounds = tuple(Unit(f"{arm}{number}", arm, tank=arm, round=str(number)) for number in range(4) for arm in "RC")
    ways = dict(alternatives_to(layout(kind="rounds", units=rounds, days=111, round_days=28), "less"))
    assert (ways["rounds"].rounds, ways["rounds"].end_day) == (6, 167)
    assert ways["tank"] == Layout("side_by_side", 2, 2, 0, 27)


def test_a_drawn_start_takes_the_window_of_the_plan_or_the_middle_of_its_days():
    assert layout(1, 1, kind="drawn_start", start_window=(10, 30)).start_window == (10, 30)
    assert layout(1, 1, kind="drawn_start", expect="less").start_window == (15, 28)


@pytest.mark.parametrize("expect", ["less", "either"])
@pytest.mark.parametrize("builds_up", [False, True])
def test_a_window_in_the_middle_leaves_days_on_both_sides_or_is_none(expect, builds_up):
    fewest, starts = (8 if builds_up else 5), (21 if expect == "either" else 14)
    for last in range(15, 70):
        window = start_window_in(0, last, expect, builds_up=builds_up)
        if window is None:
            assert last < drawn_start_days(expect, builds_up=builds_up)
        else:
            assert last >= drawn_start_days(expect, builds_up=builds_up)
            assert window[1] - window[0] + 1 == starts
            assert window[0] >= fewest
            assert last - window[1] + 1 >= fewest


@pytest.mark.parametrize(("base", "keys"), [
    (Layout("side_by_side", 1, 1, 0, 42), "plan tank three run_in swap weeks tank_run_in drawn_start"),
    (Layout("side_by_side", 3, 3, 0, 42), "plan tank run_in swap weeks tank_run_in drawn_start"),
    (Layout("side_by_side", 3, 3, 0, 42, builds_up=True), "plan tank swap weeks drawn_start"),
    (Layout("run_in", 3, 3, 14, 56, (0, 13)), "plan tank swap weeks drawn_start"),
    (Layout("swap", 2, 2, 0, 42, swap_day=21), "plan tank weeks drawn_start"),
    (Layout("drawn_start", 1, 1, 0, 42, start_window=(14, 27)), "plan tank three swap weeks"),
    (Layout("side_by_side", 3, 3, 0, 10), "plan tank run_in weeks tank_run_in"),
])
def test_only_ways_that_make_sense_stand_beside_the_plan(base, keys):
    assert " ".join(key for key, _ in alternatives_to(base, "less")) == keys


def test_each_way_changes_what_its_name_says():
    found = dict(alternatives_to(Layout("side_by_side", 1, 1, 0, 42), "less"))
    assert found["tank"] == Layout("side_by_side", 2, 2, 0, 42)
    assert found["three"] == Layout("side_by_side", 3, 3, 0, 42)
    assert found["run_in"] == Layout("run_in", 1, 1, 14, 56, (0, 13))
    assert found["weeks"] == Layout("side_by_side", 1, 1, 0, 56)
    assert found["swap"] == Layout("swap", 1, 1, 0, 42, swap_day=21, washout_days=3)
    assert found["drawn_start"].start_window == (15, 28)


@pytest.mark.parametrize(("make", "message"), [
    (lambda: layout(3, 3, choice=measure(window=(0, 43))), "The window of cover is day 0 to day 43"),
    (lambda: layout(2, 2, kind="run_in", run_in_days=14, choice=measure(window=(0, 9))),
     "ends on day 9, before the change starts on day 14"),
    (lambda: layout(2, 2, kind="swap", swap_day=41, washout_days=5), "The swap on day 41 leaves no days"),
    (lambda: layout(1, 1, kind="drawn_start", days=12), "names no window for the drawn start"),
    (lambda: layout(0, 0), "The plan has no units"),
])
def test_a_plan_that_cannot_be_laid_out_is_refused(make, message):
    with pytest.raises(DesignError, match=message):
        make()
