"""Frames and zones: cm become px, and what does not count is left out."""

import numpy as np
import pytest
from tests.vision.pictures import CORNERS, tank_picture, view

from fairtank.errors import PhotoError
from fairtank.trial import Zone
from fairtank.vision.view import rectified, relative


def test_a_rectified_picture_keeps_the_proportions_of_the_glass():
    prepared = view(tank_picture())
    assert prepared.width_px / prepared.height_px == pytest.approx(70 / 50, rel=0.005)
    assert prepared.px_per_cm[0] == pytest.approx(prepared.px_per_cm[1], rel=0.005)


def test_a_picture_is_never_enlarged():
    assert view(tank_picture()).width_px <= 700


def test_rectifying_the_whole_picture_changes_nothing():
    picture = tank_picture()
    whole = relative(((0, 0), (1000, 0), (1000, 750), (0, 750)), 1000)
    assert np.array_equal(rectified(picture, whole, 1000, 750), picture)


def test_a_tilted_frame_is_brought_upright():
    import cv2

    picture = tank_picture()
    tilt = cv2.getRotationMatrix2D((500, 375), 4, 1)
    tilted = cv2.warpAffine(picture, tilt, (1000, 750))
    corners = np.column_stack([np.array(CORNERS), np.ones(4)]) @ tilt.T
    straight = rectified(picture, relative(CORNERS, 1000), 350, 250)
    brought = rectified(tilted, relative(corners, 1000), 350, 250)
    assert np.abs(straight.astype(int) - brought.astype(int)).mean() < 4


def test_outside_the_photo_strokes_are_unlabelled():
    labels = np.zeros((50, 50, 3), np.uint8)
    corners = relative(((-20, 0), (50, 0), (50, 50), (-20, 50)), 50)
    assert rectified(labels, corners, 70, 50, nearest=True)[:, :15].min() == 255


def test_static_and_ignored_zones_do_not_count_and_floor_zones_are_masks():
    zones = (
        Zone("T1", "heater", "static", ((0, 0), (7, 0), (7, 50), (0, 50))),
        Zone("T1", "soil", "ignore", ((0, 45), (70, 45), (70, 50), (0, 50))),
        Zone("T1", "bed", "floor", ((0, 30), (70, 30), (70, 45), (0, 45))),
    )
    prepared = view(tank_picture(), zones=zones)
    assert prepared.counted.mean() == pytest.approx(0.9 * 0.9, abs=0.01)
    assert prepared.zone_names == ("bed",)
    assert prepared.zones[0].mean() == pytest.approx(0.9 * 0.3, abs=0.01)


def test_zones_that_leave_nothing_are_refused():
    everything = Zone("T1", "all", "ignore", ((-1, -1), (71, -1), (71, 51), (-1, 51)))
    with pytest.raises(PhotoError, match="leave nothing to measure"):
        view(tank_picture(), zones=(everything,))
