"""fairtank run and report: everything in one go, or one clear sentence per fault and nothing written."""

import json

from tests.cli.running import run_here
from tests.records.conftest import FILES, Folder, picture_bytes
from tests.records.photo_trials import listing


def spoilt_folder(root) -> Folder:
    """The small valid folder of the records tests, with twelve different faults."""
    made = Folder(root)
    for file, text in FILES.items():
        made.put(file, text)
    made.put("photos/T1-a.jpg", picture_bytes("JPEG"))
    made.put("photos/T1-b.png", picture_bytes("PNG")[:-12])
    made.put("photos/T2-a.webp", b"GIF89a" + bytes(60))
    made.put("labels/T1-a.png", picture_bytes("PNG"))
    made.swap("trial.toml", "days = 42", "days = -3")
    made.swap("trial.toml", 'expect = "less"', 'expect = "fewer"')
    made.swap("frames.csv", "registered,front,4,3", "registered,front,4,three")
    made.swap("zones.csv", "bed,floor", "bed,ground")
    made.swap("labels/classes.csv", "213,94,0", "213,94,256")
    made.swap("readings.csv", "T1,2026-03-02", "T9,2026-03-02")
    made.swap("events.csv", "T2,2026-03-09,,trim,,keep", "T2,2026-03-39,,trim,,keep")
    made.swap("series.csv", "T1,0,algae_cover,9,", "T1,zero,algae_cover,9,")
    made.swap("spread.csv", "0.16,4,first", "-0.16,4,first")
    made.swap("build.csv", "4.5,4.48,kg", "4.5,heavy,kg")
    return made


def test_twelve_faults_are_twelve_sentences_and_nothing_is_written(capsys, tmp_path):
    made = spoilt_folder(tmp_path / "trial")
    before = listing(tmp_path)
    for name in ("run", "measure", "judge", "report"):
        ran = run_here(capsys, name, made.root, "--out", tmp_path / "out")
        assert (ran.code, ran.out) == (1, "")
        sentences = ran.err.splitlines()
        assert len(sentences) == len(set(sentences)) == 12, ran.err
        assert all("; accepted: " in sentence and sentence.endswith(".") for sentence in sentences)
        assert listing(tmp_path) == before
    named = [sentence.split(":")[0] for sentence in sentences]
    places = (
        "trial.toml, [trial] expect", "trial.toml, [design] days", "photos.csv, row 3, column photo", "photos.csv, row 4, column photo",
        "frames.csv, row 2, column y1", "zones.csv, row 2, column kind", "labels/classes.csv, row 3, column b",
        "readings.csv, row 2, column unit", "events.csv, row 4, column at", "series.csv, row 4, column day",
        "spread.csv, row 2, column variance", "build.csv, row 2, column weighed",
    )  # fmt: skip
    assert sorted(named) == sorted(places)


def test_a_run_on_ready_made_values_writes_report_and_findings_and_no_table_of_photos(capsys, series_only, tmp_path):
    out = tmp_path / "results"
    ran = run_here(capsys, "run", series_only.root, "--out", out)
    assert (ran.code, ran.err) == (0, "")
    assert sorted(path.name for path in out.iterdir()) == ["findings.json", "one-page.html", "one-page.pdf", "report.html", "report.pdf",
                                                              "spread.csv"]
    finding = json.loads((out / "findings.json").read_text(encoding="utf-8"))["findings"][0]
    assert ran.out.splitlines()[0].replace("\u00a0", " ") == finding["sentence"]
    assert f"Report: {out / 'report.html'}" in ran.out
    assert (out / "report.pdf").read_bytes().startswith(b"%PDF")
    assert not (series_only.root / ".fairtank").exists()


def test_without_out_the_results_lie_in_the_trial_folder_and_a_second_run_is_the_same(capsys, series_only):
    first = run_here(capsys, "report", series_only.root)
    kept = {path.name: path.read_bytes() for path in (series_only.root / "out").iterdir()}
    second = run_here(capsys, "report", series_only.root)
    assert (first.code, first) == (0, second)
    assert kept == {path.name: path.read_bytes() for path in (series_only.root / "out").iterdir()}


def test_a_run_on_photos_writes_their_tables_too(capsys, photographed, tmp_path):
    out = tmp_path / "results"
    ran = run_here(capsys, "run", photographed, "--out", out, "--workers", "1")
    assert (ran.code, ran.err.splitlines()[-1]) == (0, "Measuring: 4 of 4 photos")
    assert {path.name for path in out.iterdir()} == {
            "findings.json", "measures.csv", "photos_quality.csv", "report.html", "report.pdf", "one-page.html", "one-page.pdf"}
