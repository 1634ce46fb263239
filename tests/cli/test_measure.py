"""fairtank measure: what it tells, and a run that is killed in the middle goes on where it stopped."""

import os
import re
import signal
import subprocess
import sys
import time

import pytest
from tests.cli.running import run_here
from tests.records.photo_trials import Shape, copied, damaged_png, photo_trial, picture_of

from fairtank.records.services.measuring import NO_STROKES

MANY = Shape(days=tuple(range(12)), mode="fixed", painted=(("T1", 7),), suffix="png", shrink=2)


def measured_now(told: str) -> tuple[int, int]:
    """How many photos there are and how many were measured now, as the command said."""
    photos, now = re.match(r"(\d+) photos, (\d+) of them measured now", told).groups()
    return int(photos), int(now)


def test_it_tells_how_many_photos_were_measured_now_and_how_good_they_are(capsys, photographed, tmp_path):
    (photographed / "photos" / "T2-07.jpg").write_bytes(b"\xff\xd8\xff\xda\x00\x02" + bytes(40) + b"\xff\xd9")
    words = ["measure", photographed, "--out", tmp_path / "out", "--workers", "1"]
    refused = run_here(capsys, *words)
    assert (refused.code, refused.out) == (1, "")
    (photographed / "photos" / "T2-07.jpg").unlink()
    (photographed / "photos" / "T2-07.png").write_bytes(damaged_png(picture_of("T2", 7)))
    table = photographed / "photos.csv"
    table.write_text(table.read_text(encoding="utf-8").replace("T2-07.jpg", "T2-07.png"), encoding="utf-8")
    first = run_here(capsys, *words)
    assert first.code == 0
    assert first.err.splitlines() == [f"Measuring: {done} of 4 photos" for done in range(5)]
    assert first.out.splitlines() == [
        "4 photos, 4 of them measured now: 3 usable, 0 doubtful, 1 not usable.", f"Values: {tmp_path / 'out' / 'measures.csv'}",
    ]  # fmt: skip
    again = run_here(capsys, *words)
    assert again.err == "", "nothing was left to do"
    assert again.out.splitlines()[0] == "4 photos, 0 of them measured now: 3 usable, 0 doubtful, 1 not usable."


def test_without_strokes_it_says_so_each_time(capsys, tmp_path):
    root = photo_trial(tmp_path / "trial", Shape(days=(0, 7), painted=(), mode="fixed"))
    for _ in range(2):
        assert NO_STROKES in run_here(capsys, "measure", root, "--workers", "1").out.splitlines()


@pytest.mark.skipif(os.name == "nt", reason="process groups are killed as a whole")
def test_a_run_that_is_killed_goes_on_where_it_stopped_and_ends_with_the_same_bytes(capsys, tmp_path):
    """Twenty-four photos; the command and its two worker processes get SIGKILL as soon as some results are stored. One process goes on."""
    root = photo_trial(tmp_path / "trial", MANY)
    undisturbed = copied(root, tmp_path / "undisturbed")
    called = [sys.executable, "-m", "fairtank.cli", "measure", str(root), "--out", str(tmp_path / "out"), "--workers", "2"]
    process = subprocess.Popen(called, start_new_session=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    deadline = time.monotonic() + 60
    while not _stored(root) and time.monotonic() < deadline and process.poll() is None:
        time.sleep(0.002)
    os.killpg(process.pid, signal.SIGKILL)
    assert process.wait() == -signal.SIGKILL, "the run ended before it could be killed"
    before = _stored(root)
    assert 0 < len(before) < 24
    assert not (tmp_path / "out").exists()

    resumed = run_here(capsys, "measure", root, "--out", tmp_path / "out", "--workers", "1")
    assert resumed.code == 0
    lines = resumed.err.splitlines()
    assert lines[0] == f"Measuring: {len(before)} of 24 photos ({len(before)} measured earlier)"
    assert lines[-1] == f"Measuring: 24 of 24 photos ({len(before)} measured earlier)"
    assert len(lines) in (10, 11), "told in tenths of the way"
    assert measured_now(resumed.out) == (24, 24 - len(before))
    after = _stored(root)
    assert len(after) == 24
    assert {name: after[name] for name in before} == before

    whole = run_here(capsys, "measure", undisturbed, "--out", tmp_path / "whole", "--workers", "1")
    assert measured_now(whole.out) == (24, 24)
    for name in ("measures.csv", "photos_quality.csv"):
        assert (tmp_path / "out" / name).read_bytes() == (tmp_path / "whole" / name).read_bytes()


def _stored(root) -> dict[str, int]:
    """The stored results with the time at which each was written."""
    return {path.name: path.stat().st_mtime_ns for path in (root / ".fairtank" / "photos").rglob("*.json")}
