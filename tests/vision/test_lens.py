"""A lens's bend is recovered from checkerboard photos, and without it frames are found where they lie."""

import cv2
import numpy as np
import pytest
from tests.vision.boards import POSES, bent, bent_picture, board_photo, straight
from tests.vision.pictures import CORNERS, tank_picture

from fairtank.errors import PhotoError
from fairtank.lens import Lens
from fairtank.vision.framing.lens import bent_points, lens_of, straight_in_frame, straight_points, undistorted

BARREL = Lens("phone", 1500.0, -0.12, 0.04, 0.0, 0)
PINCUSHION = Lens("phone", 1500.0, 0.05, -0.01, 0.0, 0)
HALF_DIAGONAL = 1260.0


@pytest.fixture(scope="module", params=[BARREL, PINCUSHION], ids=["barrel", "pincushion"])
def told(request):
    return request.param, lens_of([board_photo(request.param, *pose) for pose in POSES], camera="phone", squares=(9, 6))


def test_the_bend_is_recovered_to_a_tenth_and_the_focal_length_to_a_hundredth(told):
    truth, lens = told
    for away in (400.0, 800.0, HALF_DIAGONAL):  # the boards of these photos reach to about 900
        assert lens.bend_px(away) == pytest.approx(truth.bend_px(away), abs=0.5, rel=0.1)
    assert lens.focal_px == pytest.approx(truth.focal_px, rel=0.01)
    assert lens.residual_px < 0.5
    assert (lens.camera, lens.pictures) == ("phone", 5)


def test_a_straight_lens_is_told_to_be_straight_and_the_squares_need_not_be_counted():
    lens = lens_of([board_photo(Lens("", 1500.0, 0.0, 0.0, 0.0, 0), *pose) for pose in POSES[:3]])
    assert abs(lens.bend_px(HALF_DIAGONAL)) < 4.0


def test_positions_are_straightened_as_the_formula_says_and_bent_back():
    points = np.random.default_rng(2).uniform(0, 1, (50, 2)) * (2016, 1512)
    assert straight_points(points, BARREL, 2016, 1512) == pytest.approx(straight(points, BARREL, 2016, 1512), abs=0.01)
    assert bent_points(points, BARREL, 2016, 1512) == pytest.approx(bent(points, BARREL, 2016, 1512), abs=1e-9)
    assert bent_points(straight_points(points, PINCUSHION, 2016, 1512), PINCUSHION, 2016, 1512) == pytest.approx(points, abs=0.01)


def test_positions_do_not_depend_on_the_photos_size():
    points = np.array([[100.0, 50.0], [900.0, 700.0]])
    assert straight_points(2 * points, BARREL, 2000, 1500) == pytest.approx(2 * straight_points(points, BARREL, 1000, 750))


def test_frames_are_found_where_they_lie_once_the_bend_is_taken_out(told):
    """Worst corner error of the frame's edges' middles before and after: what bends is the edge between two corners."""
    truth, lens = told
    corners = np.array(CORNERS)
    middles = (corners + np.roll(corners, -1, axis=0)) / 2
    seen = bent(corners, truth, 1000, 750)
    before = bent(middles, truth, 1000, 750) - (seen + np.roll(seen, -1, axis=0)) / 2
    found = straight_points(seen, lens, 1000, 750)
    after = straight_points(bent(middles, truth, 1000, 750), lens, 1000, 750) - (found + np.roll(found, -1, axis=0)) / 2
    assert np.abs(before).max() > 1.4
    assert np.abs(after).max() < 0.1


def test_a_straightened_photo_looks_like_the_one_without_a_bend(told):
    truth, lens = told
    picture = cv2.GaussianBlur(tank_picture(), (0, 0), 1.5)
    seen = bent_picture(picture, truth)
    inner = np.s_[60:-60, 60:-60]
    before = np.abs(seen[inner].astype(int) - picture[inner]).mean()
    after = np.abs(undistorted(seen, lens)[inner].astype(int) - picture[inner]).mean()
    assert after < 0.25 * before


def test_strokes_are_straightened_without_new_colours():
    strokes = np.zeros((90, 120, 3), np.uint8)
    strokes[20:40, 30:90] = (0, 158, 115)
    out = undistorted(strokes, BARREL, nearest=True)
    assert {tuple(rgb) for rgb in out.reshape(-1, 3).tolist()} == {(0, 0, 0), (0, 158, 115)}


def test_photos_without_a_board_are_refused():
    blank = np.full((300, 400, 3), 128, np.uint8)
    with pytest.raises(PhotoError, match="was found in 0 of 3 photos; accepted: at least 3"):
        lens_of([blank] * 3)


def test_a_board_of_another_size_among_the_photos_is_left_out():
    photos = [board_photo(BARREL, *pose) for pose in POSES[:3]]
    other = board_photo(BARREL, *POSES[0], squares=(7, 7))
    assert lens_of([*photos, other]).pictures == 3


def test_photos_of_two_sizes_are_refused():
    with pytest.raises(PhotoError, match="different sizes"):
        lens_of([np.zeros((300, 400, 3), np.uint8), np.zeros((400, 300, 3), np.uint8)])


@pytest.mark.parametrize("lens", [BARREL, PINCUSHION], ids=["barrel", "pincushion"])
def test_strokes_painted_on_a_bent_photo_lie_in_the_frame_where_they_were_painted(lens):
    """A stroke along the frame's upper edge: without the lens its middle lies elsewhere than its ends."""
    strokes = np.full((750, 1000), 255, np.uint8)
    strokes[120:130, 150:850] = 1
    y, x = np.mgrid[0:750, 0:1000]
    straight_x, straight_y = np.floor(straight(np.stack([x.ravel(), y.ravel()], -1) + 0.5, lens, 1000, 750)).astype(int).T
    painted = strokes[straight_y.clip(0, 749), straight_x.clip(0, 999)].reshape(750, 1000)
    found = straight_in_frame(painted, bent(np.array(CORNERS), lens, 1000, 750), lens, 700, 500, 255)
    middle = np.flatnonzero(found[:, 350] == 1)
    assert (middle[0], middle[-1]) == pytest.approx((0, 9), abs=1)
    assert np.mean(found[:10] == 1) > 0.97
    assert not (found[12:] == 1).any()
