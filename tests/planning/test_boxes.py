"""Panes and dividers on the sheet: spans, supports, the worst case, and what is said about weak ones."""

from dataclasses import replace

import pytest

from checking import agrees
from fairtank.build import Tank
from fairtank.planning.building.boxes import body_of, glass_line, pane_cautions, panes_of, weight_kg
from fairtank.planning.buildsheet import build_sheet
from fairtank.science.glass import panel
from planning.setups import hand_worked, three_bays

BOX = Tank("box", 600, 300, 360, 6, 330)


def test_walls_count_with_their_outer_size_and_dividers_with_the_space_between_front_and_back():
    front, sides, divider = panes_of(replace(BOX, dividers=1, divider_glass_mm=5))
    assert (front.pane, front.width_mm, front.height_mm, front.thickness_mm, front.support) == ("front and back", 600, 354, 6, "free_top")
    assert (sides.pane, sides.width_mm, sides.height_mm) == ("sides", 300, 354)
    assert (divider.pane, divider.width_mm, divider.height_mm, divider.thickness_mm) == ("divider 1", 288, 354, 5)
    assert front.panel == panel(600, 354, 330, 6, "free_top")
    assert divider.panel == panel(288, 354, 330, 5, "free_top")
    assert sides.thrust_n is None


@pytest.mark.published(entry="divider_thrust", source="arithmetic", where="997.05 kg/m3 x 9.80665 m/s2 x (0.33 m)2 x 0.288 m / 2")
def test_the_push_on_a_divider_is_told():
    divider = panes_of(replace(BOX, dividers=1, divider_glass_mm=5))[2]
    assert agrees(divider.thrust_n, "153.3")


def test_a_braced_rim_holds_the_walls_but_never_a_divider():
    front, sides, divider = panes_of(replace(BOX, rim="braced", dividers=1, divider_glass_mm=6))
    assert front.support == sides.support == "braced"
    assert divider.support == "free_top"
    assert front.panel.stress_mpa < panes_of(BOX)[0].panel.stress_mpa


def test_each_divider_is_checked():
    facts = build_sheet(three_bays()).tanks[0]
    assert [pane.pane for pane in facts.panes] == ["front and back", "sides", "divider 1", "divider 2"]


def test_a_weak_pane_is_named_with_its_stress():
    thin = replace(BOX, glass_mm=4)
    said = pane_cautions("Tank box", thin, panes_of(thin))
    assert said[0].startswith("Tank box, front and back: 4 mm glass is stressed to ")
    assert "3.8 is the usual least" in said[0]
    assert not any("is stressed" in sentence for sentence in pane_cautions("Tank box", BOX, panes_of(BOX)))


def test_the_bottom_is_noted_and_not_computed():
    said = pane_cautions("Tank box", BOX, panes_of(BOX))
    assert said == ("Tank box, bottom: 6 mm, not computed, because it must lie on a flat stand over its whole area; put a soft mat under "
                    "it unless its maker forbids one.",)


def test_a_very_narrow_pane_counts_as_half_as_wide_as_high():
    narrow = Tank("tower", 300, 150, 406, 6, 380)
    assert panes_of(narrow)[1].panel == panel(200, 400, 380, 6, "free_top")


def test_a_very_long_pane_is_not_computed_and_said_so():
    long = Tank("long", 1500, 300, 260, 8, 220)
    front, sides = panes_of(long)
    assert front.panel is None
    assert sides.panel is not None
    assert "more than 4 times as long as high, which the screening does not cover" in pane_cautions("Tank long", long, panes_of(long))[0]


def test_a_thicker_bottom_and_dividers_weigh_more():
    empty = {"net_water_l": 0, "bed_kg": 0, "hardscape_kg": 0, "equipment_kg": 0}
    plain_kg = weight_kg(BOX, **empty)
    assert agrees(plain_kg, "12.131"), "glass of the hand-worked box"
    thick_kg = weight_kg(replace(BOX, bottom_glass_mm=10, height_mm=364), **empty)
    assert thick_kg - plain_kg == pytest.approx(2.5e-6 * 600 * 300 * 4, rel=1e-9), "the walls are as high over the inner bottom as before"
    parted_kg = weight_kg(replace(BOX, dividers=2, divider_glass_mm=5), **empty)
    assert parted_kg - plain_kg == pytest.approx(2.5e-6 * 2 * 288 * 354 * 5, rel=1e-9)


def test_the_line_says_where_the_water_stands():
    whole = glass_line("U", BOX, body_of(BOX))
    assert whole.note == "600 x 300 x 360 mm outside, 6 mm glass, open rim; water line 330 mm above the inner bottom"
    parted = replace(BOX, dividers=1, divider_glass_mm=6, rim="braced")
    line = glass_line("U", parted, body_of(parted))
    assert line.title == "compartment"
    assert line.note.startswith("one of 2, 291.0 mm long, in a box of 600 x 300 x 360 mm outside, 6 mm glass, braced rim")


def test_like_tanks_are_told_together():
    setup = hand_worked()
    both = replace(setup, tanks=(setup.tanks[0], replace(setup.tanks[0], key="twin")), places=(("U1", "box"), ("U2", "twin")))
    assert [sentence for sentence in build_sheet(both).cautions if "bottom" in sentence] == [
        "Tanks box, twin, bottom: 6 mm, not computed, because it must lie on a flat stand over its whole area; put a soft mat under it "
        "unless its maker forbids one."]
