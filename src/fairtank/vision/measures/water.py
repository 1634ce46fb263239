"""The water itself: how far its colour has moved, and how much contrast it swallows, seen against the backdrop behind it."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from fairtank.registry import measure
from fairtank.science.colour import delta_e_2000, lab_from_srgb
from fairtank.science.srgb import linear_from_srgb, srgb_from_linear
from fairtank.vision.colour.correction import card_correction, patch_correction, uncorrected
from fairtank.vision.compiled import compiled
from fairtank.vision.rectify import rectified_in_colour
from fairtank.vision.scene import BACKGROUND, Scene
from fairtank.vision.view import View

BACKDROP = (
    "Tint and haze are told from a zone of kind backdrop. They were checked on rendered photos with exact truth, not yet on photographs "
    "of tanks whose water was measured otherwise."
)
FEWEST_PX = 200
# Dark things: the darkest fifth of what stands static. A backdrop that is hardly lighter than these has no contrast to lose.
_DARKEST_SHARE, _FAINTEST_CONTRAST = 0.2, 0.2
# A fish or a bubble changes single px of the backdrop: the tenth that became darkest and the tenth that became lightest are left out.
_TRIMMED_PCT = (10, 90)
_MOST_CHANGE = 3 * 255
_LINEAR = linear_from_srgb(np.arange(256) / 255)


@dataclass(frozen=True, eq=False)
class _Reference:
    """The reference photo in the colours of the trial (h, w, 3), what these rest on, and the places of backdrop and of dark px."""

    picture: np.ndarray
    basis: str
    backdrop: np.ndarray
    dark: np.ndarray


@measure(
    key="water_tint", title="Water tint", unit="CIEDE2000", scale="identity",
    span=(0.0, 100.0), sources=("sharma2005", "iec61966"), caution=BACKDROP, needs_colour=True, needs_zones=("backdrop",),
)
def water_tint(scene: Scene) -> dict[str, float]:
    """Colour difference between the backdrop now and in the unit's reference photo, CIEDE2000.

    Only places of the backdrop count that are open now, and the same places in both photos. Without a photo card or a painted
    patch there is no value: the difference would be that of the camera's white balance.

    Parameters
    ----------
    scene : Scene
        One classified photo.

    Returns
    -------
    dict of str to float
        One value under the empty name. [CIEDE2000] Empty without a zone of kind `backdrop` of which 200 px are open, and without
        comparable colours.

    References
    ----------
    sharma2005, iec61966 (keys from sources.py).
    """
    reference = _reference(scene.view)
    if reference is None or scene.colour_basis == "none" or scene.colour_basis != reference.basis:
        return {}
    pair = _backdrop_means(scene)
    if pair is None:
        return {}
    now, before = (lab_from_srgb(srgb_from_linear(light) * 255) for light in pair)
    return {"": float(delta_e_2000(now, before))}


@measure(
    key="haze", title="Haze", unit="%", scale="identity", span=(0.0, 100.0), sources=("common_practice",), caution=BACKDROP,
    needs_zones=("backdrop", "static"),
)
def haze(scene: Scene) -> dict[str, float]:
    """Contrast lost between the backdrop and dark static things since the unit's reference photo, in percent.

    Contrast is (light - dark) / (light + dark) in linear light, so that exposure drops out. Where the veil is as bright as the mean
    of the two, the number is the veil's share. Below 0: clearer than in the reference photo.

    Parameters
    ----------
    scene : Scene
        One classified photo.

    Returns
    -------
    dict of str to float
        One value under the empty name. [%] Empty without a zone of kind `backdrop` and a dark thing in a zone of kind `static`,
        of which 200 px each are open.

    References
    ----------
    common_practice (keys from sources.py).
    """
    reference = _reference(scene.view)
    if reference is None:
        return {}
    light, dark = _backdrop_means(scene), _means(scene, reference, reference.dark)
    if light is None or dark is None:
        return {}
    now, before = ((float(bright.mean()), float(dim.mean())) for bright, dim in zip(light, dark, strict=True))
    contrast, first = ((bright - dim) / (bright + dim) if bright + dim > 0 else 0.0 for bright, dim in (now, before))
    return {"": 100 * (1 - contrast / first)} if first >= _FAINTEST_CONTRAST else {}


@lru_cache(maxsize=64)
def _reference(view: View) -> _Reference | None:
    """What the reference photo shows of the backdrop; the same for all photos of a view."""
    zones = [mask for mask, kind in zip(view.zones, view.zone_kinds, strict=True) if kind == "backdrop"]
    if view.reference_picture is None or not zones:
        return None
    correction = uncorrected(view.colours.scale)
    if view.patch is not None and view.colours.patch is not None:
        correction = patch_correction(view.patch, view.colours.patch)
    if view.card is not None and view.colours.fields is not None:
        by_card = card_correction(view.card.patches, view.card.clipped, view.colours.fields)
        correction = by_card if by_card.basis == "card" else correction
    height, width = view.reference_picture.shape[:2]
    corners = np.array([[0, 0], [width, 0], [width, height], [0, height]]) / max(height, width)
    picture = rectified_in_colour(view.reference_picture, corners, width, height, correction)
    backdrop = np.any(zones, axis=0)
    static = view.seen & ~view.counted
    dark = np.zeros_like(static)
    if static.any():
        levels = _LINEAR[picture].sum(axis=2)
        dark = static & (levels <= np.quantile(levels[static], _DARKEST_SHARE))
    return _Reference(picture, correction.basis, *(np.flatnonzero(mask).astype(np.int32) for mask in (backdrop, dark)))


@lru_cache(maxsize=1)
def _backdrop_means(scene: Scene) -> tuple[np.ndarray, np.ndarray] | None:
    """Those of the backdrop, which both measures ask for."""
    reference = _reference(scene.view)
    return _means(scene, reference, reference.backdrop) if reference else None


def _means(scene: Scene, reference: _Reference, places: np.ndarray) -> tuple[np.ndarray, np.ndarray] | None:
    """Mean linear light (3,) of the same open px now and in the reference photo; None with too few of them."""
    now, before = (np.ascontiguousarray(picture).reshape(-1, 3) for picture in (scene.pixels, reference.picture))
    open_px, counts = np.empty((2, len(places)), np.int32), np.zeros(2 * _MOST_CHANGE + 1, np.int32)
    many = _changes(now, before, scene.classes.reshape(-1), BACKGROUND, places, open_px, counts)
    if many < FEWEST_PX:
        return None
    low, high = (_percentile(counts, part) for part in _TRIMMED_PCT)
    stored = np.zeros((6, 256), np.int32)
    _count_stored(now, before, open_px[:, :many], int(np.ceil(low)), int(np.floor(high)), stored)
    means = stored @ _LINEAR / stored[0].sum()
    return means[:3], means[3:]


def _percentile(changes: np.ndarray, part: float) -> float:
    """A percentile of changes that were counted from -_MOST_CHANGE on, blended between the two nearest as numpy does."""
    up_to = np.cumsum(changes)
    place = part / 100 * (int(up_to[-1]) - 1)
    below = int(place)
    lower, upper = (int(np.searchsorted(up_to, at, side="right")) - _MOST_CHANGE for at in (below, below + 1))
    return lower + (place - below) * (min(upper, _MOST_CHANGE) - lower)


@compiled
def _changes(now: np.ndarray, before: np.ndarray, classes: np.ndarray, kind: int, places: np.ndarray, found: np.ndarray,
             counts: np.ndarray) -> int:
    """Of the places of one class: where they are, how much the sum of their channels changed, and how often by how much."""
    middle, many = len(counts) // 2, 0
    for number in range(len(places)):
        at = places[number]
        if classes[at] == kind:
            change = int(now[at, 0]) + int(now[at, 1]) + int(now[at, 2]) - int(before[at, 0]) - int(before[at, 1]) - int(before[at, 2])
            found[0, many], found[1, many] = at, change
            counts[middle + change] += 1
            many += 1
    return many


@compiled
def _count_stored(now: np.ndarray, before: np.ndarray, open_px: np.ndarray, low: int, high: int, counts: np.ndarray) -> None:
    """How often each stored value occurs: three channels now, then three before; only of px whose change lies between the two."""
    for number in range(open_px.shape[1]):
        at, change = open_px[0, number], open_px[1, number]
        if low <= change <= high:
            for channel in range(3):
                counts[channel, now[at, channel]] += 1
                counts[3 + channel, before[at, channel]] += 1
