"""Whole plants, equal in equal units: counts, densities on areas, zones, packs."""

from dataclasses import replace

import pytest

from fairtank.build import Material, Planting
from fairtank.errors import DesignError
from fairtank.planning.building.boxes import Body
from fairtank.planning.building.planting import area_cm2
from fairtank.planning.buildsheet import build_sheet
from planning.setups import hand_worked, midday

PLUG = Material("plug", "plant", "small plug", pieces_per_pack=8)
FLOOR = Body(500, 200, 300, 30.0, 1.0)


def plants(*plantings):
    setup = hand_worked()
    sheet = build_sheet(replace(setup, materials=(*setup.materials, PLUG), plantings=plantings))
    return [line for line in sheet.lines if line.part == "plants"]


@pytest.mark.parametrize(("planting", "wanted_cm2"), [
    (Planting("plug", "foreground", per_100_cm2=5, area_cm2=210), 210),
    (Planting("plug", "foreground", per_100_cm2=5, area_fraction=0.25), 250),
    (Planting("plug", "midground", per_100_cm2=5), 1000 / 3),
    (Planting("plug", "floating", per_100_cm2=5), 1000),
])
def test_an_area_is_given_or_a_share_of_the_floor_or_the_usual_strip(planting, wanted_cm2):
    assert area_cm2(planting, FLOOR) == pytest.approx(wanted_cm2)


@pytest.mark.parametrize(("per_100_cm2", "count"), [(5.0, 11), (4.9, 10), (4.0, 8), (0.25, 1)])
def test_halves_are_planted(per_100_cm2, count):
    line, = plants(Planting("plug", "foreground", per_100_cm2=per_100_cm2, area_cm2=210))
    assert line.planned == count
    assert line.tolerance == 0
    assert line.unit_of_measure == "piece"


def test_packs_and_stock_are_noted():
    line, = plants(Planting("plug", "foreground", "in_vitro", count=12))
    assert line.title == "small plug, foreground"
    assert line.note == ("1.5 packs of 8; from a cup: soft, free of algae and snails, slow to adapt; rinse the gel off (common practice, "
                         "no source)")


def test_every_unit_gets_as_many():
    sheet = build_sheet(midday())
    assert {line.planned for line in sheet.lines if line.material == "carpet_plant"} == {25}


def test_plants_on_wood_go_by_count_only():
    line, = plants(Planting("plug", "on_wood", "own", count=3))
    assert line.planned == 3
    with pytest.raises(DesignError, match=r"The planting of plug: on wood there is no floor area; give a count"):
        plants(Planting("plug", "on_wood", per_100_cm2=3, area_cm2=100))


def test_less_than_half_a_plug_is_refused():
    with pytest.raises(DesignError, match=r"small plug: the planting comes to less than half a plug per unit"):
        plants(Planting("plug", "foreground", per_100_cm2=0.2, area_cm2=200))


def test_more_area_than_floor_is_refused():
    with pytest.raises(DesignError, match=r"The plantings take 1863 cm² of a floor of 1693 cm²"):
        plants(Planting("plug", "foreground", per_100_cm2=3, area_fraction=0.6),
               Planting("plug", "background", per_100_cm2=3, area_fraction=0.5))
