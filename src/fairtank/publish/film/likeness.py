"""Whether two photos of a tank may fade into each other: where things lie at other places, a fade shows everything twice."""

import numpy as np

SMALL_PX = 160
# Above this shift, in parts of the width, one sees double; below this likeness of the outlines something else stands in the tank. In the
# rendered trials two days in a row are alike by 0.92 and more and shifted by 0.001 at most; two tanks laid out alike are alike by 0.7.
MOST_SHIFT, LEAST_LIKENESS = 0.004, 0.8


def may_fade(one: np.ndarray, two: np.ndarray) -> bool:
    """Whether a fade between two photos shows one tank that changes, and not two pictures through each other.

    Parameters
    ----------
    one, two : array of float32
        Outlines of two photos in the tank's frame, as `outlines` gives them.

    Returns
    -------
    bool

    Examples
    --------
    >>> tank = np.random.default_rng(1).integers(0, 255, (80, 100, 3), np.uint8)
    >>> may_fade(outlines(tank), outlines(tank)), may_fade(outlines(tank), outlines(np.roll(tank, 5, axis=1)))
    (True, False)
    """
    import cv2

    if alike(one, two) < LEAST_LIKENESS:
        return False
    (across, down), _ = cv2.phaseCorrelate(one, two, cv2.createHanningWindow(one.shape[::-1], cv2.CV_32F))
    return bool(max(abs(across), abs(down)) <= MOST_SHIFT * one.shape[1])


def alike(one: np.ndarray, two: np.ndarray) -> float:
    """How alike two pictures of outlines are: their correlation. [-1 to 1]"""
    length = float(np.sqrt((one * one).sum() * (two * two).sum()))
    return float((one * two).sum()) / length if length > 0 else 1.0


def outlines(picture: np.ndarray) -> np.ndarray:
    """The picture small and grey, without what changes slowly from place to place, such as the light.

    Parameters
    ----------
    picture : array of shape (h, w, 3), uint8

    Returns
    -------
    array of float32
    """
    import cv2

    size = (SMALL_PX, max(8, round(SMALL_PX * picture.shape[0] / picture.shape[1])))
    grey = cv2.cvtColor(cv2.resize(picture, size, interpolation=cv2.INTER_AREA), cv2.COLOR_RGB2GRAY).astype(np.float32)
    return grey - cv2.GaussianBlur(grey, (0, 0), SMALL_PX / 20)
