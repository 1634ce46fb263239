"""Flat things seen in perspective: homographies, points carried through them, and which px a polygon holds."""

import numpy as np

SQUARE = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], float)


def homography(source: np.ndarray, target: np.ndarray) -> np.ndarray | None:
    """The homography of least squares from four or more points to as many others; None where they lie on a line.

    Parameters
    ----------
    source, target : array of shape (n, 2)

    Returns
    -------
    array of shape (3, 3) or None

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> np.round(homography(SQUARE, 2 * SQUARE + 1), 6).tolist()
    [[2.0, 0.0, 1.0], [0.0, 2.0, 1.0], [0.0, 0.0, 1.0]]
    """
    import cv2

    if len(source) == 4:
        matrix = cv2.getPerspectiveTransform(np.asarray(source, np.float32), np.asarray(target, np.float32))
    else:
        matrix, _ = cv2.findHomography(np.asarray(source, np.float64), np.asarray(target, np.float64), 0)
    if matrix is None or not np.isfinite(matrix).all() or abs(np.linalg.det(matrix)) < 1e-12:
        return None
    return np.asarray(matrix, float)


def through(matrix: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Points after a homography.

    Parameters
    ----------
    matrix : array of shape (3, 3)
    points : array of shape (n, 2)

    Returns
    -------
    array of shape (n, 2)

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> through(np.diag([2.0, 2.0, 1.0]), np.array([[1.0, 3.0]])).tolist()
    [[2.0, 6.0]]
    """
    lifted = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    return lifted[:, :2] / lifted[:, 2:]


def polygon_mask(points: np.ndarray, width_px: int, height_px: int) -> np.ndarray:
    """Which px of a picture lie inside a polygon, drawn to a sixteenth of a px; those that its edge touches count.

    Parameters
    ----------
    points : array of shape (n, 2)
        Corners of the polygon, continuous positions: 0 is the outer edge of the first px, whose centre lies at 0.5. [px]
    width_px, height_px : int
        Size of the picture.

    Returns
    -------
    array of shape (height_px, width_px), bool

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> int(polygon_mask(np.array([[1, 1], [4, 1], [4, 3], [1, 3.0]]), 6, 5).sum())
    12
    """
    import cv2

    mask = np.zeros((height_px, width_px), np.uint8)
    cv2.fillPoly(mask, [np.round((np.asarray(points) - 0.5) * 16).astype(np.int32)], 1, shift=4)
    return mask.astype(bool)
