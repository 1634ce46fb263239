"""Glass edges are found again to a small part of a px, and edges that are not there are not found."""

from functools import lru_cache

import cv2
import numpy as np
import pytest

from fairtank.vision.framing.edges import NORMAL_LONG_SIDE_PX, edge_strips, refined_corners

# A picture of normalised size, so that its px are normalised px.
SIZE = (int(NORMAL_LONG_SIDE_PX), 1512)
FRAME = np.array([[300.0, 250.0], [1700.0, 250.0], [1700.0, 1250.0], [300.0, 1250.0]])


@lru_cache
def still() -> np.ndarray:
    """A lit pane at FRAME with a dark rim, soft at its edges."""
    grey = np.full((SIZE[1], SIZE[0]), 80, np.uint8)
    (left, top), (right, bottom) = FRAME[0].astype(int), FRAME[2].astype(int)
    cv2.rectangle(grey, (left - 4, top - 4), (right + 3, bottom + 3), 30, -1)
    cv2.rectangle(grey, (left + 4, top + 4), (right - 5, bottom - 5), 150, -1)
    return cv2.GaussianBlur(grey, (0, 0), 1.5)


def pane(corners: np.ndarray, *, seed: int = 1) -> np.ndarray:
    """The pane as a camera sees it whose photo shows the frame at these corners, with noise."""
    matrix = cv2.getPerspectiveTransform((FRAME - 0.5).astype(np.float32), (corners - 0.5).astype(np.float32))
    grey = cv2.warpPerspective(still(), matrix, SIZE, flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
    noisy = grey + np.random.default_rng(seed).normal(0, 2, grey.shape)
    return np.repeat(np.clip(noisy, 0, 255).astype(np.uint8)[:, :, None], 3, axis=2)


@pytest.fixture(scope="module")
def strips():
    return edge_strips(pane(FRAME), FRAME)


@pytest.mark.parametrize("off", [
    np.zeros((4, 2)), np.full((4, 2), 3.3), np.array([[4, -2], [-3, 5], [2, 2], [-5, 1]]),
    np.array([[0.4, 0.2], [0.1, -0.3], [0, 0.5], [0.25, 0]]),
])  # fmt: skip
@pytest.mark.parametrize("start_off", [0.0, 7.0])
def test_corners_are_found_to_a_fifth_of_a_px(strips, off, start_off):
    truth = FRAME + off
    found = refined_corners(pane(truth, seed=2), truth + start_off * np.array([[1, -1], [-1, 1], [1, 1], [-1, -1]]), strips)
    assert found.edges_found == 4
    assert found.residual_px < 0.3
    assert np.abs(found.corners - truth).max() < 0.2


def test_a_start_twenty_px_off_is_caught_by_the_wide_pass_only(strips):
    picture = pane(FRAME, seed=3)
    start = FRAME + np.array([20.0, 20.0])
    assert np.abs(refined_corners(picture, start, strips).corners - FRAME).max() < 0.2
    assert np.abs(refined_corners(picture, start, strips, first_pass=1).corners - FRAME).max() > 1


def test_half_the_light_changes_nothing(strips):
    dim = (pane(FRAME + 2.0, seed=4) * 0.5).astype(np.uint8)
    assert np.abs(refined_corners(dim, FRAME, strips).corners - FRAME - 2.0).max() < 0.2


def test_an_edge_that_is_covered_keeps_its_start_and_is_told(strips):
    covered = pane(FRAME, seed=5)
    covered[1150:1350] = 90
    found = refined_corners(covered, FRAME + 1.0, strips)
    assert found.edges_found == 3
    assert np.abs(found.corners[:2] - FRAME[:2]).max() < 0.2
    assert found.corners[2:, 1] == pytest.approx([1251.0, 1251.0], abs=0.1)


def test_a_picture_without_edges_gives_none(strips):
    found = refined_corners(np.full((SIZE[1], SIZE[0], 3), 90, np.uint8), FRAME, strips)
    assert found.edges_found == 0
    assert found.corners == pytest.approx(FRAME)


def test_a_part_of_the_edge_hidden_by_a_hand_does_not_pull_the_line(strips):
    picture = pane(FRAME, seed=6)
    cv2.rectangle(picture, (500, 150), (800, 350), (200, 160, 140), -1)
    found = refined_corners(picture, FRAME + 2.0, strips)
    assert found.edges_found == 4
    assert np.abs(found.corners - FRAME).max() < 0.3


def test_a_photo_of_twice_the_size_gives_the_same_normalised_corners(strips):
    large = cv2.resize(pane(FRAME, seed=7), (2 * SIZE[0], 2 * SIZE[1]), interpolation=cv2.INTER_LINEAR)
    assert np.abs(refined_corners(large, FRAME + 1.0, strips).corners - FRAME).max() < 0.2
