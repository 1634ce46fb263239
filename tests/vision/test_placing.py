"""A photo is placed in its frame by features and glass edges, and refused where it shows something else."""

import cv2
import numpy as np
import pytest
from tests.vision.pictures import CORNERS, tank_picture

from fairtank.vision.framing.edges import NORMAL_LONG_SIDE_PX
from fairtank.vision.framing.placing import is_plausible, placed, reference_of

PICTURE = tank_picture()
NORMAL = NORMAL_LONG_SIDE_PX / 1000


def moved(picture: np.ndarray, shift: tuple[float, float], scale: float, turn: float, lean: float = 0.0) -> tuple[np.ndarray, ...]:
    """The picture as a camera that moved a little would see it, and where the corners went [px]."""
    matrix = np.eye(3)
    matrix[:2] = cv2.getRotationMatrix2D((500, 375), turn, scale)
    matrix[:2, 2] += shift
    matrix[2, 0] = lean
    points = cv2.perspectiveTransform(np.array([CORNERS], np.float32), matrix)[0]
    return cv2.warpPerspective(picture, matrix, (1000, 750), borderMode=cv2.BORDER_REFLECT), points


@pytest.mark.parametrize(
    ("shift", "scale", "turn", "lean"),
    [((0, 0), 1, 0, 0), ((7, -5), 1.02, 0.8, 0), ((-9, 6), 0.97, -1.2, 1e-5), ((4.4, 3.3), 1.0, 0.4, -1e-5)],
)
def test_corners_are_found_again_to_half_a_px(shift, scale, turn, lean):
    reference = reference_of(PICTURE, np.array(CORNERS) * NORMAL)
    photo, truth = moved(PICTURE, shift, scale, turn, lean)
    placement = placed(photo, reference)
    assert placement is not None
    assert placement.edges_found == 4
    assert np.abs(placement.corners / NORMAL - truth).max() < 0.5


def test_plants_that_grew_do_not_move_the_corners():
    reference = reference_of(PICTURE, np.array(CORNERS) * NORMAL)
    grown, truth = moved(tank_picture(plant_top=220), (5, 4), 1.01, 0.5)
    placement = placed(grown, reference)
    assert placement is not None
    assert np.abs(placement.corners / NORMAL - truth).max() < 0.6


def test_exposure_does_not_move_the_corners():
    reference = reference_of(PICTURE, np.array(CORNERS) * NORMAL)
    dim, truth = moved((PICTURE * 0.55).astype(np.uint8), (3, 2), 1.0, 0.3)
    placement = placed(dim, reference)
    assert placement is not None
    assert np.abs(placement.corners / NORMAL - truth).max() < 0.5


def test_a_photo_of_something_else_is_not_placed():
    reference = reference_of(PICTURE, np.array(CORNERS) * NORMAL)
    other = np.random.default_rng(3).integers(0, 255, (750, 1000, 3)).astype(np.uint8)
    assert placed(other, reference) is None
    assert placed(np.full((750, 1000, 3), 20, np.uint8), reference) is None


def test_a_photo_of_another_resolution_is_placed_alike():
    reference = reference_of(PICTURE, np.array(CORNERS) * NORMAL)
    photo, truth = moved(PICTURE, (6, -4), 1.01, 0.5)
    twice = cv2.resize(photo, (2000, 1500), interpolation=cv2.INTER_CUBIC)
    placement = placed(twice, reference)
    assert placement is not None
    assert np.abs(placement.corners / NORMAL - truth).max() < 0.8


def test_placing_is_the_same_every_time():
    reference = reference_of(PICTURE, np.array(CORNERS) * NORMAL)
    photo, _ = moved(PICTURE, (6, -4), 1.01, 0.5)
    first, second = placed(photo, reference), placed(photo, reference)
    assert first is not None
    assert second is not None
    assert np.array_equal(first.corners, second.corners)


PULLED = np.array([[0, 0], [300, 0], [0, 0], [0, 0]])


@pytest.mark.parametrize("change", [lambda c: c * 2, lambda c: c * 0.5, lambda c: c + PULLED, lambda c: c[::-1] * [1, 3]])
def test_corners_that_no_camera_could_see_are_not_plausible(change):
    corners = np.array(CORNERS)
    assert not is_plausible(change(corners), corners)
