"""A photo in its frame and in the colours of the trial, at any size: to be looked at, not to be measured."""

import numpy as np

from fairtank.science.srgb import srgb_from_linear
from fairtank.trial import Corners
from fairtank.vision.colour.correction import Correction
from fairtank.vision.framing.edges import NORMAL_LONG_SIDE_PX
from fairtank.vision.load import LONG_SIDE_PX, decoded_photo
from fairtank.vision.prepare import CardLook, correction_of
from fairtank.vision.view import View, rectified, straight_corners, straightened

# Linear light is looked up in this many steps on its way back to stored values, as when photos are measured.
_STEPS = 8192
# So many rows are worked on at a time: light takes several times the room of stored px.
_BAND_PX = 64


def shown_photo(content: bytes, name: str, corners: Corners, view: View, width_px: int, height_px: int) -> np.ndarray:
    """The frame's content at the size that is asked for, with the correction of colours that measuring used.

    The correction is found at the scale at which photos are measured, so that it is the same; the px are decoded at the scale that the
    size needs.

    Parameters
    ----------
    content : bytes
        The photo's file.
    name : str
        What to call it in an error.
    corners : Corners
        Of the frame in this photo, as measuring found them. [px of the upright original]
    view : View
        Of its unit, with the colours of the trial.
    width_px, height_px : int
        [px]

    Returns
    -------
    array of shape (height_px, width_px, 3), uint8

    Raises
    ------
    PhotoError
        If the photo cannot be decoded.

    References
    ----------
    iec61966 (keys from sources.py).
    """
    measured = straightened(decoded_photo(content, name), view.lens)
    places = straight_corners(corners, measured, view.lens)
    look = CardLook(measured.pixels, view)
    look.agrees(places * NORMAL_LONG_SIDE_PX)
    correction = correction_of(measured.pixels, places, view, look.settled())
    sides = np.hypot(*(np.roll(places, -1, axis=0) - places).T)
    needed_px = max(width_px / max(sides[0], sides[2]), height_px / max(sides[1], sides[3]))
    pixels = measured.pixels
    if needed_px > max(max(pixels.shape[:2]), LONG_SIDE_PX):
        pixels = straightened(decoded_photo(content, name, long_side_px=int(needed_px)), view.lens).pixels
    return corrected(rectified(pixels, places, width_px, height_px), correction)


def corrected(picture: np.ndarray, correction: Correction) -> np.ndarray:
    """A picture in the colours of the trial: what `rectified_in_colour` does while it rectifies, for a picture that is rectified.

    It needs nothing compiled, which takes as much memory as a film may.

    Parameters
    ----------
    picture : array of shape (h, w, 3), uint8
    correction : Correction

    Returns
    -------
    array of shape (h, w, 3), uint8

    References
    ----------
    iec61966 (keys from sources.py).

    Examples
    --------
    >>> from fairtank.vision.colour.correction import uncorrected
    >>> corrected(np.full((2, 3, 3), 90, np.uint8), uncorrected())[1, 2].tolist()
    [90, 90, 90]
    """
    import cv2

    tables, mixing = correction.tables.astype(np.float32) * np.float32(_STEPS - 1), correction.matrix.astype(np.float32)
    encoded = np.round(srgb_from_linear(np.linspace(0, 1, _STEPS)) * 255).astype(np.uint8)
    shown = np.empty_like(picture)
    for top in range(0, len(picture), _BAND_PX):
        band = picture[top:top + _BAND_PX]
        light = np.stack([tables[channel][band[..., channel]] for channel in range(3)], axis=-1)
        steps = np.clip(cv2.transform(light, mixing) + np.float32(0.5), 0, _STEPS - 1).astype(np.uint16)
        shown[top:top + _BAND_PX] = encoded[steps]
    return shown
