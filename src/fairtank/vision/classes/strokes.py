"""A keeper's strokes: which px of a photo were painted with which class colour."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from fairtank.errors import PhotoError
from fairtank.trial import LabelClass
from fairtank.vision.classes.lookup import Strokes
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
        raise PhotoError(f"{path.name} cannot be read as a PNG picture of strokes. Save it once more as PNG.") from error
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
    colours = _colour_numbers(pixels)
    for number, part in enumerate(classes):
        numbers[colours == _colour_numbers(np.array(part.rgb, np.uint8))] = number
    return numbers


def _colour_numbers(pixels: np.ndarray) -> np.ndarray:
    """One number for each colour: compared much faster than its three channels."""
    red, green, blue = (pixels[..., channel].astype(np.uint32) for channel in range(3))
    return red << np.uint32(16) | green << np.uint32(8) | blue


@dataclass(frozen=True, eq=False)
class StrokePicture:
    """A rectified photo and what was painted on it.

    photo: its path. picture: array (h, w, 3), uint8, in the colours of the trial. numbers: array (h, w), uint8, place of each px's class,
    UNPAINTED where none was painted. counted: array (h, w), bool: the px of the frame that count.
    """

    photo: str
    picture: np.ndarray
    numbers: np.ndarray
    counted: np.ndarray


def stroke_picture(photo: str, picture: np.ndarray, strokes: np.ndarray, corners: np.ndarray, view: View) -> StrokePicture:
    """A photo's strokes brought into its frame.

    Photo and strokes are brought into the frame in the same way as for measuring, so that a colour means the same in both.

    Parameters
    ----------
    photo : str
        Path of the photo.
    picture : array of shape (h, w, 3), uint8
        The rectified photo, as it is measured.
    strokes : array of shape (h, w), uint8
        From `load_strokes`.
    corners : array of shape (4, 2)
        The frame in this photo, in parts of its long side.
    view : View
        Of the photo's unit.

    Returns
    -------
    StrokePicture

    References
    ----------
    arithmetic (keys from sources.py).
    """
    return StrokePicture(photo, picture, rectified(strokes, corners, view.width_px, view.height_px, nearest=True), view.counted)


def gathered(classes: tuple[LabelClass, ...], pictures: tuple[StrokePicture, ...]) -> tuple[Strokes, ...]:
    """The strokes of all pictures, one entry per class.

    Parameters
    ----------
    classes : tuple of LabelClass
    pictures : tuple of StrokePicture

    Returns
    -------
    tuple of Strokes

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> moss = LabelClass("moss", (0, 200, 0), "plant")
    >>> one = StrokePicture("a.jpg", np.zeros((2, 2, 3), np.uint8), np.array([[0, 0], [255, 255]], np.uint8), np.ones((2, 2), bool))
    >>> parts = gathered((moss,), (one,))
    >>> parts[0].counts_as, parts[0].pixels.shape
    ('plant', (2, 3))
    """
    empty = np.zeros((0, 3), np.uint8)
    return tuple(
        Strokes(part.key, part.counts_as, np.concatenate([empty, *(one.picture[one.numbers == number] for one in pictures)]))
        for number, part in enumerate(classes)
    )
