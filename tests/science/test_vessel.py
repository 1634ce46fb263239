"""Litres, bed depth, displaced water and weight, against definitions, a printed lesson, a water table and one fact of the trade."""

import csv
from pathlib import Path

import gsw
import numpy as np
import pytest

from checking import agrees, every
from fairtank import registry
from fairtank.errors import InputError, OutOfRangeError
from fairtank.science import vessel
from fairtank.units import convert

PUBLISHED = Path(__file__).resolve().parent.parent / "published"
WATER = list(csv.DictReader((PUBLISHED / "iapws_water.csv").read_text(encoding="utf-8").splitlines()[1:]))
BOX = {"length_mm": 600, "width_mm": 300, "water_mm": 330, "glass_mm": 6}


@pytest.mark.published(entry="gross_volume_l", source="common_practice", where="a box of 36 x 22 x 26 cm is traded as 20 L or 5 US gal")
@pytest.mark.parametrize(("unit", "printed", "traded"), [("L", "20.59", 20), ("US gal", "5.44", 5)])
def test_a_box_traded_as_20_litres_holds_them_by_its_outer_size(unit, printed, traded):
    outer = convert(vessel.gross_volume_l(360, 220, 260, 0), "L", unit)
    assert agrees(outer, printed)
    assert traded <= outer < 1.1 * traded
    inside_lowered = convert(vessel.gross_volume_l(360, 220, 245, 4.5), "L", "L")
    assert agrees(inside_lowered, "18"), "about 18 L with 4-5 mm glass and a lowered water line, before the bed"


@pytest.mark.published(entry="layer_depth_mm", source="common_practice", where="0.5 kg pond soil under 2 kg fine soil is a bed of 45-50 mm")
def test_a_usual_bed_of_the_20_litre_box_is_as_deep_as_keepers_say():
    floor = {"floor_length_mm": 360 - 9, "floor_width_mm": 220 - 9}
    depth = vessel.layer_depth_mm(0.5, 0.4, **floor) + vessel.layer_depth_mm(2.0, 0.8, **floor)
    assert 45 <= depth <= 51


@pytest.mark.published(entry="gross_volume_l", source="arithmetic", where="600 x 300 x 360 mm box, worked by hand from the definition")
@pytest.mark.parametrize(("water_mm", "glass_mm", "printed"), [(360, 0, "64.80"), (354, 6, "59.948"), (330, 6, "55.884")])
def test_gross_volume_equals_the_hand_worked_box(water_mm, glass_mm, printed):
    assert agrees(vessel.gross_volume_l(600, 300, water_mm, glass_mm), printed)


@pytest.mark.published(entry="gross_volume_l", source="arithmetic", where="the box in gallons: 231 cubic inches, 4.54609 L")
@pytest.mark.parametrize(("unit", "printed"), [("US gal", "14.76"), ("imp gal", "12.29")])
def test_the_box_in_gallons_equals_the_hand_worked_ones(unit, printed):
    assert agrees(convert(vessel.gross_volume_l(**BOX), "L", unit), printed)


@pytest.mark.published(entry="gross_volume_l", source="arithmetic", where="two bays of the box beside a 6 mm divider")
def test_a_bay_is_a_box_without_its_outer_panes():
    bay_length = (600 - 2 * 6 - 6) / 2
    assert agrees(vessel.gross_volume_l(bay_length, 288, 330, 0), "27.657")


@pytest.mark.published(entry="layer_depth_mm", source="arithmetic", where="9 kg at 0.80 kg/L on a floor of 588 x 288 mm")
def test_layer_depth_equals_the_hand_worked_bed():
    assert agrees(vessel.layer_depth_mm(9, 0.80, 588, 288), "66.43")
    assert agrees(vessel.layer_depth_mm(6.3504, 0.75, 588, 288), "50.0")


@pytest.mark.published(entry="pore_water_l", source="porosity_lesson", where="bulk density 1.5, particle density 2.65: pore space 43.40 %")
def test_pore_space_equals_the_printed_lesson():
    bulk_l = 10.0
    pore_pct = 100 * vessel.pore_water_l(1.5 * bulk_l, 1.5, 2.65) / bulk_l
    assert agrees(pore_pct, "43.40")


@pytest.mark.published(entry="displaced_l", source="arithmetic", where="4 kg rock at 2.7 kg/L; 6.3504 kg grains at 2.5 kg/L")
def test_displaced_water_equals_the_hand_worked_pieces():
    assert agrees(vessel.displaced_l(4, 2.7), "1.481")
    assert agrees(vessel.displaced_l(6.3504, 2.5), "2.540")


@pytest.mark.published(entry="net_volume_l", source="arithmetic", where="the box with 50 mm bed and 4 kg rock")
def test_net_volume_equals_the_hand_worked_tank():
    net = vessel.net_volume_l(**BOX, bed_kg=6.3504, bed_particle_density_kg_l=2.5, rock_kg=4, rock_density_kg_l=2.7)
    assert agrees(net, "51.862")
    assert agrees(net - vessel.pore_water_l(6.3504, 0.75, 2.5), "45.935"), "water that circulates freely"


PANES = {"length_mm": 600, "width_mm": 300, "height_mm": 360, "glass_mm": 6}


@pytest.mark.published(entry="weight_on_stand_kg", source="arithmetic", where="bottom 600 x 300 x 6 mm, walls 1776 x 354 x 6 mm: 4.852 L")
def test_weight_is_the_hand_worked_glass_and_all_that_is_in_the_tank():
    glass_kg = vessel.weight_on_stand_kg(**PANES, net_water_l=0)
    assert agrees(glass_kg / vessel.GLASS_KG_L, "4.852")
    contents_kg = vessel.weight_on_stand_kg(**PANES, net_water_l=51.862, bed_kg=6.350, hardscape_kg=4, equipment_kg=1.5) - glass_kg
    assert agrees(contents_kg - 51.862 * vessel.WATER_KG_L, "11.850")


@pytest.mark.as_it_was("density of glass recalled, not read: 2.5 kg/L, 2026-11-25")
def test_weight_with_glass_of_the_recalled_density_is_what_it_was():
    assert agrees(vessel.weight_on_stand_kg(**PANES, net_water_l=0), "12.131")
    total_kg = vessel.weight_on_stand_kg(**PANES, net_water_l=51.862, bed_kg=6.350, hardscape_kg=4)
    assert agrees(total_kg, "74.19")
    assert agrees(total_kg * 9.80665 / (0.6 * 0.3), "4042"), "pressure on the stand in N/m2"
    assert "literature value, from memory" in " ".join(vessel.weight_on_stand_kg.__doc__.split())


@pytest.mark.published(entry="pressure_on_stand_kn_m2", source="arithmetic", where="74.19 kg on 600 x 300 mm: 4042 N/m2")
def test_pressure_equals_the_hand_worked_tank():
    assert agrees(1000 * vessel.pressure_on_stand_kn_m2(74.19, 600, 300), "4042")


@pytest.mark.published(entry="water_density_kg_l", source="iapws_library", where="density of water at 101.325 kPa, 15 to 30 degC")
@pytest.mark.parametrize("water", WATER, ids=lambda water: f"{water['temp_c']} degC")
def test_the_density_of_water_equals_the_water_table(water):
    assert agrees(1000 * vessel.water_density_kg_l(float(water["temp_c"])), water["density_kg_m3"])


def test_the_density_of_water_agrees_with_the_seawater_equation_at_no_salt():
    temps = np.linspace(0, 40, 41)
    assert 1000 * vessel.water_density_kg_l(temps) == pytest.approx(gsw.rho_t_exact(0, temps, 0), abs=0.002)
    assert agrees(vessel.water_density_kg_l(25), str(vessel.WATER_KG_L))
    assert vessel.water_density_kg_l(15) / vessel.water_density_kg_l(30) - 1 == pytest.approx(0.0035, abs=0.00005)


def test_what_is_measured_tells_how_far_a_reading_is_off():
    """Sizes and the bag's density are read; masses with a default are what the keeper says."""
    for key in ("gross_volume_l", "layer_depth_mm", "weight_on_stand_kg"):
        for given in registry.entry("calculator", key).inputs:
            assert (given.error is not None) == (given.unit == "mm" or given.name == "bulk_density_kg_l"), f"{key}: {given.name}"
    assert registry.entry("calculator", "weight_on_stand_kg").cautions == ("weight",)


def test_volumes_are_conserved():
    """Grains, rock, free water and pore water fill the box to the water line, whatever lies in it."""
    rng = np.random.default_rng(7)
    for bed_kg, rock_kg in rng.uniform(0, 8, size=(20, 2)):
        net = vessel.net_volume_l(**BOX, bed_kg=bed_kg, bed_particle_density_kg_l=2.5, rock_kg=rock_kg, rock_density_kg_l=2.7)
        solids = vessel.displaced_l(bed_kg, 2.5) + vessel.displaced_l(rock_kg, 2.7)
        assert net + solids == pytest.approx(vessel.gross_volume_l(**BOX), rel=1e-12)
        bed_l = vessel.layer_depth_mm(bed_kg, 0.75, 588, 288) * 588 * 288 / 1e6
        assert vessel.pore_water_l(bed_kg, 0.75, 2.5) + vessel.displaced_l(bed_kg, 2.5) == pytest.approx(bed_l, rel=1e-12)


def test_arrays_give_arrays_and_numbers_give_numbers():
    assert isinstance(vessel.gross_volume_l(600, 300, 330, 6), float)
    many = vessel.gross_volume_l([600, 900], 300, 330, 6)
    assert many.shape == (2,)
    assert many[0] == vessel.gross_volume_l(600, 300, 330, 6)


@every(("call", "sentence"), [
    (lambda: vessel.gross_volume_l(5, 300, 330, 6), r"length_mm is 5\.0 mm; accepted: 50 to 5000 mm"),
    (lambda: vessel.gross_volume_l(600, 300, -1, 6), r"water_mm is -1\.0 mm; accepted: 0 to 2000 mm"),
    (lambda: vessel.gross_volume_l(600, 300, float("nan"), 6), r"water_mm is nan mm; accepted: 0 to 2000 mm"),
    (lambda: vessel.gross_volume_l(60, 50, 330, 25), r"glass_mm is 25\.0 mm; accepted: less than half"),
    (lambda: vessel.layer_depth_mm(9, 0, 588, 288), r"bulk_density_kg_l is 0\.0 kg/L; accepted: 0\.05 to 5 kg/L"),
    (lambda: vessel.pore_water_l(9, 2.65, 1.5), r"particle_density_kg_l is 1\.5 kg/L; .* exchanged"),
    (lambda: vessel.displaced_l([1, 2, -3], 2.7), r"mass_kg is -3\.0 kg; accepted: 0 to 5000 kg"),
    (lambda: vessel.net_volume_l(600, 300, 330, 6, rock_kg=4000),
     r"^rock_kg is 4000\.0 kg, which takes up 1481 L; accepted: 0 to 150\.9 kg beside the rest in 55\.88 L\. Is a mass given in g"),
    (lambda: vessel.net_volume_l(600, 300, 330, 6, bed_kg=100, rock_kg=60),
     r"^bed_kg is 100\.0 kg, which takes up 40 L; accepted: 0 to 84\.15 kg beside the rest in 55\.88 L\. Is a mass given in g"),
    (lambda: vessel.net_volume_l(600, 300, 330, 6, wood_kg=[1, 70], rock_kg=[[4], [5]]),
     r"^wood_kg is 70\.0 kg, which takes up 63\.64 L; accepted: 0 to 59\.84 kg beside the rest"),
    (lambda: vessel.net_volume_l(600, 300, 330, 6, equipment_l=80, rock_kg=170),
     r"^equipment_l is 80\.0 L, which takes up 80 L; accepted: 0 to 0 L beside .* Is a volume given in mL instead of L\?"),
    (lambda: vessel.weight_on_stand_kg(600, 300, 360, 6, net_water_l=-1), r"net_water_l is -1\.0 L; accepted: 0 to 50000 L"),
    (lambda: vessel.weight_on_stand_kg(60, 50, 360, 25, net_water_l=1), r"glass_mm is 25\.0 mm"),
    (lambda: vessel.pressure_on_stand_kn_m2(-1, 600, 300), r"load_kg is -1\.0 kg; accepted: 0 to 100000 kg"),
    (lambda: vessel.water_density_kg_l(77), r"temp_c is 77\.0 °C; accepted: 0 to 40 °C"),
])
def test_a_number_outside_its_range_is_refused_by_name_value_and_range(call, sentence):
    with pytest.raises(OutOfRangeError, match=sentence):
        call()


def test_a_word_is_refused_as_not_a_number():
    with pytest.raises(InputError, match=r"length_mm is 'long'; accepted: 50 to 5000 mm"):
        vessel.gross_volume_l("long", 300, 330, 6)
