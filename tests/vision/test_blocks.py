"""Blocks around the glass tell roughly where a photo's frame lies."""

import cv2
import numpy as np
import pytest
from tests.vision.pictures import CORNERS, tank_picture

from fairtank.vision.framing.blocks import blocks_of, corners_by_blocks
from fairtank.vision.framing.edges import NORMAL_LONG_SIDE_PX
from fairtank.vision.framing.small import SMALL_LONG_SIDE_PX, small_grey

NORMAL = NORMAL_LONG_SIDE_PX / 1000
FRAME = np.array(CORNERS) * NORMAL


def furnished(*, plant_top: int = 400) -> np.ndarray:
    """The tank picture with a shelf's edge, a lamp and a socket around it."""
    picture = tank_picture(plant_top=plant_top)
    cv2.rectangle(picture, (0, 660), (1000, 750), (90, 60, 40), -1)
    cv2.rectangle(picture, (260, 40), (740, 70), (30, 30, 30), -1)
    cv2.rectangle(picture, (40, 300), (90, 360), (220, 220, 215), -1)
    cv2.circle(picture, (930, 420), 25, (200, 190, 180), -1)
    return picture


def seen(picture: np.ndarray, shift: tuple[float, float], scale: float, turn: float) -> tuple[np.ndarray, np.ndarray]:
    """The picture and its frame's corners [normalised px] after a small move of the camera."""
    matrix = np.vstack([cv2.getRotationMatrix2D((500, 375), turn, scale), [0, 0, 1]])
    matrix[:2, 2] += shift
    corners = cv2.perspectiveTransform(np.array([CORNERS]) - 0.5, matrix)[0] + 0.5
    return cv2.warpPerspective(picture, matrix, (1000, 750), borderMode=cv2.BORDER_REPLICATE), corners * NORMAL


REFERENCE = blocks_of(small_grey(furnished()), FRAME)


@pytest.mark.parametrize(("shift", "scale", "turn"), [((0, 0), 1, 0), ((22, -15), 1.0, 0), ((-10, 12), 1.02, 1.0), ((25, 20), 0.98, -1.2)])
def test_a_moved_camera_is_followed_to_a_few_px_though_plants_grew(shift, scale, turn):
    photo, corners = seen(furnished(plant_top=250), shift, scale, turn)
    found = corners_by_blocks(small_grey(photo), REFERENCE, FRAME)
    assert found is not None
    assert np.abs(found - corners).max() < 5


def test_light_and_contrast_do_not_matter():
    photo, corners = seen(furnished(), (8, 6), 1.0, 0.5)
    found = corners_by_blocks(small_grey((40 + 0.4 * photo).astype(np.uint8)), REFERENCE, FRAME)
    assert found is not None
    assert np.abs(found - corners).max() < 5


def test_a_block_on_a_straight_edge_says_nothing_about_a_shift_along_it():
    picture = np.full((378, 504), 200, np.uint8)
    picture[:, 250:] = 60
    sharp = blocks_of(picture, np.array([[200, 200], [1000, 200], [1000, 1200], [200, 1200]], float)).sharpness
    assert len(sharp) > 0
    along, across = sharp @ np.array([0.0, 1.0]), sharp @ np.array([1.0, 0.0])
    assert np.abs(along).max() < 0.05
    assert np.hypot(*across.T) == pytest.approx(1)


def test_a_plain_picture_has_no_blocks_and_gives_no_place():
    plain = small_grey(np.full((750, 1000, 3), 120, np.uint8))
    blocks = blocks_of(plain, FRAME)
    assert len(blocks.centres) == 0
    assert corners_by_blocks(plain, blocks, FRAME) is None
    assert corners_by_blocks(plain, REFERENCE, FRAME) is None


@pytest.mark.parametrize("size", [(750, 1000), (1536, 2048), (2048, 1536), (1501, 1999), (300, 400), (3, 2000)])
def test_the_small_picture_has_one_long_side_whatever_the_photos_size(size):
    small = small_grey(np.full((*size, 3), 77, np.uint8))
    assert max(small.shape) == SMALL_LONG_SIDE_PX
    assert min(small.shape) == max(1, round(min(size) * SMALL_LONG_SIDE_PX / max(size)))
    assert set(np.unique(small)) == {77}


def test_the_small_picture_keeps_places():
    """The middle of a light dot lies at the same part of the picture, to a tenth of a small px."""
    dot = np.zeros((1536, 2048, 3), np.uint8)
    cv2.circle(dot, (700, 900), 40, (255, 255, 255), -1)
    small = small_grey(dot).astype(float)
    y, x = np.mgrid[0 : small.shape[0], 0 : small.shape[1]] + 0.5
    middle = (x * small).sum() / small.sum(), (y * small).sum() / small.sum()
    assert middle == pytest.approx((700.5 * 504 / 2048, 900.5 * 504 / 2048), abs=0.1)
