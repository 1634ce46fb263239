"""Bad photos are told from good ones, with a reason that says what to do about it."""

import cv2
import numpy as np
import pytest
from tests.vision.pictures import PHOTO, classifier, loaded, lookup, tank_picture, view

from fairtank.trial import Frame
from fairtank.vision.measure import measure_photo
from fairtank.vision.view import view_of

PICTURE = tank_picture()


def quality(picture: np.ndarray, mode: str = "fixed"):
    return measure_photo(PHOTO, loaded(picture), view(PICTURE, mode), classifier(), version="t").quality


def test_the_reference_photo_itself_is_usable_without_remarks():
    found = quality(PICTURE, "registered")
    assert (found.quality, found.reasons) == ("usable", ())


@pytest.mark.parametrize(("sigma", "expected"), [(0.8, {"doubtful", "not usable"}), (4, {"not usable"})])
def test_a_blurred_photo_is_told(sigma, expected):
    found = quality(cv2.GaussianBlur(PICTURE, (0, 0), sigma))
    assert found.quality in expected
    assert any("blurred" in reason for reason in found.reasons)


def test_a_dark_photo_is_told():
    found = quality((PICTURE * 0.4).astype(np.uint8))
    assert found.quality == "not usable"
    assert any("darker" in reason for reason in found.reasons)


@pytest.mark.parametrize(("times", "expected"), [(0.85, "usable"), (0.5, "doubtful")])
def test_half_the_light_is_a_reason_for_doubt(times, expected):
    light = (np.arange(256) / 255) ** 2.2 * times  # close enough to the sRGB curve for a limit
    found = quality(np.round(255 * light ** (1 / 2.2)).astype(np.uint8)[PICTURE])
    assert found.quality == expected
    assert any("darker" in reason for reason in found.reasons) == (expected == "doubtful")


def test_a_burnt_out_photo_is_told():
    found = quality(np.clip(PICTURE.astype(int) * 2, 0, 255).astype(np.uint8))
    assert found.quality == "not usable"
    assert any("burnt out" in reason for reason in found.reasons)


def test_growth_alone_is_no_reason_for_doubt():
    assert quality(tank_picture(plant_top=250)).quality == "usable"


def test_a_photo_of_another_scene_is_not_placed():
    other = np.random.default_rng(3).integers(0, 255, PICTURE.shape).astype(np.uint8)
    found = quality(other, "registered")
    assert found.quality == "not usable"
    assert found.corners is None
    assert "does not match the reference photo" in found.reasons[0]


def ground(seed: int, width_px: int, height_px: int) -> np.ndarray:
    """A patch of ground: clods of soil, and leaves in other places in every photo."""
    chance = np.random.default_rng(seed)
    clods = cv2.resize(chance.integers(40, 110, (height_px // 8, width_px // 8), dtype=np.uint8), (width_px, height_px))
    picture = np.stack([clods, clods // 5 * 4, clods // 2], axis=-1)
    for x, y in chance.integers((0, 0), (width_px, height_px), (25, 2)):
        cv2.circle(picture, (int(x), int(y)), int(width_px * chance.uniform(0.01, 0.05)), (40, 150, 50), -1)
    return picture


@pytest.mark.parametrize("side", ["top", "front"])
@pytest.mark.parametrize("size", [(960, 720), (320, 240)])
@pytest.mark.parametrize("mode", ["fixed", "by_hand"])
def test_photos_that_each_show_another_patch_of_ground_all_give_values(mode, size, side):
    corners = ((0.0, 0.0), (float(size[0]), 0.0), (float(size[0]), float(size[1])), (0.0, float(size[1])))
    frame = Frame("T1", "photos/T1.png", mode, side, corners, 96.0, 72.0)
    of_unit = view_of(frame, (), loaded(ground(1, *size)))
    for seed in (2, 3, 4, 5):
        by_hand = corners if mode == "by_hand" else None
        result = measure_photo(PHOTO, loaded(ground(seed, *size)), of_unit, classifier(), version="t", by_hand=by_hand)
        assert result.quality.quality in ("usable", "doubtful"), result.quality.reasons
        assert {row.measure for row in result.measured} >= {"plant_cover", "algae_cover"}
        assert not {"glare", "obstructed", "water_lowered"} & set(result.quality.verdicts)


def test_plants_that_fill_a_drawn_tank_are_nothing_before_the_glass():
    for top in (300, 200, 150):
        assert quality(tank_picture(plant_top=top), "registered").quality == "usable"


def test_a_photo_full_of_colours_that_strokes_leave_open_asks_for_strokes():
    cell = int(np.flatnonzero(lookup().unsure)[0])
    strange = PICTURE.copy()
    strange[130:500, 160:840] = [(cell >> 10) * 8 + 4, (cell >> 5 & 31) * 8 + 4, (cell & 31) * 8 + 4]
    found = quality(strange)
    assert found.uncertain_fraction > 0.5
    assert any("paint strokes on this photo" in reason for reason in found.reasons)
