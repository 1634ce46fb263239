"""The trial's one frozen classifier, and what it makes of a rectified photo."""

import hashlib
from dataclasses import dataclass
from functools import cached_property, partial

import numpy as np

from fairtank.trial import LabelClass
from fairtank.vision.classes.lookup import CELLS, CLASSES, ColourLookup, cell_index, learn_colours
from fairtank.vision.classes.split import learn_split, split_cells
from fairtank.vision.classes.strokes import StrokePicture, gathered
from fairtank.vision.classes.trees import Trees
from fairtank.vision.compiled import compiled

BACKGROUND, PLANT, ALGAE = range(len(CLASSES))
_SMOOTHING_PX = 5
# Px of a smoothing square are summed as plant + _ALGAE_UNIT x algae.
_ALGAE_UNIT = 64
_UNSURE, _NEW = 4, 8
# Likelihood of living, in parts of 255, below which the context overrules the colour. Half would be even-handed; but a film of algae is
# a close call more often than moss on the ground is, and at 0.2 field photos came out as at half while renders kept most of their film.
_ALIVE_ABOVE = 51


@dataclass(frozen=True, eq=False)
class Classifier:
    """What tells plant, algae and background apart, for all units of a trial alike. lookup: by colour. context: by what lies around."""

    lookup: ColourLookup
    context: Trees | None = None

    @property
    def known(self) -> tuple[str, ...]:
        """Which of CLASSES had strokes; others are never answered."""
        return self.lookup.known

    @property
    def kinds(self) -> dict[str, tuple[str, ...]]:
        """The stroke classes of `plant` and of `algae`, where there are several."""
        named = zip(CLASSES, self.lookup.kind_names, strict=True)
        return {name: kinds for name, kinds in named if name != "background" and len(set(kinds)) > 1}

    @cached_property
    def digest(self) -> str:
        """SHA-256 over everything that decides a class: the same strokes give the same digest in every run."""
        parts = hashlib.sha256(repr((self.known, self.lookup.kind_names)).encode())
        for array in (*self.lookup.arrays, *(self.context.arrays if self.context else ())):
            parts.update(np.ascontiguousarray(array).tobytes())
        return parts.hexdigest()

    @cached_property
    def table(self) -> np.ndarray:
        """For each cell of the lookup its class and, in the bits above, whether it is a close call and whether its colour is new."""
        lookup = self.lookup
        return lookup.classes | (lookup.unsure * np.uint8(_UNSURE)) | (lookup.new * np.uint8(_NEW))


@dataclass(frozen=True, eq=False)
class ClassMap:
    """The classes of one rectified photo.

    classes: array (h, w), uint8, index into CLASSES; algae on a leaf are algae. fine_plant: array (h, w), bool: plant before smoothing,
    with the thinnest tips and with specks, by colour alone. unsure: array (h, w), bool: px whose colour was a close call. new: array
    (h, w), bool: px in a colour that no stroke showed. closeness: mean over the frame of the smaller of plant's and algae's likelihood
    [0 to 0.5]. picture and classifier: what the map was made from.
    """

    classes: np.ndarray
    fine_plant: np.ndarray
    unsure: np.ndarray
    new: np.ndarray
    closeness: float
    picture: np.ndarray
    classifier: Classifier

    def kind_shares(self, mask: np.ndarray) -> dict[str, float]:
        """Share of the masked px that each stroke class of plant and of algae covers, where a class has several.

        A px's kind is told by its colour within the class that it was given; kinds of one class add up to that class.
        """
        found: dict[str, float] = {}
        if not self.classifier.kinds:
            return found
        kinds_by_cell = self.classifier.lookup.kinds
        counts = np.zeros((len(CLASSES), 256), np.int64)
        _count_kinds(np.ascontiguousarray(self.picture), self.classes, mask, kinds_by_cell, counts)
        whole = np.count_nonzero(mask)
        for name, kinds in self.classifier.kinds.items():
            found.update(dict.fromkeys(kinds, 0.0))
            for kind, count in zip(kinds, counts[CLASSES.index(name)], strict=False):
                found[kind] += float(count / whole)
        return found

    def new_fraction(self, mask: np.ndarray) -> float:
        """Share of the masked px whose colour no stroke showed."""
        return np.count_nonzero(self.new & mask) / np.count_nonzero(mask)

    def unsure_fraction(self, mask: np.ndarray) -> float:
        """Share of the masked px whose colour was a close call."""
        return np.count_nonzero(self.unsure & mask) / np.count_nonzero(mask)


def learn_classes(pictures: tuple[StrokePicture, ...], kinds: tuple[LabelClass, ...], *, with_context: bool = True) -> Classifier:
    """The classifier learnt from a keeper's strokes on photos of all units.

    Parameters
    ----------
    pictures : tuple of StrokePicture
        Rectified photos with their strokes.
    kinds : tuple of LabelClass
        The stroke classes that the pictures' numbers stand for.
    with_context : bool
        Also learn to tell plant and algae apart by what lies around; False leaves it at colour.

    Returns
    -------
    Classifier

    Raises
    ------
    NotEnoughDataError
        If background, or both plant and algae, have too few stroke px.

    References
    ----------
    dempster1977, saerens2002, friedman2001 (keys from sources.py).
    """
    learn = partial(_lookup_of, kinds=kinds)
    lookup = learn(pictures)
    return Classifier(lookup, learn_split(pictures, kinds, lookup, learn) if with_context else None)


def _lookup_of(pictures: tuple[StrokePicture, ...], kinds: tuple[LabelClass, ...]) -> ColourLookup:
    seen = np.zeros(CELLS)
    for one in pictures:
        seen += np.bincount(cell_index(one.picture[one.counted]), minlength=CELLS)
    return learn_colours(gathered(kinds, pictures), seen)


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
        Living or not by the majority of 5 x 5 px, which removes specks, and where the context bears it out. Plant or algae by the
        context, without one by the majority of 5 x 5 px.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    import cv2

    size = picture.shape[:2]
    codes, marks = np.empty(size, np.uint8), np.empty(size, np.uint8)
    _look_up(picture, classifier.table, codes, marks)
    # One sum per square serves both questions: how many px live, and whether more of them are algae or plant.
    sums = cv2.boxFilter(marks, cv2.CV_16U, (_SMOOTHING_PX, _SMOOTHING_PX), normalize=False, borderType=cv2.BORDER_REPLICATE)
    classes, flags = np.empty(size, np.uint8), np.empty((3, *size), bool)
    if classifier.context is None:
        nothing = np.zeros((1, 1), np.uint8)
        _settle(codes, sums, nothing, nothing, False, _ALIVE_ABOVE, classes, flags)
        both = np.minimum(classifier.lookup.shares[PLANT], classifier.lookup.shares[ALGAE])
        closeness = float(both[cell_index(picture[::4, ::4])].mean(dtype=float)) / 255
    else:
        small = split_cells(picture, classifier.lookup, classifier.context)
        step = small.step
        alive, algae = (cv2.resize(part, None, fx=step, fy=step, interpolation=cv2.INTER_LINEAR) for part in (small.alive, small.algae))
        _settle(codes, sums, alive, algae, True, _ALIVE_ABOVE, classes, flags)
        closeness = small.closeness
    fine_plant, unsure, new = flags
    return ClassMap(classes, fine_plant, unsure, new, closeness, picture, classifier)


@compiled
def _look_up(picture: np.ndarray, table: np.ndarray, codes: np.ndarray, marks: np.ndarray) -> None:
    for y in range(codes.shape[0]):
        for x in range(codes.shape[1]):
            cell = (int(picture[y, x, 0]) >> 3) * 1024 + (int(picture[y, x, 1]) >> 3) * 32 + (int(picture[y, x, 2]) >> 3)
            code = table[cell]
            codes[y, x] = code
            kind = code & 3
            marks[y, x] = 64 if kind == 2 else kind


@compiled
def _count_kinds(picture: np.ndarray, classes: np.ndarray, mask: np.ndarray, kinds: np.ndarray, counts: np.ndarray) -> None:
    """Of each class the masked px of each of its kinds."""
    for y in range(classes.shape[0]):
        for x in range(classes.shape[1]):
            kind = classes[y, x]
            if kind > 0 and mask[y, x]:
                cell = (int(picture[y, x, 0]) >> 3) * 1024 + (int(picture[y, x, 1]) >> 3) * 32 + (int(picture[y, x, 2]) >> 3)
                counts[kind, kinds[kind, cell]] += 1


@compiled
def _settle(codes: np.ndarray, sums: np.ndarray, alive: np.ndarray, algae: np.ndarray, has_context: bool, alive_above: int,
            classes: np.ndarray, flags: np.ndarray) -> None:
    columns = np.uint64(codes.shape[1])
    least, half = np.uint8(alive_above), np.uint8(127)
    for y in range(codes.shape[0]):
        row, counts, found = codes[y], sums[y], classes[y]
        fine_plant, unsure, new = flags[0, y], flags[1, y], flags[2, y]
        for x in range(columns):
            code = row[x]
            algae_count, plant_count = np.uint16(counts[x] >> np.uint16(6)), np.uint16(counts[x] & np.uint16(63))
            living, is_algae = np.uint16(algae_count + plant_count) > np.uint16(12), algae_count > plant_count
            found[x] = np.uint8(living) + np.uint8(living & is_algae)
            # Height is read from the thinnest tips, which the context takes for background: they are left to colour.
            fine_plant[x] = ((code & np.uint8(3)) > 0) & (algae_count <= plant_count)
            unsure[x], new[x] = (code & np.uint8(4)) > 0, (code & np.uint8(8)) > 0
        if has_context:
            lives, is_film = alive[y], algae[y]
            for x in range(columns):
                living = (found[x] > np.uint8(0)) & (lives[x] > least)
                found[x] = np.uint8(living) + np.uint8(living & (is_film[x] > half))
