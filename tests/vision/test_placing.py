"""A photo is placed in its frame by blocks, stickers or features and glass edges, and refused where it shows something else."""

import cv2
import numpy as np
import pytest
from tests.vision.pictures import CORNERS, tank_picture

from fairtank.simulation import render_photo, scenario
from fairtank.vision.framing.edges import NORMAL_LONG_SIDE_PX
from fairtank.vision.framing.placing import is_plausible, placed, reference_of

PICTURE = tank_picture()
NORMAL = NORMAL_LONG_SIDE_PX / 1000


def moved(picture: np.ndarray, shift: tuple[float, float], scale: float, turn: float, lean: float = 0.0) -> tuple[np.ndarray, ...]:
    """The picture as a camera that moved a little would see it, and where the corners went [px]."""
    matrix = np.eye(3)
    matrix[:2] = cv2.getRotationMatrix2D((500, 375), turn, scale)
    matrix[:2, 2] += shift
    matrix[2, 0] = lean
    points = cv2.perspectiveTransform(np.array([CORNERS], np.float32), matrix)[0]
    return cv2.warpPerspective(picture, matrix, (1000, 750), borderMode=cv2.BORDER_REFLECT), points


@pytest.mark.parametrize(
    ("shift", "scale", "turn", "lean"),
    [((0, 0), 1, 0, 0), ((7, -5), 1.02, 0.8, 0), ((-9, 6), 0.97, -1.2, 1e-5), ((4.4, 3.3), 1.0, 0.4, -1e-5)],
)
def test_corners_are_found_again_to_half_a_px(shift, scale, turn, lean):
    reference = reference_of(PICTURE, np.array(CORNERS) * NORMAL)
    photo, truth = moved(PICTURE, shift, scale, turn, lean)
    placement = placed(photo, reference)
    assert placement is not None
    assert placement.edges_found == 4
    assert np.abs(placement.corners / NORMAL - truth).max() < 0.5


def test_plants_that_grew_do_not_move_the_corners():
    reference = reference_of(PICTURE, np.array(CORNERS) * NORMAL)
    grown, truth = moved(tank_picture(plant_top=220), (5, 4), 1.01, 0.5)
    placement = placed(grown, reference)
    assert placement is not None
    assert np.abs(placement.corners / NORMAL - truth).max() < 0.6


def test_exposure_does_not_move_the_corners():
    reference = reference_of(PICTURE, np.array(CORNERS) * NORMAL)
    dim, truth = moved((PICTURE * 0.55).astype(np.uint8), (3, 2), 1.0, 0.3)
    placement = placed(dim, reference)
    assert placement is not None
    assert np.abs(placement.corners / NORMAL - truth).max() < 0.5


def test_a_photo_of_something_else_is_not_placed():
    reference = reference_of(PICTURE, np.array(CORNERS) * NORMAL)
    other = np.random.default_rng(3).integers(0, 255, (750, 1000, 3)).astype(np.uint8)
    assert placed(other, reference) is None
    assert placed(np.full((750, 1000, 3), 20, np.uint8), reference) is None


def test_a_photo_of_another_resolution_is_placed_alike():
    reference = reference_of(PICTURE, np.array(CORNERS) * NORMAL)
    photo, truth = moved(PICTURE, (6, -4), 1.01, 0.5)
    twice = cv2.resize(photo, (2000, 1500), interpolation=cv2.INTER_CUBIC)
    placement = placed(twice, reference)
    assert placement is not None
    assert np.abs(placement.corners / NORMAL - truth).max() < 0.8


def test_placing_is_the_same_every_time():
    reference = reference_of(PICTURE, np.array(CORNERS) * NORMAL)
    photo, _ = moved(PICTURE, (6, -4), 1.01, 0.5)
    first, second = placed(photo, reference), placed(photo, reference)
    assert first is not None
    assert second is not None
    assert np.array_equal(first.corners, second.corners)


PULLED = np.array([[0, 0], [300, 0], [0, 0], [0, 0]])


@pytest.mark.parametrize("change", [lambda c: c * 2, lambda c: c * 0.5, lambda c: c + PULLED, lambda c: c[::-1] * [1, 3]])
def test_corners_that_no_camera_could_see_are_not_plausible(change):
    corners = np.array(CORNERS)
    assert not is_plausible(change(corners), corners)


# What decides between the ways, on a picture that blocks place.


@pytest.fixture(scope="module")
def reference():
    return reference_of(PICTURE, np.array(CORNERS) * NORMAL)


@pytest.fixture(scope="module")
def near():
    """The picture from a camera that moved a little, and its true corners [normalised px]."""
    photo, truth = moved(PICTURE, (6, -4), 1.01, 0.5)
    return photo, truth * NORMAL


def test_blocks_come_first_and_the_check_is_asked_about_the_refined_corners(reference, near):
    asked = []
    placement = placed(near[0], reference, check=lambda corners: asked.append(corners))
    assert placement.way == "blocks"
    assert placement.is_sure
    assert placement.checked is None
    assert len(asked) == 1
    assert np.array_equal(asked[0], placement.corners)


def test_a_check_that_objects_sends_the_photo_to_the_slower_ways(reference, near):
    answers = iter([False, True])
    placement = placed(near[0], reference, check=lambda corners: next(answers))
    assert (placement.way, placement.checked) == ("features", True)
    assert placement.inliers > 25


def test_a_frame_that_every_check_refuses_is_given_with_its_refusal(reference, near):
    placement = placed(near[0], reference, check=lambda corners: False)
    assert placement.checked is False
    assert np.abs(placement.corners - near[1]).max() < 1


def test_stickers_are_not_read_where_blocks_do(reference, near):
    assert placed(near[0], reference, stickers=lambda: pytest.fail("read without need")).way == "blocks"


def test_stickers_are_the_start_where_blocks_fail(near):
    """The reference's frame is not the one that its stickers mark: they tell where it lies all the same."""
    photo, truth = near
    mark = np.array([[-30, -20], [25, -22], [28, 26], [-24, 30]])
    matrix = cv2.getPerspectiveTransform((np.array(CORNERS) * NORMAL).astype(np.float32), truth.astype(np.float32))
    known = np.array(CORNERS) * NORMAL + mark
    reference = reference_of(PICTURE, np.array(CORNERS) * NORMAL, stickers=known)
    seen = cv2.perspectiveTransform(known[None], matrix)[0]
    assert not reference.is_set_by_stickers
    answers = iter([False, True])
    placement = placed(photo, reference, check=lambda corners: next(answers), stickers=lambda: seen + 2)
    assert (placement.way, placement.edges_found) == ("stickers", 4)
    assert np.abs(placement.corners - truth).max() < 1


def test_a_frame_set_by_stickers_is_read_from_them_alone(near):
    photo, truth = near
    reference = reference_of(PICTURE, np.array(CORNERS) * NORMAL, stickers=np.array(CORNERS) * NORMAL + 0.5)
    assert reference.is_set_by_stickers
    placement = placed(photo, reference, stickers=lambda: truth)
    assert (placement.way, placement.edges_found, placement.is_sure) == ("stickers", None, True)
    assert np.array_equal(placement.corners, truth)
    assert placed(photo, reference, stickers=lambda: None).way == "blocks"


def test_stickers_of_another_glass_are_not_believed(near):
    reference = reference_of(PICTURE, np.array(CORNERS) * NORMAL, stickers=np.array(CORNERS) * NORMAL)
    assert placed(near[0], reference, stickers=lambda: near[1] * 0.4).way == "blocks"


# Renders: truth that the measurer had no part in.


@pytest.fixture(scope="module")
def rendered():
    trial, size = scenario("midday"), (2048, 1536)
    photos = {}
    for day in (0, 37):
        photo = render_photo(trial, "T1", day, size)
        photos[day] = photo.image, np.array(photo.truth.corners) * (NORMAL_LONG_SIDE_PX / size[0])
    return photos


def seen_elsewhere(pixels: np.ndarray, corners: np.ndarray, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """A photo as a camera that stood elsewhere would have taken it, with its corners [normalised px]."""
    height, width = pixels.shape[:2]
    scale = NORMAL_LONG_SIDE_PX / width
    rim = np.array([[0, 0], [width, 0], [width, height], [0, height]], float)
    target = rim + rng.uniform(-40, 40, 2) + rng.uniform(-14, 14, (4, 2))
    matrix = cv2.getPerspectiveTransform((rim - 0.5).astype(np.float32), (target - 0.5).astype(np.float32))
    picture = cv2.warpPerspective(pixels, matrix, (width, height), flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return picture, (cv2.perspectiveTransform((corners / scale - 0.5)[None], matrix)[0] + 0.5) * scale


@pytest.mark.as_it_was("bound on renders of our own, 2026-11-26")
def test_corners_of_renders_are_found_to_a_px_and_a_half_with_grown_plants_and_moved_cameras(rendered):
    reference = reference_of(*rendered[0])
    rng, errors = np.random.default_rng(4), []
    for pixels, truth in (rendered[37], *(seen_elsewhere(*rendered[37], rng) for _ in range(5))):
        placement = placed(pixels, reference)
        assert placement is not None
        assert placement.is_sure
        errors.append(np.hypot(*(placement.corners - truth).T).max())
    assert max(errors) <= 1.5
    assert np.median(errors) <= 0.4


def test_the_top_of_a_bowl_seen_from_above_is_placed_like_a_front():
    """A light basin with a rim and floating leaves, in the middle of a table."""
    picture = np.repeat(np.random.default_rng(5).normal(110, 6, (750, 1000, 1)).clip(0, 255).astype(np.uint8), 3, axis=2)
    for x, y in ((60, 80), (900, 70), (940, 660), (70, 640), (480, 50), (500, 710)):
        cv2.circle(picture, (x, y), 22, (60, 50, 40), -1)
    picture[120:620, 150:850] = (190, 200, 205)
    cv2.rectangle(picture, (150, 120), (850, 620), (40, 40, 40), 6)
    first, later = picture.copy(), picture.copy()
    for number, (x, y) in enumerate(np.random.default_rng(6).integers((180, 150), (820, 590), (40, 2))):
        cv2.circle(later, (int(x), int(y)), 18, (50, 140, 60), -1)
        if number < 6:
            cv2.circle(first, (int(x), int(y)), 18, (50, 140, 60), -1)
    reference = reference_of(first, np.array(CORNERS) * NORMAL)
    photo, truth = moved(later, (8, 5), 1.01, 0.6)
    placement = placed(photo, reference)
    assert placement is not None
    assert placement.is_sure
    assert np.abs(placement.corners / NORMAL - truth).max() < 0.6
