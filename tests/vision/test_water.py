"""Tint and haze against the backdrop: nothing where nothing changed, the drawn difference where something did, and the order on renders."""

from dataclasses import replace

import numpy as np
import pytest
from tests.vision.pictures import BLUE, CORNERS, PHOTO, classifier, loaded, tank_picture, view

from fairtank.science.colour import delta_e_2000, lab_from_srgb
from fairtank.science.srgb import linear_from_srgb, srgb_from_linear
from fairtank.simulation import render_photo, scenario
from fairtank.simulation.water import Water, through_water, tint_and_haze, water_on
from fairtank.trial import Zone
from fairtank.vision.classes.classifier import ALGAE, classified
from fairtank.vision.load import decoded_photo
from fairtank.vision.measure import measure_photo
from fairtank.vision.measures.water import haze, water_tint
from fairtank.vision.prepare import prepared_photo
from fairtank.vision.scene import Scene
from fairtank.vision.view import rectified, relative, view_of

BACKDROP = Zone("T1", "back", "backdrop", ((30, 2), (60, 2), (60, 14), (30, 14)))
HEATER = Zone("T1", "heater", "static", ((2, 2), (8, 2), (8, 24), (2, 24)))
PATCH = Zone("T1", "sticker", "patch", ((-8, 5), (-4, 5), (-4, 9), (-8, 9)))
ZONES = (BACKDROP, HEATER)


def tank(water=None) -> np.ndarray:
    """The drawn tank with a dark heater; what is inside is seen through `water`, linear light in, linear light out."""
    picture = tank_picture()
    picture[150:350, 180:220] = (30, 32, 34)
    if water is not None:
        inside = picture[126:614, 156:844]
        inside[...] = np.round(srgb_from_linear(water(linear_from_srgb(inside / 255))) * 255).astype(np.uint8)
    return picture


def scene(picture: np.ndarray, reference: np.ndarray, zones=ZONES, basis: str = "none") -> Scene:
    seen = view(reference, zones=zones)
    upright = rectified(picture, relative(CORNERS, 1000), seen.width_px, seen.height_px)
    return Scene(upright, classified(upright, classifier()), seen, classifier().known, basis)


def with_patch_basis(picture: np.ndarray, reference: np.ndarray) -> Scene:
    """A scene whose colours are compared by a painted patch beside the tank."""
    seen = scene(picture, reference, zones=(*ZONES, PATCH), basis="patch")
    assert seen.view.colours.basis == "patch"
    return seen


def brown(light: np.ndarray) -> np.ndarray:
    return light * np.array([0.97, 0.9, 0.78])


def veiled(share: float, veil: float):
    return lambda light: light * (1 - share) + veil * share


def test_the_reference_photo_has_no_tint_and_no_haze():
    same = tank()
    assert water_tint(with_patch_basis(same, same))[""] == pytest.approx(0, abs=0.3)
    assert haze(scene(same, same))[""] == pytest.approx(0, abs=0.3)


def test_tint_is_the_ciede2000_of_the_backdrop():
    """The drawn colour before and after, by the formula that the printed table of sharma2005 is held against elsewhere."""
    before = linear_from_srgb((np.array(BLUE) - 19.5) / 255)
    drawn = delta_e_2000(*(lab_from_srgb(srgb_from_linear(light) * 255) for light in (before, brown(before))))
    assert water_tint(with_patch_basis(tank(brown), tank()))[""] == pytest.approx(float(drawn), rel=0.05)
    assert float(drawn) > 4


def test_without_comparable_colours_there_is_no_tint_but_haze():
    found = scene(tank(brown), tank())
    assert water_tint(found) == {}
    assert "" in haze(found)


def test_without_a_backdrop_or_a_dark_static_thing_nothing_is_told():
    assert haze(scene(tank(), tank(), zones=(HEATER,))) == {}
    assert water_tint(scene(tank(), tank(), zones=(HEATER,), basis="patch")) == {}
    assert haze(scene(tank(), tank(), zones=(BACKDROP,))) == {}


@pytest.mark.parametrize("share", [0.1, 0.3, 0.5])
def test_haze_is_the_share_of_a_veil_as_bright_as_the_mean_of_light_and_dark(share):
    light, dark = linear_from_srgb((np.array(BLUE) - 19.5) / 255).mean(), linear_from_srgb(np.array([30, 32, 34]) / 255).mean()
    assert haze(scene(tank(veiled(share, (light + dark) / 2)), tank()))[""] == pytest.approx(100 * share, abs=2.5)


def test_exposure_is_no_haze():
    darker = np.round(srgb_from_linear(linear_from_srgb(tank() / 255) * 0.6) * 255).astype(np.uint8)
    assert haze(scene(darker, tank()))[""] == pytest.approx(0, abs=0.6)


def test_plants_and_algae_before_the_backdrop_are_left_out():
    overgrown = tank(brown)
    overgrown[126:240, 450:700] = (40, 150, 50)
    clear = water_tint(with_patch_basis(tank(brown), tank()))[""]
    assert water_tint(with_patch_basis(overgrown, tank()))[""] == pytest.approx(clear, abs=0.4)
    hidden = with_patch_basis(tank(brown), tank())
    nothing_open = replace(hidden, map=replace(hidden.map, classes=np.full_like(hidden.classes, ALGAE)))
    assert water_tint(nothing_open) == {}
    assert haze(nothing_open) == {}


def test_a_fish_before_the_backdrop_hardly_moves_the_tint():
    with_fish = tank(brown)
    with_fish[160:172, 500:540] = (200, 60, 40)
    clear = water_tint(with_patch_basis(tank(brown), tank()))[""]
    assert water_tint(with_patch_basis(with_fish, tank()))[""] == pytest.approx(clear, abs=0.15)


def test_a_backdrop_is_a_part_of_the_water_and_has_no_cover_of_its_own():
    picture = tank()
    rows = measure_photo(PHOTO, loaded(picture), view(picture, zones=ZONES), classifier(), version="t").measured
    assert {row.zone for row in rows if row.measure == "plant_cover"} == {""}


def test_clear_water_changes_no_px_and_knots_are_joined_by_straight_lines():
    picture = np.random.default_rng(1).integers(0, 256, (20, 30, 3)).astype(np.uint8)
    assert (through_water(picture, Water(), 3) == picture).all()
    course = ((0, 0.0, 0.0), (10, 0.4, 0.2))
    assert water_on(course, 5) == Water(0.2, 0.1)
    assert water_on(course, 30) == Water(0.4, 0.2)
    assert water_on((), 5).is_clear


def test_the_truth_of_tint_and_haze_grows_with_what_was_asked_for():
    box = np.zeros((40, 60, 3), np.uint8)
    box[:, :30], box[:, 30:] = (190, 210, 220), (30, 30, 32)
    backdrop, equipment = np.zeros((40, 60), bool), np.zeros((40, 60), bool)
    backdrop[:, :30], equipment[:, 30:] = True, True
    waters = (Water(), Water(0.2, 0.0), Water(0.4, 0.0), Water(0.0, 0.3))
    found = [tint_and_haze(box, backdrop, equipment, Water(), water) for water in waters]
    assert found[0] == (0.0, 0.0)
    assert 1 < found[1][0] < found[2][0]
    assert found[3][1] > 15


@pytest.mark.as_it_was("bounds on one tank of the renderer; benchmarks/bench_measures.py measures more, 2026-11-26")
def test_rendered_water_is_measured_in_its_true_order_and_size():
    """The colours rest on the card beside the tank: most of the error of the tint is that of the card's reading."""
    trial = replace(scenario("midday"), cards=True, water_course=((0, 0.0, 0.0), (2, 0.35, 0.0), (4, 0.0, 0.25)))
    zones = tuple(zone for zone in trial.zones if zone.unit == "T2")
    frame = next(frame for frame in trial.frames if frame.unit == "T2")

    seen, found = None, {}
    for day in (0, 2, 4):
        rendered = render_photo(trial, "T2", day, trial.photo_size)
        one = decoded_photo(rendered.jpeg_bytes(), "t.jpg")
        fixed = replace(frame, mode="by_hand", corners=rendered.truth.corners)
        seen = seen or view_of(fixed, zones, one)
        prepared = prepared_photo(one, seen, rendered.truth.corners)
        told = classified(prepared.picture, classifier())
        bare = replace(told, classes=np.zeros_like(told.classes))  # neither backdrop nor heater is overgrown on these days
        here = Scene(prepared.picture, bare, seen, ("background",), prepared.evidence.colour_basis)
        found[day] = water_tint(here)[""], haze(here)[""], rendered.truth
    for day in (0, 2, 4):
        tint, lost_pct, truth = found[day]
        assert tint == pytest.approx(truth.water_tint, abs=2)
        assert lost_pct == pytest.approx(truth.haze_pct, abs=5)
    assert found[2][2].water_tint > 8
    assert found[4][2].haze_pct > 20
