"""Layers by mass, by depth and as slopes, a base under a cap, and densities from the catalogue or the table."""

from dataclasses import replace

import pytest

from checking import agrees
from fairtank.build import Layer, Material
from fairtank.errors import DesignError
from fairtank.planning.buildsheet import build_sheet
from fairtank.science.bed import MATERIALS
from planning.setups import hand_worked, soil_under_cap

GRIT = hand_worked().materials[0]


def layers_of(*layers, materials=None):
    setup = hand_worked()
    return build_sheet(replace(setup, layers=layers, materials=materials or setup.materials)).units[0].layers


@pytest.mark.published(entry="build_sheet", source="arithmetic", where="9 kg at 0.80 kg/L on 588 x 288 mm are 66.43 mm deep")
def test_a_layer_by_mass_has_the_hand_worked_depth():
    materials = (replace(GRIT, bulk_density_kg_l=0.80), hand_worked().materials[1])
    layer, = layers_of(Layer("grit", mass_kg=9), materials=materials)
    assert agrees(layer.depth_mm, "66.43")
    assert layer.front_mm == layer.back_mm == layer.depth_mm


def test_mass_depth_and_slope_are_three_ways_to_say_the_same():
    by_depth, = layers_of(Layer("grit", depth_mm=50))
    by_slope, = layers_of(Layer("grit", front_mm=30, back_mm=70))
    by_mass, = layers_of(Layer("grit", mass_kg=by_depth.mass_kg))
    assert by_slope.mass_kg == by_depth.mass_kg == by_mass.mass_kg
    assert by_slope.depth_mm == 50
    assert (by_slope.front_mm, by_slope.back_mm) == (30, 70)
    assert by_mass.depth_mm == pytest.approx(50, abs=0.01), "a gram is less than a hundredth of a millimetre here"


def test_mass_is_a_whole_number_of_grams():
    layer, = layers_of(Layer("grit", depth_mm=33.333))
    assert round(1000 * layer.mass_kg, 6) == int(1000 * layer.mass_kg + 0.5)


@pytest.mark.published(entry="build_sheet", source="common_practice",
                       where="0.5 kg pond soil under 2 kg fine soil in 36 x 22 cm is a bed of 45-50 mm")
def test_a_usual_base_and_cap_are_as_deep_as_keepers_say():
    setup = soil_under_cap()
    tank = replace(setup.tanks[0], length_mm=360, width_mm=220, height_mm=260, glass_mm=4.5, water_mm=220)
    layers = (Layer("pond_soil", mass_kg=0.5), Layer("aquatic_soil", mass_kg=2.0))
    sheet = build_sheet(replace(setup, tanks=(tank,), places=(("A", tank.key),), arms=(), layers=layers, rocks=(), woods=(), plantings=(),
                                devices=()))
    base, cap = sheet.units[0].layers
    assert 45 <= base.depth_mm + cap.depth_mm <= 51


def test_layers_are_told_from_the_bottom_up_and_the_base_is_to_be_sifted():
    sheet = build_sheet(soil_under_cap())
    base, cap = (line for line in sheet.lines_of("A") if line.part == "bed")
    assert base.title == "sifted pond soil"
    assert base.note == ("15 mm deep, under fine aquatic soil; sift it first, bits of wood float up through the cap (common practice, no "
                         "source)")
    assert cap.note == "25 mm deep at the front, 55 mm at the back"


def test_a_density_from_the_table_is_said_to_be_from_memory():
    said = " ".join(build_sheet(soil_under_cap()).cautions)
    assert MATERIALS["pond_soil"].mark == "from memory"
    assert "sifted pond soil: its 0.4 kg/L is a literature value, from memory" in said
    assert "lava rock: its 1.85 kg/L is a literature value, from memory (1.5 to 2.2 are found). Weigh a piece in air" in said


def test_the_keepers_own_density_beats_the_table():
    setup = soil_under_cap()
    materials = tuple(replace(material, bulk_density_kg_l=0.5) if material.key == "pond_soil" else material for material in setup.materials)
    sheet = build_sheet(replace(setup, materials=materials))
    assert sheet.units[0].layers[0].mass_kg == pytest.approx(build_sheet(setup).units[0].layers[0].mass_kg * 0.5 / 0.4, abs=0.001)
    assert "sifted pond soil: its" not in " ".join(sheet.cautions)


@pytest.mark.parametrize(("material", "sentence"), [
    (Material("grit", "layer", "my grit"), r"The density of my grit is not known: give bulk_density_kg_l, the bag's kilograms"),
    (Material("grit", "layer", "my grit", bulk_density_kg_l=0.8), r"grains of my grit is not known: give particle_density_kg_l"),
    (Material("grit", "layer", "my grit", bulk_density_kg_l=2.5, particle_density_kg_l=0.75), r"Were bulk_density_kg_l and .* exchanged"),
])
def test_a_material_without_a_density_is_refused_with_what_to_give(material, sentence):
    with pytest.raises(DesignError, match=sentence):
        layers_of(Layer("grit", depth_mm=50), materials=(material, hand_worked().materials[1]))


def test_a_bed_that_reaches_out_of_the_water_is_refused():
    with pytest.raises(DesignError, match=r"The bed is 340 mm deep and the water line 330 mm"):
        layers_of(Layer("grit", front_mm=100, back_mm=340))


def test_two_layers_of_one_material_are_told_apart():
    sheet = build_sheet(replace(hand_worked(), layers=(Layer("grit", depth_mm=20), Layer("grit", depth_mm=30))))
    assert [line.title for line in sheet.lines if line.part == "bed"] == ["grit", "grit (2)"]


def test_a_layer_of_nothing_is_refused():
    with pytest.raises(DesignError, match=r"A layer of grit of less than a gram cannot be weighed"):
        layers_of(Layer("grit", mass_kg=0.0001))


def test_stone_and_wood_displace_by_the_catalogue_or_the_table_else_are_refused():
    setup = soil_under_cap()
    own = tuple(replace(material, particle_density_kg_l=2.5) if material.key == "lava_rock" else material for material in setup.materials)
    heavier = build_sheet(replace(setup, materials=own))
    assert heavier.units[0].net_l - build_sheet(setup).units[0].net_l == pytest.approx(1.2 / 1.85 - 1.2 / 2.5)
    unknown = tuple(replace(material, key="odd_stone") if material.key == "lava_rock" else material for material in setup.materials)
    with pytest.raises(DesignError, match=r"The density of lava rock is not known: give particle_density_kg_l \(weigh a piece in air"):
        build_sheet(replace(setup, materials=unknown, rocks=(replace(setup.rocks[0], material="odd_stone"),)))


def test_wood_that_floats_is_to_be_fastened():
    setup = soil_under_cap()
    light = tuple(replace(material, particle_density_kg_l=0.6) if material.key == "wood" else material for material in setup.materials)
    note = next(line.note for line in build_sheet(replace(setup, materials=light)).lines if line.title == "branch")
    assert note == "in 2 pieces; it floats, so soak or fasten it: it counts as held under water"
