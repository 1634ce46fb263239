"""Rendered photos of known truth, measured: cover within 3 points, canopy within 1 cm, on photos that nobody painted.

The renderer shares neither colour nor geometry code with the measurer. The photos were chosen by tank and day, not by how they come out;
the last day of the tank with by far the most algae is held to a margin of its own.
"""

import numpy as np
import pytest

from fairtank.simulation import render_photo, scenario, strokes_on
from fairtank.vision.classes.classifier import learn_classes
from fairtank.vision.classes.strokes import class_numbers, stroke_picture
from fairtank.vision.load import decoded_photo
from fairtank.vision.measure import measure_photo
from fairtank.vision.prepare import prepared_photo
from fairtank.vision.view import relative, view_of

TRIAL = scenario("midday")
STROKE_SEED = 1
# Two tanks of the six: all photos of these tanks that the trial has strokes for, and days without strokes, early and late.
TANKS = ("T1", "T6")
PAINTED = tuple((unit, day) for unit, day in TRIAL.labelled if unit in TANKS)
TESTED = (("T1", 0), ("T6", 0), ("T1", 12), ("T6", 18), ("T1", 29), ("T6", 37))
# The photo with the most algae of the whole trial: a film over leaves of its own colour is counted too low there.
HEAVIEST = ("T1", 37)


@pytest.fixture(scope="module")
def compared():
    """(unit, day) -> what was measured and what is true, for every tested photo."""
    views, pictures, found = {}, [], {}
    rendered = {}
    for unit, day in (*TESTED, HEAVIEST, *PAINTED):
        photo = render_photo(TRIAL, unit, day, TRIAL.photo_size)
        rendered[unit, day] = (decoded_photo(photo.jpeg_bytes(), f"{unit}-{day}.jpg"), photo.truth)
    for frame in TRIAL.frames:
        if frame.unit in TANKS:
            zones = tuple(zone for zone in TRIAL.zones if zone.unit == frame.unit)
            views[frame.unit] = view_of(frame, zones, rendered[frame.unit, 0][0])
    for unit, day in PAINTED:
        loaded, truth = rendered[unit, day]
        prepared = prepared_photo(loaded, views[unit])
        corners = relative(prepared.corners_px, max(truth.label.shape))
        strokes = class_numbers(strokes_on(TRIAL, truth, TRIAL.photo(unit, day), STROKE_SEED), TRIAL.label_classes)
        pictures.append(stroke_picture(f"{unit}-{day}", prepared.picture, strokes, corners, views[unit]))
    classifier = learn_classes(tuple(pictures), TRIAL.label_classes)
    for unit, day in (*TESTED, HEAVIEST):
        loaded, truth = rendered[unit, day]
        result = measure_photo(TRIAL.photo(unit, day), loaded, views[unit], classifier, version="t")
        found[unit, day] = ({row.measure: row.value for row in result.measured if row.zone == ""}, truth, result.quality)
    return found


def test_no_tested_photo_was_painted():
    assert not set(TESTED) & set(TRIAL.labelled)
    assert len(PAINTED) == 4


@pytest.mark.parametrize("photo", TESTED, ids=lambda photo: f"{photo[0]} day {photo[1]}")
def test_plant_cover_is_within_3_points_of_the_truth(compared, photo):
    measured, truth, _ = compared[photo]
    assert measured["plant_cover"] == pytest.approx(truth.plant_cover_pct, abs=3)


@pytest.mark.parametrize("photo", TESTED, ids=lambda photo: f"{photo[0]} day {photo[1]}")
def test_algae_cover_is_within_3_points_of_the_truth(compared, photo):
    measured, truth, _ = compared[photo]
    assert measured["algae_cover"] == pytest.approx(truth.algae_cover_pct, abs=3)


def test_the_heaviest_algae_are_measured_within_a_quarter_of_their_cover(compared):
    """The bound that holds where 3 points do not. The count is too low: a difference between tanks comes out too small."""
    measured, truth, _ = compared[HEAVIEST]
    assert truth.algae_cover_pct > 15
    assert measured["algae_cover"] == pytest.approx(truth.algae_cover_pct, rel=0.25)


@pytest.mark.parametrize("photo", TESTED, ids=lambda photo: f"{photo[0]} day {photo[1]}")
def test_canopy_height_is_within_1_cm_of_the_truth(compared, photo):
    measured, truth, _ = compared[photo]
    assert measured["canopy_height"] == pytest.approx(truth.canopy_height_cm, abs=1)


@pytest.mark.parametrize("photo", TESTED, ids=lambda photo: f"{photo[0]} day {photo[1]}")
def test_the_frame_is_found_within_two_thousandths_of_the_photos_width(compared, photo):
    _, truth, quality = compared[photo]
    assert quality.quality == "usable"
    assert np.abs(np.array(quality.corners) - np.array(truth.corners)).max() < 0.002 * TRIAL.photo_size[0]


def test_growth_from_the_first_photo_to_the_last_is_measured_as_growth(compared):
    """What a trial judges are changes: early and late photos of one tank must differ as the truth does, not only each be near it."""
    for early, late in ((("T1", 0), ("T1", 29)), (("T6", 0), ("T6", 37))):
        true = compared[late][1].plant_cover_pct - compared[early][1].plant_cover_pct
        assert true > 5
        assert compared[late][0]["plant_cover"] - compared[early][0]["plant_cover"] == pytest.approx(true, abs=3)
