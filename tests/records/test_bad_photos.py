"""Bad photos, strokes and corners through the whole of `fairtank measure`: what is told reads well, and what counts is right."""

import csv
import io
import shutil
from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from tests.cli.running import run_here
from tests.records.photo_trials import CLASSES, Shape, copied, photo_path, photo_trial, picture_of, row_changed
from tests.vision.pictures import encoded

from fairtank.records.folder import write_tables
from fairtank.simulation import camera, render_photo, scenario
from fairtank.simulation.card import card_corners_in_photo
from fairtank.simulation.scenario import Scenario
from fairtank.trial import CardOfUnit

SMALL = Shape(days=(0, 7), mode="fixed", painted=(("T1", 7), ("T2", 7)), shrink=2)
PLACE = {(unit, day): photo_path(unit, day, SMALL) for unit in SMALL.units for day in SMALL.days}


@pytest.fixture(scope="module")
def made(tmp_path_factory) -> Path:
    return photo_trial(tmp_path_factory.mktemp("made") / "trial", SMALL)


@pytest.fixture
def trial(made, tmp_path) -> Path:
    return copied(made, tmp_path / "trial")


def measured(capsys, root: Path):
    """What `fairtank measure` says and the rows of photos_quality.csv by photo; values too."""
    out = root.parent / "out"
    told = run_here(capsys, "measure", root, "--out", out, "--workers", "1")
    if told.code:
        return told, {}, []
    with (out / "photos_quality.csv").open(encoding="utf-8", newline="") as lines:
        rows = {row["photo"]: row for row in csv.DictReader(lines)}
    with (out / "measures.csv").open(encoding="utf-8", newline="") as lines:
        return told, rows, list(csv.DictReader(lines))


def row_added(root: Path, photo: str, unit: str, taken_at: str) -> None:
    with (root / "photos.csv").open("a", encoding="utf-8") as table:
        table.write(f"{photo},{unit},{taken_at}\n")


def noisy(unit: str, day: int, seed: int) -> np.ndarray:
    """The made-up picture with the noise of one exposure."""
    picture = picture_of(unit, day)[:: SMALL.shrink, :: SMALL.shrink]
    return np.clip(picture + np.random.default_rng(seed).normal(0, 3, picture.shape), 0, 255).astype(np.uint8)


def strokes_put(root: Path, rgb: tuple[int, int, int], part: tuple[slice, slice] = (slice(None), slice(None))) -> None:
    """All stroke pictures painted in one colour."""
    for place in (root / "labels").glob("*.png"):
        strokes = np.zeros((375, 500, 3), np.uint8)
        strokes[part] = rgb
        place.write_bytes(encoded(strokes, compress_level=1))


def test_strokes_of_another_size_are_refused_with_both_sizes(capsys, trial):
    (trial / "labels" / "T1-07.png").write_bytes(encoded(np.zeros((300, 400, 3), np.uint8)))
    told, _, _ = measured(capsys, trial)
    assert told.code == 1
    assert "labels/T1-07.png" in told.err
    assert "the picture has 400 x 300 px" in told.err
    assert "the size of the upright photo, 500 x 375 px" in told.err


@pytest.mark.parametrize("part", [(slice(70, 80), slice(100, 400)), (slice(None), slice(None))], ids=["one class only", "all one colour"])
def test_strokes_of_one_class_measure_nothing_and_say_what_is_missing(capsys, trial, part):
    strokes_put(trial, CLASSES[0].rgb, part)
    told, rows, values = measured(capsys, trial)
    assert told.code == 0
    assert "The strokes cover too few pixels inside the frames" in told.out
    assert "Paint more strokes in labels/." in told.out
    assert values == []
    assert {row["quality"] for row in rows.values()} == {"usable"}


@pytest.mark.parametrize(
    ("corners", "sentence"),
    [
        ({"x1": "425", "x2": "75"}, "the corners do not go round the frame in order"),
        ({"y2": "310", "y3": "60"}, "the corners do not go round the frame in order"),
        ({"y1": "310", "y2": "310"}, "the corners do not go round the frame in order"),
        ({"x2": "250", "y2": "185"}, "the corners form a shape with a dent or no area"),
        ({"x3": "700"}, "lies outside the reference photo"),
    ],
    ids=["crossed", "crossed down", "collinear", "three in line", "outside"],
)
def test_corners_that_make_no_frame_are_refused(capsys, trial, corners, sentence):
    row_changed(trial, "frames.csv", 0, **corners)
    told, _, _ = measured(capsys, trial)
    assert told.code == 1
    assert "frames.csv" in told.err
    assert sentence in told.err


@pytest.mark.parametrize("mode", ["registered", "fixed"])
def test_a_photo_of_another_tank_gives_no_value_unless_a_keeper_vouches_for_its_frame(capsys, trial, mode):
    frames = trial / "frames.csv"
    frames.write_text(frames.read_text(encoding="utf-8").replace("fixed", mode), encoding="utf-8")
    shutil.copy(trial / PLACE["T2", 0], trial / "photos" / "T1-09.jpg")
    picture = Image.open(trial / "photos" / "T1-09.jpg")
    picture.save(trial / "photos" / "T1-09.jpg", quality=85)
    row_added(trial, "photos/T1-09.jpg", "T1", "2026-03-10T18:00")
    _, rows, values = measured(capsys, trial)
    wrong = rows["photos/T1-09.jpg"]
    assert wrong["quality"] == ("not usable" if mode == "registered" else "doubtful")
    assert wrong["verdicts"] in ("wrong_tank", "not_registered")
    assert "another tank" in wrong["reasons"]
    assert ("photos/T1-09.jpg" in {row["photo"] for row in values}) == (mode == "fixed")
    assert {row["quality"] for photo, row in rows.items() if photo != "photos/T1-09.jpg"} == {"usable"}


def test_each_photo_of_another_place_gives_values_in_a_fixed_frame_also_with_strokes_on_it(capsys, trial):
    """Each photo shows another drawn tank; strokes on one that is not its unit's reference photo count as well."""
    for number, place in enumerate(PLACE.values()):
        picture = picture_of(f"T{number + 3}", 7)[:: SMALL.shrink, :: SMALL.shrink]
        (trial / place).write_bytes(encoded(picture, "JPEG", quality=92))
    told, rows, values = measured(capsys, trial)
    assert told.code == 0
    assert "could not be used" not in told.out
    assert {row["quality"] for row in rows.values()} == {"usable", "doubtful"}
    assert {row["photo"] for row in values if row["measure"] == "plant_cover"} == set(PLACE.values())


class OtherCard(Scenario):
    """A tank before which another tank's card was put up."""

    @property
    def cards_of_units(self) -> tuple[CardOfUnit, ...]:
        own, other = super().cards_of_units[:2]
        return (replace(other, unit=own.unit),)


def test_a_half_hidden_card_and_another_tanks_card_are_told(capsys, tmp_path):
    size, days, root = (1024, 768), (0, 16, 18), tmp_path / "trial"
    trial = replace(scenario("midday"), photo_size=size)
    swapped = OtherCard(**{field.name: getattr(trial, field.name) for field in fields(trial)})
    photos = [trial.photo("T1", day) for day in days]
    (root / "photos").mkdir(parents=True)
    for photo in photos:
        picture = render_photo(swapped if photo.day == 18 else trial, "T1", photo.day, size).image.copy()
        if photo.day == 16:
            shot = camera.shot(camera.View(*size), trial.seed, "T1", 16)
            corners = np.array(card_corners_in_photo(camera.View(*size), shot.homography, trial.seed, "T1"))
            left, top = corners.min(axis=0).astype(int)
            right, bottom = corners.max(axis=0).astype(int)
            picture[top - 4 : bottom + 4, left - 4 : (left + right) // 2] = (60, 90, 50)  # a leaf, a cloth
        (root / photo.path).write_bytes(encoded(picture, "JPEG", quality=92))
    frame = next(frame for frame in trial.frames if frame.unit == "T1")
    write_tables(root, trial.plan, photos=photos, frames=[frame], cards=trial.cards_of_units)
    _, rows, _ = measured(capsys, root)
    first, half, other = (rows[photo.path] for photo in photos)
    assert (first["quality"], first["verdicts"]) == ("usable", "")
    assert half["quality"] in ("usable", "doubtful")
    assert not {"wrong_tank", "laid_out_anew", "obstructed"} & set(half["verdicts"].split())
    assert (other["quality"], other["verdicts"].split()[0]) == ("not usable", "wrong_tank")
    cards = {card.unit: card.card for card in trial.cards_of_units}
    assert f"this tank's card is number {cards['T1']}" in other["reasons"]


def test_one_file_listed_twice_counts_once(capsys, trial):
    shutil.copy(trial / PLACE["T1", 7], trial / "photos" / "T1-10.jpg")
    row_added(trial, "photos/T1-10.jpg", "T1", "2026-03-11T18:00")
    told, rows, values = measured(capsys, trial)
    again = rows["photos/T1-10.jpg"]
    assert (again["quality"], again["verdicts"]) == ("not usable", "duplicate")
    assert again["reasons"].startswith("This file is the same as T1-07.jpg, byte for byte")
    assert rows[PLACE["T1", 7]]["quality"] == "usable"
    assert "photos/T1-10.jpg" not in {row["photo"] for row in values}
    assert told.out.startswith("5 photos, 5 of them measured now: 4 usable, 0 doubtful, 1 not usable.")


def test_one_file_listed_for_two_tanks_counts_for_the_one_it_shows(capsys, trial):
    shutil.copy(trial / PLACE["T1", 7], trial / PLACE["T2", 7])
    (trial / "labels" / "T2-07.png").unlink()
    _, rows, values = measured(capsys, trial)
    right, wrong = rows[PLACE["T1", 7]], rows[PLACE["T2", 7]]
    assert (right["quality"], wrong["quality"]) == ("usable", "not usable")
    assert {"wrong_tank", "duplicate"} <= set(wrong["verdicts"].split())
    assert "The same file is listed for T1 and T2" in wrong["reasons"]
    assert PLACE["T2", 7] not in {row["photo"] for row in values}


@pytest.mark.parametrize("longest", [500, 440], ids=["same size", "smaller"])
def test_a_photo_stored_again_in_another_quality_is_recognised(capsys, trial, longest):
    once = Image.fromarray(noisy("T1", 7, 4))
    once.save(trial / PLACE["T1", 7], quality=93)
    smaller = once.resize((longest, longest * 3 // 4), Image.Resampling.BOX) if longest < 500 else once
    smaller.save(trial / "photos" / "T1-09.jpg", quality=84)
    row_added(trial, "photos/T1-09.jpg", "T1", "2026-03-10T18:00")
    _, rows, _ = measured(capsys, trial)
    again = rows["photos/T1-09.jpg"]
    assert (again["quality"], again["verdicts"].split()[0]) == ("not usable", "duplicate")
    assert "This is the photo T1-07.jpg once more, stored again" in again["reasons"]


def test_two_honest_photos_of_an_unchanged_tank_are_no_duplicates(capsys, trial):
    """From a stand, without growth: only the camera's noise differs."""
    for day in (7, 9):
        Image.fromarray(noisy("T1", 7, day)).save(trial / "photos" / f"T1-{day:02d}.jpg", quality=92)
    row_added(trial, "photos/T1-09.jpg", "T1", "2026-03-10T18:00")
    _, rows, _ = measured(capsys, trial)
    assert {row["quality"] for row in rows.values()} == {"usable"}, [row["reasons"] for row in rows.values()]


def test_of_two_photos_within_the_hour_the_better_one_counts(capsys, trial):
    import cv2

    (trial / PLACE["T1", 7]).write_bytes(encoded(noisy("T1", 7, 7), "JPEG", quality=92))
    shaken = cv2.GaussianBlur(noisy("T1", 7, 8), (0, 0), 0.5)
    (trial / "photos" / "T1-08.jpg").write_bytes(encoded(shaken, "JPEG", quality=92))
    row_added(trial, "photos/T1-08.jpg", "T1", "2026-03-08T18:12")
    _, rows, values = measured(capsys, trial)
    worse = rows["photos/T1-08.jpg"]
    assert worse["quality"] == "not usable"
    assert "retaken" in worse["verdicts"].split()
    assert "Another photo of T1, taken 12 minutes earlier, is better and counts for this round: T1-07.jpg." in worse["reasons"]
    assert rows[PLACE["T1", 7]]["quality"] == "usable"
    assert [row["photo"] for row in values if row["measure"] == "plant_cover" and row["unit"] == "T1" and row["zone"] == ""] == [
        PLACE["T1", 0], PLACE["T1", 7],
    ]  # fmt: skip


def with_time(content: bytes, moment: str) -> bytes:
    """The same photo with a time of its own."""
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x9003] = moment
    out = io.BytesIO()
    Image.open(io.BytesIO(content)).save(out, "JPEG", quality=92, exif=exif.tobytes())
    return out.getvalue()


def test_a_clock_that_contradicts_the_list_is_told_and_the_list_counts(capsys, trial):
    place = trial / PLACE["T1", 7]
    place.write_bytes(with_time(place.read_bytes(), "2025:03:08 18:00:00"))
    told, rows, _ = measured(capsys, trial)
    assert told.code == 0
    assert rows[PLACE["T1", 7]]["day"] == "7"
    said = [line for line in told.out.splitlines() if "2025-03-08 18:00" in line]
    assert len(said) == 1
    assert "look which is right, and set the camera's clock" in said[0]


def test_running_numbers_against_the_time_are_told(capsys, trial):
    for (unit, day), number in zip(PLACE, (1001, 1004, 1002, 1003), strict=True):
        if unit == "T1":
            (trial / PLACE[unit, day]).rename(trial / "photos" / f"IMG_{number}.jpg")
            for table in ("photos.csv", "frames.csv"):
                text = (trial / table).read_text(encoding="utf-8")
                (trial / table).write_text(text.replace(PLACE[unit, day], f"photos/IMG_{number}.jpg"), encoding="utf-8")
    shutil.move(trial / "labels" / "T1-07.png", trial / "labels" / "IMG_1004.png")
    row_changed(trial, "photos.csv", 0, taken_at="2026-03-09T18:00")
    told, _, _ = measured(capsys, trial)
    assert "comes after photos/IMG_1001.jpg by its number, but before it by its time" in told.out
