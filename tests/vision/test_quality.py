"""Bad photos are told from good ones, with a reason that says what to do about it."""

import cv2
import numpy as np
import pytest
from tests.vision.pictures import PHOTO, classifier, loaded, lookup, tank_picture, view

from fairtank.vision.measure import measure_photo
from fairtank.vision.quality.evidence import Evidence
from fairtank.vision.quality.state import picture_state
from fairtank.vision.quality.verdicts import quality_of

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


def test_a_frame_whose_edges_were_found_only_roughly_says_so():
    state = picture_state(PICTURE, np.ones(PICTURE.shape[:2], bool))
    roughly = Evidence("registered", edges_found=4, residual_px=1.5, detail=state.detail, level=state.level)
    verdict, reasons = quality_of(roughly, state, 0.0)
    assert verdict == "doubtful"
    assert reasons == ("The glass edges were found only roughly, so the frame is less exact.",)


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


def test_a_photo_full_of_colours_that_strokes_leave_open_asks_for_strokes():
    cell = int(np.flatnonzero(lookup().unsure)[0])
    strange = PICTURE.copy()
    strange[130:500, 160:840] = [(cell >> 10) * 8 + 4, (cell >> 5 & 31) * 8 + 4, (cell & 31) * 8 + 4]
    found = quality(strange)
    assert found.uncertain_fraction > 0.5
    assert any("paint strokes on this photo" in reason for reason in found.reasons)
