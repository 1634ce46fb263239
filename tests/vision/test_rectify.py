"""The rectified picture: each px where the homography says, light mixed as light, the fast way equal to the plain one."""

import numpy as np
import pytest

from fairtank.science.srgb import linear_from_srgb, srgb_from_linear
from fairtank.vision import rectify
from fairtank.vision.colour.correction import Correction, uncorrected
from fairtank.vision.rectify import rectified_in_colour

SLANTED = np.array([[20, 25], [179, 23], [181, 120], [19, 122]]) / 201.6
MIXING = Correction("card", uncorrected().tables * np.array([[0.9], [1.0], [1.1]], np.float32),
                    np.array([[0.95, 0.04, 0.01], [0.02, 0.9, 0.03], [-0.02, 0.05, 1.1]], np.float32))


def smooth(seed: int = 1, shape=(151, 201)) -> np.ndarray:
    """A photo without sharp edges, of all colours."""
    import cv2

    noise = np.random.default_rng(seed).normal(0, 1, (*shape, 3))
    wide = cv2.GaussianBlur(noise, (0, 0), 6)
    return ((wide - wide.min()) / np.ptp(wide) * 255).round().astype(np.uint8)


@pytest.mark.parametrize("correction", [uncorrected(), MIXING])
@pytest.mark.parametrize("size", [(60, 40), (150, 95)])
def test_the_fast_way_for_reduced_pictures_gives_the_same_bytes_as_the_general_one(correction, size, monkeypatch):
    pixels, corners = smooth(), SLANTED * 201.6 / 201
    fast = rectified_in_colour(pixels, corners, *size, correction)
    monkeypatch.setattr(rectify, "_lies_inside", lambda *_: False)
    assert (rectified_in_colour(pixels, corners, *size, correction) == fast).all()


def test_a_reduced_picture_is_the_mean_light_of_the_photo_px_around_each_place():
    """A frame along the photo's px, three times reduced: each px is the mean of the four px around its centre, taken as light."""
    pixels = smooth(2, (120, 180))
    found = rectified_in_colour(pixels, np.array([[0, 0], [180, 0], [180, 120], [0, 120]]) / 180, 60, 40, uncorrected())
    light = linear_from_srgb(pixels / 255)
    four = (light[1::3, 1::3] * 4)[:39, :59]  # an odd factor: the centre of a rectified px is the centre of a photo px
    rows, columns = np.meshgrid(np.arange(40) * 3 + 1, np.arange(60) * 3 + 1, indexing="ij")
    four = (light[rows, columns] + light[rows, columns + 1] + light[rows + 1, columns] + light[rows + 1, columns + 1]) / 4
    expected = srgb_from_linear(four) * 255
    assert np.abs(found - expected).max() <= 0.75


def test_an_even_picture_keeps_its_colour_and_a_correction_acts_on_light():
    even = np.full((60, 80, 3), (200, 90, 30), np.uint8)
    corners = np.array([[0, 0], [1, 0], [1, 0.75], [0, 0.75]])
    assert (rectified_in_colour(even, corners, 40, 30, uncorrected()) == (200, 90, 30)).all()
    halved = Correction("card", uncorrected().tables / 2, np.eye(3, dtype=np.float32))
    expected = np.round(srgb_from_linear(linear_from_srgb(np.array([200, 90, 30]) / 255) / 2) * 255)
    assert np.abs(rectified_in_colour(even, corners, 40, 30, halved)[15, 20] - expected).max() <= 1


def test_light_that_leaves_the_range_is_clipped_and_never_wraps_round():
    even = np.full((60, 80, 3), (250, 128, 3), np.uint8)
    strong = Correction("card", uncorrected().tables * 4, np.array([[1, 0, 0], [0, 1, 0], [-1, 0, 1]], np.float32))
    corners = np.array([[0, 0], [1, 0], [1, 0.75], [0, 0.75]])
    for size in ((40, 30), (20, 15)):
        red, _, blue = rectified_in_colour(even, corners, *size, strong)[7, 10]
        assert (red, blue) == (255, 0)


def test_what_lies_outside_the_photo_repeats_its_edge():
    pixels = np.zeros((60, 80, 3), np.uint8)
    pixels[:, :2] = (10, 200, 40)
    corners = np.array([[-0.5, 0], [0.5, 0], [0.5, 0.75], [-0.5, 0.75]])
    for size in ((40, 30), (80, 60)):
        found = rectified_in_colour(pixels, corners, *size, uncorrected())
        assert (found[:, : size[0] // 2 - 2] == (10, 200, 40)).all()
        assert (found[:, size[0] // 2 + 4 :] == 0).all()


def test_mirrored_and_turned_corners_mirror_and_turn_the_picture():
    pixels = smooth(3)
    plain = rectified_in_colour(pixels, SLANTED, 90, 60, uncorrected())
    mirrored = rectified_in_colour(pixels, SLANTED[[1, 0, 3, 2]], 90, 60, uncorrected())
    assert np.abs(mirrored[:, ::-1].astype(int) - plain).max() <= 12  # the mean of four lies half a px to the other side
    assert np.abs(mirrored[:, ::-1].astype(int) - plain).mean() < 2
