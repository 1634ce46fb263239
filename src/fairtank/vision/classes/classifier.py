"""The trial's one frozen classifier, and what it makes of a rectified photo."""

import hashlib
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fairtank.trial import LabelClass
from fairtank.vision.classes.lookup import CELLS, CLASSES, ColourLookup, cell_index, learn_colours
from fairtank.vision.classes.strokes import StrokePicture, gathered

BACKGROUND, PLANT, ALGAE = range(len(CLASSES))
_SMOOTHING_PX = 5


@dataclass(frozen=True, eq=False)
class Classifier:
    """What tells plant, algae and background apart, for all units of a trial alike. lookup: by colour."""

    lookup: ColourLookup

    @property
    def known(self) -> tuple[str, ...]:
        """Which of CLASSES had strokes; others are never answered."""
        return self.lookup.known

    @cached_property
    def digest(self) -> str:
        """SHA-256 over everything that decides a class: the same strokes give the same digest on every machine."""
        parts = hashlib.sha256(",".join(self.known).encode())
        for array in (self.lookup.classes, self.lookup.unsure):
            parts.update(np.ascontiguousarray(array).tobytes())
        return parts.hexdigest()


@dataclass(frozen=True, eq=False)
class ClassMap:
    """The classes of one rectified photo.

    classes: array (h, w), uint8, index into CLASSES; algae on a leaf are algae. fine_plant: array (h, w), bool: plant before smoothing,
    with the thinnest tips and with specks. unsure: array (h, w), bool: px whose class was a close call.
    """

    classes: np.ndarray
    fine_plant: np.ndarray
    unsure: np.ndarray


def learn_classes(pictures: tuple[StrokePicture, ...], kinds: tuple[LabelClass, ...]) -> Classifier:
    """The classifier learnt from a keeper's strokes on photos of all units.

    Parameters
    ----------
    pictures : tuple of StrokePicture
        Rectified photos with their strokes.
    kinds : tuple of LabelClass
        The stroke classes that the pictures' numbers stand for.

    Returns
    -------
    Classifier

    Raises
    ------
    NotEnoughDataError
        If background, or both plant and algae, have too few stroke px.

    References
    ----------
    dempster1977, saerens2002 (keys from sources.py).
    """
    seen = np.zeros(CELLS)
    for one in pictures:
        seen += np.bincount(cell_index(one.picture[one.counted]), minlength=CELLS)
    return Classifier(learn_colours(gathered(kinds, pictures), seen))


def classified(picture: np.ndarray, classifier: Classifier) -> ClassMap:
    """The classes of a rectified photo.

    Parameters
    ----------
    picture : array of shape (h, w, 3), uint8
        Rectified, in the colours of the trial.
    classifier : Classifier
        Of the trial.

    Returns
    -------
    ClassMap
        Living or not after a 5 x 5 median, which removes specks; plant or algae by the majority of 5 x 5 px.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    import cv2

    lookup = classifier.lookup
    cells = cell_index(picture)
    raw = np.take(lookup.classes, cells)
    # A median of class numbers would turn a border between 0 and 2 into 1. So living or not is smoothed first, then what lives is split.
    living = cv2.medianBlur((raw != BACKGROUND).astype(np.uint8), _SMOOTHING_PX)
    classes = living * np.uint8(PLANT)
    fine_plant = raw != BACKGROUND
    if lookup.has_algae:
        window = (_SMOOTHING_PX, _SMOOTHING_PX)
        algae, plant = (cv2.boxFilter((raw == kind).astype(np.uint8), cv2.CV_8U, window, normalize=False) for kind in (ALGAE, PLANT))
        classes[(living > 0) & (algae > plant)] = ALGAE
        fine_plant &= algae <= plant
    return ClassMap(classes, fine_plant, np.take(lookup.unsure, cells))
