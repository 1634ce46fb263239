"""The page on photographs: current with what was recorded, its pictures the recorded ones and small, and whole where a line is missing."""

import importlib.util
import json
import sys
from functools import cache
from importlib.machinery import SourceFileLoader
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
IMAGES = ROOT / "docs" / "images"


@cache
def part(name):
    """A file of benchmarks/ as a module."""
    if str(ROOT / "benchmarks") not in sys.path:
        sys.path.append(str(ROOT / "benchmarks"))
    return importlib.import_module(name)


@cache
def generator():
    """The script scripts/photos as a module."""
    loader = SourceFileLoader("fairtank_photos_script", str(ROOT / "scripts" / "photos"))
    module = importlib.util.module_from_spec(importlib.util.spec_from_loader(loader.name, loader))
    loader.exec_module(module)
    return module


def test_page_and_pictures_are_those_of_the_recorded_runs():
    assert generator().outdated() == []


def test_pictures_are_light_enough_to_send():
    pictures = sorted(IMAGES.glob("photos-*.jpg"))
    assert [path.name for path in pictures] == sorted(part("photo_page").recorded("photo_pictures")["files"])
    assert max(path.stat().st_size for path in pictures) <= 200_000


def test_without_any_recorded_line_the_page_still_stands_and_says_what_is_missing(monkeypatch, tmp_path):
    page = part("photo_page")
    monkeypatch.setattr(page, "RESULTS", tmp_path)
    monkeypatch.setattr(part("bench_cover"), "RESULTS", tmp_path)
    text = page.page()
    heads = ("On field photos", "On rendered tanks", "Two cameras, one tank", "The photo card", "Finding the glass again", "Colour",
             "The audit", "What is told of a bad photo", "Time", "Many photos, a run that is killed", "Damaged files")
    for head in heads:
        assert page.MISSING in text.split(f"## {head}\n")[1].split("\n## ")[0], head
    assert page.MISSING in text.split("\n\n")[2]  # the opening promises nothing
    assert "No public set of photos of underwater plants and algae" in text


@pytest.mark.parametrize("name", ["cover", "photo", "measures", "framing", "colour", "quality", "audit", "alike", "many", "fuzz_loader"])
def test_each_line_by_itself_flows_in(name, monkeypatch, tmp_path):
    page, line = part("photo_page"), part("photo_page").recorded(name)
    if line is None:
        line = ALIKE  # the one that has not been recorded everywhere
    (tmp_path / f"{name}.jsonl").write_text(json.dumps(line) + "\n", encoding="utf-8")
    monkeypatch.setattr(page, "RESULTS", tmp_path)
    monkeypatch.setattr(part("bench_cover"), "RESULTS", tmp_path)
    assert f"| {name} | {line['at'][:10]} |" in page.page()


ALIKE = {
    "at": "2026-03-01T10:00Z", "commit": "abc1234", "seeds": 2,
    "measures": {"plant_cover": {"seeds": 2, "difference": 0.1, "difference_sd": 0.2, "difference_worst": 0.3, "slope_per_week": 0.01,
                                 "slope_se": 0.02, "called_by_days": 0.5, "typical": 30.0}},
}  # fmt: skip


def test_two_cameras_are_told_with_the_drift_and_its_interval():
    text = part("photo_tables").alike_table(ALIKE)
    assert "| plant cover | 2 | 30.0 | +0.10 | 0.20 | 0.30 | +0.010 ± 0.039 | 50 % |" in text


def test_a_target_that_is_missed_is_called_missed():
    row = {"photos": 3, "mean": 1.6, "bias": 0.0, "p90": 2.0, "worst": 3.0, "constant": 9.0}
    text = part("photo_tables").measures_table({"errors": {"plant_cover": row}, "photos": 3, "usable": 3})
    assert text.splitlines()[-1].endswith("| **no** |")
    better = part("photo_tables").measures_table({"errors": {"plant_cover": {**row, "mean": 1.4}}, "photos": 3, "usable": 3})
    assert better.splitlines()[-1].endswith("| yes |")


def test_lost_and_doubled_photos_are_counted():
    run = {"photos": 100, "size": [10, 8], "workers": 2, "killed_with": 50, "workers_left": 0, "resumed_with": 50, "stored": 100,
           "rows": 100, "different": 98, "drafts_left": 0, "photos_per_s": 5.0, "parent_mb": [1, 1], "worker_mb": [1, 1], "rerun_s": 1.0,
           "kb_per_photo": 1.0}  # fmt: skip
    assert "**2 lost, 2 doubled**" in part("photo_tables").many_words(run)


def test_half_of_a_photo_line_is_enough_for_its_table():
    text = part("photo_tables").speed_table({"photo": "a photo", "decode_ms": 20.0, "chain_ms": 50.0, "chain_per_decode": 2.5})
    assert "| the same, against decoding | 2.50 times | at most" in text
    assert "| memory of a worker | not recorded yet |" in text
