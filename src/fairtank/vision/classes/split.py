"""Two living classes told apart by what lies around a pixel, where colour alone cannot: trees on the context planes.

They answer two questions for each cell of the small picture: is what the colour lookup holds for alive really alive, and is it plant or
algae. Outlines stay those of the full picture.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from fairtank.errors import NotEnoughDataError
from fairtank.trial import LabelClass
from fairtank.vision.classes.context import SmallPicture, context_planes, small_picture
from fairtank.vision.classes.lookup import CLASSES, ColourLookup
from fairtank.vision.classes.strokes import StrokePicture
from fairtank.vision.classes.trees import STEPS_PER_UNIT, Trees, TreeSettings, fit_trees, walk_trees

# A cell may be alive below this share of background; only such cells are asked.
CANDIDATE_BELOW = 225
_SETTINGS = TreeSettings()
_MOST_FOLDS = 4
# A cell belongs to a stroke that covers this part of it.
_PAINTED_PART = 1 / 3
# Sure background of each stroke photo that is shown to the trees besides all doubtful cells.
_SURE_CELLS = 300
# How far a rare class counts more than a common one: 0 not at all, 1 until both count alike.
_BALANCE = 0.25
_SEED = 20260302


@dataclass(frozen=True, eq=False)
class SmallClasses:
    """What the trees make of a small picture; arrays (h, w), uint8.

    alive, algae: likelihood that a cell lives, and that what lives is algae, in parts of 255. closeness: mean of the smaller of plant's
    and algae's likelihood over all cells. [0 to 0.5]
    """

    step: int
    alive: np.ndarray
    algae: np.ndarray
    closeness: float


def learn_split(pictures: tuple[StrokePicture, ...], kinds: tuple[LabelClass, ...], lookup: ColourLookup,
                learn: Callable[[tuple[StrokePicture, ...]], ColourLookup]) -> Trees | None:
    """Trees learnt from the strokes; None where strokes show one living class only.

    The trees see each stroke photo through a lookup that was learnt without it, as they will see the photos that nobody painted: a lookup
    knows the colours of its own photos better than any other's.

    Parameters
    ----------
    pictures : tuple of StrokePicture
    kinds : tuple of LabelClass
    lookup : ColourLookup
        Learnt from all pictures.
    learn : callable
        Learns a lookup from some of the pictures.

    Returns
    -------
    Trees or None

    References
    ----------
    friedman2001, stone1974 (keys from sources.py).
    """
    if len(lookup.known) < len(CLASSES):
        return None
    counted_as = np.array([CLASSES.index(kind.counts_as) if kind.counts_as in CLASSES else -1 for kind in kinds])
    seen_through = _without_themselves(pictures, lookup, learn)
    codes, answers = [], []
    for place, (one, seen) in enumerate(zip(pictures, seen_through, strict=True)):
        small = small_picture(one.picture, seen.shares)
        painted = painted_cells(one.numbers, counted_as, small)
        background = small.shares[0]
        chosen = np.flatnonzero((painted >= 0) & (background < CANDIDATE_BELOW))
        sure = np.flatnonzero((painted == 0) & (background >= CANDIDATE_BELOW))
        some = np.random.default_rng([_SEED, place]).permutation(sure)[:_SURE_CELLS]
        chosen = np.concatenate([chosen, np.sort(some)])
        planes = context_planes(small)
        codes.append(planes.reshape(len(planes), -1)[:, chosen].T)
        answers.append(painted.ravel()[chosen])
    every, answer = np.concatenate(codes), np.concatenate(answers)
    counts = np.bincount(answer, minlength=len(CLASSES))
    if counts.min() < _SETTINGS.fewest:
        return None
    weights = ((len(answer) / counts) ** _BALANCE)[answer]
    return fit_trees(every, answer, weights / weights.mean(), len(CLASSES), _SEED, _SETTINGS)


def split_cells(picture: np.ndarray, lookup: ColourLookup, trees: Trees) -> SmallClasses:
    """What the trees make of a rectified photo.

    Parameters
    ----------
    picture : array of shape (h, w, 3), uint8
    lookup : ColourLookup
    trees : Trees

    Returns
    -------
    SmallClasses

    References
    ----------
    friedman2001 (keys from sources.py).
    """
    import cv2

    small = small_picture(picture, lookup.shares)
    planes = context_planes(small)
    height, width = planes.shape[1:]
    scores = walk_trees(trees, planes.reshape(len(planes), -1)).reshape(len(CLASSES), height, width)
    shares = np.empty(scores.shape, np.float32)
    for share, part in zip(shares, scores, strict=True):
        cv2.blur(part.astype(np.float32), (3, 3), dst=share)
    shares -= np.maximum(np.maximum(shares[0], shares[1]), shares[2])
    shares *= np.float32(1 / STEPS_PER_UNIT)
    np.exp(shares, out=shares)
    background, plant, algae = shares
    living = plant + algae
    background /= background + plant + algae
    candidate = small.shares[0] < CANDIDATE_BELOW
    algae /= np.maximum(living, np.float32(1e-30))
    closeness = float(np.where(candidate, (1 - background) * np.minimum(algae, 1 - algae), 0).mean(dtype=float))
    parts = np.rint(255 * (1 - background)).astype(np.uint8), np.rint(255 * algae).astype(np.uint8)
    return SmallClasses(small.step, *parts, closeness)


def painted_cells(numbers: np.ndarray, counted_as: np.ndarray, small: SmallPicture) -> np.ndarray:
    """Which class most of each cell was painted with.

    Parameters
    ----------
    numbers : array of shape (h, w), uint8
        Place of each px's stroke class, UNPAINTED elsewhere.
    counted_as : array of shape (classes,)
        What each stroke class counts as: place in CLASSES, or -1.
    small : SmallPicture
        Gives the cells.

    Returns
    -------
    array of shape (h of the small picture, w), int
        Place in CLASSES; -1 where too little of the cell was painted.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    height, width = small.shares.shape[1:]
    step = small.step
    padding = (0, height * step - numbers.shape[0]), (0, width * step - numbers.shape[1])
    lookup = np.full(256, -1)
    lookup[: len(counted_as)] = counted_as
    classes = np.pad(lookup[numbers], padding, constant_values=-1).reshape(height, step, width, step)
    counts = np.stack([(classes == kind).sum(axis=(1, 3)) for kind in range(len(CLASSES))])
    return np.where(counts.max(axis=0) >= _PAINTED_PART * step * step, counts.argmax(axis=0), -1)


def _without_themselves(pictures: tuple[StrokePicture, ...], lookup: ColourLookup,
                        learn: Callable[[tuple[StrokePicture, ...]], ColourLookup]) -> list[ColourLookup]:
    """For each picture a lookup learnt from the others; the common one where the others do not show every class."""
    folds = min(len(pictures), _MOST_FOLDS)
    if folds < 2:
        return [lookup] * len(pictures)
    by_fold = []
    for fold in range(folds):
        others = tuple(one for place, one in enumerate(pictures) if place % folds != fold)
        by_fold.append(_learnt_alike(others, lookup, learn))
    return [by_fold[place % folds] for place in range(len(pictures))]


def _learnt_alike(pictures: tuple[StrokePicture, ...], lookup: ColourLookup,
                  learn: Callable[[tuple[StrokePicture, ...]], ColourLookup]) -> ColourLookup:
    try:
        found = learn(pictures)
    except NotEnoughDataError:
        return lookup
    return found if found.known == lookup.known else lookup
