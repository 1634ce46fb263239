"""What lies around a pixel tells two things of one colour apart: broad leaves from threads, where a colour lookup can only guess."""

import numpy as np
import pytest

from fairtank.trial import LabelClass
from fairtank.vision.classes.classifier import ALGAE, PLANT, Classifier, classified, learn_classes
from fairtank.vision.classes.context import PLANES, SmallPicture, context_planes, small_picture
from fairtank.vision.classes.split import painted_cells
from fairtank.vision.classes.strokes import UNPAINTED, StrokePicture

KINDS = (LabelClass("plant", (0, 158, 115), "plant"), LabelClass("algae", (213, 94, 0), "algae"),
         LabelClass("ground", (0, 0, 0), "background"))
GREEN, GROUND = (70, 130, 60), (130, 110, 95)
ALWAYS = np.repeat(np.array([[0], [255], [0]], np.uint8), 32768, axis=1)


def two_greens(seed: int, leaves: int = 12, threads: int = 40) -> tuple[np.ndarray, np.ndarray]:
    """A picture of 480 x 360 px with broad leaves and thin threads of one and the same green, and what each px is (0, 1 leaf, 2 thread)."""
    import cv2

    rng = np.random.default_rng(seed)
    truth = np.zeros((360, 480), np.uint8)
    for _ in range(threads):
        x, y = int(rng.integers(10, 470)), int(rng.integers(10, 350))
        angle = rng.uniform(0, np.pi)
        cv2.line(truth, (x, y), (int(x + 40 * np.cos(angle)), int(y + 40 * np.sin(angle))), 2, 3)
    for _ in range(leaves):
        place = int(rng.integers(30, 450)), int(rng.integers(30, 330))
        cv2.ellipse(truth, place, (int(rng.integers(24, 38)), int(rng.integers(14, 22))), float(rng.uniform(0, 180)), 0, 360, 1, -1)
    colours = np.array([GROUND, GREEN, GREEN])[truth]
    return np.clip(colours + rng.normal(0, 9, colours.shape), 0, 255).astype(np.uint8), truth


def painted(seed: int) -> StrokePicture:
    """The picture with strokes on a tenth of the leaves', threads' and ground's px, in short lines."""
    import cv2

    picture, truth = two_greens(seed)
    rng = np.random.default_rng(seed + 100)
    lines = np.zeros(truth.shape, np.uint8)
    for _ in range(220):
        x, y = int(rng.integers(0, 480)), int(rng.integers(0, 360))
        cv2.line(lines, (x, y), (x + int(rng.integers(-15, 15)), y + int(rng.integers(-15, 15))), 1, 3)
    numbers = np.where(lines > 0, np.array([2, 0, 1], np.uint8)[truth], UNPAINTED).astype(np.uint8)
    return StrokePicture(f"{seed}.jpg", picture, numbers, np.ones(truth.shape, bool))


@pytest.fixture(scope="module")
def learnt() -> Classifier:
    return learn_classes((painted(1), painted(2), painted(3)), KINDS)


def cover_errors(classifier: Classifier, seeds: range) -> np.ndarray:
    """Mean absolute error of plant and algae cover on fresh pictures. [points]"""
    errors = []
    for seed in seeds:
        picture, truth = two_greens(seed, leaves=4 + seed % 9, threads=15 + 5 * (seed % 7))
        classes = classified(picture, classifier).classes
        errors.append([100 * abs((classes == kind).mean() - (truth == kind).mean()) for kind in (PLANT, ALGAE)])
    return np.array(errors).mean(axis=0)


def test_two_things_of_one_colour_are_told_apart_by_their_size(learnt):
    by_context, by_colour = cover_errors(learnt, range(20, 28)), cover_errors(Classifier(learnt.lookup), range(20, 28))
    assert (by_context < 1.5).all()
    assert (by_context < 0.5 * by_colour).all()


def test_strokes_of_one_living_class_need_no_context():
    one = painted(1)
    numbers = np.where(one.numbers == 1, UNPAINTED, one.numbers).astype(np.uint8)
    assert learn_classes((StrokePicture("a", one.picture, numbers, one.counted),), KINDS).context is None


def test_a_photo_whose_others_show_only_one_class_is_still_used():
    """Two photos, of which only one has algae strokes: learnt without it there is no algae; then the common lookup serves."""
    first, second = painted(1), painted(2)
    numbers = np.where(second.numbers == 1, UNPAINTED, second.numbers).astype(np.uint8)
    both = learn_classes((first, StrokePicture("b", second.picture, numbers, second.counted)), KINDS)
    assert both.context is not None


def test_the_small_picture_is_the_mean_of_whole_blocks_also_at_the_edges():
    picture = np.random.default_rng(0).integers(0, 256, (487, 730, 3)).astype(np.uint8)
    small = small_picture(picture, ALWAYS)
    assert small.step == 3
    assert small.colours.shape == (163, 244, 3)
    for row, column in ((0, 0), (80, 100), (162, 243)):
        block = picture[3 * row:3 * row + 3, 3 * column:3 * column + 3].reshape(-1, 3)
        assert np.abs(small.colours[row, column] - block.mean(axis=0)).max() <= 0.5
    assert (small.shares[1] == 255).all()


def test_planes_tell_thick_from_thin():
    shares = np.zeros((3, 120, 160), np.uint8)
    shares[1, 20:60, 20:60] = 255
    shares[1, 90:92, 20:140] = 255
    shares[0] = 255 - shares[1]
    planes = context_planes(SmallPicture(1, np.full((120, 160, 3), 90, np.uint8), shares))
    thickness, around = planes[PLANES.index("thickness")], planes[PLANES.index("thickness_25")]
    assert planes.shape == (len(PLANES), 120, 160)
    assert thickness[40, 40] > 120
    assert 0 < thickness[90, 80] < 20
    assert around[21, 40] > 90 > around[91, 100]


def test_planes_of_a_picture_smaller_than_their_squares_are_whole():
    planes = context_planes(small_picture(np.full((20, 30, 3), 90, np.uint8), ALWAYS))
    assert planes.shape == (len(PLANES), 20, 30)
    assert (planes[PLANES.index("living_71")] == 255).all()


def test_a_cell_belongs_to_the_stroke_that_covers_a_third_of_it():
    numbers = np.full((240, 480), UNPAINTED, np.uint8)
    numbers[0, 0:2], numbers[2, 2] = 0, 1  # half of one cell, a quarter of another
    cells = painted_cells(numbers, np.array([1, 2, 0]), small_picture(np.zeros((240, 480, 3), np.uint8), ALWAYS))
    assert cells.shape == (120, 240)
    assert (cells[0, 0], cells[1, 1]) == (1, -1)
