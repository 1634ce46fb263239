"""Classes learnt from strokes and baked into one colour lookup: 32 x 32 x 32 cells, each with its class and how sure it is.

One lookup serves all units of a trial, both arms alike, so the classifier cannot become the treatment.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np

from fairtank.errors import NotEnoughDataError
from fairtank.science.colour import lab_from_srgb
from fairtank.vision.classes.mixture import log_likelihood, mixture, without_lightness

CLASSES = ("background", "plant", "algae")
BITS = 5
CELLS = 1 << (3 * BITS)
FEWEST_PIXELS = 50
UNSURE_MARGIN = 0.2
# A colour further than this from every stroke colour was not shown to the classifier. [CIELAB units; a cell is 2 to 4 of them wide]
NEW_DISTANCE = 10.0
# A broad model, a fine one, and the strokes' own histogram smoothed over one cell: their mean was more even than any of them alone.
_COMPONENTS = (2, 8)
# The models that look at all of a colour; those after them leave lightness out.
_WHOLE_COLOUR, _TINT = slice(0, 1 + len(_COMPONENTS)), slice(1 + len(_COMPONENTS), None)
# A colour less likely than this part of the stroke px counts as hardly shown; there its tint decides, lightness left out.
_HARDLY_SHOWN = 0.05
_HISTOGRAM_SIGMA_CELLS = 1.0
_SEED = 20260301
# How much the share of a class among the px seen counts (0: not at all, 1: in full), for background against the rest and for plant
# against algae. Strokes do not tell how common a class is, but a rare one must not win wherever colours overlap. Measured on
# hand-labelled field photos and on rendered tanks.
_LIVING_WEIGHT, _SPLIT_WEIGHT = 0.3, 0.25


@dataclass(frozen=True, eq=False)
class ColourLookup:
    """A baked lookup; all arrays go by cell (r * 1024 + g * 32 + b of 5-bit values).

    classes: array (32768,), uint8, index into CLASSES. unsure: array (32768,), bool, True where the two likeliest classes are close
    (margin below UNSURE_MARGIN). known: which of CLASSES had strokes; others are never answered. shares: array (3, 32768), uint8, how
    likely each class is, in parts of 255. new: array (32768,), bool, True where no stroke colour is near. kind_names: the stroke classes
    of each class. kinds: array (3, 32768), uint8, the likeliest of them, if the cell belongs to that class.
    """

    classes: np.ndarray
    unsure: np.ndarray
    known: tuple[str, ...]
    shares: np.ndarray
    new: np.ndarray
    kind_names: tuple[tuple[str, ...], ...]
    kinds: np.ndarray

    @property
    def has_algae(self) -> bool:
        """Whether algae strokes were there; without them no algae cover can be given."""
        return "algae" in self.known

    @property
    def arrays(self) -> tuple[np.ndarray, ...]:
        """All that the answers depend on, in a fixed order."""
        return self.classes, self.unsure, self.shares, self.new, self.kinds


@dataclass(frozen=True, eq=False)
class Strokes:
    """Pixels under one stroke class, over all stroke pictures: array (n, 3) uint8 and which of CLASSES they count as."""

    key: str
    counts_as: str
    pixels: np.ndarray


def cell_index(pixels: np.ndarray) -> np.ndarray:
    """The lookup cell of each pixel.

    Parameters
    ----------
    pixels : array of shape (..., 3), uint8
        sRGB.

    Returns
    -------
    array of shape (...), uint16

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> int(cell_index(np.array([8, 0, 255], np.uint8)))
    1055
    """
    steps = pixels >> np.uint8(8 - BITS)
    cells = steps[..., 0].astype(np.uint16)
    for channel in (1, 2):
        cells <<= np.uint16(BITS)
        cells |= steps[..., channel]
    return cells


def learn_colours(strokes: tuple[Strokes, ...], seen: np.ndarray) -> ColourLookup:
    """The lookup learnt from a keeper's strokes.

    First background against the rest, then plant against algae: a broad question asked with all strokes is answered
    more safely than three narrow ones. Each answer is the mean of three models: two and eight Gaussians per stroke class, and a
    smoothed histogram. Where strokes hardly showed a colour, background is told from the rest by the same Gaussians without lightness: a
    ground that is lighter or darker than any that was painted keeps its tint, while its whole colour may be near to nothing but the
    shine on leaves. How common a class is in the stroke photos counts in part, because strokes themselves do not tell it.

    Parameters
    ----------
    strokes : tuple of Strokes
        At least background and one of plant and algae, each with 50 pixels or more.
    seen : array of shape (32768,)
        How many pixels of the stroke photos, inside their frames, fall into each cell.

    Returns
    -------
    ColourLookup

    Raises
    ------
    NotEnoughDataError
        If background, or both plant and algae, have too few stroke pixels.

    References
    ----------
    dempster1977, saerens2002 (keys from sources.py).
    """
    groups = {name: [part for part in strokes if part.counts_as == name and len(part.pixels)] for name in CLASSES}
    totals = {name: sum(len(part.pixels) for part in parts) for name, parts in groups.items()}
    known = tuple(name for name in CLASSES if totals[name] >= FEWEST_PIXELS)
    if "background" not in known or len(known) < 2:
        counts = ", ".join(f"{name} {count}" for name, count in totals.items())
        raise NotEnoughDataError(
            f"The strokes cover too few pixels inside the frames ({counts}); accepted: at least {FEWEST_PIXELS} of background "
            "and of plant or algae. Paint more strokes in labels/."
        )
    shown = {name: groups[name] if name in known else [] for name in CLASSES}
    models = {name: [_densities(part.pixels) for part in parts] for name, parts in shown.items()}
    sizes = {name: [len(part.pixels) for part in parts] for name, parts in shown.items()}
    living = [name for name in known if name != "background"]
    alive = _together([one for name in living for one in models[name]], [size for name in living for size in sizes[name]])
    each = {name: _together(models[name], sizes[name]) for name in known}
    shown_px = np.concatenate([part.pixels for parts in shown.values() for part in parts])
    background = _alive(each["background"], alive, seen, np.bincount(cell_index(shown_px), minlength=CELLS))
    split = np.ones((CELLS, 1))
    if len(living) > 1:
        split = _posterior([each[name][_WHOLE_COLOUR] for name in living], seen * background[:, 1], _SPLIT_WEIGHT)
    shares = np.zeros((CELLS, len(CLASSES)))
    shares[:, 0] = background[:, 0]
    for place, name in enumerate(living):
        shares[:, CLASSES.index(name)] = background[:, 1] * split[:, place]
    classes = np.where(background[:, 0] >= 0.5, 0, shares[:, 1:].argmax(1) + 1).astype(np.uint8)
    ordered = np.sort(shares, axis=1)
    kinds = np.stack([_likeliest(models[name]) for name in CLASSES])
    return ColourLookup(
        classes, ordered[:, -1] - ordered[:, -2] < UNSURE_MARGIN, known, np.rint(shares.T * 255).astype(np.uint8),
        _new_cells(shown_px),
        tuple(tuple(part.key for part in shown[name]) for name in CLASSES), kinds,
    )  # fmt: skip


def _cell_centres() -> np.ndarray:
    """sRGB of every cell's centre, in the order of `cell_index`."""
    steps = (np.arange(1 << BITS) * (256 >> BITS) + (128 >> BITS)).astype(float)
    return np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1).reshape(-1, 3)


@cache
def _cell_colours() -> np.ndarray:
    """CIELAB of every cell's centre."""
    colours = lab_from_srgb(_cell_centres())
    colours.flags.writeable = False
    return colours


def _densities(pixels: np.ndarray) -> np.ndarray:
    """How likely each cell is under one stroke class, by each of the models; shape (models, 32768)."""
    cells, colours = _cell_colours(), lab_from_srgb(pixels.astype(float))
    mixtures = [mixture(colours, count, np.random.default_rng(_SEED)) for count in _COMPONENTS]
    whole = [log_likelihood(cells, parts) for parts in mixtures]
    tints = [log_likelihood(cells[:, 1:], without_lightness(parts)) for parts in mixtures]
    return np.stack([np.log(_histogram(pixels)), *whole, *tints])


def _together(parts: list[np.ndarray], sizes: list[int]) -> np.ndarray:
    """Log likelihood under several stroke classes that count as one, each as common as its strokes."""
    weights = np.log(np.array(sizes) / sum(sizes))
    return np.logaddexp.reduce([part + weight for part, weight in zip(parts, weights, strict=True)], axis=0)


def _posterior(logs: list[np.ndarray], seen: np.ndarray, weight: float) -> np.ndarray:
    """Share of each class for every cell; shape (32768, classes)."""
    even = _even(np.stack(logs, axis=-1))
    return _shares(even * _common(even, seen) ** weight)


def _alive(background: np.ndarray, alive: np.ndarray, seen: np.ndarray, strokes: np.ndarray) -> np.ndarray:
    """Share of background and of the rest for every cell, by tint where the strokes hardly showed its colour; shape (32768, 2)."""
    stacked = np.stack([background, alive], axis=-1)
    whole, tint = _even(stacked[_WHOLE_COLOUR]), _even(stacked[_TINT])
    near = np.logaddexp(*(part[1 : _WHOLE_COLOUR.stop].mean(axis=0) for part in (background, alive)))
    order = np.argsort(near, kind="stable")
    so_far = strokes[order].cumsum()
    hardly = near[order[np.searchsorted(so_far, _HARDLY_SHOWN * so_far[-1])]]
    even = whole + (tint - whole) / (1 + np.exp(near - hardly))[:, None]
    return _shares(even * _common(even, seen) ** _LIVING_WEIGHT)


def _even(models: np.ndarray) -> np.ndarray:
    """Mean over models of the classes' shares, all classes equally common; shape (32768, classes)."""
    return np.mean([_shares(np.exp(model - model.max(1, keepdims=True))) for model in models], axis=0)


def _likeliest(models: list[np.ndarray]) -> np.ndarray:
    """Which of a class's stroke classes each cell most likely belongs to."""
    if len(models) < 2:
        return np.zeros(CELLS, np.uint8)
    return _even(np.stack([model[_WHOLE_COLOUR] for model in models], axis=-1)).argmax(axis=1).astype(np.uint8)


def _new_cells(pixels: np.ndarray) -> np.ndarray:
    """Cells whose colour is far from every stroke colour."""
    from scipy.spatial import cKDTree

    lab = _cell_colours()
    shown = np.flatnonzero(np.bincount(cell_index(pixels), minlength=CELLS))
    return cKDTree(lab[shown]).query(lab, distance_upper_bound=NEW_DISTANCE)[0] > NEW_DISTANCE


def _shares(weights: np.ndarray) -> np.ndarray:
    """Rows that sum to 1."""
    return weights / weights.sum(1, keepdims=True)


def _histogram(pixels: np.ndarray) -> np.ndarray:
    """How the pixels spread over the cells, smoothed; never quite zero, so that an unseen cell leaves the question open."""
    from scipy.ndimage import gaussian_filter

    side = 1 << BITS
    counts = np.bincount(cell_index(pixels), minlength=CELLS).reshape(side, side, side) / len(pixels)
    return gaussian_filter(counts, _HISTOGRAM_SIGMA_CELLS, mode="nearest").ravel() + 1e-9


def _common(even: np.ndarray, seen: np.ndarray) -> np.ndarray:
    """How common each class is among the pixels seen, by expectation-maximisation over the class shares alone."""
    count = even.shape[1]
    common = np.full(count, 1 / count)
    there = np.flatnonzero(seen > 0)
    if not len(there):
        return common
    even, seen = even[there], seen[there]
    total = seen.sum()
    for _ in range(50):
        common = (seen[:, None] * _shares(even * common)).sum(0) / total
    return np.clip(common, 0.02, 1)
