"""A photo on its way to its measures: the card speaks for its place and its colours, and the camera's light leaves the measures alone."""

import dataclasses

import numpy as np
import pytest

from fairtank.errors import PhotoError
from fairtank.simulation import camera, render_photo, scenario, strokes_on
from fairtank.trial import Frame, Zone
from fairtank.vision.classes.classifier import learn_classes
from fairtank.vision.classes.strokes import class_numbers, stroke_picture
from fairtank.vision.colour.target import colour_target_of
from fairtank.vision.load import LoadedPhoto, decoded_photo
from fairtank.vision.measure import measure_prepared
from fairtank.vision.prepare import CardLook, correction_of, prepared_photo
from fairtank.vision.view import carried, relative, view_of, with_colour_target

SIZE, UNIT = (1280, 960), "T1"
TRIAL = dataclasses.replace(scenario("midday"), cards=True, photo_size=SIZE)
ZONES = tuple(zone for zone in TRIAL.zones if zone.unit == UNIT)
# Gains of red, green and blue: as it was, darker and lighter by a fifth, and two other whites.
LIGHTS = {"as it was": (1.0, 1.0, 1.0), "darker": (0.8, 0.8, 0.8), "lighter": (1.2, 1.2, 1.2), "bluer": (0.88, 1.0, 1.13),
          "redder": (1.12, 0.97, 0.85)}  # fmt: skip
STEADY = [("plant_cover", 0.3), ("plant_lightness", 0.5), ("plant_redness", 0.5), ("plant_yellowness", 0.5)]


def taken(unit: str, day: int, gains: tuple[float, float, float] = (1.0, 1.0, 1.0)):
    """A rendered photo in another light: the file as it is loaded, and its truth."""
    shot = camera.shot(camera.View(*SIZE), TRIAL.seed, unit, day)
    shot = dataclasses.replace(shot, gains=tuple(0.8 * one * other for one, other in zip(shot.gains, gains, strict=True)))
    photo = render_photo(TRIAL, unit, day, SIZE, taken=shot)
    return decoded_photo(photo.jpeg_bytes(95), f"{unit}-{day}.jpg"), photo.truth


def frame_of(truth, mode: str = "registered", unit: str = UNIT) -> Frame:
    return Frame(unit, "r.jpg", mode, "front", truth.corners, camera.TANK_WIDTH_CM, camera.TANK_HEIGHT_CM)


@pytest.fixture(scope="module")
def first():
    return taken(UNIT, 0)


@pytest.fixture(scope="module")
def unit_view(first):
    return view_of(frame_of(first[1]), ZONES, first[0])


@pytest.fixture(scope="module")
def grown():
    """The photo of day 20 in all lights."""
    return {name: taken(UNIT, 20, gains) for name, gains in LIGHTS.items()}


@pytest.fixture(scope="module")
def measured(unit_view, grown):
    """The measures of day 20 in all lights, by one classifier that was learnt on the photo as it was."""
    prepared = {name: prepared_photo(photo, unit_view) for name, (photo, _) in grown.items()}
    own = prepared["as it was"]
    strokes = class_numbers(strokes_on(TRIAL, grown["as it was"][1], TRIAL.photo(UNIT, 20), 1), TRIAL.label_classes)
    picture = stroke_picture("a", own.picture, strokes, relative(own.corners_px, max(SIZE)), unit_view)
    classifier = learn_classes((picture,), TRIAL.label_classes)
    results = {name: measure_prepared(TRIAL.photo(UNIT, 20), one, unit_view, classifier, version="t") for name, one in prepared.items()}
    return {name: {row.measure: row.value for row in result.measured if row.zone == ""} for name, result in results.items()}


@pytest.mark.parametrize(("measure", "apart"), STEADY)
def test_the_cameras_light_and_white_leave_cover_and_plant_colour_alone(measured, measure, apart):
    values = [found[measure] for found in measured.values()]
    assert abs(values[0]) > 5
    assert np.abs(np.array(values) - np.median(values)).max() < apart


@pytest.mark.parametrize("light", LIGHTS)
def test_gains_are_found_within_one_percent_of_what_the_photo_was_taken_with(unit_view, first, grown, light):
    photo, truth = grown[light]
    corners = relative(truth.corners, max(SIZE))
    look = CardLook(photo.pixels, unit_view)
    assert look.agrees(corners * 2016)
    found = correction_of(photo.pixels, corners, unit_view, look.settled())
    off = np.array(found.gains) / (np.array(truth.gains) / np.array(first[1].gains)) - 1
    assert np.abs(off).mean() < 0.01
    assert found.residual_delta_e < 2


def test_the_evidence_names_the_card_and_what_colours_rest_on(unit_view, grown):
    evidence = prepared_photo(grown["darker"][0], unit_view).evidence
    assert evidence.card_expected == evidence.card_read == unit_view.card.card
    assert evidence.colour_basis == "card"
    assert evidence.colour_residual < 2
    assert evidence.card_light_ratio == pytest.approx(0.8, rel=0.15)
    assert evidence.moved_cm is not None
    assert evidence.moved_cm < 5


def test_a_photo_that_is_its_own_reference_keeps_its_colours(unit_view, first):
    plain = view_of(frame_of(first[1], "fixed"), ZONES, LoadedPhoto(_without_card(first[0].pixels, unit_view), *SIZE))
    assert plain.card is None
    fixed = dataclasses.replace(unit_view, mode="fixed")
    with_card, without = (prepared_photo(first[0], one).picture.astype(int) for one in (fixed, plain))
    assert np.abs(with_card - without).mean() < 0.5


def _without_card(pixels: np.ndarray, view) -> np.ndarray:
    """The photo with grey over its card."""
    import cv2

    scale = max(SIZE) / 2016
    middle = view.card.corners.mean(axis=0)
    return cv2.fillConvexPoly(pixels.copy(), np.round((middle + 1.1 * (view.card.corners - middle)) * scale).astype(np.int32), (80, 80, 80))


def test_a_hidden_card_leaves_colours_as_they_were_and_says_so(unit_view, grown):
    photo = LoadedPhoto(_without_card(grown["as it was"][0].pixels, unit_view), *SIZE)
    prepared = prepared_photo(photo, unit_view)
    assert prepared.picture is not None
    assert prepared.evidence.card_read is None
    assert prepared.evidence.colour_basis == "none"


def test_the_photo_of_another_tank_is_told_by_its_card(unit_view):
    other, truth = taken("T2", 20)
    prepared = prepared_photo(other, dataclasses.replace(unit_view, mode="by_hand"), truth.corners)
    assert prepared.evidence.card_expected == unit_view.card.card
    assert prepared.evidence.card_read not in (None, unit_view.card.card)
    assert prepared.evidence.colour_basis == "none"


def test_the_card_is_found_again_with_corners_set_by_hand(unit_view, grown):
    photo, truth = grown["bluer"]
    prepared = prepared_photo(photo, dataclasses.replace(unit_view, mode="by_hand"), truth.corners)
    assert prepared.evidence.card_read == unit_view.card.card
    assert prepared.corners_px == pytest.approx(np.array(truth.corners), abs=0.01)


def test_a_reference_photo_with_another_units_card_is_refused(first, unit_view):
    number = unit_view.card.card
    assert view_of(frame_of(first[1], "fixed"), ZONES, first[0], card=number).card.card == number
    with pytest.raises(PhotoError, match=f"shows photo card {number}, but T1 has card {number + 1}"):
        view_of(frame_of(first[1], "fixed"), ZONES, first[0], card=number + 1)


def test_units_of_other_cameras_come_to_one_level(first, unit_view):
    other = taken(UNIT, 0, (0.7, 0.75, 0.85))
    views = [unit_view, view_of(frame_of(other[1]), ZONES, other[0])]
    target = colour_target_of([view.card for view in views])
    one, two = (prepared_photo(photo, with_colour_target(view, target)).picture.reshape(-1, 3).mean(0)
                for (photo, _), view in zip((first, other), views, strict=True))
    apart, before = np.abs(one - two).max(), np.abs(first[0].pixels.reshape(-1, 3).mean(0) - other[0].pixels.reshape(-1, 3).mean(0)).max()
    assert before > 10
    assert apart < 1


def test_a_painted_patch_beside_the_glass_does_what_a_card_does_not_do(first, unit_view, grown):
    """A light field of the card, taken for the patch: one grey thing of steady colour beside the frame."""
    scale_cm = np.array([camera.TANK_WIDTH_CM, camera.TANK_HEIGHT_CM])
    square = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * scale_cm
    at_mm = np.array([[41.0, 51.5], [53, 51.5], [53, 60.5], [41, 60.5]])  # inside the field `grey 80`
    card_mm = np.array([[0, 0], [60, 0], [60, 100], [0, 100]], float)
    in_photo = carried(at_mm, card_mm, unit_view.card.corners)
    polygon = carried(in_photo, unit_view.corners * 2016, square)
    zone = Zone(UNIT, "white sticker", "patch", tuple(map(tuple, polygon)))
    prepared = {}
    for name in ("as it was", "bluer"):
        view = view_of(frame_of(first[1]), (*ZONES, zone), first[0])
        view = dataclasses.replace(view, card=None)
        view = with_colour_target(view, colour_target_of([None], [view.patch]))
        assert view.colours.basis == "patch"
        prepared[name] = prepared_photo(grown[name][0], view)
        assert prepared[name].evidence.colour_basis == "patch"
    one, two = (part.picture.reshape(-1, 3).mean(0) for part in prepared.values())
    assert np.abs(one - two).max() < 1.5


def test_points_are_carried_with_the_frame():
    square = np.array([[0, 0], [10, 0], [10, 8], [0, 8]], float)
    tilted = np.array([[1, 2], [12, 1], [13, 11], [0, 9]], float)
    assert np.allclose(carried(square, square, tilted), tilted, atol=1e-4)
    assert np.allclose(carried(carried(np.array([[4.0, 3]]), square, tilted), tilted, square), [[4, 3]], atol=1e-3)
