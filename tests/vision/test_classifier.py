"""The frozen classifier: one digest for one set of strokes, kinds that add up to their class, new colours and odd photos named."""

import subprocess
import sys

import numpy as np
import pytest
from tests.vision.pictures import BLUE, BROWN, GREEN, classifier, tank_picture, view

from fairtank.errors import PhotoError
from fairtank.trial import LabelClass, Zone
from fairtank.vision.classes.classifier import ALGAE, BACKGROUND, PLANT, Classifier, classified, learn_classes
from fairtank.vision.classes.doubt import odd_photos
from fairtank.vision.classes.lookup import CELLS, Strokes, cell_index, learn_colours
from fairtank.vision.classes.static import static_masks, view_without
from fairtank.vision.classes.strokes import UNPAINTED, StrokePicture

RED = (170, 50, 60)
DIGEST = "from tests.vision.pictures import classifier; print(classifier().digest)"


def noisy(rgb: tuple[int, int, int], count: int = 500, seed: int = 1) -> np.ndarray:
    return np.clip(np.array(rgb) + np.random.default_rng(seed).normal(0, 8, (count, 3)), 0, 255).astype(np.uint8)


def of_strokes(*parts: Strokes) -> Classifier:
    return Classifier(learn_colours(parts, np.zeros(CELLS)))


def test_the_same_strokes_give_the_same_digest_in_another_process():
    said = subprocess.run([sys.executable, "-c", DIGEST], capture_output=True, text=True, check=True)
    assert said.stdout.strip() == classifier().digest


def test_other_strokes_give_another_digest():
    parts = Strokes("plant", "plant", noisy(GREEN)), Strokes("background", "background", noisy(BLUE))
    more = Strokes("plant", "plant", noisy(GREEN, seed=2)), parts[1]
    assert of_strokes(*parts).digest == of_strokes(*parts).digest != of_strokes(*more).digest


def test_classes_by_colour_are_the_majority_of_25_px_in_plain_counting():
    picture, made = tank_picture()[300:420, 200:360], classifier()
    raw = np.pad(made.lookup.classes[cell_index(picture)], 2, mode="edge")
    squares = np.lib.stride_tricks.sliding_window_view(raw, (5, 5)).reshape(120, 160, 25)
    plant, algae = (squares == PLANT).sum(axis=2), (squares == ALGAE).sum(axis=2)
    expected = np.where(plant + algae <= 12, BACKGROUND, np.where(algae > plant, ALGAE, PLANT))
    assert np.array_equal(classified(picture, made).classes, expected)
    assert len(np.unique(expected)) > 1


@pytest.fixture(scope="module")
def kinds() -> Classifier:
    return of_strokes(
        Strokes("plant_green", "plant", noisy(GREEN)), Strokes("plant_red", "plant", noisy(RED)),
        Strokes("algae", "algae", noisy(BROWN)), Strokes("background", "background", noisy(BLUE)),
    )  # fmt: skip


def test_kinds_of_a_class_are_told_by_colour_and_add_up_to_it(kinds):
    picture = np.full((60, 100, 3), BLUE, np.uint8)
    picture[:, :30], picture[:, 30:40] = GREEN, RED
    whole = np.ones((60, 100), bool)
    found = classified(picture, kinds)
    shares = found.kind_shares(whole)
    assert shares == pytest.approx({"plant_green": 0.3, "plant_red": 0.1}, abs=0.005)
    assert sum(shares.values()) == pytest.approx((found.classes == PLANT).mean())


def test_a_class_of_one_kind_has_no_kinds(kinds):
    assert kinds.kinds == {"plant": ("plant_green", "plant_red")}
    assert classifier().kinds == {}


def test_a_colour_that_no_stroke_showed_is_new(kinds):
    picture = np.full((40, 100, 3), BLUE, np.uint8)
    picture[:, :25] = (250, 240, 20)
    found = classified(picture, kinds)
    assert found.new_fraction(np.ones((40, 100), bool)) == pytest.approx(0.25)


def test_a_tint_over_the_whole_photo_shows_as_new_colours():
    picture = tank_picture()
    tinted = np.clip(picture * np.array([1.25, 1.05, 0.55]), 0, 255).astype(np.uint8)
    inside = np.zeros(picture.shape[:2], bool)
    inside[125:615, 155:845] = True
    usual, odd = (classified(one, classifier()).new_fraction(inside) for one in (picture, tinted))
    assert usual < 0.1
    assert odd > 0.5


def test_a_photo_is_odd_against_the_median_of_the_trial():
    assert odd_photos((0.01, 0.02, 0.09, None, 0.015)) == (False, False, True, False, False)
    assert odd_photos((0.0001, 0.0001, 0.002)) == (False, False, False)  # twenty times the median, but next to nothing
    assert odd_photos((None, None)) == (False, False)


def test_static_strokes_mask_their_unit_and_no_other():
    kinds = LabelClass("heater", (9, 9, 9), "static"), LabelClass("plant", (0, 158, 115), "plant")
    numbers = np.full((50, 70), UNPAINTED, np.uint8)
    numbers[10:20, 10:20], numbers[30:40, 30:40] = 0, 1
    one = StrokePicture("a.jpg", np.zeros((50, 70, 3), np.uint8), numbers, np.ones((50, 70), bool))
    masks = static_masks((one,), kinds, {"a.jpg": "T1"})
    assert list(masks) == ["T1"]
    assert masks["T1"][15, 15]
    assert not masks["T1"][35, 35]


def test_what_is_static_no_longer_counts_but_is_still_seen():
    floor = Zone("T1", "bed", "floor", ((0.0, 40.0), (70.0, 40.0), (70.0, 50.0), (0.0, 50.0)))
    before = view(tank_picture(), zones=(floor,))
    mask = np.zeros(before.counted.shape, bool)
    mask[:, :100] = True
    after = view_without(before, mask)
    assert not after.counted[:, :100].any()
    assert after.counted[:, 100:].all()
    assert after.seen.all()
    assert not after.zones[0][:, :100].any()
    assert after.zones[0].any()


def test_static_strokes_over_everything_are_refused():
    before = view(tank_picture())
    with pytest.raises(PhotoError, match=r"static strokes of T1 leave nothing to measure"):
        view_without(before, np.ones(before.counted.shape, bool))


def test_static_strokes_teach_no_colour():
    """A heater painted green-white is no plant and no background: its px are left out of what is learnt."""
    kinds = (LabelClass("plant", (0, 158, 115), "plant"), LabelClass("background", (86, 180, 233), "background"),
             LabelClass("heater", (9, 9, 9), "static"))
    picture = np.zeros((60, 60, 3), np.uint8)
    picture[:20], picture[20:40], picture[40:] = noisy(GREEN, 1200).reshape(20, 60, 3), noisy(BLUE, 1200).reshape(20, 60, 3), RED
    numbers = np.repeat(np.array([0, 1, 2], np.uint8), 20)[:, None].repeat(60, axis=1)
    with_heater = learn_classes((StrokePicture("a", picture, numbers, np.ones((60, 60), bool)),), kinds)
    assert with_heater.known == ("background", "plant")
    assert with_heater.lookup.new[int(cell_index(np.array(RED, np.uint8)))]
