"""Every measure on pictures whose answer is known by construction."""

from dataclasses import replace

import numpy as np
import pytest
from tests.vision.pictures import BLUE, GREEN, PHOTO, classifier, encoded, loaded, tank_picture, turned, view

from fairtank import registry
from fairtank.science.colour import lab_from_srgb
from fairtank.trial import AuditPoint, Zone
from fairtank.vision.classes.classifier import Classifier, classified
from fairtank.vision.classes.lookup import CELLS, Strokes, cell_index, learn_colours
from fairtank.vision.load import decoded_photo
from fairtank.vision.measure import measure_photo
from fairtank.vision.measures.canopy import canopy_line_px
from fairtank.vision.prepare import prepared_photo
from fairtank.vision.scene import Scene

FLOOR = Zone("T1", "bed", "floor", ((0, 40), (70, 40), (70, 50), (0, 50)))


def values(picture: np.ndarray, zones=(), learnt=None, audit=()) -> dict[tuple[str, str], float]:
    result = measure_photo(PHOTO, loaded(picture), view(picture, zones=zones), learnt or classifier(), version="t", audit=audit)
    return {(row.measure, row.zone): row.value for row in result.measured}


def test_cover_area_and_height_equal_what_was_drawn():
    """The plant block is 500 x 220 px of a pane of 700 x 500, less a block of 100 x 40 px of algae and the dark edge and dots."""
    found = values(tank_picture())
    assert found["plant_cover", ""] == pytest.approx(100 * (500 * 218 - 4000) / 350000, abs=0.8)
    assert found["algae_cover", ""] == pytest.approx(100 * 4000 / 350000, abs=0.25)
    assert found["canopy_height", ""] == pytest.approx(22.0, abs=0.15)
    assert found["plant_area", ""] == pytest.approx(3500 * found["plant_cover", ""] / 100, rel=0.01)
    assert found["algae_area", ""] == pytest.approx(3500 * found["algae_cover", ""] / 100, rel=0.01)


def test_plant_colour_is_the_colour_that_was_drawn():
    found = values(tank_picture())
    for key, channel in (("plant_lightness", 0), ("plant_redness", 1), ("plant_yellowness", 2)):
        assert found[key, ""] == pytest.approx(lab_from_srgb(np.array(GREEN))[channel], abs=0.8)


def test_carpet_cover_is_the_plant_share_of_the_floor_zone():
    found = values(tank_picture(), zones=(FLOOR,))
    drawn = (tank_picture()[520:620, 150:850] == GREEN).all(axis=2).mean()
    assert found["carpet_cover", ""] == pytest.approx(100 * drawn, abs=1)
    assert found["plant_cover", "bed"] == found["carpet_cover", ""]


def test_canopy_height_counts_from_the_floor_zones_lower_edge():
    higher = Zone("T1", "bed", "floor", ((0, 35), (70, 35), (70, 45), (0, 45)))
    assert values(tank_picture(), zones=(higher,))["canopy_height", ""] == pytest.approx(17.0, abs=0.2)


def test_a_speck_near_the_surface_does_not_lift_the_canopy():
    picture = tank_picture()
    picture[150:156, 300:700:40] = GREEN
    assert values(picture)["canopy_height", ""] == pytest.approx(values(tank_picture())["canopy_height", ""], abs=0.1)


def test_every_value_is_there_for_every_declared_measure():
    """Over one photo; tint needs colours that compare, which a drawn tank without a card or a patch has not."""
    back = Zone("T1", "back", "backdrop", ((30, 2), (60, 2), (60, 14), (30, 14)))
    heater = Zone("T1", "heater", "static", ((0, 30), (9, 30), (9, 50), (0, 50)))
    picture = tank_picture()
    picture[440:600, 160:230] = (30, 32, 34)
    found = values(picture, zones=(FLOOR, back, heater))
    over_one_photo = {entry.key for entry in registry.entries("measure") if entry.over == "photo"}
    assert {key for key, zone in found if zone == ""} == over_one_photo - {"water_tint"}


def test_a_zone_around_one_plant_has_its_own_cover_and_area():
    fern = Zone("T1", "fern", "plant", ((10, 20), (30, 20), (30, 50), (10, 50)))
    found = values(tank_picture(), zones=(fern,))
    assert found["plant_area", "fern"] == pytest.approx(20 * 22 - 10 * 4, rel=0.02)
    assert found["plant_cover", "fern"] == pytest.approx(100 * found["plant_area", "fern"] / 600, rel=0.01)
    assert found["plant_cover", ""] == values(tank_picture())["plant_cover", ""]


def test_the_canopys_line_and_its_height_say_the_same():
    picture, learnt = tank_picture(), classifier()
    seen = view(picture)
    prepared = prepared_photo(loaded(picture), seen)
    line_px = canopy_line_px(Scene(prepared.picture, classified(prepared.picture, learnt), seen, learnt.known))
    assert (seen.height_px - line_px) / seen.px_per_cm[1] == pytest.approx(values(picture)["canopy_height", ""], abs=0.1)


def test_colour_measures_say_that_they_need_comparable_colours():
    assert {entry.key for entry in registry.entries("measure") if entry.needs_colour} == {
        "plant_lightness", "plant_redness", "plant_yellowness", "water_tint",
    }  # fmt: skip


def test_exif_orientation_does_not_change_a_number():
    picture = tank_picture()
    rows = []
    for orientation in (1, 3, 6, 8):
        photo = decoded_photo(turned(picture, orientation), "t.png")
        rows.append(measure_photo(PHOTO, photo, view(picture), classifier(), version="t").measured)
    assert rows[0] == rows[1] == rows[2] == rows[3]
    assert len(rows[0]) > 5


def test_exif_orientation_of_a_jpeg_changes_numbers_by_less_than_the_measurement():
    picture = tank_picture()
    covers = []
    for orientation in (1, 3, 6, 8):
        photo = decoded_photo(turned(picture, orientation, "JPEG", quality=92), "t.jpg")
        covers.append(measure_photo(PHOTO, photo, view(picture), classifier(), version="t").measured[0].value)
    assert np.ptp(covers) < 0.2


def test_noise_and_compression_move_cover_by_less_than_a_fifth_of_a_point():
    picture = tank_picture()
    noisy = np.clip(picture + np.random.default_rng(1).normal(0, 3, picture.shape), 0, 255).astype(np.uint8)
    pressed = decoded_photo(encoded(noisy, "JPEG", quality=90), "t.jpg").pixels
    assert values(pressed)["plant_cover", ""] == pytest.approx(values(picture)["plant_cover", ""], abs=0.2)


def test_without_audit_points_no_standard_error_is_claimed():
    result = measure_photo(PHOTO, loaded(tank_picture()), view(tank_picture()), classifier(), version="t")
    assert all(row.se is None for row in result.measured)


def test_audit_points_give_cover_a_standard_error_that_grows_with_disagreement():
    picture = tank_picture()
    rng = np.random.default_rng(4)
    spots = rng.uniform((156, 126), (844, 614), (120, 2))
    truly = [("plant" if 252 < x < 748 and y > 402 and not (298 < x < 402 and 518 < y < 562) else "background") for x, y in spots]
    careful = tuple(AuditPoint(PHOTO.path, x, y, answer) for (x, y), answer in zip(spots, truly, strict=True))
    careless = tuple(replace(point, answer="background") if number % 4 == 0 else point for number, point in enumerate(careful))

    def se(audit):
        rows = measure_photo(PHOTO, loaded(picture), view(picture), classifier(), version="t", audit=audit).measured
        return next(row.se for row in rows if row.measure == "plant_cover" and row.zone == "")

    assert 0.2 < se(careful) < se(careless) < 15
    assert se(careful[:20]) is None


def test_a_view_from_above_has_no_canopy_height():
    picture = tank_picture()
    above = replace(view(picture), view="top")
    rows = measure_photo(PHOTO, loaded(picture), above, classifier(), version="t").measured
    assert "canopy_height" not in {row.measure for row in rows}


def test_without_strokes_a_photo_still_gets_its_quality():
    result = measure_photo(PHOTO, loaded(tank_picture()), view(tank_picture()), None, version="t")
    assert result.measured == ()
    assert result.quality.quality == "usable"
    assert result.thumbnail[:2] == b"\xff\xd8"


def test_kinds_of_plants_have_shares_of_the_frame_that_add_up_to_the_plants():
    """The left half of the plants is painted another green, with strokes of its own."""
    picture = tank_picture()
    other = (120, 170, 40)
    left = (picture == GREEN).all(axis=2) & (np.arange(picture.shape[1])[None] < 500)
    picture[left] = other
    rng = np.random.default_rng(5)
    colours = (("plant_dark", GREEN), ("plant_light", other), ("background", BLUE), ("background", (25, 40, 40)))
    strokes = tuple(
        Strokes(key, key.partition("_")[0], np.clip(np.array(rgb) + rng.normal(0, 8, (400, 3)), 0, 255).astype(np.uint8))
        for key, rgb in colours
    )
    seen = np.bincount(cell_index(picture[120:620, 150:850]).ravel(), minlength=CELLS)
    found = values(picture, learnt=Classifier(learn_colours(strokes, seen)))
    assert found["plant_cover", "plant_dark"] + found["plant_cover", "plant_light"] == pytest.approx(found["plant_cover", ""], rel=1e-4)
    assert found["plant_cover", "plant_light"] == pytest.approx(100 * left.sum() / 350000, abs=1.5)
