"""Layers by mass, by depth and as slopes, a base under a cap, and densities from the catalogue or the table."""

from dataclasses import replace

import pytest

from checking import agrees
from fairtank.build import Layer, Material, Piece, Scope
from fairtank.errors import DesignError
from fairtank.planning.buildsheet import build_sheet
from fairtank.science.bed import MATERIALS
from planning.setups import hand_worked, soil_under_cap, three_bays

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


SAND = (Material("sand", "layer", "sand", bulk_density_kg_l=1.5, particle_density_kg_l=2.65),)


def bed_titles(*layers):
    """Titles and amounts of the bed in each of three bays, and which titles are marked."""
    setup = replace(three_bays(), materials=(*three_bays().materials, *SAND), layers=layers)
    lines = [line for line in build_sheet(setup).lines if line.part == "bed"]
    held = {unit: [line.title for line in lines if line.unit == unit] for unit in setup.units}
    return held, {line.title for line in lines if line.differs}, lines


def test_what_all_units_receive_has_one_title_in_all_of_them():
    """The number of a second layer belongs to the layer and not to the unit."""
    held, differing, lines = bed_titles(Layer("sand", mass_kg=7, scope=Scope(units=("left", "middle"))), Layer("sand", depth_mm=20))
    assert held == {"left": ["sand", "sand (2)"], "middle": ["sand", "sand (2)"], "right": ["sand (2)"]}
    assert differing == {"sand"}
    assert len({line.planned for line in lines if line.title == "sand (2)"}) == 1


def test_layers_that_no_unit_has_both_of_keep_one_title_and_compare():
    less, more = Layer("sand", mass_kg=5, scope=Scope(arms=("R",))), Layer("sand", mass_kg=6, scope=Scope(arms=("C",)))
    held, differing, lines = bed_titles(less, more, Layer("sand", depth_mm=20))
    assert set(map(tuple, held.values())) == {("sand", "sand (2)")}
    assert differing == {"sand"}
    assert {(line.unit, line.planned) for line in lines if line.title == "sand"} == {("left", 5), ("middle", 6), ("right", 5)}


def test_a_stone_of_the_name_of_a_layer_is_told_apart_from_it_in_every_unit():
    namesake = Material("pebble", "rock", "quartz sand", particle_density_kg_l=2.65)
    setup = three_bays()
    setup = replace(setup, materials=(*setup.materials, namesake), rocks=(*setup.rocks, Piece("pebble", 0.5, scope=Scope(arms=("C",)))))
    for unit, titles in (("left", {"quartz sand"}), ("middle", {"quartz sand", "quartz sand (2)"})):
        assert {line.title for line in build_sheet(setup).lines_of(unit) if line.title.startswith("quartz")} == titles


def test_a_title_that_ends_in_a_number_by_itself_is_not_taken_twice():
    odd = Material("odd", "layer", "sand (2)", bulk_density_kg_l=1.5, particle_density_kg_l=2.65)
    setup = replace(three_bays(), materials=(*three_bays().materials, *SAND, odd),
                    layers=(Layer("sand", depth_mm=10), Layer("sand", depth_mm=10), Layer("odd", depth_mm=10)))
    assert [line.title for line in build_sheet(setup).lines_of("left") if line.part == "bed"] == ["sand", "sand (2)", "sand (2) (2)"]


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
