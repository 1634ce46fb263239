"""Tap and pure water, hardness salts and refusals of targets that cannot be reached."""

from dataclasses import replace

import pytest

from checking import agrees, every
from fairtank.build import Material, SourceWater, WaterPlan
from fairtank.errors import DesignError
from fairtank.planning.building.blending import recipe_of
from fairtank.planning.buildsheet import build_sheet
from planning.setups import hand_worked, midday, three_bays

TAP, PURE = SourceWater("tap", gh_dgh=14, kh_dkh=8), SourceWater("osmosis", gh_dgh=0.2, kh_dkh=0)
GYPSUM_AND_EPSOM = (("CaSO4.2H2O", 2.0), ("MgSO4.7H2O", 1.0))


def recipe(plan):
    return recipe_of(hand_worked(), plan)


def grams(plan):
    return {part.key: part.grams_per_l for part in recipe(plan).salts}


@pytest.mark.published(entry="build_sheet", source="arithmetic", where="tap 8 dKH, pure 0, target 2: a quarter of tap water")
def test_the_blend_follows_the_kh_target():
    found = recipe(WaterPlan(TAP, PURE, target_kh_dkh=2))
    assert agrees(found.tap_share, "0.25")
    assert found.kh_dkh == pytest.approx(2)
    assert found.gh_dgh == pytest.approx(0.25 * 14 + 0.75 * 0.2)
    assert found.salts == ()


@pytest.mark.published(entry="build_sheet", source="arithmetic", where="molar masses: 1 g/L CaSO4.2H2O 32.57 dGH, MgSO4.7H2O 22.75 dGH")
def test_salts_raise_the_gh_in_the_proportions_given():
    plan = WaterPlan(SourceWater("rain", 0, 0), target_gh_dgh=6, gh_salts=GYPSUM_AND_EPSOM)
    weighed = grams(plan)
    assert weighed["CaSO4.2H2O"] == pytest.approx(4 / 32.57, rel=1e-3)
    assert weighed["MgSO4.7H2O"] == pytest.approx(2 / 22.75, rel=1e-3)
    assert recipe(plan).gh_dgh == 6


@pytest.mark.published(entry="build_sheet", source="arithmetic", where="molar masses: 1 g/L KHCO3 28.01 dKH")
def test_a_kh_salt_brings_what_the_water_has_not():
    plan = WaterPlan(SourceWater("rain", 0, 1), target_kh_dkh=4, kh_salt="KHCO3")
    assert grams(plan)["KHCO3"] == pytest.approx(3 / 28.01, rel=1e-3)
    assert recipe(plan).kh_dkh == 4


def test_where_the_blend_is_too_hard_there_is_less_tap_water_and_the_salt_brings_the_kh():
    plan = WaterPlan(TAP, PURE, target_kh_dkh=4, target_gh_dgh=4, kh_salt="KHCO3")
    found = recipe(plan)
    assert found.tap_share == pytest.approx((4 - 0.2) / (14 - 0.2))
    assert (found.kh_dkh, found.gh_dgh) == pytest.approx((4, 4))
    assert [part.key for part in found.salts] == ["KHCO3"]


@pytest.mark.published(entry="build_sheet", source="arithmetic", where="both waters KH 3, GH 8 and 0, target GH 4: half tap water, by hand")
@pytest.mark.parametrize(("tap", "pure", "kh", "gh", "share"), [
    ((8, 3), (0, 3), 3, 4, "0.5"), ((4, 0), (0, 0), 0, 2, "0.5"), ((4, 0), (0, 0), None, 1, "0.25"), ((0, 2), (10, 2), 2, 3, "0.7"),
])
def test_where_both_waters_have_the_same_kh_they_are_blended_for_the_gh_target(tap, pure, kh, gh, share):
    found = recipe(WaterPlan(SourceWater("tap", *tap), SourceWater("soft", *pure), target_kh_dkh=kh, target_gh_dgh=gh))
    assert agrees(found.tap_share, share)
    assert (found.kh_dkh, found.gh_dgh) == pytest.approx((tap[1], gh))
    assert found.salts == ()


def test_a_kh_salt_that_brings_gh_leaves_less_for_the_blend_to_bring():
    """2 dKH by CaCO3 are 2 dGH as well: the blend of GH 8 and 0 need bring but 2 of the 4."""
    found = recipe(WaterPlan(SourceWater("tap", 8, 3), SourceWater("soft", 0, 3), target_kh_dkh=5, target_gh_dgh=4, kh_salt="CaCO3"))
    assert found.tap_share == pytest.approx(0.25)
    assert (found.kh_dkh, found.gh_dgh) == pytest.approx((5, 4))
    less = recipe(WaterPlan(SourceWater("tap", 5, 3), SourceWater("soft", 0, 0), target_kh_dkh=6, target_gh_dgh=7, kh_salt="CaCO3"))
    assert less.tap_share == pytest.approx(0.5)
    assert (less.kh_dkh, less.gh_dgh) == pytest.approx((6, 7))


def test_one_water_that_has_what_is_wanted_needs_nothing():
    found = recipe(WaterPlan(TAP, target_kh_dkh=8, target_gh_dgh=14))
    assert (found.tap_share, found.salts) == (1, ())
    plain = recipe(WaterPlan(TAP))
    assert (plain.tap_share, plain.kh_dkh, plain.gh_dgh, plain.salts) == (1, 8, 14, ())


def test_known_ions_are_blended_and_salts_add_theirs():
    tap = replace(TAP, ions_mg_l=(("NO3", 20.0), ("Mg", 4.0)))
    found = dict(recipe(WaterPlan(tap, PURE, target_kh_dkh=4, target_gh_dgh=9, gh_salts=(("MgSO4.7H2O", 1.0),))).ions_mg_l)
    added_g_l = (9 - 7.1) / 22.75
    assert found["NO3"] == pytest.approx(10)
    assert found["Mg"] == pytest.approx(2 + 98.6 * added_g_l, rel=1e-3)


@every(("plan", "sentence"), [
    (WaterPlan(TAP, replace(PURE, kh_dkh=1), target_kh_dkh=0.5), r"KH 0\.5 is below what the softest water has: osmosis has KH 1\."),
    (WaterPlan(TAP, PURE, target_kh_dkh=9), r"KH 9 is above what the water has: tap has KH 8\. Name a kh_salt"),
    (WaterPlan(TAP, target_kh_dkh=4), r"KH 4 is below what the softest water has: tap has KH 8\. .* softer second water"),
    (WaterPlan(TAP, PURE), r"osmosis and tap are both given, but no KH to reach: give target_kh_dkh"),
    (WaterPlan(replace(TAP, kh_dkh=0), PURE), r"are both given, but no hardness to reach: give target_gh_dgh, or leave the second water"),
    (WaterPlan(TAP, PURE, target_kh_dkh=4, target_gh_dgh=3),
     r"GH 3 is below the GH 7\.1 that the water has once its KH is made: name a kh_salt, .* so that more of osmosis can be taken"),
    (WaterPlan(TAP, replace(PURE, gh_dgh=5), target_kh_dkh=4, target_gh_dgh=3), r"GH 3 is .*: take a softer second water and a kh_salt"),
    (WaterPlan(TAP, target_gh_dgh=3), r"GH 3 is below the GH 14\.0 .*: take a softer second water, or take a higher target"),
    (WaterPlan(TAP, PURE, target_kh_dkh=4, target_gh_dgh=9), r"GH 9 is above the GH 7\.1 that the water has: name gh_salts"),
    (WaterPlan(TAP, PURE, target_kh_dkh=4, target_gh_dgh=9, gh_salts=(("KNO3", 1.0),)), r"does not raise GH"),
    (WaterPlan(TAP, PURE, target_kh_dkh=9, kh_salt="KNO3"), r"does not raise KH: name another kh_salt"),
    (WaterPlan(TAP, PURE, target_kh_dkh=4, target_gh_dgh=9, gh_salts=(("CaCO3", 1.0),)), r"raises KH together with GH: name it as kh_salt"),
])
def test_a_target_that_cannot_be_reached_is_refused_with_what_would_help(plan, sentence):
    with pytest.raises(DesignError, match=sentence):
        build_sheet(replace(hand_worked(), water=(plan,)))


def test_a_salt_of_the_catalogue_needs_its_formula():
    plan = WaterPlan(TAP, PURE, target_kh_dkh=4, target_gh_dgh=9, gh_salts=(("hardener", 1.0),))
    setup = replace(hand_worked(), materials=(*hand_worked().materials, Material("hardener", "salt", "my hardener")), water=(plan,))
    with pytest.raises(DesignError, match=r"my hardener is used as a salt, but its formula is not given"):
        build_sheet(setup)


@pytest.mark.parametrize("make", [midday, three_bays])
def test_litres_of_both_waters_add_up_to_the_fill_and_to_each_change(make):
    setup = make()
    sheet = build_sheet(setup)
    for facts in sheet.units:
        poured = [line for line in sheet.lines_of(facts.unit) if line.part == "water" and line.unit_of_measure == "L"]
        change = setup.water[0].change_fraction
        assert sum(line.planned for line in poured if line.times == 1) == pytest.approx(facts.net_l, abs=0.006)
        assert sum(line.planned for line in poured if line.times > 1) == pytest.approx(change * facts.net_l, abs=0.006)


@pytest.mark.published(entry="build_sheet", source="arithmetic", where="2 dKH by KHCO3 at 28.01, 2 dGH by CaCl2.2H2O at 38.14 for 1 g/L")
def test_salts_are_weighed_for_the_fill_and_for_each_change():
    sheet = build_sheet(three_bays())
    weighed = {line.title: line.planned for line in sheet.lines_of("left") if line.unit_of_measure == "g"}
    net_l = sheet.facts_of("left").net_l
    expected = {"potassium bicarbonate (KHCO3), first fill": 2 / 28.01 * net_l,
                "calcium chloride, dihydrate (CaCl2.2H2O), first fill": 2 / 38.14 * net_l,
                "potassium bicarbonate (KHCO3), each change of 50 %": 1 / 28.01 * net_l,
                "calcium chloride, dihydrate (CaCl2.2H2O), each change of 50 %": 1 / 38.14 * net_l}
    assert weighed == pytest.approx(expected, abs=0.006)


@pytest.mark.parametrize(("weeks", "times"), [(37 / 7, 5), (8, 8), (0.5, None)])
def test_whole_water_changes_are_counted(weeks, times):
    sheet = build_sheet(replace(midday(), weeks=weeks))
    counted = {line.times for line in sheet.lines if line.title == "tap water, each change of 30 %"}
    assert counted == (set() if times is None else {times})


def test_a_pinch_that_no_scale_shows_is_refused():
    plan = WaterPlan(SourceWater("rain", 0, 1), target_kh_dkh=1.02, kh_salt="KHCO3", change_fraction=0.1)
    small = replace(hand_worked(), water=(plan,))
    with pytest.raises(DesignError, match=r"each change of 10 %: less than 0\.01 g, which no pocket scale shows"):
        build_sheet(small)
