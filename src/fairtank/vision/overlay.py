"""What the map says, drawn on the photo itself: so that a person sees at a glance what was counted as what."""

import numpy as np

from fairtank.vision.glass import spot_note
from fairtank.vision.measures.canopy import canopy_line_px
from fairtank.vision.scene import ALGAE, PLANT, Scene

# Okabe-Ito colours, as in the charts; the outline of what counts as plant, of what counts as algae, and of what was a close call.
PLANT_RGB, ALGAE_RGB, UNSURE_RGB = (0, 158, 115), (213, 94, 0), (0, 114, 178)
_DARK_RGB, _LIGHT_RGB = (0, 0, 0), (255, 255, 255)
_VEIL = {PLANT: 0.12, ALGAE: 0.3}
_STATIC_FADE = 0.55
_DASH_PX = 10
# A ring stays visible on a small picture and does not cover it. [share of the width]
_SMALLEST_RING = 0.007


def overlay(scene: Scene, width_px: int | None = None) -> np.ndarray:
    """The rectified photo with its classes: plants bordered green, algae orange, each with a thin veil of its colour.

    What does not count (static and ignored zones) is faded. The canopy's height is a dashed black and white line. Dots in open water that
    may be spots are ringed. Lines are drawn at the width that is asked for, one px wide: a picture that is shrunk afterwards smears them.

    Parameters
    ----------
    scene : Scene
        One classified photo.
    width_px : int or None
        Of the picture; None for that of the rectified photo. [px]

    Returns
    -------
    array of shape (h, w, 3), uint8

    References
    ----------
    okabe2008 (keys from sources.py).
    """
    import cv2

    picture = _sized(scene.pixels, width_px)
    counted = _sized_mask(scene.view.counted, picture)
    picture[~counted] = (picture[~counted] * (1 - _STATIC_FADE) + 255 * _STATIC_FADE).astype(np.uint8)
    masks = {kind: _sized_mask((scene.classes == kind) & scene.view.counted, picture) for kind in (PLANT, ALGAE)}
    for (kind, mask), colour in zip(masks.items(), (PLANT_RGB, ALGAE_RGB), strict=True):
        picture[mask] = (picture[mask] * (1 - _VEIL[kind]) + np.array(colour) * _VEIL[kind]).astype(np.uint8)
    for (_, mask), colour in zip(masks.items(), (PLANT_RGB, ALGAE_RGB), strict=True):
        outlines, _ = cv2.findContours(mask.astype(np.uint8), cv2.RETR_LIST, cv2.CHAIN_APPROX_NONE)
        cv2.drawContours(picture, outlines, -1, colour, 1)
    scale = picture.shape[1] / scene.view.width_px
    _draw_canopy(picture, scene, scale)
    _draw_spots(picture, scene, scale)
    return picture


def unsure_map(scene: Scene, width_px: int | None = None) -> np.ndarray:
    """The rectified photo in pale grey, with every px whose class was a close call in one colour.

    Parameters
    ----------
    scene : Scene
        One classified photo.
    width_px : int or None
        Of the picture; None for that of the rectified photo. [px]

    Returns
    -------
    array of shape (h, w, 3), uint8

    References
    ----------
    okabe2008 (keys from sources.py).
    """
    picture = _sized(scene.pixels, width_px)
    grey = picture.mean(axis=2) * 0.4 + 150
    picture = np.repeat(grey.astype(np.uint8)[:, :, None], 3, axis=2)
    picture[_sized_mask(scene.map.unsure & scene.view.counted, picture)] = UNSURE_RGB
    return picture


def _sized(pixels: np.ndarray, width_px: int | None) -> np.ndarray:
    """A copy of that width."""
    import cv2

    height, width = pixels.shape[:2]
    if width_px is None or width_px == width:
        return pixels.copy()
    size = (width_px, max(1, round(height * width_px / width)))
    sized: np.ndarray = cv2.resize(pixels, size, interpolation=cv2.INTER_AREA if width_px < width else cv2.INTER_CUBIC)
    return sized


def _sized_mask(mask: np.ndarray, picture: np.ndarray) -> np.ndarray:
    """The mask at the size of a picture: where half of a px or more belongs to it."""
    import cv2

    height, width = picture.shape[:2]
    if mask.shape == (height, width):
        return mask
    way = cv2.INTER_AREA if width < mask.shape[1] else cv2.INTER_LINEAR
    sized: np.ndarray = cv2.resize(mask.astype(np.float32), (width, height), interpolation=way) >= 0.5
    return sized


def _draw_canopy(picture: np.ndarray, scene: Scene, scale: float) -> None:
    line_px = canopy_line_px(scene)
    if line_px is None:
        return
    row = min(max(round(line_px * scale), 1), picture.shape[0] - 2)
    for left in range(0, picture.shape[1], 2 * _DASH_PX):
        picture[row - 1 : row + 1, left : left + _DASH_PX] = _DARK_RGB
        picture[row - 1 : row + 1, left + _DASH_PX : left + 2 * _DASH_PX] = _LIGHT_RGB


def _draw_spots(picture: np.ndarray, scene: Scene, scale: float) -> None:
    """Rings around the dots that lie in open water: those among plants are not counted, whatever they are."""
    import cv2

    note = spot_note(scene)
    if note is None:
        return
    across, down = (scale * px_per_cm for px_per_cm in scene.view.px_per_cm)
    for (x_cm, y_cm), radius_cm in zip(note.places, note.radius_cm, strict=True):
        at = (round(float(x_cm) * across), round(float(y_cm) * down))
        radius = max(3, round(_SMALLEST_RING * picture.shape[1]), round(2.5 * float(radius_cm) * across))
        cv2.circle(picture, at, radius + 1, _LIGHT_RGB, 1, cv2.LINE_AA)
        cv2.circle(picture, at, radius, _DARK_RGB, 1, cv2.LINE_AA)
