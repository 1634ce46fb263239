"""Beds, compartments and the table of materials, against a printed table of soils, definitions and hand-worked tanks."""

import csv
from pathlib import Path

import numpy as np
import pytest

from checking import agrees, every
from fairtank.errors import InputError, OutOfRangeError
from fairtank.science import bed, vessel
from fairtank.sources import SOURCES

PUBLISHED = Path(__file__).resolve().parent.parent / "published"
SOILS = list(csv.DictReader((PUBLISHED / "soil_densities_pores.csv").read_text(encoding="utf-8").splitlines()[1:]))
FLOOR = {"floor_length_mm": 588, "floor_width_mm": 288}


@pytest.mark.published(entry="porosity_fraction", source="soil_densities", where="table of seven soils, without the estimated peat")
@pytest.mark.parametrize("soil", SOILS, ids=lambda soil: soil["soil"])
def test_pore_space_of_soils_equals_the_printed_table(soil):
    share = bed.porosity_fraction(float(soil["bulk_density_kg_l"]), float(soil["particle_density_kg_l"]))
    assert agrees(100 * share, soil["pore_pct"])


@pytest.mark.published(entry="porosity_fraction", source="sand_densities", where="silica sand 1.54: 0.42; beach sand 1.6: about 0.40")
def test_pore_space_of_sands_equals_the_printed_pages():
    for key, printed in (("silica_sand", "0.42"), ("beach_sand", "0.40")):
        sand = bed.MATERIALS[key]
        assert agrees(bed.porosity_fraction(sand.bulk_density_kg_l, sand.particle_density_kg_l), printed)


@pytest.mark.published(entry="porosity_fraction", source="porosity_lesson", where="bulk density 1.5, particle density 2.65: 43.40 %")
def test_pore_space_equals_the_printed_lesson():
    assert agrees(100 * bed.porosity_fraction(1.5, 2.65), "43.40")


@pytest.mark.published(entry="porosity_fraction", source="soil_densities", where="decomposed peat: bulk density 0.55, pore space 65 %")
def test_peat_and_soils_of_the_table_have_the_printed_pore_space():
    for key, printed in (("peat", "65"), ("loamy_sand", "43"), ("mineral_soil", "51")):
        soil = bed.MATERIALS[key]
        assert agrees(100 * bed.porosity_fraction(soil.bulk_density_kg_l, soil.particle_density_kg_l), printed)


@pytest.mark.published(entry="density_from_weighing_kg_l", source="pumice_sheet", where="grain: 25 % glass of 2.56, 24 % closed pores")
def test_a_pumice_grain_weighed_under_water_has_the_density_of_the_table():
    """One litre of grains: 640 g of glass; glass and closed pores push 490 mL aside, open pores fill."""
    dry_g, pushed_aside_l = 1000 * 0.25 * 2.56, 0.25 + 0.24
    under_water_g = dry_g - 1000 * pushed_aside_l * vessel.WATER_KG_L
    assert agrees(bed.density_from_weighing_kg_l(dry_g, under_water_g), str(bed.MATERIALS["pumice"].particle_density_kg_l))


@pytest.mark.published(entry="slope_mean_depth_mm", source="arithmetic", where="30 mm in front, 70 mm at the back: 50 mm on average")
@pytest.mark.published(entry="layer_volume_l", source="arithmetic", where="50 mm on 588 x 288 mm: 8.467 L")
@pytest.mark.published(entry="layer_mass_kg", source="arithmetic", where="50 mm at 0.75 kg/L on 588 x 288 mm: 6.350 kg")
@pytest.mark.published(entry="bulk_density_kg_l", source="arithmetic", where="a bag of 9 L that weighs 7.2 kg")
def test_layers_equal_the_hand_worked_bed():
    depth = bed.slope_mean_depth_mm(30, 70)
    assert agrees(bed.layer_volume_l(depth, **FLOOR), "8.467")
    assert agrees(bed.layer_mass_kg(depth, 0.75, **FLOOR), "6.350")
    assert agrees(bed.bulk_density_kg_l(7.2, 9), "0.80")
    assert agrees(bed.porosity_fraction(0.75, 2.5), "0.70")


@pytest.mark.published(entry="bay_length_mm", source="arithmetic", where="600 mm with 6 mm glass and one 6 mm divider")
@pytest.mark.published(entry="bay_volume_l", source="arithmetic", where="the two bays of 600 x 300 mm filled to 330 mm: 27.657 L each")
def test_compartments_equal_the_hand_worked_tank():
    assert bed.bay_length_mm(600, 6, 1, 6) == 291
    assert agrees(bed.bay_volume_l(600, 300, 330, 6, 1, 6), "27.657")


@pytest.mark.published(entry="density_from_weighing_kg_l", source="arithmetic", where="1 kg that pushes 369.3 mL of water aside")
def test_density_from_weighing_equals_the_hand_worked_stone():
    displaced_g = 369.3 * vessel.WATER_KG_L
    assert agrees(bed.density_from_weighing_kg_l(1000, 1000 - displaced_g), "2.708")


@pytest.mark.as_it_was("pore shares recalled for materials without a source, 2026-11-25")
@pytest.mark.parametrize(("key", "low", "high"), [
    ("fine_gravel", 0.35, 0.42), ("lava_grit", 0.55, 0.70), ("calcined_clay", 0.70, 0.75), ("aquatic_soil", 0.65, 0.72),
    ("pond_soil", 0.75, 0.90),
])
def test_recalled_bulk_and_particle_densities_give_the_recalled_pore_share(key, low, high):
    material = bed.MATERIALS[key]
    assert low <= bed.porosity_fraction(material.bulk_density_kg_l, material.particle_density_kg_l) <= high


def test_every_material_tells_its_range_its_mark_and_a_known_source():
    for key, material in bed.MATERIALS.items():
        assert key == material.key
        assert material.bulk_low <= material.bulk_density_kg_l <= material.bulk_high < material.particle_density_kg_l
    for key, piece in bed.HARDSCAPE_MATERIALS.items():
        assert key == piece.key
        assert piece.low <= piece.density_kg_l <= piece.high
        assert bed.HARDSCAPE[key] == piece.density_kg_l
    for row in (*bed.MATERIALS.values(), *bed.HARDSCAPE_MATERIALS.values()):
        assert row.sources
        assert (row.mark == "from memory") == any(SOURCES[key].from_memory for key in row.sources), row.key


def test_mass_and_depth_are_each_others_inverse():
    rng = np.random.default_rng(11)
    for depth, bulk in zip(rng.uniform(5, 150, 20), rng.uniform(0.2, 1.8, 20), strict=True):
        mass = bed.layer_mass_kg(depth, bulk, **FLOOR)
        assert vessel.layer_depth_mm(mass, bulk, **FLOOR) == pytest.approx(depth, rel=1e-12)


def test_pore_share_and_pore_water_tell_the_same():
    litres = bed.layer_volume_l(50, **FLOOR)
    assert litres * bed.porosity_fraction(0.75, 2.5) == pytest.approx(vessel.pore_water_l(0.75 * litres, 0.75, 2.5), rel=1e-12)


def test_closed_pores_displace_water_that_the_glass_alone_would_not():
    """The trap: with the density of the solid glass, a kilogram of pumice seems to push only half of the water aside."""
    assert vessel.displaced_l(1, bed.MATERIALS["pumice"].particle_density_kg_l) > 1.9 * vessel.displaced_l(1, 2.56)


def test_weighing_finds_the_density_that_the_piece_has():
    for density in (1.05, 1.85, 2.65, 4.0):
        air = 500.0
        assert bed.density_from_weighing_kg_l(air, air * (1 - vessel.WATER_KG_L / density)) == pytest.approx(density, rel=1e-12)


def test_compartments_and_dividers_fill_the_tank():
    for dividers in range(6):
        bay = bed.bay_length_mm(900, 8, dividers, 5)
        assert bay * (dividers + 1) + 5 * dividers + 16 == pytest.approx(900)
        glass_l = dividers * 5 * 284 * 300 / 1e6
        water_l = bed.bay_volume_l(900, 300, 300, 8, dividers, 5) * (dividers + 1)
        assert water_l + glass_l == pytest.approx(vessel.gross_volume_l(900, 300, 300, 8))


def test_arrays_give_arrays_and_numbers_give_numbers():
    assert isinstance(bed.layer_mass_kg(50, 0.75, **FLOOR), float)
    assert bed.bay_length_mm([600, 900], 6, [1, 2], 6).tolist() == [291.0, pytest.approx(292.0)]
    assert bed.porosity_fraction([1.3, 1.5], 2.65).shape == (2,)


@every(("call", "sentence"), [
    (lambda: bed.slope_mean_depth_mm(-1, 50), r"front_mm is -1\.0 mm; accepted: 0 to 1000 mm"),
    (lambda: bed.layer_volume_l(50, 5, 288), r"floor_length_mm is 5\.0 mm; accepted: 10 to 5000 mm"),
    (lambda: bed.layer_mass_kg(50, float("nan"), 588, 288), r"bulk_density_kg_l is nan kg/L; accepted: 0\.05 to 5 kg/L"),
    (lambda: bed.bulk_density_kg_l(0, 9), r"bag_kg is 0\.0 kg; accepted: 0\.01 to 2000 kg"),
    (lambda: bed.bulk_density_kg_l(720, 9), r"bulk_density_kg_l is 80\.0 kg/L; .* given in g"),
    (lambda: bed.porosity_fraction(2.65, 1.5), r"particle_density_kg_l is 1\.5 kg/L; .* exchanged"),
    (lambda: bed.bay_length_mm(600, 6, 1.5, 6), r"dividers is 1\.5; accepted: a whole number"),
    (lambda: bed.bay_length_mm(600, 6, 51, 6), r"dividers is 51\.0; accepted: 0 to 50"),
    (lambda: bed.bay_length_mm(100, 6, 4, 25), r"dividers is 4\.0 of 25\.0 mm; accepted: panes that leave space"),
    (lambda: bed.bay_length_mm(60, 30, 0, 0), r"glass_mm is 30\.0 mm; accepted: less than half of the length"),
    (lambda: bed.bay_volume_l(60, 300, 330, 30, 0, 6), r"glass_mm is 30\.0 mm; accepted: less than half of the length"),
    (lambda: bed.bay_volume_l(600, 50, 330, 25, 0, 6), r"glass_mm is 25\.0 mm; accepted: less than half of the length and of the depth"),
    (lambda: bed.density_from_weighing_kg_l(100, 100), r"mass_in_water_g is 100\.0 g; accepted: less than the mass in air"),
])
def test_a_number_outside_its_range_is_refused_by_name_value_and_range(call, sentence):
    with pytest.raises(OutOfRangeError, match=sentence):
        call()


def test_a_word_is_refused_as_not_a_number():
    with pytest.raises(InputError, match=r"front_mm is 'low'; accepted: 0 to 1000 mm"):
        bed.slope_mean_depth_mm("low", 50)
