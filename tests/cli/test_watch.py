"""fairtank watch: the sentence first, then what drifts and what to do, then the table; words, picture and JSON agree."""

import json
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from tests.cli.running import run_here
from tests.planning.drifting import doses, folder_of, levels, plan_of

from fairtank.planning.drift.watching import watch
from fairtank.publish.charts import NARROW_PX, WIDE_PX
from fairtank.publish.watch_chart import watch_chart
from fairtank.publish.watch_words import factor_sentences, headline, notes, size_words
from fairtank.records.folder import write_folder


@pytest.fixture
def warm(tmp_path):
    """Three tanks per arm; those of the changed arm are 1 °C warmer from day 21 on, and nothing else drifts."""
    plan = plan_of()
    readings = levels(plan, "temperature", 24.0, 0.15, seed=1, moved=lambda unit, day: 1.0 if unit.arm == "C" and day >= 21 else 0.0)
    readings += levels(plan, "kh", 4.0, 0.2, seed=2, days=range(0, 43, 7), step=0.5)
    write_folder(tmp_path / "warm", plan, readings=readings, chores_done=doses(plan, 1.0, seed=3))
    return tmp_path / "warm"


def test_the_sentence_comes_first_then_what_drifts_and_what_to_do(capsys, warm):
    ran = run_here(capsys, "watch", warm)
    assert (ran.code, ran.err) == (0, "")
    lines = ran.out.splitlines()
    assert lines[0] == "Look after water temperature: up to day 42 of 42 the tanks drift apart there."
    assert lines[2].startswith("Water temperature: arm C (dark break) drifts away from arm R (8 h block), since day 2")
    assert "°C) higher, held against day 0 to 13." in lines[2]
    assert lines[3].startswith("What to do: Read it once more in all tanks")
    assert lines[4].startswith("What it means: from day 2")
    assert any(line.startswith("KH ") and "steady" in line for line in lines)
    assert any(line.startswith("How sure: of 100 trials of this length in which nothing drifts, at most 5 would get an alarm")
               for line in lines)


def test_the_picture_is_written_wide_and_narrow_and_says_what_it_shows(capsys, warm):
    run_here(capsys, "watch", warm)
    for name, width_px in (("drift.svg", WIDE_PX), ("drift-phone.svg", NARROW_PX)):
        root = ElementTree.fromstring((warm / "out" / name).read_text(encoding="utf-8"))
        assert float(root.get("width")) == width_px
        assert "Water temperature: the arms drift apart" in root.get("aria-label")


def test_json_is_one_object_and_writes_nothing(capsys, warm):
    ran = run_here(capsys, "watch", warm, "--json")
    told = json.loads(ran.out)
    assert (ran.code, told["false_alarm_share"], told["chart"]) == (0, 0.05, None)
    by_key = {one["key"]: one for one in told["factors"]}
    assert by_key["temperature"]["state"] == "arms"
    assert by_key["temperature"]["departures"][0]["low"] < 1.0 < by_key["temperature"]["departures"][0]["high"]
    assert "nitrate" in told["absent"]
    assert not (warm / "out").exists()


def test_a_bare_plan_is_answered_with_a_sentence(capsys, tmp_path):
    write_folder(tmp_path / "bare", plan_of())
    ran = run_here(capsys, "watch", tmp_path / "bare")
    assert ran.code == 0
    assert ran.out.startswith("Nothing can be told yet: the diary holds no readings, chores, events or photos from day 0 on.")
    assert not (tmp_path / "bare" / "out").exists()


def test_a_folder_that_is_none_is_refused(capsys, tmp_path):
    ran = run_here(capsys, "watch", tmp_path / "nowhere")
    assert ran.code == 1
    assert "there is no such folder" in ran.err


def test_a_drift_inside_the_tolerance_is_told_as_harmless():
    plan = plan_of(4)
    readings = levels(plan, "temperature", 24.0, 0.05, seed=6, moved=lambda unit, day: 0.4 if unit.arm == "C" and day >= 15 else 0.0)
    found = watch(folder_of(plan, readings))
    assert "within the 0.5 °C that do not matter" in " ".join(factor_sentences(found.factors[0], found, plan)).replace("\u00a0", " ")


def test_a_drift_that_begins_with_the_change_may_be_its_own_doing():
    plan = replace(plan_of(), kind="run_in", run_in_days=21)
    readings = levels(plan, "ph", 7.0, 0.05, seed=7, step=0.01, moved=lambda unit, day: -0.5 if unit.arm == "C" and day >= 21 else 0.0)
    found = watch(folder_of(plan, readings))
    told = " ".join(factor_sentences(found.factors[0], found, plan))
    assert "It began about when the change did (day 21)" in told
    assert "change_factors" in told
    assert headline(found, plan).startswith("Look after pH:")


def test_one_tank_per_arm_is_told_what_it_cannot_show():
    plan = plan_of(1)
    found = watch(folder_of(plan, levels(plan, "temperature", 24.0, 0.15, seed=8)))
    assert "tank and arm cannot be told apart" in " ".join(notes(found))
    assert "about 8 of 100 trials get a false alarm" in " ".join(notes(found))
    assert headline(found, plan) == "No drift was found in the one factor that could be told, up to day 42 of 42."


def test_a_diary_of_nothing_but_the_change_is_told_as_that():
    plan = plan_of(change_factors=("temperature",))
    found = watch(folder_of(plan, levels(plan, "temperature", 24.0, 0.1, seed=2, unit="°C")))
    assert headline(found, plan) == "Nothing is watched up to day 42 of 42: the change itself moves all that the diary tells."


def test_two_tanks_that_part_are_both_named():
    plan = plan_of(2)
    readings = levels(plan, "temperature", 24.0, 0.1, seed=5, moved=lambda unit, day: -3.0 * (unit.key == "T4" and day >= 20))
    found = watch(folder_of(plan, readings))
    told = factor_sentences(found.factors[0], found, plan)[0]
    assert told.startswith("Water temperature: T4 in arm C (dark break) departs from T2")
    assert "it may be T2 instead" in told


def test_a_difference_is_told_by_its_size_with_its_interval_turned_along():
    assert size_words(-0.9, -1.2, -0.6, "°C").replace("\u00a0", " ") == "0.90 °C (0.60 to 1.20 °C)"


def test_there_is_no_picture_without_a_chart():
    plan = plan_of()
    assert watch_chart(watch(folder_of(plan)), plan, width_px=WIDE_PX) == ""
