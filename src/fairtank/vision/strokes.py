"""A keeper's strokes: which px of a photo were painted with which class colour."""

from pathlib import Path

import numpy as np

from fairtank.errors import PhotoError
from fairtank.trial import LabelClass
from fairtank.vision.colours import CELLS, Strokes, cell_index
from fairtank.vision.load import LoadedPhoto
from fairtank.vision.view import OUTSIDE, View, rectified

UNPAINTED = OUTSIDE


def load_strokes(path: Path, classes: tuple[LabelClass, ...]) -> np.ndarray:
    """Which class each px of a stroke picture was painted with.

    Parameters
    ----------
    path : Path
        PNG of the same size as the upright photo. Strokes may lie on a transparent, black or white ground, or on a copy of the photo.
    classes : tuple of LabelClass
        Their colours; any may be black or white.

    Returns
    -------
    array of shape (h, w), uint8
        Place in `classes`, UNPAINTED where no class has exactly the px's colour, or the px is more transparent than not.

    Raises
    ------
    PhotoError
        If the picture cannot be read.

    References
    ----------
    common_practice (keys from sources.py).
    """
    from PIL import Image

    try:
        with Image.open(path, formats=("PNG",)) as picture:
            layers = np.asarray(picture.convert("RGBA" if picture.has_transparency_data else "RGB"))
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError) as error:
        raise PhotoError(f"{path.name} cannot be read as a PNG picture of strokes: {error}.") from error
    numbers = class_numbers(layers[..., :3], classes)
    if layers.shape[2] == 4:
        numbers[layers[..., 3] <= 127] = UNPAINTED
    return numbers


def class_numbers(pixels: np.ndarray, classes: tuple[LabelClass, ...]) -> np.ndarray:
    """Which class has exactly the colour of each px.

    Parameters
    ----------
    pixels : array of shape (h, w, 3), uint8
    classes : tuple of LabelClass

    Returns
    -------
    array of shape (h, w), uint8
        Place in `classes`, or UNPAINTED.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> black = LabelClass("background", (0, 0, 0), "background")
    >>> class_numbers(np.array([[[0, 0, 0], [9, 9, 9]]], np.uint8), (black,)).tolist()
    [[0, 255]]
    """
    numbers = np.full(pixels.shape[:2], UNPAINTED, np.uint8)
    for number, part in enumerate(classes):
        numbers[(pixels == np.array(part.rgb, np.uint8)).all(axis=2)] = number
    return numbers


def painted(
    loaded: LoadedPhoto, strokes: np.ndarray, corners: np.ndarray, view: View, classes: tuple[LabelClass, ...]
) -> tuple[dict[str, np.ndarray], np.ndarray]:
    """The photo's px under each class's strokes, and how often each colour cell occurs in the frame.

    Photo and strokes are brought into the frame in the same way as for measuring, so that a colour means the same in both.

    Parameters
    ----------
    loaded : LoadedPhoto
    strokes : array of shape (h, w), uint8
        From `load_strokes`, with the same classes.
    corners : array of shape (4, 2)
        The frame in this photo, in parts of its long side.
    view : View
        Of the photo's unit.
    classes : tuple of LabelClass

    Returns
    -------
    (dict of class key to array of shape (n, 3) uint8, array of shape (32768,))

    References
    ----------
    arithmetic (keys from sources.py).
    """
    picture = rectified(loaded.pixels, corners, view.width_px, view.height_px)
    numbers = rectified(strokes, corners, view.width_px, view.height_px, nearest=True)
    found = {part.key: picture[numbers == number] for number, part in enumerate(classes)}
    return found, np.bincount(cell_index(picture[view.counted]), minlength=CELLS)


def gathered(classes: tuple[LabelClass, ...], pictures: list[dict[str, np.ndarray]]) -> tuple[Strokes, ...]:
    """The strokes of all pictures, one entry per class.

    Parameters
    ----------
    classes : tuple of LabelClass
    pictures : list of dict
        From `painted`, one per stroke picture.

    Returns
    -------
    tuple of Strokes

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> moss = LabelClass("moss", (0, 200, 0), "plant")
    >>> parts = gathered((moss,), [{"moss": np.zeros((2, 3), np.uint8)}, {"moss": np.ones((1, 3), np.uint8)}])
    >>> parts[0].counts_as, parts[0].pixels.shape
    ('plant', (3, 3))
    """
    empty = np.zeros((0, 3), np.uint8)
    pixels = {part.key: np.concatenate([empty, *(picture[part.key] for picture in pictures)]) for part in classes}
    return tuple(Strokes(part.key, part.counts_as, pixels[part.key]) for part in classes)
