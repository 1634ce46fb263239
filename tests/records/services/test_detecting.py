"""What a folder's plan could show: read from the folder, drawn into another, as one JSON object."""

import json
from datetime import datetime

import pytest

from fairtank.errors import FolderError, InputError
from fairtank.inference.foresight.showing import Prices, show
from fairtank.records.exporters.measures import measures_text
from fairtank.records.folder import write_folder
from fairtank.records.services.detecting import FRONTIER_FILE, detect_json, trial_detect
from fairtank.trial import Measured
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
    one, two = (trial_detect(root=folder, out=tmp_path / name) for name in ("one", "two"))
    first, second = one.chart, two.chart
    assert first == tmp_path / "one" / FRONTIER_FILE
    assert first.read_bytes() == second.read_bytes()
    assert one.phone_chart.read_bytes() == two.phone_chart.read_bytes() != first.read_bytes()
    assert b'fill="#ffffff"' in first.read_bytes()


def test_spread_csv_is_looked_at(tmp_path):
    write_folder(tmp_path / "trial", plan_of(1, 1, tank_litres=54.0), spread=entries([0.04] * 6))
    spread = trial_detect(root=tmp_path / "trial").showing.spread
    assert (spread.origin, spread.trials, spread.carries_one_tank) == ("earlier trials", 6, True)


def test_the_run_in_of_series_csv_is_looked_at(tmp_path):
    choice = measure(summary="change")
    plan = plan_of(3, 3, kind="run_in", run_in_days=14, days=56, choice=choice)
    write_folder(tmp_path / "trial", plan, series=run_in_series([-2.0, -1.5, -2.4, -1.9, -2.2, -1.6]))
    assert trial_detect(root=tmp_path / "trial").showing.spread.origin == "run-in"


def measures_of(series, quality="usable"):
    """measures.csv as measuring writes it, one photo per value."""
    noon = datetime(2026, 3, 1, 12)
    return measures_text(tuple(
        Measured(f"photos/{one.unit}-{day}.jpg", one.unit, noon, day, one.measure, zone, value, "%", None, quality, "1")
        for one in series for day, value in zip(one.days, one.values, strict=True) for zone in ("", "left")))


def test_the_run_in_that_was_measured_from_photos_is_looked_at_and_no_later_day(tmp_path):
    plan = plan_of(3, 3, kind="run_in", run_in_days=14, days=56, choice=measure(summary="change"))
    levels = [-2.0, -1.5, -2.4, -1.9, -2.2, -1.6]
    for name, series in (("trial", {}), ("typed", {"series": run_in_series(levels)})):
        write_folder(tmp_path / name, plan, **series)
    out = tmp_path / "trial" / "out"
    out.mkdir()
    for days, origin in ((range(14), "run-in"), (range(14, 57), "table")):
        (out / "measures.csv").write_text(measures_of(run_in_series(levels, days)), encoding="utf-8")
        found = trial_detect(root=tmp_path / "trial").showing.spread
        assert found.origin == origin
        if origin == "run-in":
            assert found.sd == pytest.approx(trial_detect(root=tmp_path / "typed").showing.spread.sd, rel=1e-4)


def test_another_table_in_the_place_of_measures_is_refused(tmp_path):
    write_folder(tmp_path / "trial", plan_of(3, 3, kind="run_in", run_in_days=14, days=56, choice=measure(summary="change")))
    (tmp_path / "trial" / "out").mkdir()
    (tmp_path / "trial" / "out" / "measures.csv").write_text("a,b\n1,2\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"measures\.csv is another table; accepted: the table that fairtank measure writes\. Measure"):
        trial_detect(root=tmp_path / "trial")


def test_the_json_has_sentence_designs_and_null_for_what_cannot_be_found(tmp_path):
    write_folder(tmp_path / "trial", plan_of(1, 1))
    told = json.loads(detect_json(trial_detect(root=tmp_path / "trial", prices=Prices(80, 2))))
    assert told["sentence"].startswith("As planned (1 tank per arm, day 0 to 42), this trial cannot tell")
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
