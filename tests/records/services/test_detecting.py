"""What a folder's plan could show: read from the folder, drawn into another, as one JSON object."""

import json

import pytest

from fairtank.errors import FolderError, InputError
from fairtank.inference.showing import Prices, show
from fairtank.records.folder import write_folder
from fairtank.records.services.detecting import FRONTIER_FILE, detect_json, trial_detect
from inference.test_like_spread import entries, run_in_series
from inference.trials import measure, plan_of


@pytest.fixture
def folder(tmp_path):
    """A plan of three tanks per arm, without any value."""
    write_folder(tmp_path / "trial", plan_of(3, 3, expect="less"))
    return tmp_path / "trial"


def test_a_folder_is_read_and_nothing_is_written_without_a_place(folder):
    detected = trial_detect(root=folder)
    assert detected.showing == show(detected.folder.plan)
    assert detected.chart is None
    assert [path.name for path in folder.iterdir()] == ["trial.toml"]


def test_the_picture_is_a_file_of_its_own_and_the_same_every_time(folder, tmp_path):
    first, second = (trial_detect(root=folder, out=tmp_path / name).chart for name in ("one", "two"))
    assert first == tmp_path / "one" / FRONTIER_FILE
    assert first.read_bytes() == second.read_bytes()
    assert b'fill="#ffffff"' in first.read_bytes()


def test_spread_csv_is_looked_at(tmp_path):
    write_folder(tmp_path / "trial", plan_of(1, 1), spread=entries([0.04] * 6))
    spread = trial_detect(root=tmp_path / "trial").showing.spread
    assert (spread.origin, spread.trials, spread.carries_one_tank) == ("earlier trials", 6, True)


def test_the_run_in_of_series_csv_is_looked_at(tmp_path):
    choice = measure(summary="change")
    plan = plan_of(3, 3, kind="run_in", run_in_days=14, days=56, choice=choice)
    write_folder(tmp_path / "trial", plan, series=run_in_series([-2.0, -1.5, -2.4, -1.9, -2.2, -1.6]))
    assert trial_detect(root=tmp_path / "trial").showing.spread.origin == "run-in"


def test_the_json_has_sentence_designs_and_null_for_what_cannot_be_found(tmp_path):
    write_folder(tmp_path / "trial", plan_of(1, 1))
    told = json.loads(detect_json(trial_detect(root=tmp_path / "trial", prices=Prices(80, 2))))
    assert told["sentence"].startswith("As planned (1 tank per arm, 42 days), this trial cannot tell")
    assert told["inputs_digest"].startswith("sha256:")
    assert told["designs"][0]["difference"] is None
    assert told["designs"][0]["words"] == "as planned"
    assert told["designs"][2]["noticed"]["more"] > told["designs"][2]["noticed"]["less"]
    assert [one["letter"] for one in told["designs"]] == list("ABCDEFGH")
    assert told["spread"]["origin"] == "table"
    assert told["chart"] is None
    assert "\u00a0" not in json.dumps(told, ensure_ascii=False)


def test_a_place_that_belongs_to_the_trial_is_refused(folder):
    with pytest.raises(InputError, match="the trial folder itself"):
        trial_detect(root=folder, out=folder)


def test_a_folder_without_a_plan_is_refused(tmp_path):
    with pytest.raises(FolderError, match=r"trial\.toml"):
        trial_detect(root=tmp_path)
