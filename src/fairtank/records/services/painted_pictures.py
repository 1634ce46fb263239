"""One painted picture looked at: do its strokes belong to its photo, and can they be meant?"""

import io
from pathlib import Path

import numpy as np

from fairtank.errors import PhotoError
from fairtank.trial import LabelClass
from fairtank.vision.classes.strokes import UNPAINTED, load_strokes
from fairtank.vision.load import load_photo

FEWEST_PX = 50
# More of the picture than this in stroke colours is no longer strokes: an area was filled, or a picture of classes was given.
MOST_PAINTED = 0.4
# Mean difference of unpainted px from the photo that no saving explains. [0 to 255]
_OTHER_PHOTO = 25.0
_NEARLY = 12


def painted_problem(file: Path, copy: Path, classes: tuple[LabelClass, ...], size: tuple[int, int]) -> tuple[str, np.ndarray | None]:
    """Why a painted picture cannot be taken, a sentence; empty with the strokes at the size of the upright photo when it can.

    Parameters
    ----------
    file : Path
        The PNG.
    copy : Path
        The copy of the photo that was to be painted.
    classes : tuple of LabelClass
    size : (int, int)
        Width and height of the upright photo. [px]

    Returns
    -------
    (str, array of shape (height, width), uint8, or None)

    References
    ----------
    common_practice (keys from sources.py).
    """
    import cv2
    from PIL import Image

    try:
        numbers = load_strokes(file, classes)
        photo = load_photo(copy).pixels
    except PhotoError as error:
        return str(error), None
    with Image.open(file) as picture:
        layers = np.asarray(picture.convert("RGBA"))
    height, width = numbers.shape
    if (width, height) not in (size, photo.shape[1::-1]):
        told = f"it has {width} x {height} px, the photo {photo.shape[1]} x {photo.shape[0]}."
        return f"{told} Paint on the copy without cutting or scaling it.", None
    if photo.shape[:2] != numbers.shape:
        photo = cv2.resize(photo, (width, height), interpolation=cv2.INTER_AREA)
    # A px of the photo itself may have a class colour by chance: a stroke changed it.
    same = (np.abs(photo.astype(int) - layers[..., :3]).max(axis=2) <= _NEARLY) & (layers[..., 3] > 127)
    numbers = np.where(same, UNPAINTED, numbers).astype(np.uint8)
    reason = _stroke_fault(numbers, layers, classes) or _ground_fault(numbers, layers, photo)
    if reason:
        return reason, None
    if (width, height) != size:
        numbers = cv2.resize(numbers, size, interpolation=cv2.INTER_NEAREST)
    return "", numbers


def strokes_png(numbers: np.ndarray, classes: tuple[LabelClass, ...]) -> bytes:
    """Strokes alone on a transparent ground, as PNG bytes.

    Parameters
    ----------
    numbers : array of shape (h, w), uint8
        Place in `classes`, UNPAINTED elsewhere.
    classes : tuple of LabelClass

    Returns
    -------
    bytes

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> strokes_png(np.full((8, 8), UNPAINTED, np.uint8), ())[:4] == bytes([0x89]) + b"PNG"
    True
    """
    from PIL import Image

    colours = np.zeros((256, 4), np.uint8)
    for place, kind in enumerate(classes):
        colours[place] = (*kind.rgb, 255)
    out = io.BytesIO()
    Image.fromarray(colours[numbers]).save(out, "PNG")
    return out.getvalue()


def _stroke_fault(numbers: np.ndarray, layers: np.ndarray, classes: tuple[LabelClass, ...]) -> str:
    painted = numbers != UNPAINTED
    count = np.count_nonzero(painted)
    if count < FEWEST_PX:
        near = [np.abs(layers[..., :3].astype(int) - kind.rgb).max(axis=2) <= _NEARLY for kind in classes]
        if np.count_nonzero(np.logical_or.reduce(near) & (layers[..., 3] > 0)) >= FEWEST_PX:
            return "its colours are nearly, not exactly, those of the classes. Paint with a hard brush, without smoothing, and save as PNG."
        return "it holds no strokes. Paint lines in exactly the colours of how-to-paint.txt."
    if painted.mean() > MOST_PAINTED:
        return f"{100 * painted.mean():.0f} % of it is painted. Paint lines over what you are sure of, not whole areas."
    return ""


def _ground_fault(numbers: np.ndarray, layers: np.ndarray, photo: np.ndarray) -> str:
    """Strokes over another photo; on a plain or transparent ground nothing can be told."""
    ground = (numbers == UNPAINTED) & (layers[..., 3] > 127)
    seen = layers[..., :3][ground]
    if len(seen) < numbers.size // 4 or seen[::17].std(axis=0).max() < 4:
        return ""
    if np.abs(seen.astype(int) - photo[ground]).mean() > _OTHER_PHOTO:
        return "it was painted over another photo. Each painted picture keeps the name of its copy."
    return ""
