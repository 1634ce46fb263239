"""Place a photo roughly by features, wherever in the picture they went: slower than blocks, for photos that moved or changed a lot."""

from dataclasses import dataclass

import numpy as np

from fairtank.vision.framing.edges import NORMAL_LONG_SIDE_PX

# (features, longest side of the picture they are found in); the second try is for photos that changed a lot.
TRIES = ((1000, 1008), (2500, int(NORMAL_LONG_SIDE_PX)))
FEWEST_INLIERS = 25
_INLIER_PX = 2.5


@dataclass(frozen=True, eq=False)
class Features:
    """Points of a photo [normalised px] and their descriptors."""

    points: np.ndarray
    descriptors: np.ndarray


def features_of(pixels: np.ndarray, count: int, long_side_px: int) -> Features:
    """The strongest features of a photo.

    Parameters
    ----------
    pixels : array of shape (h, w, 3), uint8
        At analysis scale.
    count : int
        How many at most.
    long_side_px : int
        Long side of the picture in which they are looked for; a smaller photo is not enlarged.

    Returns
    -------
    Features

    References
    ----------
    rublee2011 (keys from sources.py).
    """
    import cv2

    grey = cv2.extractChannel(pixels, 1)
    shrink = long_side_px / max(grey.shape)
    if shrink < 1:
        grey = cv2.resize(grey, (round(grey.shape[1] * shrink), round(grey.shape[0] * shrink)), interpolation=cv2.INTER_AREA)
    finder = cv2.ORB.create(nfeatures=count, nlevels=1, fastThreshold=12)
    keypoints, descriptors = finder.detectAndCompute(grey, None)
    points = np.array([keypoint.pt for keypoint in keypoints], np.float32).reshape(-1, 2)
    scale = NORMAL_LONG_SIDE_PX / max(grey.shape)
    return Features((points + 0.5) * scale, descriptors if descriptors is not None else np.zeros((0, 32), np.uint8))


def corners_by_features(found: Features, reference: Features, corners: np.ndarray) -> tuple[np.ndarray | None, int]:
    """Where the reference's corners lie in a photo by matched features, and how many matches agree.

    Parameters
    ----------
    found, reference : Features
        Of the photo and of the reference photo.
    corners : array of shape (4, 2)
        In the reference photo. [normalised px]

    Returns
    -------
    (array of shape (4, 2) or None, int)
        None when fewer than FEWEST_INLIERS agree.

    References
    ----------
    rublee2011 (keys from sources.py).
    """
    import cv2

    if min(len(found.points), len(reference.points)) < FEWEST_INLIERS:
        return None, 0
    pairs = cv2.BFMatcher(cv2.NORM_HAMMING).knnMatch(reference.descriptors, found.descriptors, k=2)
    good = [pair[0] for pair in pairs if len(pair) == 2 and pair[0].distance < 0.8 * pair[1].distance]
    if len(good) < FEWEST_INLIERS:
        return None, len(good)
    source = reference.points[[match.queryIdx for match in good]]
    target = found.points[[match.trainIdx for match in good]]
    matrix, agree = cv2.findHomography(source, target, cv2.USAC_MAGSAC, _INLIER_PX)
    inliers = int(agree.sum()) if agree is not None else 0
    if matrix is None or inliers < FEWEST_INLIERS:
        return None, inliers
    return cv2.perspectiveTransform(corners[None].astype(float), matrix)[0], inliers
