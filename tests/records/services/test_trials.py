"""A folder taken all the way: the files that each step writes, where results are kept, and what is refused."""

import json
import shutil
import subprocess
import sys
from datetime import date, timedelta

import pytest
from tests.cli.running import Ran
from tests.records.kits import make_kit
from tests.records.photo_trials import Shape, copied, listing, photo_trial, row_changed

from fairtank.errors import FolderError, InputError, JobError
from fairtank.records.folder import read_folder
from fairtank.records.services.trials import out_check, result_write, trial_judge, trial_measure, trial_report, trial_run
from fairtank.records.store import Store

SHAPE = Shape(days=(0, 2, 4, 6, 7), mode="fixed", painted=(("T1", 7),), zones=True)


@pytest.fixture(scope="module")
def ran(tmp_path_factory):
    """A small folder with photos, run into a folder of its own."""
    base = tmp_path_factory.mktemp("ran")
    root = photo_trial(base / "trial", SHAPE)
    judged, files = trial_run(root=root, out=base / "out", workers=1)
    return root, base / "out", judged, files


@pytest.fixture
def again(ran, tmp_path):
    """A copy of that folder with its results."""
    return shutil.copytree(ran[0], tmp_path / "trial")


def names(folder) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_run_writes_tables_findings_and_the_report_and_nothing_else(ran):
    root, out, judged, files = ran
    assert names(out) == ["findings.json", "measures.csv", "one-page.html", "one-page.pdf", "photos_quality.csv", "report.html",
                          "report.pdf"]
    assert (files.html, files.pdf) == (out / "report.html", out / "report.pdf")
    assert files.pdf.read_bytes().startswith(b"%PDF")
    assert names(root) == [".fairtank", "frames.csv", "labels", "photos", "photos.csv", "trial.toml", "zones.csv"]
    assert judged.measured.fresh == 10


def test_the_findings_file_the_report_and_the_folder_carry_the_same_digest(ran):
    _, out, judged, files = ran
    document = json.loads((out / "findings.json").read_text(encoding="utf-8"))
    assert document["inputs_digest"] == judged.folder.digest
    assert [finding["measure"] for finding in document["findings"]] == ["plant_cover", "algae_cover"]
    assert judged.folder.digest.removeprefix("sha256:")[:12] in files.html.read_text(encoding="utf-8")


def test_one_tank_per_arm_is_graded_alone_with_the_values_of_its_photos(ran):
    finding = ran[2].findings[0]
    assert (finding.grade, finding.n_reference, finding.n_changed, finding.low) == ("alone", 1, 1, None)
    cover = {series.unit: series.values for series in ran[2].series if series.measure == "plant_cover"}
    assert finding.natural.unit == "%"
    assert min(cover["T1"]) < finding.natural.reference < max(cover["T1"])


def test_the_steps_one_by_one_write_the_same_bytes_as_the_run(ran, again, tmp_path):
    out = tmp_path / "out"
    assert trial_measure(root=again, out=out, workers=1).fresh == 0
    assert names(out) == ["measures.csv", "photos_quality.csv"]
    trial_judge(root=again, out=out, workers=1)
    trial_report(root=again, out=out, workers=1)
    for name in ("measures.csv", "photos_quality.csv", "findings.json", "report.html"):
        assert (out / name).read_bytes() == (ran[1] / name).read_bytes(), name


def test_judging_without_an_output_folder_writes_nothing_but_the_store(again):
    before = listing(again)
    judged = trial_judge(root=again, workers=1)
    assert judged.findings[0].grade == "alone"
    assert listing(again) == before


def test_a_faulty_folder_is_refused_before_anything_is_written(again, tmp_path):
    row_changed(again, "photos.csv", 0, unit="T7")
    before = listing(tmp_path)
    for step in (trial_measure, trial_judge, trial_report, trial_run):
        with pytest.raises(FolderError, match=r"photos\.csv, row 2, column unit: T7 is not a unit of trial\.toml"):
            step(root=again, out=tmp_path / "out")
    assert listing(tmp_path) == before


def test_text_is_written_whole_or_not_at_all(tmp_path):
    place = tmp_path / "new" / "findings.json"
    result_write(place, "erste Zeile\n")
    result_write(place, "µ\n")
    assert place.read_bytes() == b"\xc2\xb5\n"
    assert names(place.parent) == ["findings.json"]
    with pytest.raises(JobError, match=r"measures\.csv cannot be written: .*\. Choose another folder with --out\."):
        result_write(place / "measures.csv", "x")
    assert place.read_bytes() == b"\xc2\xb5\n"


def without_override():
    """Take away the right to write where the permissions say no, which the administrator has; others never had it."""
    import ctypes

    for capability in (1, 2):  # CAP_DAC_OVERRIDE, CAP_DAC_READ_SEARCH of linux/capability.h
        ctypes.CDLL(None).prctl(24, capability, 0, 0, 0)  # PR_CAPBSET_DROP of linux/prctl.h


ONE_BY_ONE = """
import contextlib, io, json, sys
from fairtank.cli import main
for words in json.loads(sys.argv[1]):
    sys.argv, told, said = ["fairtank", *words], io.StringIO(), io.StringIO()
    try:
        with contextlib.redirect_stdout(told), contextlib.redirect_stderr(said):
            main()
    except SystemExit as ended:
        print(json.dumps([ended.code or 0, told.getvalue(), said.getvalue()]))
"""


def called_apart(*commands: list[str]) -> list[Ran]:
    """What each of these commands left, called one after the other in one process without that right."""
    words = [sys.executable, "-c", ONE_BY_ONE, json.dumps(commands)]
    done = subprocess.run(words, capture_output=True, text=True, preexec_fn=without_override, check=True)
    return [Ran(*json.loads(line)) for line in done.stdout.splitlines()]


@pytest.mark.skipif(sys.platform != "linux", reason="permissions are checked with a right that only Linux can take away")
def test_a_folder_that_cannot_be_written_keeps_its_results_in_the_output_folder(tmp_path):
    """Commands in two processes of their own, which may not write where the permissions say no: two small photos are enough for that."""
    root, out, elsewhere = (tmp_path / name for name in ("read-only", "out", "elsewhere"))
    photo_trial(root, Shape(days=(0,), mode="fixed", painted=(("T1", 0),), shrink=2))
    trial_run(root=copied(root, tmp_path / "copy"), out=elsewhere, workers=1)
    before = listing(root)
    measure = ["measure", str(root), "--out", str(out), "--workers", "1"]
    root.chmod(0o555)
    try:
        (first,) = called_apart(measure)
        again, judged, refused = called_apart(measure, ["judge", str(root), "--json", *measure[-2:]], ["run", str(root), *measure[-2:]])
    finally:
        root.chmod(0o755)
    for done, told in ((first, "2 photos, 2 of them measured now: 2 usable"), (again, "2 photos, 0 of them measured now: 2 usable")):
        assert done.code == 0
        assert done.out.startswith(told)
    assert (out / "measures.csv").read_bytes() == (elsewhere / "measures.csv").read_bytes()
    assert len(list(Store(out / ".fairtank").root.rglob("photos/*/*.json"))) == 2
    assert listing(root) == before
    assert judged.code == 0, judged.err
    assert judged.out == (elsewhere / "findings.json").read_text(encoding="utf-8")
    assert (refused.code, refused.out) == (1, "")
    assert refused.err == (
        f"the folder for results is {root / 'out'}, but {root} must not be written to; "
        "accepted: a folder that can be made or written. Choose another one with --out.\n"
    )


@pytest.mark.parametrize("step", [trial_measure, trial_judge, trial_report, trial_run])
@pytest.mark.parametrize(("place", "told"), [
    ("trial", "the trial folder itself"), ("trial/photos", "where the trial's own pictures lie"), ("trial/labels", "own pictures"),
    ("trial/photos/new/out", "own pictures"), ("trial/../trial", "the trial folder itself"), ("trial/trial.toml", "is a file"),
    ("trial/trial.toml/out", "is a file"), ("dead/out", "is a file"),
])  # fmt: skip
def test_a_place_for_results_that_cannot_serve_is_refused_before_anything_is_measured(ran, tmp_path, monkeypatch, step, place, told):
    copied(ran[0], tmp_path / "trial")
    (tmp_path / "dead").symlink_to(tmp_path / "nowhere" / "x")
    (tmp_path / "nowhere").write_text("x", encoding="utf-8")
    monkeypatch.setattr("fairtank.records.services.trials.folder_measure", lambda **_: pytest.fail("it began to measure"))
    before = listing(tmp_path)
    with pytest.raises(InputError, match=rf"^the folder for results is .*{told}.*; accepted: .*\. Choose another one with --out\.$"):
        step(root=tmp_path / "trial", out=tmp_path / place)
    assert listing(tmp_path) == before


def test_a_place_beside_above_or_inside_the_trial_folder_is_taken_and_made_only_when_it_is_needed(ran, tmp_path):
    folder = read_folder(copied(ran[0], tmp_path / "trial"))
    before = listing(tmp_path)
    for place in ("out", "trial/out", "trial/results/of/today", ".", "photos"):
        out_check(tmp_path / place, folder)
    assert listing(tmp_path) == before


@pytest.mark.parametrize(("today", "told"), [
    (date(2026, 4, 9), "The trial is not over: values reach day 39 of 42. It is read on day 42, 2026-04-12"),
    (date(2026, 4, 12), "The trial is not over: values reach day 39 of 42. It is read on day 42, 2026-04-12"),
    (date(2026, 4, 13), ""),
])
def test_a_trial_is_not_read_before_its_reading_day(tmp_path, today, told):
    root = make_kit(tmp_path / "trial", last_day=39)
    judged = trial_judge(root=root, out=tmp_path / "out", workers=1, today=today)
    assert judged.findings[0].spoilt_reason.rstrip(".") == told
    assert (judged.entries == ()) == bool(told)
    assert (tmp_path / "out" / "spread.csv").exists() == (not told)


def test_a_clock_that_lies_before_what_was_recorded_is_not_believed(tmp_path):
    finding = trial_judge(root=make_kit(tmp_path / "trial", last_day=39), workers=1, today=date(2025, 4, 9)).findings[0]
    assert finding.grade != "spoilt"
    assert "Values end on day 39 of 42." in " ".join(finding.cautions)


def test_without_a_date_the_clock_says_which_day_it_is(tmp_path):
    started = date.today() - timedelta(days=40)
    running = make_kit(tmp_path / "running", last_day=39, start=started)
    assert trial_judge(root=running, workers=1).findings[0].spoilt_reason.startswith("The trial is not over: values reach day 39 of 42.")
    over = make_kit(tmp_path / "over", last_day=39, start=started - timedelta(days=3))
    assert trial_judge(root=over, workers=1).findings[0].grade != "spoilt"
