"""The pictures of the report: first and last photo of each tank and a small one per day, all in the same frame."""

import dataclasses

import numpy as np
import pytest
from tests.records.photo_trials import Shape, photo_path, photo_trial, picture_of, pixels_of, read, saved

from fairtank.records.services.measuring import folder_measure
from fairtank.records.services.pictures import unit_pictures
from fairtank.records.store import Store


@pytest.fixture(scope="module")
def trial(tmp_path_factory):
    """Two tanks, three days; the second photo of T1 shows no tank, the last one of T2 is dark, and nobody painted strokes."""
    root = photo_trial(tmp_path_factory.mktemp("pictures") / "trial", Shape(days=(0, 3, 9), painted=()))
    (root / photo_path("T1", 3)).write_bytes(saved(np.random.default_rng(3).integers(0, 255, (750, 1000, 3)).astype(np.uint8)))
    (root / photo_path("T2", 9)).write_bytes(saved(picture_of("T2", 9) // 4))
    folder = read(root)
    return folder, folder_measure(folder=folder, store=Store(root / ".fairtank"), workers=1)


def test_each_tank_has_its_first_and_last_good_photo_in_the_plans_order(trial):
    found = unit_pictures(*trial)
    assert [(one.unit, one.first_day, one.last_day) for one in found] == [("T1", 0, 9), ("T2", 0, 3)]


def test_the_small_pictures_are_those_of_the_days_whose_photo_was_placed(trial):
    folder, measured = trial
    found = {one.unit: dict(one.thumbnails) for one in unit_pictures(folder, measured)}
    assert {unit: list(pictures) for unit, pictures in found.items()} == {"T1": [0, 9], "T2": [0, 3, 9]}
    assert found["T1"][9] == measured.thumbnails[photo_path("T1", 9)]


def test_the_large_pictures_show_the_frames_content_only(trial):
    picture = pixels_of(unit_pictures(*trial)[0].first).astype(int)
    assert picture.shape[1] == 900
    assert picture.shape[0] == pytest.approx(900 * 50 / 70, abs=1)
    drawn = picture_of("T1", 0)[120:620, 150:850]
    # Two savings as JPEG move a mean colour by up to 1.5; a frame that is 10 px off, by more than 4.
    assert np.abs(picture.mean(axis=(0, 1)) - drawn.mean(axis=(0, 1))).max() < 2


def test_a_photo_that_has_gone_since_leaves_its_place_empty_and_the_rest_stands(trial, tmp_path):
    folder, measured = trial
    elsewhere = tmp_path / "moved"
    (elsewhere / "photos").mkdir(parents=True)
    for path in (photo_path("T1", 9), photo_path("T2", 0), photo_path("T2", 3)):
        (elsewhere / path).write_bytes((folder.root / path).read_bytes())
    first, second = unit_pictures(dataclasses.replace(folder, root=elsewhere), measured)
    assert first.first is None
    assert first.last[:2] == b"\xff\xd8"
    assert second.first[:2] == second.last[:2] == b"\xff\xd8"


def test_a_tank_without_a_placed_photo_is_left_out(trial):
    folder, measured = trial
    lost = tuple(dataclasses.replace(row, corners=None) if row.unit == "T1" else row for row in measured.qualities)
    assert [one.unit for one in unit_pictures(folder, dataclasses.replace(measured, qualities=lost))] == ["T2"]


def test_photos_outside_the_trials_days_show_nothing(trial):
    folder, measured = trial
    shorter = dataclasses.replace(folder, plan=dataclasses.replace(folder.plan, days=3))
    assert {one.unit: (one.last_day, [day for day, _ in one.thumbnails]) for one in unit_pictures(shorter, measured)} == {
        "T1": (0, [0]), "T2": (3, [0, 3]),
    }  # fmt: skip
