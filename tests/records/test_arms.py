"""Which arm a tank is given on a day."""

from dataclasses import replace
from datetime import date

import pytest

from fairtank.records.arms import arm_held, arm_on
from fairtank.trial import Arm, MeasureChoice, Plan, Unit

SWAP = Plan("A swap", date(2026, 3, 1), 42, "swap", (Arm("R", "reference"), Arm("C", "changed")),
            (Unit("T1", "R", first_arm="R"), Unit("T2", "C", first_arm="C")), (MeasureChoice("algae_cover", "primary"),),
            swap_day=21, washout_days=3)


@pytest.mark.parametrize(("day", "first", "second"), [(0, "R", "C"), (20, "R", "C"), (21, "C", "R"), (24, "C", "R"), (42, "C", "R")])
def test_in_a_swap_tanks_go_over_to_the_other_arm_on_its_day(day, first, second):
    assert (arm_held(SWAP, "T1", day), arm_held(SWAP, "T2", day)) == (first, second)


def test_while_the_change_washes_out_a_tank_is_given_its_new_arm_though_the_day_counts_for_none():
    assert arm_on(SWAP, "T1", 22) is None
    assert arm_held(SWAP, "T1", 22) == "C"


def test_side_by_side_a_tank_keeps_its_arm():
    assert arm_held(replace(SWAP, kind="side_by_side"), "T1", 40) == "R"
