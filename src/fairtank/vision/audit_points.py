"""Where the random points of an audit are drawn: as evenly as can be over arms, tanks, time and photos, at random inside the frame."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fairtank.errors import NotEnoughDataError
from fairtank.lens import Lens
from fairtank.trial import Corners, Zone
from fairtank.vision.framing.lens import bent_points, straight_points
from fairtank.vision.plane import SQUARE, through
from fairtank.vision.view import UNCOUNTED_KINDS, zone_mask

OUTSIDE_COUNTED = "-"
_TRIES = 200
_COUNTED_LONG_SIDE_PX = 720


@dataclass(frozen=True)
class Site:
    """A photo in which points may be drawn. third: of the trial's days, 0 to 2. taken: points that were drawn in it before."""

    photo: str
    unit: str
    arm: str
    third: int
    taken: int = 0


def points_allotted(sites: Sequence[Site], count: int, rng: np.random.Generator) -> tuple[str, ...]:
    """In which photos new points are drawn: arms, then units, then thirds of the trial, then photos as evenly filled as can be.

    Points that were drawn before count, so that a second draw evens out what the first left uneven.

    Parameters
    ----------
    sites : sequence of Site
        The photos.
    count : int
        New points in all. [-], 1 or more.
    rng : numpy Generator
        Decides between equals.

    Returns
    -------
    tuple of str
        One photo for each new point.

    Raises
    ------
    NotEnoughDataError
        If there is no photo.

    References
    ----------
    olofsson2014 (keys from sources.py).

    Examples
    --------
    >>> sites = [Site(f"{unit}{day}", unit, arm, day) for unit, arm in (("T1", "R"), ("T2", "C"), ("T3", "C")) for day in (0, 1, 2)]
    >>> drawn = points_allotted(sites, 12, np.random.default_rng(1))
    >>> [sum(photo[:2] == unit for photo in drawn) for unit in ("T1", "T2", "T3")]
    [6, 3, 3]
    """
    if not sites:
        raise NotEnoughDataError("There is no usable photo on a judged day, so no point can be drawn.")
    levels = [lambda site: (site.arm,), lambda site: (site.arm, site.unit), lambda site: (site.arm, site.unit, site.third),
              lambda site: (site.arm, site.unit, site.third, site.photo)]  # fmt: skip
    ways = [tuple(level(site) for level in levels) for site in sites]
    filled: Counter[tuple[object, ...]] = Counter()
    children: dict[tuple[object, ...], list[tuple[object, ...]]] = {}
    for site, way in zip(sites, ways, strict=True):
        for above, here in zip(((), *way), way, strict=False):
            filled[here] += site.taken
            if here not in children.setdefault(above, []):
                children[above].append(here)
    drawn = []
    for _ in range(count):
        place: tuple[object, ...] = ()
        while place in children:
            fewest = min(filled[one] for one in children[place])
            equals = [one for one in children[place] if filled[one] == fewest]
            place = equals[int(rng.integers(len(equals)))]
            filled[place] += 1
        drawn.append(str(place[-1]))
    return tuple(drawn)


def counted_part(zones: Sequence[Zone], width_cm: float, height_cm: float) -> np.ndarray:
    """Which parts of a frame count: all but its static, ignored and patch zones, and a little less at their edges.

    Parameters
    ----------
    zones : sequence of Zone
        Of one unit.
    width_cm, height_cm : float
        Size of the frame. [cm]

    Returns
    -------
    array of shape (h, w), bool
        The frame seen straight on, its long side 720 px.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> half = counted_part([Zone("T1", "pump", "static", ((0, 0), (30, 0), (30, 36), (0, 36)))], 60.0, 36.0)
    >>> half.shape, round(float(half.mean()), 2)
    ((432, 720), 0.5)
    """
    import cv2

    scale = _COUNTED_LONG_SIDE_PX / max(width_cm, height_cm)
    width, height = max(round(width_cm * scale), 8), max(round(height_cm * scale), 8)
    left_out = np.zeros((height, width), bool)
    for zone in zones:
        if zone.kind in UNCOUNTED_KINDS:
            left_out |= zone_mask(zone, width_cm, height_cm, width, height)
    # A point must not fall outside what counts because another grid draws the zone's edge a px further on.
    return np.asarray(cv2.dilate(left_out.astype(np.uint8), np.ones((5, 5), np.uint8)) == 0)


def points_placed(counted: np.ndarray, corners: Corners, size_px: tuple[int, int], count: int, rng: np.random.Generator,
                  lens: Lens | None = None) -> np.ndarray:  # fmt: skip
    """Random points in one photo, uniform over the counted part of its frame once that is seen straight on.

    Parameters
    ----------
    counted : array of shape (h, w), bool
        Which parts of the straightened frame count.
    corners : four (x, y) pairs
        The frame in the upright photo. [px]
    size_px : two int
        Width and height of the upright photo. [px]
    count : int
        How many points.
    rng : numpy Generator
    lens : Lens or None
        Of the camera, where it is known; the photo, corners and points are as it bent them.

    Returns
    -------
    array of shape (count, 2)
        x and y in the upright photo, to a tenth of a px, each inside the photo and still on the counted part. [px]

    Raises
    ------
    NotEnoughDataError
        If hardly any of what counts lies inside the photo.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> corners = ((10, 10), (90, 10), (90, 50), (10, 50))
    >>> points_placed(np.ones((4, 8), bool), corners, (100, 60), 1, np.random.default_rng(2)).tolist()
    [[33.0, 48.1]]
    """
    rows, columns = np.nonzero(counted)
    height, width = counted.shape
    found: list[tuple[float, float]] = []
    for _ in range(_TRIES):
        if len(found) == count or not len(rows):
            break
        which = rng.integers(len(rows), size=count - len(found))
        inside = rng.random((len(which), 2))
        spots = np.stack([columns[which] + inside[:, 0], rows[which] + inside[:, 1]], axis=1)
        places = _mapped(spots, _rectangle(width, height), _straight(np.asarray(corners, float), lens, size_px))
        places = np.round(places if lens is None else bent_points(places, lens, *size_px), 1)
        back = places_in_frame(places, corners, width, height, lens, size_px)
        for (x, y), (across, down) in zip(places.tolist(), back.tolist(), strict=True):
            is_counted = 0 <= across < width and 0 <= down < height and counted[int(down), int(across)]
            if is_counted and 0 <= x <= size_px[0] - 1 and 0 <= y <= size_px[1] - 1 and (x, y) not in found:
                found.append((x, y))
    if len(found) < count:
        raise NotEnoughDataError("Hardly anything of the frame that counts lies inside the photo.")
    return np.array(found).reshape(-1, 2)


def places_in_frame(points: Sequence[Sequence[float]] | np.ndarray, corners: Corners, width_px: int, height_px: int,
                    lens: Lens | None = None, size_px: tuple[int, int] | None = None) -> np.ndarray:  # fmt: skip
    """Where points of the upright photo lie in the straightened frame.

    Parameters
    ----------
    points : array of shape (n, 2)
        x and y. [px of the upright photo]
    corners : four (x, y) pairs
        The frame in the upright photo. [px]
    width_px, height_px : int
        Size of the straightened frame. [px]
    lens : Lens or None
        Of the camera, where it is known.
    size_px : two int or None
        Width and height of the upright photo; without it the lens cannot be reckoned with. [px]

    Returns
    -------
    array of shape (n, 2)
        x and y. [px of the straightened frame]

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> places_in_frame([(50, 30)], ((10, 10), (90, 10), (90, 50), (10, 50)), 8, 4).round(6).tolist()
    [[4.0, 2.0]]
    """
    seen, corner_places = (_straight(np.asarray(one, float), lens, size_px) for one in (points, corners))
    return _mapped(seen, corner_places, _rectangle(width_px, height_px))


def _straight(points: np.ndarray, lens: Lens | None, size_px: tuple[int, int] | None) -> np.ndarray:
    """Points of the photo as a straight lens would show them."""
    return points if lens is None or size_px is None else straight_points(points, lens, *size_px)


def _rectangle(width: int, height: int) -> np.ndarray:
    return SQUARE * (width, height)


def _mapped(points: np.ndarray, source: np.ndarray, target: np.ndarray) -> np.ndarray:
    """Points carried along by the perspective that takes four corners to four others."""
    import cv2

    return through(cv2.getPerspectiveTransform(source.astype(np.float32), target.astype(np.float32)), points)
