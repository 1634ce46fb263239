"""fairtank forecast: bands and what they are, the caveat, the pictures, one JSON object, refusals in sentences."""

import json
import xml.etree.ElementTree as ElementTree

import pytest
from tests.cli.running import run_here
from tests.records.conftest import FILES, Folder

from fairtank.publish.forecast_words import CAVEAT, DECIDE, SHORT_NOTE
from fairtank.records.services import forecasting
from fairtank.records.services.forecasting import forecast_json, trial_forecast

PLAN = FILES["trial.toml"].replace("days = 42", "days = 14").replace("window = [0, 42]", "window = [1, 2]")
PLAN = PLAN[: PLAN.index("[looks]")]
NO_SPREAD = PLAN.replace('scale = "logit"', 'scale = "identity"')  # on that scale the model tells no spread of like tanks, which takes time
FEW = ("--days", 8, "--members", 24, "--workers", 1)


@pytest.fixture(scope="module")
def bare(tmp_path_factory):
    """trial.toml alone."""
    made = Folder(tmp_path_factory.mktemp("forecast") / "bare")
    made.put("trial.toml", PLAN)
    return made.root


@pytest.fixture
def read(tmp_path):
    """With hours of light for each tank, and tests of the first days."""
    made = Folder(tmp_path / "read")
    made.put("trial.toml", NO_SPREAD)
    made.put("factors.csv", "unit,factor,value,unit_of_measure,note\nT1,photoperiod,7,h,\nT2,photoperiod,10,h,\n")
    rows = [f"{unit},2026-03-0{day}T18:00,{what},{value},mg/L,,{below}" for unit in ("T1", "T2")
            for day, what, value, below in ((4, "NH4", 0.9, ""), (8, "NH4", 0.7, ""), (8, "NO2", 0.05, "true"))]
    made.put("readings.csv", "unit,taken_at,quantity,value,unit_of_measure,method,below_detection\n" + "\n".join(rows) + "\n")
    return made.root


def test_the_caveat_comes_first_then_fauna_then_what_was_assumed_and_the_pictures(capsys, bare, tmp_path):
    ran = run_here(capsys, "forecast", bare, *FEW, "--out", tmp_path / "out")
    assert ran.code == 0
    assert ran.err.splitlines()[-1] == "Working out: 2 of 2 parts"
    lines = [line for line in ran.out.splitlines() if line]
    assert lines[0].startswith(f"{CAVEAT}: 24 courses of a small model of your tanks over 8 days.")
    assert lines[1].startswith("In every arm no fauna ")
    assert lines[1].endswith(DECIDE)
    assert lines[2] == SHORT_NOTE
    assert any("fairtank detect FOLDER --sd" in line for line in lines)
    assert any(line.startswith("- The folder has no setup.toml") for line in lines)
    assert lines[-2:] == [f"Picture: {tmp_path / 'out' / 'forecast.svg'}", f"For a phone: {tmp_path / 'out' / 'forecast-phone.svg'}"]
    for name, width in (("forecast.svg", 680), ("forecast-phone.svg", 320)):
        root = ElementTree.fromstring((tmp_path / "out" / name).read_text(encoding="utf-8"))
        assert root.get("width") == str(width)
        assert root.get("aria-label").startswith(CAVEAT)
        shown = "".join(root.itertext())
        for title in ("Ammonia, all of it", "Nitrite", "Nitrate", "Oxygen, least of the day", "Plants in the front picture", "Algae"):
            assert title in shown
        assert "R+C" in shown


def test_json_is_one_object_and_writes_nothing_and_one_seed_gives_one_forecast(capsys, tmp_path):
    made = Folder(tmp_path / "quick")
    made.put("trial.toml", NO_SPREAD)
    words = ("forecast", made.root, "--days", 7, "--members", 20, "--workers", 1, "--json")
    first, again, other = (run_here(capsys, *words, "--seed", seed).out for seed in (1, 1, 2))
    assert first == again
    assert first != other
    told = json.loads(first)
    assert told["sentences"][1] == told["sentence"]
    assert told["chart"] is None
    assert not (made.root / "out").exists()
    (one, two) = told["arms"]
    assert one["bands"] == two["bands"]
    assert all(len(one["bands"][key][end]) == 8 for key in told["units"] for end in ("low", "middle", "high"))
    assert told["like_tank_spread"] is None
    assert told["fit"] is None


def test_the_number_of_processes_changes_no_digit(tmp_path, monkeypatch):
    """Both parts go through a process of its own; one is enough to tell, and two take their time to start."""
    pool = forecasting._pool
    monkeypatch.setattr(forecasting, "_pool", lambda _, number: pool(1, number))
    made = Folder(tmp_path / "quick")
    made.put("trial.toml", NO_SPREAD)
    one, two = (forecast_json(trial_forecast(root=made.root, days=1, members=101, workers=workers)) for workers in (1, 2))
    assert one == two


def test_readings_and_the_change_are_told_for_each_arm(capsys, read):
    ran = run_here(capsys, "forecast", read, *FEW)
    assert "6 readings were weighed in (one per arm, day and quantity)" in ran.out
    assert "In the model the change alone moves the cover of algae in arm C (two glasses) by " in ran.out
    assert "In arm R: At its worst un-ionised ammonia" in ran.out
    shown = (read / "out" / "forecast.svg").read_text(encoding="utf-8")
    assert "Marks: your tests, hollow where nothing showed." in "".join(ElementTree.fromstring(shown).itertext())


def test_fitted_bands_are_narrower_on_the_days_that_were_read(read):
    (read / "factors.csv").unlink()  # arms alike are run once
    done = trial_forecast(root=read, days=7, members=24, workers=1)
    readings = done.forecast.readings
    assert (done.rows, len(readings)) == (6, 6)
    assert done.forecast.fit.counted == 6
    (read / "readings.csv").unlink()
    before = trial_forecast(root=read, days=7, members=24, workers=1)
    bands = [one.forecast.arms[0].bands["total_ammonia"] for one in (before, done)]
    width = [band.high[7] - band.low[7] for band in bands]
    assert width[1] < width[0]


@pytest.mark.parametrize(("words", "code", "said"), [
    (("--days", 3), 2, "3 is out of range; accepted: a whole number from 7 to 365"), (("--members", 5), 2, "5 is out of range"),
    (("--soil", "ritch"), 2, "Did you mean 'rich'?"), (("--seed", -1), 2, "-1 is out of range"),
])  # fmt: skip
def test_wrong_use_is_told_in_a_sentence(capsys, bare, words, code, said):
    ran = run_here(capsys, "forecast", bare, *words)
    assert (ran.code, ran.out) == (code, "")
    assert said in ran.err


def test_a_folder_that_is_none_is_refused(capsys, tmp_path):
    ran = run_here(capsys, "forecast", tmp_path / "none")
    assert (ran.code, ran.out) == (1, "")
    assert "none" in ran.err
