"""Classes learnt from strokes and baked into one colour lookup: 32 x 32 x 32 cells, each with its class and how sure it is.

One lookup serves all units of a trial, both arms alike, so the classifier cannot become the treatment. Texture is left
out on purpose: from a few strokes it is learnt too well.
"""

from dataclasses import dataclass

import numpy as np

from fairtank.errors import NotEnoughDataError
from fairtank.science.colour import lab_from_srgb
from fairtank.vision.classes.mixture import log_likelihood, mixture

CLASSES = ("background", "plant", "algae")
BITS = 5
CELLS = 1 << (3 * BITS)
FEWEST_PIXELS = 50
UNSURE_MARGIN = 0.2
# A broad model, a fine one, and the strokes' own histogram smoothed over one cell: their mean was more even than any of them alone.
_COMPONENTS = (2, 8)
_HISTOGRAM_SIGMA_CELLS = 1.0
_SEED = 20260301
# How much the share of a class among the px seen counts (0: not at all, 1: in full), for background against the rest and for plant
# against algae. Strokes do not tell how common a class is, but a rare one must not win wherever colours overlap. Measured on
# hand-labelled field photos and on rendered tanks.
_LIVING_WEIGHT, _SPLIT_WEIGHT = 0.3, 0.25


@dataclass(frozen=True, eq=False)
class ColourLookup:
    """A baked lookup.

    classes: array (32768,), uint8, index into CLASSES for each cell (r * 1024 + g * 32 + b of 5-bit values).
    unsure: array (32768,), bool, True where the two likeliest classes are close (margin below UNSURE_MARGIN).
    known: which of CLASSES had strokes; others are never answered.
    """

    classes: np.ndarray
    unsure: np.ndarray
    known: tuple[str, ...]

    @property
    def has_algae(self) -> bool:
        """Whether algae strokes were there; without them no algae cover can be given."""
        return "algae" in self.known


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
    more safely than three narrow ones. Each answer is the mean of three models: two and eight Gaussians per class, and a
    smoothed histogram. How common a class is in the stroke photos counts in part, because strokes themselves do
    not tell it.

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
    pixels = {name: np.concatenate([part.pixels for part in groups[name]]) for name in known}
    living = [name for name in known if name != "background"]
    background = _posterior([pixels["background"], np.concatenate([pixels[name] for name in living])], seen, _LIVING_WEIGHT)
    shares = np.zeros((CELLS, len(CLASSES)))
    shares[:, 0] = background[:, 0]
    split = np.ones((CELLS, 1))
    if len(living) > 1:
        split = _posterior([pixels[name] for name in living], seen * background[:, 1], _SPLIT_WEIGHT)
    for place, name in enumerate(living):
        shares[:, CLASSES.index(name)] = background[:, 1] * split[:, place]
    classes = np.where(background[:, 0] >= 0.5, 0, shares[:, 1:].argmax(1) + 1).astype(np.uint8)
    ordered = np.sort(shares, axis=1)
    return ColourLookup(classes, ordered[:, -1] - ordered[:, -2] < UNSURE_MARGIN, known)


def _cell_centres() -> np.ndarray:
    """sRGB of every cell's centre, in the order of `cell_index`."""
    steps = (np.arange(1 << BITS) * (256 >> BITS) + (128 >> BITS)).astype(float)
    return np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1).reshape(-1, 3)


def _posterior(pixels: list[np.ndarray], seen: np.ndarray, weight: float) -> np.ndarray:
    """Share of each class for every cell; shape (32768, classes)."""
    rng = np.random.default_rng(_SEED)
    cells = lab_from_srgb(_cell_centres())
    colours = [lab_from_srgb(part.astype(float)) for part in pixels]
    means = [_shares(np.stack([_histogram(part) for part in pixels], axis=1))]
    for count in _COMPONENTS:
        logs = np.stack([log_likelihood(cells, mixture(part, count, rng)) for part in colours], axis=1)
        means.append(_shares(np.exp(logs - logs.max(1, keepdims=True))))
    even = np.mean(means, axis=0)
    return _shares(even * _common(even, seen) ** weight)


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
    total = seen.sum()
    if total <= 0:
        return common
    for _ in range(50):
        common = (seen[:, None] * _shares(even * common)).sum(0) / total
    return np.clip(common, 0.02, 1)
