"""Answers that work behind the pages leaves: equal to what the commands print, and known to be old when the record went on."""

import json
from datetime import date, datetime, timedelta

import pytest

from fairtank.records.services.trials import FINDINGS_FILE

PLAN = """
[trial]
title = "Two glasses (invented)"
question = "Does a second cover glass slow the algae?"
[design]
kind = "side_by_side"
start = 2026-01-01
days = 21
drawn = true
[[arm]]
key = "R"
role = "reference"
[[arm]]
key = "C"
role = "changed"
name = "two glasses"
""" + "".join(f'[[unit]]\nkey = "T{number}"\narm = "{"RC"[number % 2]}"\n' for number in range(1, 7)) + """
[[measure]]
key = "algae_cover"
role = "primary"
[[measure]]
key = "plant_cover"
"""
SERIES = "unit,day,measure,value\n" + "".join(
    f"T{unit},{day},{measure},{start + unit % 2 * lean * day + 0.37 * unit:.2f}\n"
    for measure, start, lean in (("algae_cover", 9, 0.8), ("plant_cover", 30, 0.1)) for unit in range(1, 7) for day in range(0, 22, 3))


@pytest.fixture
def root(tmp_path):
    """A small trial folder with values and without photos."""
    root = tmp_path / "glasses"
    root.mkdir()
    (root / "trial.toml").write_text(PLAN, encoding="utf-8")
    (root / "series.csv").write_text(SERIES, encoding="utf-8")
    return root


@pytest.fixture
def trial(shelf, root):
    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.trail import KEEPER

    return trial_import(root=root, by=KEEPER)


@pytest.fixture
def worked_out(trial):
    """The answer of a kind, made by a job."""
    from fairtank.records.jobs.queue import enqueue
    from fairtank.records.jobs.worker import work_once
    from fairtank.records.selectors.results import answer_of
    from fairtank.records.services.trail import KEEPER

    def worked_out(kind, **given):
        job = enqueue(kind=kind, trial=trial, by=KEEPER, given=given)
        assert work_once()
        job.refresh_from_db()
        assert (job.state, job.reason) == ("done", "")
        return answer_of(trial, kind)

    return worked_out


def _printed(command, root, *more):
    from click.testing import CliRunner

    from fairtank.cli.main import app

    told = CliRunner().invoke(app, [command, str(root), "--json", *more])
    assert told.exit_code == 0, told.output
    return told.stdout


@pytest.mark.parametrize("kind", ["judge", "even", "watch"])
def test_an_answer_equals_to_the_byte_what_the_command_prints_for_the_exported_folder(worked_out, trial, tmp_path, kind):
    from fairtank.records.services.exporting import trial_export

    answer = worked_out(kind)
    printed = _printed(kind, trial_export(trial=trial, root=tmp_path / "exported"))
    assert answer.result.content["text"] == printed
    assert answer.result.digest == json.loads(printed)["inputs_digest"]
    assert (answer.is_current, answer.job, answer.changes_since) == (True, None, 0)


def test_the_finding_is_written_beside_the_folder_and_has_its_charts(worked_out, trial):
    from fairtank.records.selectors.results import charts_of, document_of
    from fairtank.records.services.working import out_of

    result = worked_out("judge").result
    assert (out_of(trial) / FINDINGS_FILE).read_text(encoding="utf-8") == result.content["text"]
    measures = [finding["measure"] for finding in document_of(result)["findings"]]
    assert measures == ["algae_cover", "plant_cover"]
    for measure in measures:
        assert [chart.key.partition("-")[0] for chart in charts_of(result, measure)] == ["tanks", "curves"]
    assert charts_of(result, "height") == ()


def test_a_report_brings_the_finding_that_it_tells(worked_out, trial, monkeypatch):
    from fairtank.publish.content import ReportFiles
    from fairtank.records.selectors.results import answer_of
    from fairtank.records.services import trials
    from fairtank.records.services.working import out_of

    def written(content, out):  # what the report looks like is tested elsewhere, and takes seconds
        for name in ("report.html", "report.pdf"):
            (out / name).write_text(content.inputs_digest, encoding="utf-8")
        return ReportFiles(out / "report.html", out / "report.pdf")

    monkeypatch.setattr(trials, "write_report", written)
    result = worked_out("report").result
    assert result.content["files"] == ["report.html", "report.pdf"]
    assert [(out_of(trial) / name).stat().st_size for name in result.content["files"]] == list(result.content["size_bytes"].values())
    finding = answer_of(trial, "judge")
    assert finding.is_current
    assert finding.result.digest == result.digest == (out_of(trial) / "report.pdf").read_text(encoding="utf-8")


def test_the_matrix_has_a_picture_for_each_width(worked_out, trial):
    from fairtank.records.services.trail import KEEPER
    from fairtank.records.services.working import changing

    assert worked_out("even").result.content["pictures"] == {}
    with changing(trial=trial, by=KEEPER, verb="change", said="Wrote down the lamps.") as folder:
        (folder / "factors.csv").write_text("unit,factor,value,unit_of_measure,note\n" + "".join(
            f"T{unit},lamp_age,{unit},months,\n" for unit in range(1, 7)), encoding="utf-8")
    pictures = worked_out("even").result.content["pictures"]
    assert pictures["wide"].startswith("<svg")
    assert pictures["narrow"] != pictures["wide"]
    assert "Age of the lamp" in pictures["description"]


def test_an_answer_is_old_as_soon_as_the_record_went_on(worked_out, trial):
    from fairtank.records.selectors.results import answer_of
    from fairtank.records.services.trail import KEEPER, noted

    worked_out("even")
    for number in range(3):
        noted(by=KEEPER, verb="change", said=f"Entry {number}.", trial=trial)
    answer = answer_of(trial, "even")
    assert (answer.is_current, answer.changes_since) == (False, 3)
    assert worked_out("even").is_current


def test_a_finding_of_a_trial_that_goes_on_is_old_on_the_next_day(worked_out, trial):
    from fairtank.records.models import Result, Trial
    from fairtank.records.selectors.results import answer_of

    worked_out("judge")
    result = Result.objects.get(trial=trial, kind="judge")
    yesterday = date.today() - timedelta(days=1)
    Result.objects.filter(pk=result.pk).update(content={**result.content, "read_on": yesterday.isoformat()})
    assert answer_of(trial, "judge").is_current  # the trial was over by then
    Trial.objects.filter(pk=trial.pk).update(start=date.today() - timedelta(days=5))
    trial.refresh_from_db()
    answer = answer_of(trial, "judge")
    assert (answer.is_current, answer.changes_since) == (False, 0)


def test_work_that_failed_stands_beside_an_older_answer_until_it_succeeds(worked_out, trial):
    from fairtank.records.jobs.queue import enqueue
    from fairtank.records.jobs.worker import work_once
    from fairtank.records.models import Document
    from fairtank.records.selectors.results import answer_of
    from fairtank.records.services.trail import KEEPER, noted

    worked_out("even")
    Document.objects.filter(trial=trial, path="trial.toml").update(content=PLAN.replace("days = 21", "days = -1").encode())
    noted(by=KEEPER, verb="change", said="Spoilt it.", trial=trial)
    enqueue(kind="even", trial=trial, by=KEEPER)
    assert work_once()
    failed = answer_of(trial, "even")
    assert (failed.result is not None, failed.is_current, failed.job.state) == (True, False, "failed")
    assert "days" in failed.job.reason
    Document.objects.filter(trial=trial, path="trial.toml").update(content=PLAN.encode())
    noted(by=KEEPER, verb="change", said="Mended it.", trial=trial)
    assert worked_out("even").job is None


def test_answers_of_several_kinds_take_two_queries_with_and_without_what_they_hold(trial):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from fairtank.records.models import Result
    from fairtank.records.selectors.results import answers_of

    Result.objects.create(trial=trial, kind="judge", revision=trial.revision, content={"read_on": date.today().isoformat()}, software="")
    for with_content in (True, False):
        with CaptureQueriesContext(connection) as asked:
            told = answers_of(trial, ("judge", "even", "watch"), with_content=with_content)
        assert len(asked) == 2
        assert [answer.is_current for answer in told.values()] == [True, False, False]
    assert told["judge"].result.get_deferred_fields() == {"content"}


@pytest.fixture
def photographed(shelf):
    """A trial with two photos of one tank, nothing measured."""
    from fairtank.records.models import Photo, Trial, Unit

    trial = Trial.objects.create(slug="glass", title="Glass")
    unit = Unit.objects.create(trial=trial, key="T1", place=0)
    for number in (1, 2):
        Photo.objects.create(trial=trial, unit=unit, path=f"photos/{number}.jpg", taken_at=datetime(2026, 1, number, 12), day=number,
                             sha256=f"{number:064}", size_bytes=1, width_px=4, height_px=3)
    return trial


def _found(number, value, quality="usable", zone="", **more):
    from fairtank.trial import Measured, PhotoQuality

    path = f"photos/{number}.jpg"
    row = Measured(path, "T1", datetime(2026, 1, number, 12), number, "algae_cover", zone, value, "%", None, quality, "1-a")
    known = {"reasons": (), "corners": ((0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0)), "sharpness": None, "clipped_fraction": None,
             "light_level": None, "uncertain_fraction": None, "version": "1-a"}
    return row, PhotoQuality(photo=path, unit="T1", day=number, quality=quality, **{**known, **more})


def _kept(trial, *found):
    from fairtank.records.services.answers import measured_keep

    return measured_keep(trial=trial, measured=[row for row, _ in found], qualities=[quality for _, quality in found])


def _rows():
    from fairtank.records.models import Measurement

    return list(Measurement.objects.order_by("photo__path", "zone").values_list("photo__path", "zone", "value", "quality"))


def test_values_of_photos_become_rows_and_a_rerun_writes_nothing(photographed):
    from fairtank.records.models import Photo

    found = _found(1, 12.5), _found(2, 13.0, "not usable", reasons=("It is dark.",), verdicts=("dark",), corners=None)
    before = photographed.revision
    assert _kept(photographed, *found) == 2
    assert _kept(photographed, *found) == 0
    assert _rows() == [("photos/1.jpg", "", 12.5, "usable"), ("photos/2.jpg", "", 13.0, "not usable")]
    first, second = Photo.objects.filter(trial=photographed)
    assert (first.quality, first.corners) == ("usable", [[0.0, 0.0], [4.0, 0.0], [4.0, 3.0], [0.0, 3.0]])
    assert (second.quality, second.reasons, second.verdicts, second.corners) == ("not usable", ["It is dark."], ["dark"], None)
    photographed.refresh_from_db()
    assert photographed.revision == before  # no change of the record: an answer does not age by it


def test_values_that_changed_or_went_away_replace_their_rows(photographed):
    _kept(photographed, _found(1, 12.5), _found(1, 3.0, zone="bed"), _found(2, 13.0))
    assert _kept(photographed, _found(1, 12.6)) == 1
    assert _rows() == [("photos/1.jpg", "", 12.6, "usable"), ("photos/2.jpg", "", 13.0, "usable")]


def test_values_of_photos_that_are_gone_are_passed_over(photographed):
    row, quality = _found(3, 1.0)
    assert _kept(photographed, (row, quality), _found(1, 12.5)) == 1
    assert len(_rows()) == 1


def test_photos_become_rows_while_others_are_still_being_measured(photographed, tmp_path):
    import pickle

    from fairtank.records.jobs.stored import RowStore
    from fairtank.records.store import Store
    from fairtank.vision.measure import PhotoResult

    store = RowStore(tmp_path / "store", trial=photographed)
    row, quality = _found(1, 12.5)
    store.put("a" * 64, "1-a", PhotoResult((row,), quality, b"", None))
    store.rows_keep()
    assert _rows() == []  # not yet a second since the last
    store.rows_keep(at_once=True)
    assert _rows() == [("photos/1.jpg", "", 12.5, "usable")]
    assert pickle.loads(pickle.dumps(store)) == Store(tmp_path / "store")


def test_numbers_without_end_are_null_in_an_answer(trial):
    from fairtank.records.services.answers import answer_keep

    kept = answer_keep(trial=trial, kind="even", revision=1, content={"rows": [{"x": float("nan")}, (float("inf"), 2.0)]})
    kept.refresh_from_db()
    assert kept.content == {"rows": [{"x": None}, [None, 2.0]]}


def test_a_folder_that_lies_on_disk_is_taken_onto_the_shelf(shelf, root):
    from fairtank.records.jobs.queue import enqueue
    from fairtank.records.jobs.worker import work_once
    from fairtank.records.models import Change, Trial
    from fairtank.records.services.trail import By

    job = enqueue(kind="import", by=By("one at the desk"), given={"path": str(root), "title": "Mine", "is_ours": True})
    assert work_once()
    job.refresh_from_db()
    trial = Trial.objects.get()
    assert (job.state, job.trial, job.result) == ("done", trial, {"trial": trial.slug})
    assert (trial.title, Change.objects.get(trial=trial).by) == ("Two glasses (invented)", "one at the desk")
    assert not root.exists()


def test_a_trial_that_was_taken_in_before_its_worker_was_killed_is_not_taken_in_twice(trial, root):
    from fairtank.records.jobs.queue import enqueue
    from fairtank.records.jobs.worker import work_once
    from fairtank.records.models import Job, Trial
    from fairtank.records.services.trail import KEEPER

    job = enqueue(kind="import", by=KEEPER, given={"path": str(root)})
    Job.objects.filter(pk=job.pk).update(attempts=1, begun_at=trial.created_at - timedelta(seconds=1))
    assert work_once()
    job.refresh_from_db()
    assert (job.state, job.trial, Trial.objects.count()) == ("done", trial, 1)
