"""A folder of photos measured with frames given in other ways, with strokes, photos or classes missing, and with a disk that fails once."""

import dataclasses
import os
import shutil

import numpy as np
import pytest
from tests.records.measuring import all_of, measure, quality_of, values
from tests.records.photo_trials import CLASSES, Shape, photo_path, photo_trial, picture_of, read, row_changed, saved
from tests.vision.pictures import encoded

from fairtank.errors import PhotoError
from fairtank.records.services import photo_work
from fairtank.records.services.measuring import NO_STROKES, folder_measure
from fairtank.records.store import Store
from fairtank.trial import MeasureChoice

# Frames given in other ways.


def test_in_mode_fixed_the_same_corners_hold_for_all_photos(tmp_path):
    measured = measure(photo_trial(tmp_path / "trial", Shape(mode="fixed")))
    assert {row.quality for row in measured.qualities} == {"usable"}
    assert {row.corners for row in measured.qualities} == {((150.0, 120.0), (850.0, 120.0), (850.0, 620.0), (150.0, 620.0))}
    assert values(measured, "canopy_height")[photo_path("T2", 7)] == pytest.approx(17.5, abs=0.2)


def test_in_mode_by_hand_each_photo_has_its_own_corners(tmp_path):
    root = photo_trial(tmp_path / "trial", Shape(mode="by_hand"))
    moved = photo_path("T1", 7)
    (root / moved).write_bytes(saved(np.roll(picture_of("T1", 7), (30, 60), axis=(0, 1))))
    shifted = {"x1": 210, "y1": 150, "x2": 910, "y2": 150, "x3": 910, "y3": 650, "x4": 210, "y4": 650}
    row_changed(root, "frames.csv", 2, **{key: str(value) for key, value in shifted.items()})
    (root / "labels" / "T1-07.png").unlink()
    measured = measure(root)
    assert quality_of(measured, moved).corners[0] == (210.0, 150.0)
    assert quality_of(measured, photo_path("T1", 0)).corners[0] == (150.0, 120.0)
    assert values(measured, "canopy_height")[moved] == pytest.approx(17.5, abs=0.2)
    folder = read(root)
    without = dataclasses.replace(folder, frames=tuple(frame for frame in folder.frames if frame.reference_photo != moved))
    missing = quality_of(folder_measure(folder=without, store=Store(tmp_path / "other"), workers=1), moved)
    assert missing.reasons == ("Its corners were not set; frames.csv needs a row for each photo in mode by_hand.",)


def test_in_mode_by_hand_a_second_run_keeps_apart_two_photos_of_the_same_bytes(tmp_path):
    root = photo_trial(tmp_path / "trial", Shape(mode="by_hand"))
    shutil.copy(root / photo_path("T2", 0), root / photo_path("T2", 7))
    row_changed(root, "frames.csv", 3, y1="220", y2="220")
    first, second = measure(root), measure(root)
    assert second.fresh == 0
    assert quality_of(first, photo_path("T2", 0)).corners != quality_of(first, photo_path("T2", 7)).corners
    assert all_of(second) == all_of(first)


# Strokes that are missing, or too few.


def test_without_strokes_there_are_qualities_a_caution_and_no_values_each_time(tmp_path):
    root = photo_trial(tmp_path / "trial", Shape(painted=(), days=(0, 7)))
    for fresh in (4, 0):
        measured = measure(root)
        assert measured.fresh == fresh
        assert measured.measured == ()
        assert measured.cautions == (NO_STROKES,)
        assert {row.quality for row in measured.qualities} == {"usable"}
        assert len(measured.thumbnails) == 4


def test_too_few_strokes_are_a_caution_that_a_second_run_repeats(tmp_path):
    root = photo_trial(tmp_path / "trial", Shape(painted=(("T1", 0),), days=(0, 7)))
    strokes = np.zeros((750, 1000, 3), np.uint8)
    strokes[575:580, 400:405] = CLASSES[0].rgb
    (root / "labels" / "T1-00.png").write_bytes(encoded(strokes))
    first = measure(root)
    assert first.measured == ()
    assert len(first.cautions) == 1
    assert "The strokes cover too few pixels inside the frames (background 0, plant 25, algae 0)" in first.cautions[0]
    second = measure(root)
    assert second.fresh == 0
    assert second.cautions == first.cautions


# What is not there, or not to be had.


def test_a_folder_without_photos_has_nothing_to_measure_and_no_store(tmp_path):
    root = photo_trial(tmp_path / "trial", Shape(days=(0, 7), painted=()))
    for file in ("photos.csv", "frames.csv"):
        os.unlink(root / file)
    measured = measure(root)
    assert all_of(measured) == ((), (), {}, ())
    assert not (root / ".fairtank").exists()


def test_what_the_plan_asks_and_the_folder_cannot_give_is_said(tmp_path):
    root = photo_trial(tmp_path / "trial", Shape(days=(0,), painted=(("T1", 0),)))
    folder = read(root)
    asked = tuple(MeasureChoice(key, "secondary") for key in ("algae_cover", "carpet_cover"))
    classes = tuple(part for part in folder.label_classes if part.counts_as != "algae")
    poorer = dataclasses.replace(folder, plan=dataclasses.replace(folder.plan, measures=asked), label_classes=classes, zones=())
    cautions = folder_measure(folder=poorer, store=Store(root / ".fairtank"), workers=1).cautions
    assert "algae_cover could not be measured: no class in labels/classes.csv counts as algae." in cautions
    assert "carpet_cover could not be measured: zones.csv holds no zone of kind floor." in cautions


def test_a_photo_that_could_not_be_read_just_now_is_tried_again_at_the_next_run(tmp_path, monkeypatch):
    root = photo_trial(tmp_path / "trial", Shape(days=(0, 7), painted=(), shrink=2))
    real, away = photo_work.photo_bytes, photo_path("T1", 7)

    def failing(path):
        if path.as_posix().endswith(away):
            raise PhotoError("The disk did not answer.")
        return real(path)

    monkeypatch.setattr(photo_work, "photo_bytes", failing)
    assert quality_of(measure(root), away).reasons == ("The disk did not answer.",)
    monkeypatch.undo()
    again = measure(root)
    assert again.fresh == 1
    assert quality_of(again, away).quality == "usable"
