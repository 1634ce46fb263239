"""Photos to paint: balanced over the arms, shown blind, and taken back only when every picture is in order."""

import json
from collections import Counter
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from tests.records.photo_trials import CLASSES, PAINTED, Shape, photo_trial, read, strokes_picture
from tests.vision.pictures import encoded

from fairtank.errors import InputError
from fairtank.records.services.painting import photos_to_paint, strokes_ask, strokes_take, unbalanced_strokes
from fairtank.trial import Label

FOUR = Shape(days=(0, 3, 6, 9, 12, 15), units=("T1", "T2", "T3", "T4"), painted=(), shrink=2)
SMALL = Shape(days=(0, 7, 14), painted=(), shrink=2)
STROKES = strokes_picture()[::2, ::2]


@pytest.fixture(scope="module")
def four(tmp_path_factory):
    return read(photo_trial(tmp_path_factory.mktemp("four") / "trial", FOUR))


@pytest.fixture
def asked(tmp_path):
    """A small trial with two photos laid out for painting."""
    root = photo_trial(tmp_path / "trial", SMALL)
    return root, strokes_ask(root=root, count=2)


def over(copy: Path, strokes: np.ndarray) -> np.ndarray:
    """The copy with strokes painted over it."""
    with Image.open(copy) as picture:
        ground = np.asarray(picture.convert("RGB")).copy()
    painted = strokes.any(axis=2)
    ground[painted] = strokes[painted]
    return ground


def paint(place: Path, name: str, picture: np.ndarray) -> None:
    (place / name).write_bytes(encoded(picture, compress_level=1))


def test_the_first_photos_are_equal_per_arm_and_stage_and_from_all_tanks(four):
    chosen = photos_to_paint(four, 6, {})
    arm_of = {unit.key: unit.arm for unit in four.plan.units}
    stages = Counter((arm_of[photo.unit], min(3 * photo.day // 16, 2)) for photo in chosen)
    assert stages == {(arm, stage): 1 for arm in "RC" for stage in range(3)}
    assert {photo.unit for photo in chosen} == {"T1", "T2", "T3", "T4"}


@pytest.mark.parametrize("count", [2, 4, 8, 12])
def test_any_even_count_is_shared_equally_by_the_arms(four, count):
    arm_of = {unit.key: unit.arm for unit in four.plan.units}
    assert Counter(arm_of[photo.unit] for photo in photos_to_paint(four, count, {})) == {"R": count // 2, "C": count // 2}


def test_in_a_swap_the_arm_is_that_of_the_photos_day(four):
    units = tuple(replace(unit, first_arm=unit.arm) for unit in four.plan.units)
    plan = replace(four.plan, kind="swap", swap_day=8, washout_days=0, units=units)
    chosen = photos_to_paint(replace(four, plan=plan), 8, {})
    at_first = {unit.key: unit.arm for unit in plan.units}
    arms = Counter(at_first[photo.unit] if photo.day < 8 else {"R": "C", "C": "R"}[at_first[photo.unit]] for photo in chosen)
    assert arms == {"R": 4, "C": 4}
    painted = [Label(photo.path, "x.png") for photo in four.photos if (photo.day < 8) == (at_first[photo.unit] == "R")][:6]
    assert "unevenly" in unbalanced_strokes(replace(four, plan=plan, labels=tuple(painted)))


def test_the_most_doubtful_photo_of_its_tank_and_stage_is_asked_for_and_the_arms_stay_equal(four):
    doubts = {photo.path: 0.2 for photo in four.photos if photo.unit == "T1"} | {"photos/T1-03.jpg": 0.5}
    chosen = photos_to_paint(four, 6, doubts)
    arm_of = {unit.key: unit.arm for unit in four.plan.units}
    assert "photos/T1-03.jpg" in {photo.path for photo in chosen}
    assert Counter(arm_of[photo.unit] for photo in chosen) == {"R": 3, "C": 3}


def test_a_folder_with_no_photos_left_is_refused(tmp_path):
    every = tuple((unit, day) for unit in ("T1", "T2") for day in (0, 7))
    root = photo_trial(tmp_path / "trial", Shape(days=(0, 7), painted=every, shrink=2))
    with pytest.raises(InputError, match="photos that were not painted yet"):
        strokes_ask(root=root)


def test_the_copies_tell_neither_tank_nor_day(asked):
    root, laid = asked
    files = sorted(path.name for path in laid.place.iterdir())
    assert files == ["how-to-paint.txt", "paint-1.jpg", "paint-2.jpg"]
    with Image.open(laid.place / "paint-1.jpg") as copy:
        assert not copy.getexif()
    text = (laid.place / "how-to-paint.txt").read_text(encoding="utf-8")
    assert "#009e73" in text
    assert not any(unit in text for unit in ("T1", "T2"))
    assert laid.key.parent == root
    assert {one["photo"][:9] for one in json.loads(laid.key.read_text())["copies"].values()} == {"photos/T1", "photos/T2"}


def test_strokes_painted_over_the_copies_come_into_the_folder_as_they_were_meant(asked):
    root, laid = asked
    paint(laid.place, "paint-1.png", over(laid.place / "paint-1.jpg", STROKES))
    paint(laid.place, "paint-2.png", STROKES)  # on a black ground
    taken = strokes_take(root=root, place=laid.place)
    assert len(taken.labels) == 2
    assert taken.cautions == ()
    folder = read(root)
    assert {kind.key for kind in folder.label_classes} == {"plant", "algae", "background"}
    for label in folder.labels:
        with Image.open(root / label.path) as picture:
            got = np.asarray(picture.convert("RGB"))
        for kind in CLASSES:
            top, bottom, left, right = (part // 2 for part in PAINTED[kind.key])
            wanted = np.zeros(got.shape[:2], bool)
            wanted[top:bottom, left:right] = True
            assert ((got == kind.rgb).all(axis=2) == wanted).mean() > 0.999


def spoilt(place: Path, how: str) -> np.ndarray:
    copy = place / "paint-1.jpg"
    if how == "cut":
        return over(copy, STROKES)[10:]
    if how == "empty":
        return over(copy, np.zeros_like(STROKES))
    if how == "soft":
        near = np.where(STROKES > 0, np.minimum(STROKES.astype(int) + 5, 255), 0).astype(np.uint8)
        return over(copy, near)
    if how == "filled":
        return np.full_like(STROKES, CLASSES[0].rgb)
    wall = np.random.default_rng(0).integers(150, 255, STROKES.shape).astype(np.uint8)
    wall[STROKES.any(axis=2)] = STROKES[STROKES.any(axis=2)]
    return wall


FAULTS = {"cut": "without cutting or scaling", "empty": "holds no strokes", "soft": "nearly, not exactly",
          "filled": "100 % of it is painted", "other photo": "painted over another photo"}


@pytest.mark.parametrize(("how", "said"), FAULTS.items(), ids=FAULTS.keys())
def test_a_picture_that_cannot_be_meant_is_refused_and_nothing_is_written(asked, how, said):
    root, laid = asked
    paint(laid.place, "paint-1.png", spoilt(laid.place, how))
    paint(laid.place, "paint-2.png", STROKES)
    with pytest.raises(InputError, match=rf"paint-1\.png: .*{said}"):
        strokes_take(root=root, place=laid.place)
    assert not (root / "labels").exists()


def test_what_is_no_png_is_named_once_in_plain_words_and_other_pictures_are_not_passed_over_in_silence(asked):
    root, laid = asked
    (laid.place / "paint-1.png").write_bytes(b"no picture")
    (laid.place / "paint-4.jpeg").write_bytes(b"no matter")
    with pytest.raises(InputError) as refused:
        strokes_take(root=root, place=laid.place)
    assert str(refused.value) == (
        f"the folder with painted photos is {laid.place}; accepted: pictures with strokes of several classes in exactly the given colours. "
        "Nothing was taken:\npaint-1.png cannot be read as a PNG picture of strokes. Save it once more as PNG.\n"
        "paint-4.jpeg was passed over: only PNG pictures named as their copies (paint-1.png) are taken.")
    paint(laid.place, "paint-1.png", STROKES)
    taken = strokes_take(root=root, place=laid.place)
    assert [said for said in taken.cautions if "paint-4.jpeg was passed over" in said]


def test_strokes_of_one_class_alone_are_refused(asked):
    root, laid = asked
    only = np.where((CLASSES[0].rgb == STROKES).all(axis=2)[..., None], STROKES, 0).astype(np.uint8)
    paint(laid.place, "paint-1.png", only)
    with pytest.raises(InputError, match="strokes of plant only"):
        strokes_take(root=root, place=laid.place)


def test_nothing_painted_a_lost_key_and_a_place_in_use_are_refused_in_a_sentence(asked):
    root, laid = asked
    with pytest.raises(InputError, match=r"paint-1\.png and so on"):
        strokes_take(root=root, place=laid.place)
    with pytest.raises(InputError, match="a new or an empty folder"):
        strokes_ask(root=root)
    laid.key.unlink()
    with pytest.raises(InputError, match="nobody can tell which photo is which"):
        strokes_take(root=root, place=laid.place)


def test_a_photo_that_was_painted_before_is_not_overwritten(asked):
    root, laid = asked
    paint(laid.place, "paint-1.png", STROKES)
    strokes_take(root=root, place=laid.place)
    before = {path: path.read_bytes() for path in (root / "labels").iterdir()}
    with pytest.raises(InputError, match="was painted before"):
        strokes_take(root=root, place=laid.place)
    after = {path: path.read_bytes() for path in (root / "labels").iterdir()}
    assert before == after


def test_strokes_in_one_arm_only_are_warned_of_without_naming_it(tmp_path):
    folder = read(photo_trial(tmp_path / "trial", Shape(painted=(("T1", 0), ("T1", 7)), shrink=2)))
    said = unbalanced_strokes(folder)
    assert said is not None
    assert "2 painted photos in one, 0 in another" in said
    assert not any(word in said for word in ("T1", "T2", "plain", "dimmed", "reference"))
    assert unbalanced_strokes(folder, ("photos/T2-00.jpg",)) is None
