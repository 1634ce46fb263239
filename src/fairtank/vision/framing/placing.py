"""Place a photo in its unit's frame: roughly by blocks, by stickers or by features, then exactly at the glass edges.

Blocks cost least and come first; what they find is taken only when all four glass edges confirm it and the caller's own check does not
object. Else the slower ways have their turn.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from fairtank.vision.framing.blocks import Blocks, blocks_of, corners_by_blocks
from fairtank.vision.framing.edges import EdgeStrips, edge_strips, refined_corners
from fairtank.vision.framing.features import TRIES, Features, corners_by_features, features_of
from fairtank.vision.framing.small import small_grey

# Says whether corners [normalised px] can be right by something else than the glass, such as the photo card: None where it cannot tell.
Check = Callable[[np.ndarray], bool | None]
# Reads the corners that the stickers of a photo mark [normalised px]; None where they are not all seen.
Stickers = Callable[[], np.ndarray | None]

RESIDUAL_HIGHEST_PX = 1.0
# Corners set from stickers lie this near to where the stickers are read in the same photo.
_STICKERS_OFF_PX = 1.5
_SAME_PX = 1.0
# How much a side may be longer or shorter than in the reference photo, and opposite sides differ: for a pose that nothing else confirms
# than the edges, and for one that many features confirm.
_CLOSE, _ANY = (0.85, 1.18, 0.08), (0.7, 1.4, 0.12)


@dataclass(frozen=True, eq=False)
class Reference:
    """What later photos are compared with: blocks, features of both tries, edge strips, and what the stickers marked, where it has any."""

    corners: np.ndarray
    blocks: Blocks
    features: tuple[Features, ...]
    strips: EdgeStrips
    stickers: np.ndarray | None = None

    @property
    def is_set_by_stickers(self) -> bool:
        """Whether the frame's corners are those that the stickers mark."""
        return self.stickers is not None and bool(np.abs(self.stickers - self.corners).max() < _STICKERS_OFF_PX)


@dataclass(frozen=True, eq=False)
class Placement:
    """Where the frame lies in a photo.

    corners: array (4, 2), normalised px, top-left first, clockwise. edges_found: glass edges found again, 0 to 4; None when the frame
    was read from stickers and edges were not needed. residual_px: the worst edge's median residual. inliers: matched features (0 when
    none were matched). way: how the coarse place was found: `blocks`, `features` or `stickers`. checked: what the caller's check said.
    """

    corners: np.ndarray
    edges_found: int | None
    residual_px: float | None
    inliers: int
    way: str = "features"
    checked: bool | None = None

    @property
    def is_sure(self) -> bool:
        """Whether every glass edge was found and fits, or was not needed."""
        return self.edges_found is None or (self.edges_found == 4 and (self.residual_px or 0.0) <= RESIDUAL_HIGHEST_PX)


def reference_of(pixels: np.ndarray, corners: np.ndarray, *, stickers: np.ndarray | None = None) -> Reference:
    """Everything that placing later photos needs from the reference photo.

    Parameters
    ----------
    pixels : array of shape (h, w, 3), uint8
        The reference photo at analysis scale.
    corners : array of shape (4, 2)
        The frame's corners in it. [normalised px]
    stickers : array of shape (4, 2) or None
        The corners that its stickers mark, where it shows any. [normalised px]

    Returns
    -------
    Reference

    References
    ----------
    rublee2011 (keys from sources.py).
    """
    features = tuple(features_of(pixels, count, long_side_px) for count, long_side_px in TRIES)
    return Reference(corners, blocks_of(small_grey(pixels), corners), features, edge_strips(pixels, corners), stickers)


def placed(pixels: np.ndarray, reference: Reference, *, check: Check | None = None, stickers: Stickers | None = None) -> Placement | None:
    """Where the reference's frame lies in this photo; None when the photo does not match the reference.

    A frame set from stickers is read from them. Else the ways have their turn from the cheapest on, until one is confirmed by all four
    edges and not refused by `check`; when none is, the one that most speaks for is given, and the caller sees how little that is.

    Parameters
    ----------
    pixels : array of shape (h, w, 3), uint8
        The photo at analysis scale.
    reference : Reference
        Of the same unit.
    check : callable or None
        Takes corners in normalised px; says True, False or None.
    stickers : callable or None
        Reads the corners marked by stickers in this photo; called only when needed.

    Returns
    -------
    Placement or None

    References
    ----------
    rublee2011, fischler1981 (keys from sources.py).
    """
    best: Placement | None = None
    for start, inliers, way in _starts(pixels, reference, stickers):
        candidate = _refined(pixels, start, reference, inliers, way)
        if check is not None:
            candidate = replace(candidate, checked=check(candidate.corners))
        if candidate.is_sure and candidate.checked is not False:
            return candidate
        if _is_told_twice(candidate, best):
            break  # two ways agree to the px: a third would say the same
        if best is None or _weight(candidate) > _weight(best):
            best = candidate
    return best


def is_plausible(corners: np.ndarray, reference: np.ndarray, *, close: bool = False) -> bool:
    """Whether four corners can be the same tank seen from nearly the same place: alike in size, and opposite sides alike.

    Parameters
    ----------
    corners, reference : array of shape (4, 2)
        [normalised px]
    close : bool
        Hold them to the narrower limits.

    Returns
    -------
    bool

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> square = np.array([[0, 0], [100, 0], [100, 100], [0, 100]], float)
    >>> is_plausible(square * 1.1, square), is_plausible(square * 2, square)
    (True, False)
    """
    shortest, longest, unlike = _CLOSE if close else _ANY
    sides = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)
    ratio = sides / np.hypot(*(np.roll(reference, -1, axis=0) - reference).T)
    if not np.all((ratio > shortest) & (ratio < longest)):
        return False
    return bool(np.all(np.abs(np.log(ratio[:2] / ratio[2:])) < unlike)) and _turns_alike(corners)


def _turns_alike(corners: np.ndarray) -> bool:
    """Whether walking round the corners always turns the same way, clockwise as seen."""
    along = np.roll(corners, -1, axis=0) - corners
    after = np.roll(along, -1, axis=0)
    return bool(np.all(along[:, 0] * after[:, 1] - along[:, 1] * after[:, 0] > 0))


def _starts(pixels: np.ndarray, reference: Reference, stickers: Stickers | None) -> Iterator[tuple[np.ndarray, int, str]]:
    """Coarse corners, matched features and the way, from the cheapest on; each is worked out only when it is asked for."""
    if reference.is_set_by_stickers and stickers is not None:
        yield from _by_stickers(reference, stickers)
    found = corners_by_blocks(small_grey(pixels), reference.blocks, reference.corners)
    if found is not None and is_plausible(found, reference.corners, close=True):
        yield found, 0, "blocks"
    if not reference.is_set_by_stickers and stickers is not None:
        yield from _by_stickers(reference, stickers)
    for (count, long_side_px), known in zip(TRIES, reference.features, strict=True):
        found, inliers = corners_by_features(features_of(pixels, count, long_side_px), known, reference.corners)
        if found is not None and is_plausible(found, reference.corners):
            yield found, inliers, "features"


def _by_stickers(reference: Reference, stickers: Stickers) -> Iterator[tuple[np.ndarray, int, str]]:
    """The corners that the stickers tell: themselves, or where the reference's corners lie by them."""
    import cv2

    seen = stickers()
    if seen is None:
        return
    if reference.stickers is not None and not reference.is_set_by_stickers:
        matrix = cv2.getPerspectiveTransform(reference.stickers.astype(np.float32), seen.astype(np.float32))
        seen = cv2.perspectiveTransform(reference.corners[None].astype(float), matrix)[0]
    if is_plausible(seen, reference.corners):
        yield seen, 0, "stickers"


def _refined(pixels: np.ndarray, start: np.ndarray, reference: Reference, inliers: int, way: str) -> Placement:
    """A start after the edges had their say."""
    if way == "stickers" and reference.is_set_by_stickers:
        return Placement(start, None, None, 0, way)
    refined = refined_corners(pixels, start, reference.strips, first_pass=1)
    if way == "blocks" and not (refined.edges_found == 4 and refined.residual_px <= RESIDUAL_HIGHEST_PX):
        refined = refined_corners(pixels, start, reference.strips)
    if is_plausible(refined.corners, reference.corners, close=way == "blocks"):
        return Placement(refined.corners, refined.edges_found, refined.residual_px, inliers, way)
    return Placement(start, 0, float("inf"), inliers, way)


def _is_told_twice(one: Placement, other: Placement | None) -> bool:
    """Whether two ways are sure of the same place."""
    return other is not None and one.is_sure and other.is_sure and bool(np.abs(one.corners - other.corners).max() < _SAME_PX)


def _weight(placement: Placement) -> tuple[bool, int, int]:
    """How much speaks for a placement that is not sure."""
    fits = placement.residual_px is not None and placement.residual_px <= RESIDUAL_HIGHEST_PX
    return placement.checked is not False, (placement.edges_found or 0) + fits, placement.inliers
