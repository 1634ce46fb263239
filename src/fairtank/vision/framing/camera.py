"""How far the camera stands from where it stood for the reference photo, and what such a move does to plants behind the glass.

The corners of the front glass give the camera's place in the tank's own cm, when the lens's focal length is known. Without a checkerboard
it is not: the usual one of a phone's main camera is assumed. A wrong one scales distance by the same factor and sideways moves by about its
square, so the figure is for an alarm, not for a table.
"""

from dataclasses import dataclass

import numpy as np

from fairtank.vision.framing.edges import NORMAL_LONG_SIDE_PX

WATER_INDEX = 1.33
# Literature value, from memory: a phone's main camera sees like 24 to 28 mm on 35 mm film, 26 mm in the middle (film diagonal 43.3 mm). In
# normalised px of a 4:3 photo, whose diagonal is 1.25 times its long side:
PHONE_FOCAL_PX = 26 / 43.27 * 1.25 * NORMAL_LONG_SIDE_PX
_PHONE_FOCAL_OFF = 0.08
_LENS_FOCAL_OFF = 0.02  # of a focal length fitted to checkerboard photos
_CORNER_OFF_PX = 0.3  # usual error of a corner that was found, in each direction
_STEP_PX = 0.1


@dataclass(frozen=True)
class CameraMove:
    """How the camera stands against its place for the reference photo, in cm of the tank.

    sideways_cm: to the right. up_cm: upwards. nearer_cm: towards the glass. moved_cm: in all. tolerance_cm: twice the usual error of
    moved_cm, from the corners and from how well the focal length is known. distance_cm: of the camera from the glass in the reference
    photo, with the same focal length.
    """

    sideways_cm: float
    up_cm: float
    nearer_cm: float
    moved_cm: float
    tolerance_cm: float
    distance_cm: float


def camera_moved(
    reference: np.ndarray,
    found: np.ndarray,
    *,
    width_cm: float,
    height_cm: float,
    middle_px: tuple[float, float],
    focal_px: float | None = None,
) -> CameraMove:
    """How far the camera moved between the reference photo and a photo, from the corners of the front glass in both.

    Turning the camera about itself does not count: it moves nothing behind the glass against the glass.

    Parameters
    ----------
    reference, found : array of shape (4, 2)
        The frame's corners in the reference photo and in the photo. [normalised px]
    width_cm, height_cm : float
        Size of the frame. [cm]
    middle_px : (float, float)
        Middle of the photo. [normalised px]
    focal_px : float or None
        The lens's focal length, from `lens.lens_of`; None for a phone's main camera. [normalised px]

    Returns
    -------
    CameraMove

    References
    ----------
    zhang2000 (keys from sources.py).
    """
    frame = np.array([[0, 0], [width_cm, 0], [width_cm, height_cm], [0, height_cm]], float)
    focal, off = (PHONE_FOCAL_PX, _PHONE_FOCAL_OFF) if focal_px is None else (focal_px, _LENS_FOCAL_OFF)

    def move(before: np.ndarray, after: np.ndarray, with_focal: float) -> np.ndarray:
        return _camera_place(after, frame, middle_px, with_focal) - _camera_place(before, frame, middle_px, with_focal)

    moved = move(reference, found, focal)
    total = float(np.hypot.reduce(moved))
    slopes = []
    for number in range(8):
        nudged = found.astype(float).copy()
        nudged[divmod(number, 2)] += _STEP_PX
        slopes.append((float(np.hypot.reduce(move(reference, nudged, focal) - moved))) / _STEP_PX)
    by_corners = _CORNER_OFF_PX * np.sqrt(2 * np.square(slopes).sum())
    by_focal = abs(float(np.hypot.reduce(move(reference, found, focal * (1 + off)))) - total)
    distance = -float(_camera_place(reference, frame, middle_px, focal)[2])
    return CameraMove(float(moved[0]), -float(moved[1]), float(moved[2]), total, 2 * float(np.hypot(by_corners, by_focal)), distance)


def parallax_cm(move_cm: float, depth_cm: float, distance_cm: float) -> float:
    """How far a thing behind the glass shifts against the front glass when the camera moves sideways (or up).

    .. math:: s \\frac{d / n}{D + d / n}   \\qquad (1)

    Parameters
    ----------
    move_cm : float
        How far the camera moved, s. [cm]
    depth_cm : float
        How far behind the front glass the thing stands, d. [cm]
    distance_cm : float
        From the camera to the front glass, D. [cm]

    Returns
    -------
    float
        Shift on the plane of the front glass, in the direction of the move. [cm]

    References
    ----------
    hale1973 (keys from sources.py).

    Examples
    --------
    >>> round(parallax_cm(5, 30, 100), 2)
    0.92
    """
    seen_depth = depth_cm / WATER_INDEX
    return move_cm * seen_depth / (distance_cm + seen_depth)  # eq. (1)


def seen_size_fraction(depth_cm: float, distance_cm: float) -> float:
    """How large a thing behind the glass looks, as a part of how large it would look at the front glass.

    .. math:: \\frac{1}{1 + (d / n) / D}   \\qquad (2)

    Parameters
    ----------
    depth_cm : float
        How far behind the front glass it stands, d. [cm]
    distance_cm : float
        From the camera to the front glass, D. [cm]

    Returns
    -------
    float
        [0 to 1]

    References
    ----------
    hale1973 (keys from sources.py).

    Examples
    --------
    >>> round(seen_size_fraction(25, 100), 2)
    0.84
    """
    return 1 / (1 + depth_cm / WATER_INDEX / distance_cm)  # eq. (2)


def _camera_place(corners: np.ndarray, frame: np.ndarray, middle_px: tuple[float, float], focal_px: float) -> np.ndarray:
    """Where the camera stands in cm from the frame's top-left corner: x to the right, y down, z into the tank (so it is negative)."""
    import cv2

    flat = cv2.getPerspectiveTransform(frame.astype(np.float32), corners.astype(np.float32))
    middle = np.array([[1, 0, -middle_px[0]], [0, 1, -middle_px[1]], [0, 0, focal_px]]) / focal_px
    first, second, place = (middle @ flat).T
    size = (np.hypot.reduce(first) * np.hypot.reduce(second)) ** 0.5
    if place[2] < 0:
        size = -size
    turn = np.stack([first / size, second / size, np.cross(first / size, second / size)], axis=1)
    left, _, right = np.linalg.svd(turn)  # the nearest turn
    return -(left @ right).T @ (place / size)
