"""Connected parts told from runs: the same parts as OpenCV finds px by px."""

import cv2
import numpy as np

from checking import every
from fairtank.vision.runs import painted, runs_of


def picture(width: int, filled: float) -> np.ndarray:
    """Patches of noise, 0 to 255."""
    noise = np.random.default_rng(5).random((61, width)).astype(np.float32)
    return (255 * (cv2.blur(noise, (3, 3)) > 1 - filled) * np.random.default_rng(6).random(noise.shape)).astype(np.uint8)


@every("width", [64, 61, 3])
@every("above", [0, 6, 200])
@every("filled", [0.3, 0.5, 0.6])
def test_parts_and_their_areas_are_those_of_opencv(width, above, filled):
    px = picture(width, filled)
    runs = runs_of(px, above)
    count, numbers, stats, _ = cv2.connectedComponentsWithStats((px > above).astype(np.uint8), connectivity=8)
    assert len(runs.areas) == count - 1
    assert sorted(runs.areas) == sorted(stats[1:, cv2.CC_STAT_AREA])
    for part in range(min(len(runs.areas), 12)):
        there = painted(runs, np.arange(len(runs.areas)) == part)
        number = numbers[there > 0][0]
        assert np.array_equal(there > 0, numbers == number)


def test_a_picture_without_and_one_full_of_px_above_the_level():
    nothing, everything = runs_of(np.zeros((5, 16), np.uint8)), runs_of(np.ones((5, 16), bool))
    assert len(nothing.areas) == 0
    assert not painted(nothing, np.zeros(0, bool)).any()
    assert everything.areas.tolist() == [80]
