"""Mishaps done to rendered photos are named by the verdict that means them; growth over five weeks is none of them."""

from dataclasses import fields

import numpy as np
import pytest

from fairtank.simulation import mishaps, render_photo, scenario
from fairtank.simulation.camera import TANK_HEIGHT_CM, TANK_WIDTH_CM
from fairtank.simulation.growth import TankState
from fairtank.simulation.scenario import Scenario
from fairtank.vision.colour.correction import uncorrected
from fairtank.vision.quality.evidence import Evidence, with_look
from fairtank.vision.quality.look import look_of
from fairtank.vision.quality.verdicts import quality_of, verdicts_of
from fairtank.vision.rectify import rectified_in_colour

TRIAL, SIZE = scenario("midday"), (1024, 768)
WIDTH, HEIGHT = 720, round(720 * TANK_HEIGHT_CM / TANK_WIDTH_CM)
MISHAPS = {
    "blurred": lambda p, c, r: mishaps.defocused(p, 2.6),
    "under_exposed": lambda p, c, r: mishaps.exposed(p, 0.2, r),
    "over_exposed": lambda p, c, r: mishaps.exposed(p, 3, r),
    "glare": lambda p, c, r: mishaps.window_reflection(p, c, 14, 0.2),
    "obstructed": lambda p, c, r: mishaps.hand_before(p, c, 9, r),
    "lights_off": lambda p, c, r: mishaps.lights_off(p, c, 0.1, r),
    "water_lowered": lambda p, c, r: mishaps.water_lowered(p, c, 0.25),
}


# Tanks that change much in one step, by a day that stands for each.
STATES = {
    100: TankState(0.08, 0.22, 1.0), 101: TankState(0.97, 1.0, 8.0), 102: TankState(0.6, 0.7, 50.0), 103: TankState(0.4, 0.9, 15.0),
    104: TankState(0.97, 1.0, 8.0), 105: TankState(0.45, 0.9, 6.0),
}  # fmt: skip
BARE, FULL, HALF_ALGAE, TRIMMED_WITH_ALGAE, BROWN, CLOUDY = STATES


class Staged(Scenario):
    def state(self, unit: str, day: int) -> TankState:
        return STATES[day]


@pytest.fixture(scope="module")
def changed():
    """(picture, corners) of the staged tank, by what was done to it."""
    water = ((BROWN - 1, 0.0, 0.0), (BROWN, 0.3, 0.1), (CLOUDY, 0.0, 0.25))
    trial = Staged(**{field.name: getattr(TRIAL, field.name) for field in fields(Scenario)} | {"water_course": water})
    photos = {day: render_photo(trial, "T3", day, SIZE) for day in STATES}
    found = {day: (photo.image, photo.truth.corners) for day, photo in photos.items()}
    chance, (trimmed, corners), (full, full_corners) = np.random.default_rng(3), found[TRIMMED_WITH_ALGAE], found[FULL]
    other = render_photo(trial, "T1", TRIMMED_WITH_ALGAE, SIZE)
    return found | {
        "heater": (mishaps.heater_added(trimmed, corners, 0.7), corners),
        "floating": (mishaps.floating_plants(full, full_corners, 1.0, chance), full_corners),
        "corner": (mishaps.replanted(trimmed, corners, other.image, other.truth.corners), corners),
        "other": (other.image, other.truth.corners),
    }


@pytest.mark.parametrize("reference", [BARE, FULL])
@pytest.mark.parametrize("now", [BARE, FULL, HALF_ALGAE, TRIMMED_WITH_ALGAE, BROWN, CLOUDY, "heater", "floating", "corner"])
def test_what_grows_or_is_cut_or_put_in_between_two_photos_is_no_mishap(changed, reference, now):
    verdicts = found(*changed[now], look(*changed[reference]))
    assert verdicts == ()


@pytest.mark.parametrize("reference", [BARE, FULL])
def test_another_tank_is_told_from_much_growth(changed, reference):
    assert [verdict.key for verdict in found(*changed["other"], look(*changed[reference]))] == ["wrong_tank"]


@pytest.mark.parametrize("reference", [BARE, FULL])
def test_a_closed_lid_stands_before_the_tank_and_is_no_lamp_that_is_off(changed, reference):
    picture, corners = changed[TRIMMED_WITH_ALGAE]
    closed = mishaps.lid_closed(picture, corners, 1.0, np.random.default_rng(1))
    verdicts = found(closed, corners, look(*changed[reference]))
    assert [verdict.key for verdict in verdicts] == ["obstructed"]
    assert quality_of(verdicts) == "not usable"


@pytest.fixture(scope="module")
def rendered():
    return {key: render_photo(TRIAL, *key, SIZE) for key in (("T2", 0), ("T2", 16), ("T2", 37), ("T3", 16))}


def look(picture, corners):
    inside = np.array(corners) / max(picture.shape[:2])
    flat = rectified_in_colour(picture, inside, WIDTH, HEIGHT, uncorrected())
    return look_of(picture, inside, flat, np.ones((HEIGHT, WIDTH), bool))


@pytest.fixture(scope="module")
def reference(rendered):
    first = rendered["T2", 0]
    return look(first.image, first.truth.corners)


def found(picture, corners, reference):
    return verdicts_of(with_look(Evidence("registered"), look(picture, corners), reference, TANK_WIDTH_CM))


@pytest.mark.parametrize("day", [0, 16, 37])
def test_five_weeks_of_growth_are_no_mishap(rendered, reference, day):
    photo = rendered["T2", day]
    assert found(photo.image, photo.truth.corners, reference) == ()


@pytest.mark.parametrize("key", MISHAPS)
def test_each_mishap_is_named(rendered, reference, key):
    photo = rendered["T2", 16]
    spoilt = MISHAPS[key](photo.image, photo.truth.corners, np.random.default_rng(1))
    verdicts = found(spoilt, photo.truth.corners, reference)
    assert verdicts[0].key == key, verdicts
    assert quality_of(verdicts) != "usable"


def test_another_tank_of_the_same_build_is_recognised(rendered, reference):
    other = rendered["T3", 16]
    assert [verdict.key for verdict in found(other.image, other.truth.corners, reference)] == ["wrong_tank"]


def test_a_camera_that_stood_elsewhere_is_told_from_another_tank(rendered, reference):
    photo = rendered["T2", 16]
    moved = mishaps.camera_moved(photo.image, photo.truth.corners, 6)
    corners = np.array(photo.truth.corners, np.float32)[None]
    import cv2

    seen = cv2.perspectiveTransform(corners, mishaps._seen_from(photo.image, photo.truth.corners, 6))[0]
    assert "camera_moved" in {verdict.key for verdict in found(moved, seen, reference)}


def test_sharpness_does_not_follow_exposure(rendered, reference):
    """What fine detail alone would do: half the light is no blur."""
    photo = rendered["T2", 16]
    dim = look(mishaps.exposed(photo.image, 0.4, np.random.default_rng(2)), photo.truth.corners)
    beside = with_look(Evidence("registered"), dim, reference, TANK_WIDTH_CM)
    assert beside.sharpness == pytest.approx(1, abs=0.15)
    assert beside.light_ratio == pytest.approx(0.4, rel=0.15)


def test_corners_set_by_hand_are_compared_in_sharpness_and_light_only(rendered, reference):
    other = rendered["T3", 16]
    seen = with_look(Evidence("by_hand"), look(other.image, other.truth.corners), reference, TANK_WIDTH_CM)
    assert seen.sharpness is not None
    assert (seen.kept_fraction, seen.veiled_fraction, seen.line_strength) == (None, None, None)


def test_from_above_no_water_line_is_looked_for(rendered, reference):
    photo = rendered["T2", 16]
    low = look(mishaps.water_lowered(photo.image, photo.truth.corners, 0.25), photo.truth.corners)
    assert with_look(Evidence("registered"), low, reference, TANK_WIDTH_CM, "top").line_strength is None
