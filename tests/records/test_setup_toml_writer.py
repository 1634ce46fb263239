"""A setup that is written reads back the same, with what fairtank does not know of it."""

import tomllib
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.planning import setups

from fairtank.build import (
    DEVICE_KINDS,
    PACK_UNITS,
    RIMS,
    STOCKS,
    ZONES,
    Device,
    Dose,
    Layer,
    Light,
    Material,
    Money,
    Piece,
    Planting,
    Scope,
    Setup,
    SourceWater,
    Tank,
    WaterPlan,
)
from fairtank.records.folder import read_folder, write_folder
from fairtank.records.folder.problems import Problems
from fairtank.records.folder.setup_toml import setup_from_text
from fairtank.records.folder.setup_toml_writer import text_from_setup
from fairtank.simulation import scenario, scenario_names
from fairtank.trial import Arm, MeasureChoice, Plan, Unit


def plan_for(setup: Setup) -> Plan:
    """A plan whose units stand and are allotted as the setup says."""
    arms = dict(setup.arms)
    return Plan("Two ways", date(2026, 3, 1), 42, "side_by_side", (Arm("R", "reference"), Arm("C", "changed")),
                tuple(Unit(unit, arms[unit], tank=tank) for unit, tank in setup.places), (MeasureChoice("algae_cover", "primary"),))


def read_back(setup: Setup) -> Setup:
    """The setup, written as text and read again against its own plan."""
    problems = Problems()
    draft = setup_from_text(text_from_setup(setup), plan_for(setup), problems)
    assert not problems, problems.as_error()
    assert draft.unknown == []
    return draft.setup


@pytest.mark.parametrize("make", [setups.midday, setups.soil_under_cap, setups.three_bays], ids=lambda make: make.__name__)
def test_the_three_cases_read_back_the_same(make):
    setup = make()
    assert read_back(setup) == setup


@pytest.mark.parametrize("name", scenario_names())
def test_a_demo_folder_reads_back_its_setup(name, tmp_path):
    planned = scenario(name)
    write_folder(tmp_path / "trial", planned.plan, setup=planned.setup)
    assert read_folder(tmp_path / "trial").setup == planned.setup
    assert "weeks" not in (tmp_path / "trial" / "setup.toml").read_text(encoding="utf-8")  # they are those of the plan


def test_like_tanks_are_one_table_and_numbers_are_short():
    text = text_from_setup(setups.midday())
    assert text.count("[[tank]]") == 1
    assert 'keys = ["T1", "T2", "T3", "T4", "T5", "T6"]\nlength_cm = 45\nwidth_cm = 28\nheight_cm = 36\nglass_mm = 5\n' in text
    assert tomllib.loads(text)["water"]["tap"] == {"key": "tap_water", "gh_dgh": 12, "kh_dkh": 8, "conductivity_us_cm": 430,
                                                   "ions_mg_l": {"NO3": 10}}


# Lengths to a hundredth of a millimetre, all else to so many places as somebody would type.
def numbers(low: float, high: float, places: int = 3):
    return st.floats(low, high, allow_nan=False).map(lambda value: round(value, places))


NAMES = st.sampled_from(("a", "soil", "fine sand", "B 2", "ü.x", '"', "KNO3"))
SCOPES = st.sampled_from((Scope(), Scope(units=("T1",)), Scope(arms=("R",)), Scope(("T1", "T 2"), ("C",))))
SHARES = numbers(0, 1, 4)
LAYERS = st.one_of(
    st.builds(lambda mass, scope: Layer("layer", mass_kg=mass, scope=scope), numbers(0.01, 90), SCOPES),
    st.builds(lambda depth, scope: Layer("layer", depth_mm=depth, scope=scope), numbers(1, 900, 2), SCOPES),
    st.builds(lambda front, back, scope: Layer("layer", front_mm=front, back_mm=back, scope=scope), numbers(1, 300, 2), numbers(0, 300, 2),
              SCOPES))
PLANTINGS = st.one_of(
    st.builds(lambda zone, stock, count: Planting("plant", zone, stock, count=count), st.sampled_from(ZONES), st.sampled_from(STOCKS),
              st.integers(1, 99)),
    st.builds(lambda zone, dense, area: Planting("plant", zone, per_100_cm2=dense, area_cm2=area), st.sampled_from(ZONES), numbers(0.1, 50),
              st.none() | numbers(1, 5000)),
    st.builds(lambda dense, share: Planting("plant", "midground", "own", per_100_cm2=dense, area_fraction=share), numbers(0.1, 50), SHARES))
DEVICES = st.builds(Device, key=st.just("device"), kind=st.sampled_from(DEVICE_KINDS), title=NAMES, power_w=numbers(0, 900),
                    hours_per_day=numbers(0, 24), mass_kg=numbers(0, 20), displaced_l=numbers(0, 5), in_water_fraction=SHARES,
                    flow_l_h=st.none() | numbers(0, 5000), shade_fraction=SHARES, current_ma=st.none() | numbers(0, 900),
                    price=st.none() | numbers(0, 900, 2), owned=numbers(0, 9, 0), is_change=st.booleans(), scope=SCOPES,
                    shared_by=st.integers(1, 6))
MATERIALS = st.builds(
    lambda title, bulk, grains, size, unit, price, owned, waste: Material(
        "layer", "layer", title, bulk, grains, pack_size=size, pack_unit=unit, price=price, owned=owned, waste_fraction=waste),
    NAMES, st.none() | numbers(0.06, 4), st.none() | numbers(0.6, 7), st.none() | numbers(0.1, 99), st.sampled_from(PACK_UNITS),
    st.none() | numbers(0, 99, 2), numbers(0, 50), st.none() | SHARES)
LIGHTS = st.builds(lambda light, hours, measured, unit: Light(light, hours, tuple(measured), unit if measured else "umol", "LED-B3"),
                   numbers(1, 900), numbers(0, 24), st.lists(st.tuples(SHARES, numbers(1, 900)), max_size=4),
                   st.sampled_from(("umol", "lux")))
IONS = st.dictionaries(st.sampled_from(("Ca", "Mg", "NO3")), numbers(0, 90), max_size=3).map(lambda ions: tuple(ions.items()))
SOURCES = st.builds(SourceWater, st.sampled_from(("tap", "own well")), numbers(0, 40), numbers(0, 40), st.none() | numbers(0, 900), IONS)
WATERS = st.builds(WaterPlan, SOURCES, st.none() | SOURCES, st.none() | numbers(0, 30), st.none() | numbers(0, 30),
                   st.sampled_from(((), (("CaSO4.2H2O", 2.0), ("MgSO4.7H2O", 0.5)))), st.sampled_from(("", "KHCO3")), numbers(10, 35),
                   numbers(-5, 35), SHARES, numbers(0, 7))
TANKS = st.builds(lambda length, width, glass, bottom, rim: Tank("T1", length, width, 400.0, glass, 300.0, bottom, rim),
                  numbers(100, 2000, 2), numbers(100, 900, 2), numbers(2, 19, 2), st.none() | numbers(2, 29, 2), st.sampled_from(RIMS))
DOSES = st.one_of(st.builds(lambda mass, each, per: Dose("salt", mass_mg=mass, doses_per_week=each, per_litre=per), numbers(1, 900),
                            numbers(0.1, 14), st.booleans()),
                  st.builds(lambda volume, scope: Dose("liquid", volume_ml=volume, scope=scope), numbers(0.1, 90), SCOPES))


@settings(max_examples=60, deadline=None)
@given(TANKS, MATERIALS, st.lists(LAYERS, max_size=3), st.lists(PLANTINGS, max_size=2), st.lists(DEVICES, max_size=1),
       st.lists(LIGHTS, max_size=1), st.lists(WATERS, max_size=1), st.lists(DOSES, max_size=2), numbers(0.1, 60), SHARES)
def test_whatever_is_written_reads_back_the_same(tank, material, layers, plantings, devices, light, water, doses, weeks, waste):
    tanks = (tank, replace(tank, key="T 2", dividers=0), replace(tank, key="T3", glass_mm=5.0))
    catalogue = (material, Material("salt", "salt", formula="KNO3"), Material("liquid", "liquid", label_mg_ml=(("K", 12.5),)),
                 Material("plant", "plant", pieces_per_pack=6.0, batch="x1"), Material("rock", "rock", particle_density_kg_l=2.7))
    setup = Setup(tanks, (("T1", "T1"), ("T 2", "T 2"), ("T3", "T3")), weeks, catalogue, tuple(layers), (Piece("rock", 1.25, 3),), (),
                  tuple(plantings), tuple(devices), tuple(light), tuple(water), tuple(doses), Money("kr.", 0.3), waste,
                  (("T1", "R"), ("T 2", "C"), ("T3", "C")))
    assert read_back(setup) == setup


def test_keys_that_are_not_known_are_written_back_where_they_stood(tmp_path):
    setup = replace(setups.midday(), light=(Light(45.0, 8.0, ((1.0, 80.0),)),))
    write_folder(tmp_path / "first", plan_for(setup), setup=setup)
    file = tmp_path / "first" / "setup.toml"
    text = file.read_text(encoding="utf-8")
    for old, new in (("glass_mm = 5", 'glass_mm = 5\nmaker = "own"'), ("[setup]", "shelf = {row = 3}\n[setup]\nseen = 2026-03-01"),
                     ("light_umol = 80", 'light_umol = 80, who = "Io"'), ("tap = {key", "tap = {smell = true, key"),
                     ("count = 4", "count = 4\nfrom = [1, 2]")):
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    file.write_text(text, encoding="utf-8")
    trial = read_folder(tmp_path / "first")
    assert len(trial.unknown_columns) == 6
    write_folder(tmp_path / "second", trial.plan, setup=trial.setup, unknown_cells=trial.unknown_cells)
    again = read_folder(tmp_path / "second")
    assert sorted(again.unknown_columns) == sorted(trial.unknown_columns)
    assert again.unknown_cells["setup.toml"][0] == trial.unknown_cells["setup.toml"][0]
    assert again.setup == trial.setup


def test_a_tank_with_a_key_of_its_own_is_not_joined_with_the_ones_before_it():
    setup = setups.midday()
    text = text_from_setup(setup, {"[[tank]] T4, maker": 'maker = "own"\n', "[[tank]] T9, maker": 'maker = "gone"\n'})
    tanks = tomllib.loads(text)["tank"]
    assert [(tank["keys"], tank.get("maker")) for tank in tanks] == [(["T1", "T2", "T3"], None), (["T4", "T5", "T6"], "own")]
