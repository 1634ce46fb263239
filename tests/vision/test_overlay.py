"""What is drawn over a photo: borders where classes end, faded what never counts, rings in open water only; at any width, one px wide."""

import dataclasses

import numpy as np
import pytest
from tests.vision.pictures import classifier, loaded, tank_picture, view

from fairtank.trial import Zone
from fairtank.vision.classes.classifier import ALGAE, PLANT, classified
from fairtank.vision.measures.canopy import canopy_line_px
from fairtank.vision.overlay import ALGAE_RGB, PLANT_RGB, UNSURE_RGB, overlay, unsure_map
from fairtank.vision.prepare import prepared_photo
from fairtank.vision.scene import Scene
from fairtank.vision.spots import SpotCandidates


@pytest.fixture(scope="module")
def scene():
    """A made-up tank with plants, algae, a static corner at the top left, and two dots: one in open water, one among the plants."""
    picture = tank_picture()
    seen = view(picture, zones=(Zone("T1", "filter", "static", ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))),))
    prepared = prepared_photo(loaded(picture), seen)
    dots = SpotCandidates(np.array([[35.0, 8.0], [35.0, 45.0]], np.float32), np.full(2, 0.15, np.float32), np.full(2, 40, np.float32))
    return Scene(prepared.picture, classified(prepared.picture, classifier()), seen, classifier().known, "none", dots)


def is_colour(picture, rgb):
    return (picture == np.array(rgb)).all(axis=2)


@pytest.mark.parametrize("width_px", [None, 240, 480, 1000])
def test_borders_lie_where_classes_end_and_are_one_px_wide_at_every_width(scene, width_px):
    import cv2

    drawn = overlay(scene, width_px)
    height, width = drawn.shape[:2]
    assert width == (width_px or scene.view.width_px)
    assert height == pytest.approx(width * scene.view.height_px / scene.view.width_px, abs=0.5)
    for kind, colour in ((PLANT, PLANT_RGB), (ALGAE, ALGAE_RGB)):
        mask = cv2.resize(((scene.classes == kind) & scene.view.counted).astype(np.uint8), (width, height), interpolation=cv2.INTER_NEAREST)
        wide = cv2.morphologyEx(mask, cv2.MORPH_GRADIENT, np.ones((2 * -(-width // 700) + 3,) * 2, np.uint8)) > 0
        border = is_colour(drawn, colour)
        assert border.sum() > width / 20
        assert not (border & ~wide).any()
        assert not cv2.erode(border.astype(np.uint8), np.ones((3, 3), np.uint8)).any()  # nowhere three px thick


def test_what_never_counts_is_paler_and_carries_no_border(scene):
    drawn = overlay(scene)
    static = ~scene.view.counted
    assert static.any()
    # Half-way and a little more towards white (255), by the rule of the fade: 0.45 old + 0.55 white.
    assert drawn[static].mean() == pytest.approx(0.45 * scene.pixels[static].mean() + 0.55 * 255, abs=3)
    assert not (is_colour(drawn, PLANT_RGB) | is_colour(drawn, ALGAE_RGB))[static].any()


def test_open_water_is_shown_as_it_is(scene):
    px_per_cm = scene.view.px_per_cm
    box = np.s_[round(15 * px_per_cm[1]) : round(20 * px_per_cm[1]), round(20 * px_per_cm[0]) : round(50 * px_per_cm[0])]
    assert (overlay(scene)[box] == scene.pixels[box]).all()


def test_only_dots_in_open_water_are_ringed(scene):
    bare = overlay(dataclasses.replace(scene, candidates=None))
    changed = (overlay(scene) != bare).any(axis=2)
    rows, columns = np.nonzero(changed)
    across, down = scene.view.px_per_cm
    assert np.hypot(columns / across - 35, rows / down - 8).max() < 1
    middle = changed[round(8 * down), round(35 * across)]
    assert not middle  # the dot itself stays to be seen


def test_the_dashed_line_lies_at_the_canopy(scene):
    row = round(canopy_line_px(scene))
    line = overlay(scene)[row - 1]
    assert {tuple(px) for px in line} == {(0, 0, 0), (255, 255, 255)}


def test_doubtful_px_and_no_others_are_coloured(scene):
    doubtful = np.zeros(scene.classes.shape, bool)
    doubtful[100:120, 200:260] = True
    doubtful[5:9, 5:9] = True  # in the static corner: does not count
    drawn = unsure_map(dataclasses.replace(scene, map=dataclasses.replace(scene.map, unsure=doubtful)))
    assert (is_colour(drawn, UNSURE_RGB) == (doubtful & scene.view.counted)).all()
    rest = drawn[~(doubtful & scene.view.counted)]
    assert (rest == rest[:, :1]).all()  # grey


def test_drawing_leaves_the_photo_as_it_was(scene):
    before = scene.pixels.copy()
    overlay(scene)
    unsure_map(scene)
    assert (scene.pixels == before).all()
