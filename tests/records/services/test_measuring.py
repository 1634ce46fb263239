"""A folder of photos measured: once, again, after changes, with faulty photos, and whatever the number of processes."""

import dataclasses
import shutil

import numpy as np
import pytest
from tests.records.measuring import all_of, measure, quality_of, values
from tests.records.photo_trials import (
    CLASSES,
    DeadlyRoot,
    Shape,
    copied,
    damaged_png,
    deadly,
    listing,
    photo_path,
    photo_trial,
    picture_of,
    pixels_of,
    read,
    row_changed,
    saved,
    strokes_picture,
)
from tests.vision.pictures import encoded

from fairtank.records.services import duplicates, photo_work, preparing
from fairtank.records.services.measuring import folder_measure
from fairtank.records.services.versions import versions_of
from fairtank.records.store import Store
from fairtank.vision.quality.verdicts import NOT_USABLE

ANOTHER_SCENE = np.random.default_rng(3).integers(0, 255, (750, 1000, 3)).astype(np.uint8)


@pytest.fixture
def learnt_before(measured_once, monkeypatch):
    """What was learnt first serves for any strokes: for tests that ask which photos are measured anew, not what they give."""
    folder = read(measured_once[0])
    known = preparing.task_of(folder, Store(measured_once[0] / ".fairtank"), versions_of(folder))[0].classifier
    monkeypatch.setattr(preparing, "learn_classes", lambda pictures, kinds: known)


@pytest.fixture(scope="module")
def measured_once(tmp_path_factory):
    """A folder of six photos whose results are stored, and those results."""
    root = photo_trial(tmp_path_factory.mktemp("once") / "trial", Shape(zones=True, audited=60))
    return root, measure(root)


@pytest.fixture
def again(measured_once, tmp_path):
    """A copy of that folder, results and all, which a test may change."""
    return shutil.copytree(measured_once[0], tmp_path / "trial")


def closed(monkeypatch) -> None:
    """From now on no photo can be opened."""
    monkeypatch.setattr(preparing, "load_photo", lambda path: pytest.fail(f"{path} was opened"))
    monkeypatch.setattr(photo_work, "decoded_photo", lambda content, name: pytest.fail(f"{name} was opened"))


def test_every_photo_gives_what_was_drawn(measured_once):
    """The plants are 500 px wide on a pane of 700 x 500 px and rise 5 px a day from 140 px; 100 x 40 px of them are algae."""
    measured = measured_once[1]
    assert measured.fresh == 6
    assert {row.quality for row in measured.qualities} == {"usable"}
    for photo, cover in values(measured, "plant_cover").items():
        day = int(photo[-6:-4])
        assert cover == pytest.approx(100 * (500 * (138 + 5 * day) - 4000) / 350_000, abs=1)
    assert all(cover == pytest.approx(100 * 4000 / 350_000, abs=0.3) for cover in values(measured, "algae_cover").values())
    heights = values(measured, "canopy_height")
    assert [heights[photo_path("T1", day)] for day in (0, 7, 14)] == pytest.approx([14.0, 17.5, 21.0], abs=0.2)


def test_rows_stand_in_the_order_of_the_photos_and_carry_their_version(measured_once):
    root, measured = measured_once
    photos = [photo.path for photo in read(root).photos]
    assert [row.photo for row in measured.qualities] == photos
    assert list(dict.fromkeys(row.photo for row in measured.measured)) == photos
    assert list(measured.thumbnails) == photos
    versions = {row.photo: row.version for row in measured.qualities}
    assert all(row.version == versions[row.photo] for row in measured.measured)


def test_only_an_audited_photo_has_a_standard_error_for_its_cover(measured_once):
    known = {(row.photo, row.measure) for row in measured_once[1].measured if row.se is not None}
    assert known == {(photo_path("T1", 0), "plant_cover"), (photo_path("T1", 0), "algae_cover")}


def test_the_thumbnail_is_the_content_of_the_frame(measured_once):
    picture = pixels_of(measured_once[1].thumbnails[photo_path("T2", 14)]).astype(int)
    assert picture.shape == (171, 240, 3)
    red, green, blue = picture[140, 120]
    assert green > red
    assert green > blue
    assert picture[30, 120, 2] > 150


def test_a_second_run_opens_no_photo_writes_nothing_and_gives_the_same(again, measured_once, monkeypatch):
    before = listing(again)
    closed(monkeypatch)
    second = measure(again)
    assert (second.fresh, second.opened) == (0, 0)
    assert all_of(second) == all_of(measured_once[1])
    assert listing(again) == before


def test_whether_photos_are_one_stored_twice_is_asked_once(again, monkeypatch):
    """Photos that look alike are opened to tell; the answer is kept, also where a photo came to them."""
    (again / photo_path("T1", 7)).write_bytes(encoded(pixels_of((again / photo_path("T1", 0)).read_bytes()), "JPEG", quality=70))
    asked = []
    real = duplicates._is_one_photo

    def noted(root, one, other):
        asked.append((one.path, other.path))
        return real(root, one, other)

    monkeypatch.setattr(duplicates, "_is_one_photo", noted)
    first = measure(again)
    assert asked == [(photo_path("T1", 0), photo_path("T1", 7))]
    assert "stored again" in quality_of(first, photo_path("T1", 7)).reasons[0]
    assert all_of(measure(again)) == all_of(first)
    (again / photo_path("T1", 14)).write_bytes(saved(picture_of("T1", 15)))
    assert "stored again" in quality_of(measure(again), photo_path("T1", 7)).reasons[0]
    assert len(asked) == 1


def test_the_number_of_processes_changes_no_bit(measured_once, tmp_path):
    measured = measure(measured_once[0], workers=2, store=Store(tmp_path / "other"))
    assert measured.fresh == 6
    assert all_of(measured) == all_of(measured_once[1])


def test_the_place_of_the_folder_and_the_order_of_photos_csv_change_no_value(measured_once, tmp_path):
    root = copied(measured_once[0], tmp_path / "elsewhere")
    lines = (root / "photos.csv").read_text(encoding="utf-8").splitlines()
    (root / "photos.csv").write_text("\n".join([lines[0], *reversed(lines[1:])]) + "\n", encoding="utf-8")
    measured = measure(root)
    assert measured.fresh == 6
    assert sorted(measured.measured, key=repr) == sorted(measured_once[1].measured, key=repr)
    assert sorted(measured.qualities, key=repr) == sorted(measured_once[1].qualities, key=repr)


def test_progress_counts_up_to_all_photos_and_tells_how_many_were_stored(again):
    (again / photo_path("T1", 14)).write_bytes(saved(picture_of("T1", 14, plant_top=300)))
    calls = []
    measure(again, progress=lambda *numbers: calls.append(numbers))
    assert calls == [(5, 6, 5), (6, 6, 5)]


def test_a_changed_photo_is_the_only_one_that_is_measured_again(again, measured_once):
    changed = photo_path("T1", 14)
    (again / changed).write_bytes(saved(picture_of("T1", 14, plant_top=300)))
    second = measure(again)
    assert second.fresh == 1
    assert values(second, "plant_cover")[changed] > values(measured_once[1], "plant_cover")[changed] + 10
    others = [row for row in second.measured if row.photo != changed]
    assert others == [row for row in measured_once[1].measured if row.photo != changed]


def test_a_photo_put_back_is_not_measured_again(again, measured_once):
    changed = again / photo_path("T1", 14)
    first = changed.read_bytes()
    changed.write_bytes(saved(picture_of("T1", 14, plant_top=300)))
    measure(again)
    changed.write_bytes(first)
    second = measure(again)
    assert second.fresh == 0
    assert all_of(second) == all_of(measured_once[1])


def test_changed_strokes_count_for_all_photos_and_start_from_the_prepared_ones_to_the_same_digits(again, tmp_path, monkeypatch):
    """All photos share what was learnt; none is opened again, and the values are those of a first run with these strokes."""
    strokes = strokes_picture()
    strokes[300:305, 180:240] = CLASSES[2].rgb
    (again / "labels" / "T1-07.png").write_bytes(encoded(strokes))
    anew = measure(again, store=Store(tmp_path / "new"))
    assert (anew.fresh, anew.opened) == (6, 6)
    closed(monkeypatch)
    second = measure(again)
    assert (second.fresh, second.opened) == (6, 0)
    assert all_of(second) == all_of(anew)


def test_a_damaged_prepared_photo_is_prepared_again(again, measured_once):
    shutil.rmtree(again / ".fairtank" / "photos")
    kept = sorted((again / ".fairtank" / "prepared").rglob("*.photo"))
    content = kept[0].read_bytes()
    kept[0].write_bytes(content[:-40])
    kept[1].write_bytes(content[:9])
    second = measure(again)
    assert (second.fresh, second.opened) == (6, 2)
    assert all_of(second) == all_of(measured_once[1])
    assert kept[0].read_bytes() == content


@pytest.mark.usefixtures("learnt_before")
def test_prepared_photos_of_the_last_two_ways_of_measuring_are_kept_and_older_ones_are_deleted(again):
    """Otherwise each moved corner would leave a copy of all photos behind."""
    rooms = [[], []]
    for width_cm in (71, 72, 70):
        row_changed(again, "frames.csv", 0, width_cm=str(width_cm))
        measure(again)
        for room, name in zip(rooms, ("prepared", "views"), strict=True):
            room.append({path.name for path in (again / ".fairtank" / name).iterdir()})
    prepared, views = rooms
    assert [len(names) for names in prepared] == [3, 3, 3]  # T2's, and two of T1's
    assert [len(names) for names in views] == [3, 3, 3]
    assert len(prepared[0] & prepared[1]) == len(prepared[1] & prepared[2]) == 2
    assert measure(again).opened == 0


@pytest.mark.usefixtures("learnt_before")
def test_a_changed_colour_of_a_class_counts_for_all_photos(again):
    for label in (again / "labels").glob("*.png"):
        strokes = strokes_picture()
        strokes[(strokes == CLASSES[1].rgb).all(axis=2)] = (200, 90, 0)
        label.write_bytes(encoded(strokes))
    row_changed(again, "labels/classes.csv", 1, r="200", g="90", b="0")
    assert measure(again).fresh == 6


@pytest.mark.usefixtures("learnt_before")
def test_a_changed_zone_or_frame_counts_for_its_tank_and_for_all_when_strokes_lie_on_that_tank(tmp_path):
    """T1 alone was painted: its frame decides where its strokes lie, and with that what every photo's colours mean."""
    root = photo_trial(tmp_path / "trial", Shape(painted=(("T1", 7),), zones=True))
    assert measure(root).fresh == 6
    row_changed(root, "zones.csv", 1, kind="water")
    second = measure(root)
    assert second.fresh == 3
    assert {row.unit for row in second.measured if row.measure == "carpet_cover"} == {"T1"}
    row_changed(root, "zones.csv", 1, polygon="0 40; 35 40; 35 50; 0 50")
    row_changed(root, "frames.csv", 1, width_cm="35")
    third = measure(root)
    assert third.fresh == 3
    areas = [values(measured, "plant_area")[photo_path("T2", 14)] for measured in (second, third)]
    assert areas[1] == pytest.approx(areas[0] / 2, rel=0.02)
    row_changed(root, "frames.csv", 0, height_cm="51")
    assert measure(root).fresh == 6


def test_another_answer_of_an_audit_counts_for_its_photo_only(again, measured_once):
    row_changed(again, "audit.csv", 0, **{"class": "algae"})
    second = measure(again)
    assert (second.fresh, second.opened) == (1, 0)
    ses = {row.photo: row.se for row in second.measured if row.measure == "plant_cover" and row.zone == ""}
    assert ses[photo_path("T1", 0)] is not None
    assert values(second, "plant_cover") == values(measured_once[1], "plant_cover")


@pytest.mark.parametrize(("table", "cells"), [("trial.toml", None), ("photos.csv", {"taken_at": "2026-03-01T21:00"})])
def test_a_changed_plan_or_time_is_taken_over_without_opening_a_photo(again, table, cells):
    if cells:
        row_changed(again, table, 0, **cells)
    else:
        text = (again / table).read_text(encoding="utf-8")
        (again / table).write_text(text.replace("2026-03-01", "2026-02-28"), encoding="utf-8")
    second = measure(again)
    assert second.fresh == 0
    first = second.measured[0]
    assert first.taken_at.hour == 21 if cells else first.day == 1


def test_a_damaged_result_in_the_store_is_measured_again(again, measured_once):
    stored = sorted((again / ".fairtank" / "photos").rglob("*.json"))
    stored[0].write_bytes(stored[0].read_bytes()[:-40])
    stored[1].write_bytes(b"")
    second = measure(again)
    assert second.fresh == 2
    assert all_of(second) == all_of(measured_once[1])


# What goes wrong with a photo becomes its reason, and does not stop the rest.


@pytest.mark.parametrize("workers", [1, 2])
def test_faulty_photos_give_no_values_and_say_why_and_the_rest_is_measured(again, measured_once, workers):
    broken, other, dark = photo_path("T1", 14), photo_path("T2", 7), photo_path("T2", 0)
    (again / "photos" / "T1-14.png").write_bytes(damaged_png(picture_of("T1", 14)))
    (again / broken).unlink()
    row_changed(again, "photos.csv", 4, photo="photos/T1-14.png")
    (again / other).write_bytes(saved(ANOTHER_SCENE))
    measured = measure(again, workers=workers)
    reasons = {row.photo: row.reasons for row in measured.qualities if row.quality == NOT_USABLE}
    assert set(reasons) == {"photos/T1-14.png", other}
    assert "T1-14.png is damaged or cut off and cannot be decoded" in reasons["photos/T1-14.png"][0]
    assert reasons[other][0].startswith("The tank was not found again")
    assert not {row.photo for row in measured.measured} & set(reasons)
    assert "photos/T1-14.png" not in measured.thumbnails
    assert {row.photo for row in measured.measured} == {photo_path("T1", 0), photo_path("T1", 7), dark, photo_path("T2", 14)}
    assert measured.fresh == 2


def test_a_blurred_and_a_dark_photo_say_so(again):
    import cv2

    blurred, dark = photo_path("T1", 14), photo_path("T2", 14)
    (again / blurred).write_bytes(saved(cv2.GaussianBlur(picture_of("T1", 14), (0, 0), 1.2)))
    (again / dark).write_bytes(saved(picture_of("T2", 14) // 4))
    measured = measure(again)
    assert quality_of(measured, blurred).quality == NOT_USABLE
    assert "The photo is blurred" in quality_of(measured, blurred).reasons[0]
    assert quality_of(measured, dark).quality == NOT_USABLE
    assert quality_of(measured, dark).reasons[0].startswith("The photo is much darker than the reference photo: 0.05")
    assert not {blurred, dark} & {row.photo for row in measured.measured}


def test_a_tank_without_a_frame_has_unusable_photos_with_a_sentence(again):
    """The reader refuses such a folder; a folder made by another hand may still come."""
    folder = read(again)
    folder = dataclasses.replace(folder, frames=folder.frames[:1], zones=())
    measured = folder_measure(folder=folder, store=Store(again / "other"), workers=1)
    assert {row.reasons for row in measured.qualities if row.unit == "T2"} == {("frames.csv has no frame for T2.",)}
    assert {row.unit for row in measured.measured} == {"T1"}


def test_a_tank_whose_zones_leave_nothing_says_so_on_each_of_its_photos(again):
    row_changed(again, "zones.csv", 1, kind="ignore", polygon="0 0; 70 0; 70 50; 0 50")
    measured = measure(again)
    reasons = {row.reasons for row in measured.qualities if row.unit == "T2"}
    assert len(reasons) == 1
    assert "The zones of T2 leave nothing to measure" in reasons.pop()[0]
    assert {row.unit for row in measured.measured} == {"T1"}


def test_a_photo_whose_process_dies_is_told_and_tried_again_at_the_next_run(again, measured_once):
    store = Store(again / "other")
    before = deadly(read(again))
    measured = folder_measure(folder=before, store=store, workers=2)
    lost = quality_of(measured, DeadlyRoot.DEADLY)
    assert (lost.quality, lost.reasons) == (NOT_USABLE, ("The process that did this work was stopped from outside, or ran out of memory.",))
    rest = tuple(row for row in measured_once[1].measured if row.photo != DeadlyRoot.DEADLY)
    assert measured.measured == rest
    second = measure(again, store=store)
    assert second.fresh == 1
    assert all_of(second) == all_of(measured_once[1])


# Frames given in other ways.


def test_in_mode_registered_a_nudged_camera_is_followed(again):
    nudged = photo_path("T1", 14)
    (again / nudged).write_bytes(saved(np.roll(picture_of("T1", 14), (4, -7), axis=(0, 1))))
    measured = measure(again)
    (x, y), still = quality_of(measured, nudged).corners[0], quality_of(measured, photo_path("T1", 7)).corners[0]
    assert (x - still[0], y - still[1]) == pytest.approx((-7, 4), abs=0.7)
    assert values(measured, "canopy_height")[nudged] == pytest.approx(21.0, abs=0.25)


# Strokes that do not fit.


def test_strokes_on_a_photo_of_another_scene_are_left_out_with_a_caution_that_a_second_run_repeats(again):
    (again / photo_path("T2", 14)).write_bytes(saved(ANOTHER_SCENE))
    first = measure(again)
    told = "The strokes of photos/T2-14.jpg could not be used: The tank was not found again"
    assert [caution[: len(told)] for caution in first.cautions] == [told]
    assert values(first, "plant_cover")[photo_path("T1", 7)] == pytest.approx(23.7, abs=1)
    second = measure(again)
    assert second.fresh == 0
    assert all_of(second) == all_of(first)
