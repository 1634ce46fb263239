"""Place a photo in its unit's frame: match features with the reference photo, then refine at the glass edges."""

from dataclasses import dataclass

import numpy as np

from fairtank.vision.framing.edges import NORMAL_LONG_SIDE_PX, EdgeStrips, edge_strips, refined_corners

MATCH_LONG_SIDE_PX = 1008
# (features, longest side of the picture they are found in); the second try is for photos that changed a lot.
TRIES = ((1000, MATCH_LONG_SIDE_PX), (2500, int(NORMAL_LONG_SIDE_PX)))
FEWEST_INLIERS = 25
_INLIER_PX = 2.5


@dataclass(frozen=True, eq=False)
class Reference:
    """What later photos are matched with: features of both tries (points in normalised px, descriptors) and edge strips."""

    corners: np.ndarray
    points: tuple[np.ndarray, ...]
    descriptors: tuple[np.ndarray, ...]
    strips: EdgeStrips


@dataclass(frozen=True, eq=False)
class Placement:
    """Where the frame lies in a photo.

    corners: array (4, 2), normalised px, top-left first, clockwise. edges_found: glass edges found again, 0 to 4.
    residual_px: the worst edge's median residual. inliers: matched features (0 when nothing was matched). way: how the coarse place
    was found.
    """

    corners: np.ndarray
    edges_found: int
    residual_px: float
    inliers: int
    way: str = "features"


def lightness(pixels: np.ndarray) -> np.ndarray:
    """The green channel as float32: the lightness that matching and edges use, without the cost of a colour conversion.

    Parameters
    ----------
    pixels : array of shape (h, w, 3), uint8

    Returns
    -------
    array of shape (h, w), float32
        [0 to 255]

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> float(lightness(np.full((2, 2, 3), 7, np.uint8))[0, 0])
    7.0
    """
    import cv2

    return cv2.extractChannel(pixels, 1).astype(np.float32)


def reference_of(pixels: np.ndarray, corners: np.ndarray) -> Reference:
    """Everything that placing later photos needs from the reference photo.

    Parameters
    ----------
    pixels : array of shape (h, w, 3), uint8
        The reference photo at analysis scale.
    corners : array of shape (4, 2)
        The frame's corners in it. [normalised px]

    Returns
    -------
    Reference

    References
    ----------
    rublee2011 (keys from sources.py).
    """
    found = [_features(pixels, count, long_side_px) for count, long_side_px in TRIES]
    points, descriptors = zip(*found, strict=True)
    return Reference(corners, points, descriptors, edge_strips(lightness(pixels), corners))


def placed(pixels: np.ndarray, reference: Reference) -> Placement | None:
    """Where the reference's frame lies in this photo; None when the photo does not match the reference.

    Parameters
    ----------
    pixels : array of shape (h, w, 3), uint8
        The photo at analysis scale.
    reference : Reference
        Of the same unit.

    Returns
    -------
    Placement or None

    References
    ----------
    rublee2011 (keys from sources.py).
    """
    grey = lightness(pixels)
    best: Placement | None = None
    for number, (count, long_side_px) in enumerate(TRIES):
        matrix, inliers = _matched(pixels, reference, number, count, long_side_px)
        if matrix is None:
            continue
        start = _through(matrix, reference.corners)
        if not is_plausible(start, reference.corners):
            continue
        refined = refined_corners(grey, start, reference.strips)
        if is_plausible(refined.corners, reference.corners):
            candidate = Placement(refined.corners, refined.edges_found, refined.residual_px, inliers)
        else:
            candidate = Placement(start, 0, float("inf"), inliers)
        if candidate.edges_found >= 3 and candidate.residual_px <= 1.0:
            return candidate
        if best is None or candidate.edges_found > best.edges_found:
            best = candidate
    return best


def is_plausible(corners: np.ndarray, reference: np.ndarray) -> bool:
    """Whether four corners can be the same tank seen from nearly the same place: alike in size, and opposite sides alike.

    Parameters
    ----------
    corners, reference : array of shape (4, 2)
        [normalised px]

    Returns
    -------
    bool

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> square = np.array([[0, 0], [100, 0], [100, 100], [0, 100]], float)
    >>> is_plausible(square * 1.1, square), is_plausible(square * 2, square)
    (True, False)
    """
    sides = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)
    ratio = sides / np.hypot(*(np.roll(reference, -1, axis=0) - reference).T)
    opposite = ratio[:2] / ratio[2:]
    return bool(np.all((ratio > 0.7) & (ratio < 1.4)) and np.all(np.abs(np.log(opposite)) < 0.12))


def _features(pixels: np.ndarray, count: int, long_side_px: int) -> tuple[np.ndarray, np.ndarray]:
    """ORB points in normalised px, and their descriptors."""
    import cv2

    grey = cv2.extractChannel(pixels, 1)
    shrink = long_side_px / max(grey.shape)
    if shrink < 1:
        grey = cv2.resize(grey, (round(grey.shape[1] * shrink), round(grey.shape[0] * shrink)), interpolation=cv2.INTER_AREA)
    finder = cv2.ORB.create(nfeatures=count, nlevels=1, fastThreshold=12)
    keypoints, descriptors = finder.detectAndCompute(grey, None)
    points = np.array([keypoint.pt for keypoint in keypoints], np.float32).reshape(-1, 2)
    scale = NORMAL_LONG_SIDE_PX / max(grey.shape)
    return points * scale, descriptors if descriptors is not None else np.zeros((0, 32), np.uint8)


def _matched(pixels: np.ndarray, reference: Reference, number: int, count: int, long_side_px: int) -> tuple[np.ndarray | None, int]:
    """The homography from reference to photo [normalised px] and how many matches agree with it."""
    import cv2

    points, descriptors = _features(pixels, count, long_side_px)
    if len(points) < FEWEST_INLIERS or len(reference.points[number]) < FEWEST_INLIERS:
        return None, 0
    pairs = cv2.BFMatcher(cv2.NORM_HAMMING).knnMatch(reference.descriptors[number], descriptors, k=2)
    good = [pair[0] for pair in pairs if len(pair) == 2 and pair[0].distance < 0.8 * pair[1].distance]
    if len(good) < FEWEST_INLIERS:
        return None, len(good)
    source = reference.points[number][[match.queryIdx for match in good]]
    target = points[[match.trainIdx for match in good]]
    matrix, inlier = cv2.findHomography(source, target, cv2.USAC_MAGSAC, _INLIER_PX)
    inliers = int(inlier.sum()) if inlier is not None else 0
    return (matrix, inliers) if matrix is not None and inliers >= FEWEST_INLIERS else (None, inliers)


def _through(matrix: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Points after a homography."""
    lifted = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    return lifted[:, :2] / lifted[:, 2:]
