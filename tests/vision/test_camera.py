"""The camera's move is told from the corners of the glass, and parallax follows rays through glass and water."""

import numpy as np
import pytest

from checking import every
from fairtank.vision.framing.camera import PHONE_FOCAL_PX, WATER_INDEX, camera_moved, parallax_cm, seen_size_fraction

WIDTH_CM, HEIGHT_CM, MIDDLE = 60.0, 36.0, (1008.0, 756.0)
FRAME = np.array([[0, 0, 0], [WIDTH_CM, 0, 0], [WIDTH_CM, HEIGHT_CM, 0], [0, HEIGHT_CM, 0]], float)


def turned(across: float, down: float, around: float) -> np.ndarray:
    """A turn about the camera's three axes [degrees]."""
    a, b, c = np.deg2rad([across, down, around])
    about_y = np.array([[np.cos(a), 0, np.sin(a)], [0, 1, 0], [-np.sin(a), 0, np.cos(a)]])
    about_x = np.array([[1, 0, 0], [0, np.cos(b), -np.sin(b)], [0, np.sin(b), np.cos(b)]])
    about_z = np.array([[np.cos(c), -np.sin(c), 0], [np.sin(c), np.cos(c), 0], [0, 0, 1]])
    return about_z @ about_x @ about_y


def seen_from(place, turn=(0.0, 0.0, 0.0), focal: float = PHONE_FOCAL_PX, points: np.ndarray = FRAME) -> np.ndarray:
    """Where points lie in the photo of a camera at a place [cm, y down, z into the tank]."""
    rays = (points - np.asarray(place, float)) @ turned(*turn).T
    return rays[:, :2] / rays[:, 2:] * focal + MIDDLE


def moved(before: np.ndarray, after: np.ndarray, focal: float | None = None):
    return camera_moved(before, after, width_cm=WIDTH_CM, height_cm=HEIGHT_CM, middle_px=MIDDLE, focal_px=focal)


@pytest.mark.parametrize("step", [(0, 0, 0), (5, 0, 0), (-3, 2, 0), (0, -4, 6), (1, 1, -8)])
@pytest.mark.parametrize("turn", [(0, 0, 0), (1.5, -1, 0.7)])
def test_a_known_move_is_told_in_its_directions_whatever_the_camera_turned(step, turn):
    place = np.array([28.0, 15.0, -95.0])
    told = moved(seen_from(place), seen_from(place + step, turn))
    assert (told.sideways_cm, -told.up_cm, told.nearer_cm) == pytest.approx(step, abs=0.02)
    assert told.moved_cm == pytest.approx(np.hypot.reduce(step), abs=0.03)
    assert told.distance_cm == pytest.approx(95, abs=0.05)


def test_turning_the_camera_about_itself_is_no_move():
    place = (30, 20, -100)
    assert moved(seen_from(place), seen_from(place, (2, 2, 2))).moved_cm < 0.03


def test_errors_of_the_corners_lie_within_the_tolerance_nineteen_times_in_twenty():
    rng = np.random.default_rng(7)
    place, step = np.array([30.0, 18.0, -100.0]), np.array([4.0, 1.0, 2.0])
    within = []
    for _ in range(300):
        before = seen_from(place) + rng.normal(0, 0.3, (4, 2))
        after = seen_from(place + step, (2, -0.5, 0.1)) + rng.normal(0, 0.3, (4, 2))
        told = moved(before, after, PHONE_FOCAL_PX)
        within.append(abs(told.moved_cm - np.hypot.reduce(step)) <= told.tolerance_cm)
    assert np.mean(within) > 0.93


def test_a_camera_that_stayed_seldom_seems_to_have_moved_more_than_its_tolerance_twice_over():
    rng = np.random.default_rng(8)
    far = []
    for _ in range(200):
        told = moved(*(seen_from((30, 18, -100)) + rng.normal(0, 0.3, (2, 4, 2))))
        far.append(told.moved_cm > 2 * told.tolerance_cm)
    assert np.mean(far) < 0.03


def test_a_lens_that_sees_narrower_than_assumed_makes_the_distance_and_the_move_come_out_too_small():
    place, step = np.array([30.0, 18.0, -100.0]), np.array([5.0, 0.0, 0.0])
    before, after = (seen_from(where, focal=2 * PHONE_FOCAL_PX) for where in (place, place + step))
    told = moved(before, after)
    assert told.distance_cm == pytest.approx(50, rel=0.01)
    assert told.moved_cm < 5
    assert moved(before, after, 2 * PHONE_FOCAL_PX).moved_cm == pytest.approx(5, abs=0.05)


def shift_by_snell(move_cm: float, depth_cm: float, distance_cm: float) -> float:
    """Where the ray from a point straight behind x = 0 to the moved camera crosses the front glass, by Snell's law and bisection."""
    low, high = 0.0, move_cm
    for _ in range(80):
        x = (low + high) / 2
        in_air = (move_cm - x) / np.hypot(move_cm - x, distance_cm)
        in_water = x / np.hypot(x, depth_cm)
        low, high = (x, high) if WATER_INDEX * in_water < in_air else (low, x)
    return low


@every("move", [1.0, 5.0, 10.0])
@every("depth", [5.0, 30.0, 50.0])
@every("distance", [60.0, 100.0, 200.0])
def test_parallax_agrees_with_rays_bent_by_snells_law(move, depth, distance):
    assert parallax_cm(move, depth, distance) == pytest.approx(shift_by_snell(move, depth, distance), rel=0.02)


def test_nothing_shifts_at_the_glass_and_deeper_things_shift_more():
    assert parallax_cm(5, 0, 100) == 0
    depths = np.linspace(0, 60, 20)
    assert np.all(np.diff([parallax_cm(5, float(depth), 100) for depth in depths]) > 0)
    assert parallax_cm(5, 30, 1e9) == pytest.approx(0, abs=1e-6)


def test_what_looks_smaller_by_a_share_shifts_by_that_share_of_the_move():
    """Two ways to the same number: a shift of one camera by s moves a thing at depth by s times what its size is short of 1."""
    for depth, distance in ((10.0, 80.0), (30.0, 100.0), (45.0, 150.0)):
        assert parallax_cm(1, depth, distance) == pytest.approx(1 - seen_size_fraction(depth, distance), rel=1e-12)
    assert seen_size_fraction(0, 100) == 1
