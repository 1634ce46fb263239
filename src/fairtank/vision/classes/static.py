"""Things that never change, painted once: filter, heater, hose and stone become a mask for all photos of their unit."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from fairtank.errors import PhotoError
from fairtank.trial import LabelClass
from fairtank.vision.classes.strokes import StrokePicture
from fairtank.vision.view import View

STATIC = "static"
# Around what was painted, so that an edge found half a px beside its place is still covered.
_MARGIN_PX = 2


def static_masks(pictures: tuple[StrokePicture, ...], kinds: tuple[LabelClass, ...], unit_of: Mapping[str, str]) -> dict[str, np.ndarray]:
    """Where each unit's static things stand in its rectified frame, from strokes that count as `static`.

    Several photos of a unit add up. What a closed line runs round counts as painted.

    Parameters
    ----------
    pictures : tuple of StrokePicture
        In the frames of their units.
    kinds : tuple of LabelClass
        The stroke classes that the pictures' numbers stand for.
    unit_of : mapping from photo to unit

    Returns
    -------
    dict of unit to array of shape (h, w), bool
        Units without such strokes are left out.

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> filter_pipe = LabelClass("equipment", (0, 0, 0), "static")
    >>> numbers = np.full((20, 20), 255, np.uint8)
    >>> numbers[5, 5:12] = numbers[11, 5:12] = numbers[5:12, 5] = numbers[5:12, 11] = 0
    >>> one = StrokePicture("a.jpg", np.zeros((20, 20, 3), np.uint8), numbers, np.ones((20, 20), bool))
    >>> mask = static_masks((one,), (filter_pipe,), {"a.jpg": "T1"})["T1"]
    >>> bool(mask[8, 8]), bool(mask[16, 8])
    (True, False)
    """
    import cv2

    numbers = [place for place, kind in enumerate(kinds) if kind.counts_as == STATIC]
    masks: dict[str, np.ndarray] = {}
    for one in pictures:
        painted = np.isin(one.numbers, numbers).astype(np.uint8)
        if not painted.any():
            continue
        outlines, _ = cv2.findContours(painted, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
        cv2.drawContours(painted, outlines, -1, 1, cv2.FILLED)
        side = 2 * _MARGIN_PX + 1
        mask = cv2.dilate(painted, np.ones((side, side), np.uint8)).astype(bool)
        unit = unit_of[one.photo]
        masks[unit] = masks[unit] | mask if unit in masks else mask
    return masks


def view_without(view: View, mask: np.ndarray) -> View:
    """The same view with further px left out of what counts; they stay seen, as in a zone of kind `static`.

    Parameters
    ----------
    view : View
    mask : array of shape (height, width), bool
        Of the rectified frame.

    Returns
    -------
    View

    Raises
    ------
    PhotoError
        If nothing is left that counts.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    counted = view.counted & ~mask
    if not counted.any():
        raise PhotoError(
            f"The static strokes of {view.unit} leave nothing to measure: they fill the whole frame. Paint only what never changes."
        )
    return replace(view, counted=counted, zones=tuple(zone & ~mask for zone in view.zones))
