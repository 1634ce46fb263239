"""Rendered photos: pure functions of seed, tank and day, with a truth that fits the picture. Small pictures, to be fast."""

from dataclasses import replace
from io import BytesIO

import cv2
import numpy as np
import pytest
from PIL import ExifTags, Image

from fairtank.errors import InputError
from fairtank.simulation import render_photo, scenario, truth_rows
from fairtank.simulation.scene import still_scene
from fairtank.simulation.truth import ALGAE, PLANT

SMALL = (640, 480)
SWAPPED = {"R": "C", "C": "R"}


@pytest.fixture(scope="module")
def midday():
    return scenario("midday")


def with_arms_swapped(trial):
    units = tuple(replace(unit, arm=SWAPPED[unit.arm]) for unit in trial.plan.units)
    return replace(trial, plan=replace(trial.plan, units=units))


def upright_frame(truth, px_per_cm=12):
    """The label of the front glass, straightened by the true corners."""
    width, height = 45 * px_per_cm, 36 * px_per_cm
    target = np.float32([[0, 0], [width, 0], [width, height], [0, height]])
    straighten = cv2.getPerspectiveTransform(np.float32(truth.corners), target)
    return cv2.warpPerspective(truth.label, straighten, (width, height), flags=cv2.INTER_NEAREST)


def test_the_same_photo_is_the_same_to_the_byte_even_after_the_still_scene_is_made_anew(midday):
    first = render_photo(midday, "T2", 14, SMALL)
    still_scene.cache_clear()
    again = render_photo(midday, "T2", 14, SMALL)
    assert (first.image == again.image).all()
    assert first.jpeg_bytes() == again.jpeg_bytes()
    assert (first.truth.label == again.truth.label).all()


def test_other_seeds_tanks_and_days_give_other_photos(midday):
    photo = render_photo(midday, "T2", 14, SMALL).image
    others = ((replace(midday, seed=8), "T2", 14), (midday, "T1", 14), (midday, "T2", 15))
    assert all((render_photo(*other, SMALL).image != photo).any() for other in others)


def test_no_pixel_depends_on_the_arm_before_the_change_starts(midday):
    swapped = with_arms_swapped(midday)
    for day in (0, 9):
        assert (render_photo(midday, "T1", day, SMALL).image == render_photo(swapped, "T1", day, SMALL).image).all()
    assert (render_photo(midday, "T1", 30, SMALL).image != render_photo(swapped, "T1", 30, SMALL).image).any()


def test_rendering_leaves_the_global_random_state_alone(midday):
    before = np.random.get_state()[1].copy()
    render_photo(midday, "T1", 3, SMALL)
    assert (np.random.get_state()[1] == before).all()


@pytest.mark.parametrize("day", [0, 37])
def test_cover_counted_in_the_straightened_label_is_the_true_cover(midday, day):
    truth = render_photo(midday, "T3", day, (1024, 768)).truth
    frame = upright_frame(truth, 20)
    assert 100 * (frame == PLANT).mean() == pytest.approx(truth.plant_frame_pct, abs=0.15)
    assert 100 * (frame == ALGAE).mean() == pytest.approx(truth.algae_frame_pct, abs=0.15)


def test_canopy_read_from_the_straightened_label_is_the_true_canopy(midday):
    truth = render_photo(midday, "T3", 25, (1024, 768)).truth
    plant = upright_frame(truth, 20) == PLANT
    tops = np.argmax(plant, 0)[plant.any(0)] / 20
    substrate_line = next(zone for zone in midday.zones if zone.key == "floor").polygon[0][1]
    assert np.percentile(substrate_line - tops, 90) == pytest.approx(truth.canopy_height_cm, abs=0.2)


def test_labels_lie_inside_the_front_glass_only(midday):
    truth = render_photo(midday, "T1", 37, SMALL).truth
    frame = np.zeros(truth.label.shape, np.uint8)
    cv2.fillConvexPoly(frame, np.round(np.array(truth.corners)).astype(np.int32), 1)
    assert (truth.label[cv2.dilate(frame, np.ones((5, 5), np.uint8)) == 0] == 0).all()


def test_the_corners_lie_inside_the_picture_on_every_day_of_every_trial():
    for name in ("midday", "cover_glass"):
        for frame in scenario(name).frames:
            assert all(0 < x < 2048 and 0 < y < 1536 for x, y in frame.corners)


def test_a_frame_has_the_corners_of_its_reference_photo(midday):
    small = replace(midday, photo_size=SMALL)
    frame = small.frames[1]
    reference = next(photo for photo in small.photos if photo.path == frame.reference_photo)
    assert render_photo(small, frame.unit, reference.day, SMALL).truth.corners == frame.corners


def test_plants_cover_more_and_stand_taller_as_weeks_pass(midday):
    truths = [render_photo(midday, "T1", day, SMALL).truth for day in (0, 12, 24, 37)]
    cover = [truth.plant_frame_pct + truth.algae_frame_pct for truth in truths]
    assert cover == sorted(cover)
    assert [truth.canopy_height_cm for truth in truths] == sorted(truth.canopy_height_cm for truth in truths)


def test_algae_films_spread_from_the_same_places(midday):
    calm = replace(midday, growth=replace(midday.growth, algae_noise_sd_logit=0.0))
    early, late = (upright_frame(render_photo(calm, "T1", day, SMALL).truth) == ALGAE for day in (20, 32))
    assert (late & early).sum() > 0.7 * early.sum()


def test_plants_are_green_or_red_and_algae_are_not_as_bright(midday):
    photo = render_photo(midday, "T1", 30, SMALL)
    red, green, blue = (photo.image[..., channel][photo.truth.label == PLANT].mean() for channel in range(3))
    assert green > blue
    assert green > red
    algae = photo.image[photo.truth.label == ALGAE].mean(0)
    assert algae[2] < min(algae[0], algae[1])


def test_a_photo_file_carries_its_time_and_stands_upright(midday):
    photo = render_photo(midday, "T1", 4, SMALL)
    with Image.open(BytesIO(photo.jpeg_bytes(quality=90))) as file:
        assert file.size == SMALL
        assert file.getexif()[ExifTags.Base.Orientation] == 1
        written = file.getexif().get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal]
        decoded = np.asarray(file).astype(float)
    assert written == f"{photo.taken_at:%Y:%m:%d %H:%M:%S}"
    assert np.abs(decoded - photo.image).mean() < 6


def test_the_true_gains_are_what_separates_two_exposures_of_the_same_wall(midday):
    bright, dark = (render_photo(midday, "T1", day, SMALL) for day in (0, 1))
    walls = [np.mean(((p.image[40:300, 10:60] / 255 + 0.055) / 1.055) ** 2.4, axis=(0, 1)) for p in (bright, dark)]
    expected = np.array(bright.truth.gains) / np.array(dark.truth.gains)
    assert walls[0] / walls[1] == pytest.approx(expected, rel=0.02)


def test_truth_comes_as_rows_one_per_photo(midday):
    """Two tanks of the six and two days: each further tank has a still scene of its own to be made."""
    others = {(day, unit) for day in (0, 1) for unit in ("T3", "T4", "T5", "T6")}
    few = replace(midday, missed=frozenset({(day, "") for day in range(2, 38)} | others))
    rows = list(truth_rows(few, SMALL))
    assert [(row["unit"], row["day"]) for row in rows] == [("T1", 0), ("T1", 1), ("T2", 0), ("T2", 1)]
    assert all(0 < row["plant_cover"] < 100 for row in rows)


@pytest.mark.parametrize(
    ("unit", "day", "size", "message"),
    [
        ("T9", 3, SMALL, "unit_key is T9"),
        ("T1", -1, SMALL, "day is -1"),
        ("T1", 3, (300, 225), "size is 300 x 225"),
        ("T1", 3, (1000, 500), "4 to 3"),
    ],
)
def test_what_cannot_be_rendered_is_refused(midday, unit, day, size, message):
    with pytest.raises(InputError, match=message):
        render_photo(midday, unit, day, size)
