"""From a folder to the model's tanks and readings: what is taken from where, and what is assumed is said."""

import dataclasses
from datetime import date, datetime
from pathlib import Path

import pytest

from fairtank.build import Device, Scope
from fairtank.factor import FactorValue
from fairtank.records.forecast_readings import measure_of, observed_of
from fairtank.records.forecast_tanks import forecast_tanks
from fairtank.simulation import scenario
from fairtank.trial import Arm, Plan, Reading, TrialFolder, Unit

PLAN = Plan("t", date(2026, 3, 1), 42, "run_in", (Arm("R", "reference"), Arm("C", "changed")),
            (Unit("T1", "R"), Unit("T2", "C"), Unit("T3", "R")), (), run_in_days=14)


def folder(**more):
    return TrialFolder(Path("."), dataclasses.replace(PLAN, **more.pop("plan", {})), "", **more)


def reading(unit, day, quantity, value, unit_of_measure="mg/L", below=False):
    return Reading(unit, datetime(2026, 3, 1 + day, 18), day, quantity, value, unit_of_measure, "", below)


def test_a_bare_plan_gets_a_usual_tank_of_its_size_and_says_so():
    found = forecast_tanks(folder(plan={"tank_litres": 360.0}))
    tank = found.tanks["R"]
    assert (tank.volume_l, tank.water_cm, tank.floor_cm2) == pytest.approx((360, 56, 6400))
    assert found.tanks["C"] == tank
    assert any("360 L, rich soil" in one for one in found.stated)
    assert any("all arms have one forecast" in one for one in found.stated)
    assert forecast_tanks(folder(), soil="inert").tanks["R"].soil == "inert"


def test_hours_of_light_of_an_arm_hold_from_the_change_on_and_alike_before():
    factors = (FactorValue("T1", "photoperiod", 7.0, "h"), FactorValue("T3", "photoperiod", 7.0, "h"),
               FactorValue("T2", "photoperiod", 10.0, "h"))
    found = forecast_tanks(folder(factors=factors))
    assert [light.spans_h for light in found.tanks["R"].light] == [((10.5, 17.5),)]
    assert [(light.from_day, light.spans_h) for light in found.tanks["C"].light] == [(0, ((10.5, 17.5),)), (14, ((9.0, 19.0),))]
    drawn = forecast_tanks(folder(factors=factors, plan={"kind": "drawn_start", "start_window": (10, 20)}))
    assert drawn.tanks["C"].light[1].from_day == 15
    assert any("day 15, the middle of its window" in one for one in drawn.stated)


def test_without_a_light_plan_the_lamps_of_an_arm_tell_its_hours():
    lamps = tuple(Device(f"lamp_{arm}", "lamp", hours_per_day=hours, scope=Scope(arms=(arm,))) for arm, hours in (("R", 7.0), ("C", 10.0)))
    trial = scenario("cover_glass")
    setup = dataclasses.replace(trial.setup, light=(), devices=lamps)
    found = forecast_tanks(TrialFolder(Path("."), trial.plan, "", setup=setup))
    assert {arm: tank.light[-1].spans_h for arm, tank in found.tanks.items()} == {"R": ((10.5, 17.5),), "C": ((9.0, 19.0),)}
    assert any("for as long as the lamps are on was assumed" in one for one in found.stated)
    dark = dataclasses.replace(setup, devices=())
    assert any("for 8 hours a day was assumed" in one for one in forecast_tanks(TrialFolder(Path("."), trial.plan, "", setup=dark)).stated)


def test_the_waters_nitrate_is_that_of_the_first_days_tests_in_all_tanks():
    read = (reading("T1", 0, "NO3", 10.0), reading("T2", 0, "nitrate", 14.0), reading("T3", 0, "NO3-N", 12.0 * 14.007 / 62.004),
            reading("T1", 7, "NO3", 40.0), reading("T2", 0, "NO3", 1.0, below=True))
    found = forecast_tanks(folder(readings=read))
    assert [tank.water.nitrate_mg_l for tank in found.tanks.values()] == pytest.approx([12.0, 12.0])
    assert any("tests of the first day: 12 mg/L" in one for one in found.stated)
    assert forecast_tanks(folder(readings=read[3:4])).tanks["R"].water.nitrate_mg_l == 5.0


def test_an_inoculum_is_taken_and_none_is_said():
    assert forecast_tanks(folder(factors=(FactorValue("", "inoculum", "old filter mud"),))).tanks["R"].start == "seeded"
    for word in ("none", "No"):
        found = forecast_tanks(folder(factors=(FactorValue("", "inoculum", word),)))
        assert found.tanks["R"].start == "bare"
        assert any("No material of a running filter" in one for one in found.stated)


def test_a_setup_gives_water_light_bed_plants_and_changes_and_what_shades_one_arm():
    trial = scenario("cover_glass")
    found = forecast_tanks(TrialFolder(Path("."), trial.plan, "", setup=trial.setup), days=30)
    plain, covered = found.tanks["R"], found.tanks["C"]
    assert 25 < plain.volume_l < 45
    assert (plain.soil, plain.temp_c, plain.water.kh_dkh) == ("rich", 24.0, 4.0)
    assert plain.light[0].ppfd_bed_umol == 45.0
    assert plain.light[0].spans_h == ((10.0, 18.0),)
    assert covered.light[-1].ppfd_bed_umol == pytest.approx(45.0 * 0.92), "a cover glass keeps back 8 %"
    assert {one.form for one in plain.plants} == {"stem", "rosette", "carpet"}
    assert [(one.day, one.share) for one in plain.events] == [(7, 0.3), (14, 0.3), (21, 0.3), (28, 0.3)]
    assert any("was taken for rich: by its names" in one for one in found.stated)


def test_readings_are_one_per_arm_day_and_quantity_in_the_models_unit():
    rows = (reading("T1", 3, "NH4", 1.0), reading("T3", 3, "NH4", 3.0), reading("T1", 3, "NO2-N", 0.5),
            reading("T2", 4, "NO3", 10.0, "mg/L N"), reading("T2", 4, "KH", 4.5, "dKH"),
            reading("T2", 4, "pH", 7.1, ""), reading("T2", 4, "iron", 0.1),
            reading("T1", 5, "NO2", 0.02, below=True), reading("T1", 29, "NO3", 8.0))
    found, count = observed_of(folder(readings=rows), last_day=20)
    assert count == 6
    told = {(one.arm, one.day, one.measure): (one.value, one.is_below) for one in found}
    assert told["R", 3, "total_ammonia"] == (pytest.approx(2.0 * 0.7765, rel=1e-3), False)
    assert told["R", 3, "nitrite"] == (0.5, False)
    assert told["C", 4, "nitrate"] == (pytest.approx(44.27, rel=1e-3), False)
    assert told["C", 4, "kh"] == (4.5, False)
    assert told["R", 5, "nitrite"][1]
    assert len(told) == 5


def test_a_low_ph_at_that_kh_speaks_for_a_supply_of_co2_and_a_usual_one_does_not():
    rows = (reading("T1", 3, "pH", 6.8, ""), reading("T1", 3, "KH", 4.0, "dKH"), reading("T2", 3, "pH", 8.0, ""),
            reading("T2", 3, "KH", 4.0, "dKH"))
    found = forecast_tanks(folder(readings=rows))
    assert found.tanks["R"].co2_target_mg_l == 20, "3 x 4 x 10^0.2 is 19, and a tenth more by the whole formula"
    assert found.tanks["C"].co2_target_mg_l == 0
    assert any("speak for about 20 mg/L of CO2" in one for one in found.stated)
    alone = forecast_tanks(folder(readings=rows[:1]))
    assert alone.tanks["R"].co2_target_mg_l == 0


@pytest.mark.parametrize(("quantity", "key"), [("TAN", "total_ammonia"), ("no2", "nitrite"),
                                               ("Nitrate", "nitrate"), ("GH", ""), ("pH", "")])
def test_quantities_go_by_their_usual_names(quantity, key):
    assert measure_of(quantity) == key
