"""The map checked by random points that a person looked at: what the answers say about the map.

A point is drawn at random over what the map counts; a person says what is there without knowing the map. Answers stay good when the map is
made anew: only what the map says at the points changes. All intervals are about the map's error, never about the tanks.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fairtank.errors import NotEnoughDataError
from fairtank.science.cover import AuditedShare, wilson

FEWEST_POINTS_PER_ARM = 30
HALF_WIDTH = 0.02
_MOST_NEEDED = 20_000


@dataclass(frozen=True)
class Checked:
    """One point that was answered. mapped: whether the map calls it the class in question. truly: share of the people who say it is; None
    where nobody could tell."""

    photo: str
    mapped: bool
    truly: float | None


@dataclass(frozen=True)
class ArmAudit:
    """What the points of one arm say about one class of the map; all shares from 0 to 1.

    photos, points: how many were answered, those without a telling answer left out. unsure: points where nobody could tell. agreed: share
    of the points at which map and people agree. map_share: of the audited photos, each weighted by its points. truth, low, high: the
    cover that the points show, with its 95 % interval. if_it, if_not: the cover if all the unsure points were it, or none of them.
    right_in, hit_out: share of the points that are it, where the map says so and elsewhere.
    """

    arm: str
    photos: int
    points: int
    unsure: int
    agreed: float
    map_share: float
    truth: float
    low: float
    high: float
    if_it: float
    if_not: float
    right_in: float
    hit_out: float

    @property
    def needed(self) -> int:
        """Points in all for an interval that reaches HALF_WIDTH to either side."""
        return points_needed(self.map_share, self.right_in, self.hit_out)

    @property
    def bias(self) -> float:
        """Map minus truth."""
        return self.map_share - self.truth

    @property
    def bias_low(self) -> float:
        """Lower end of the bias's interval."""
        return self.map_share - self.high

    @property
    def bias_high(self) -> float:
        """Upper end of the bias's interval."""
        return self.map_share - self.low


@dataclass(frozen=True)
class BiasDifference:
    """How much more the map reads too high in one arm than in another: the error that can look like an effect. [share]

    lowest, highest: what it would be if the unsure points had all gone against one arm and for the other.
    """

    value: float
    low: float
    high: float
    lowest: float
    highest: float


@dataclass(frozen=True)
class Agreement:
    """How far people agree at points that several of them saw. points: how many; same: share of their pairs of answers that are the same.
    alpha: Krippendorff's, for names; None where it cannot be told."""

    points: int
    same: float
    alpha: float | None


@dataclass(frozen=True)
class AuditResult:
    """What an audit says about one measure.

    measure: its key. arms: each with at least FEWEST_POINTS_PER_ARM telling points. few: arms with fewer, and how many. asked: arms of
    the plan. set_aside: answers at points that have no place on the map now. raters: how many people. agreement: None with one of them.
    unsure, points: over all arms.
    """

    measure: str
    arms: tuple[ArmAudit, ...]
    few: tuple[tuple[str, int], ...]
    asked: tuple[str, ...]
    set_aside: int
    raters: int
    points: int
    unsure: int
    agreement: Agreement | None = None

    def arm(self, key: str) -> ArmAudit | None:
        """The arm with that key; None where it has too few points."""
        return next((arm for arm in self.arms if arm.arm == key), None)


def map_audited(weights: Sequence[float], hits: Sequence[float], counts: Sequence[float], taken_for: Sequence[bool],
                level: float = 0.95) -> AuditedShare:  # fmt: skip
    """A true share from the classes of a map and the points checked in each of them, with its interval.

    The same as `science.cover.audited_cover` for any number of map classes, and without a refusal where a class has no point: it is then
    taken at the map's word, and its interval reaches from none to all of it.

    Parameters
    ----------
    weights : sequence of float
        Share of the area in each map class; they sum to 1. [0 to 1]
    hits : sequence of float
        Points in each map class that truly are it.
    counts : sequence of float
        Points checked in each map class.
    taken_for : sequence of bool
        Whether that map class means it.
    level : float
        Level of the interval.

    Returns
    -------
    AuditedShare

    References
    ----------
    wilson1927 for each class, newcombe1998 (method 10) and zou2008 for their combination (keys from sources.py).

    Examples
    --------
    >>> result = map_audited([0.3, 0.7], [27, 7], [30, 70], [True, False])
    >>> round(result.share, 3), round(result.low, 3), round(result.high, 3)
    (0.34, 0.281, 0.408)
    """
    counted, weight = np.asarray(counts, float), np.asarray(weights, float)
    is_empty, some = counted == 0, np.maximum(counted, 1)
    low, high = wilson(np.asarray(hits, float), some, level)
    part = np.where(is_empty, np.asarray(taken_for, float), np.asarray(hits, float) / some)
    share = float(weight @ part)
    below = math.sqrt(float(((weight * (part - np.where(is_empty, 0.0, low))) ** 2).sum()))
    above = math.sqrt(float(((weight * (np.where(is_empty, 1.0, high) - part)) ** 2).sum()))
    return AuditedShare(share, max(share - below, 0.0), min(share + above, 1.0))


def points_needed(map_share: float, right_in: float, hit_out: float, half_width: float = HALF_WIDTH) -> int:
    """How many random points make the interval of a mapped cover reach this far to either side, on average of both sides.

    Found on the interval itself, not by the usual formula: that one promises too much, because Wilson's limits are wider than it assumes
    where few points fall into a class.

    Parameters
    ----------
    map_share : float
        Share of the area that the map calls it. [0 to 1]
    right_in : float
        Share of the points there that are it. [0 to 1]
    hit_out : float
        Share of the points elsewhere that are it. [0 to 1]
    half_width : float
        [share]

    Returns
    -------
    int
        At least FEWEST_POINTS_PER_ARM, at most 20000.

    References
    ----------
    wilson1927, newcombe1998 (keys from sources.py).

    Examples
    --------
    >>> points_needed(0.25, 0.95, 0.01)
    286
    """

    def reaches(points: int) -> float:
        counts = max(points * map_share, 1e-9), max(points * (1 - map_share), 1e-9)
        whole = [max(count, 1.0) for count in counts]
        hits = whole[0] * right_in, whole[1] * hit_out
        limits = map_audited((map_share, 1 - map_share), hits, whole, (True, False))
        return (limits.high - limits.low) / 2

    low, high = FEWEST_POINTS_PER_ARM, _MOST_NEEDED
    if reaches(low) <= half_width:
        return low
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if reaches(middle) <= half_width else (middle, high)
    return high


def arm_audit(arm: str, points: Sequence[Checked], map_shares: dict[str, float]) -> ArmAudit:
    """What one arm's points say about one class of the map.

    Points of all photos are taken together; the map's share is that of the audited photos, each weighted by its points.

    Parameters
    ----------
    arm : str
        Key of the arm.
    points : sequence of Checked
        At least one of them with a telling answer.
    map_shares : dict
        The map's share of each audited photo. [0 to 1]

    Returns
    -------
    ArmAudit

    Raises
    ------
    NotEnoughDataError
        If no point has a telling answer.

    References
    ----------
    olofsson2014, newcombe1998 (keys from sources.py).

    Examples
    --------
    >>> points = [Checked("a", n < 30, float(n < 27 or n > 92)) for n in range(100)]
    >>> found = arm_audit("R", points, {"a": 0.3})
    >>> round(found.bias, 3), round(found.bias_low, 3), round(found.bias_high, 3)
    (-0.04, -0.108, 0.019)
    """
    told = [point for point in points if point.truly is not None]
    unsure = [point for point in points if point.truly is None]
    if not told:
        raise NotEnoughDataError(f"No audit point of arm {arm} has a telling answer.")
    share = _map_share(told, map_shares)
    limits = _from_points(told, share)
    everyone = _map_share(points, map_shares)
    # Said at the same map share, so that only the answers differ.
    shift = share - everyone
    ends = [_from_points([*told, *(Checked(point.photo, point.mapped, truly) for point in unsure)], everyone).share + shift
            for truly in (1.0, 0.0)] if unsure else [limits.share] * 2  # fmt: skip
    inside, outside = ([float(point.truly or 0) for point in told if point.mapped is mapped] for mapped in (True, False))
    right_in = sum(inside) / len(inside) if inside else 1.0
    hit_out = sum(outside) / len(outside) if outside else 0.0
    agreed = sum(float(point.truly or 0) if point.mapped else 1 - float(point.truly or 0) for point in told) / len(told)
    return ArmAudit(arm, len({point.photo for point in told}), len(told), len(unsure), agreed, share, limits.share, limits.low, limits.high,
                    ends[0], ends[1], right_in, hit_out)  # fmt: skip


def _map_share(points: Sequence[Checked], map_shares: dict[str, float]) -> float:
    return sum(map_shares[point.photo] for point in points) / len(points)


def _from_points(points: Sequence[Checked], map_share: float) -> AuditedShare:
    hits, counts = [0.0, 0.0], [0, 0]
    for point in points:
        place = 0 if point.mapped else 1
        counts[place] += 1
        hits[place] += float(point.truly or 0)
    return map_audited((map_share, 1 - map_share), hits, counts, (True, False))


def bias_difference(changed: ArmAudit, reference: ArmAudit) -> BiasDifference:
    """How much more the map reads too high in the changed arm than in the reference arm, with its interval.

    Parameters
    ----------
    changed, reference : ArmAudit
        Of one class of the map.

    Returns
    -------
    BiasDifference

    References
    ----------
    zou2008 (keys from sources.py).

    Examples
    --------
    >>> points = [Checked("a", n < 30, float(n < 27 or n > 92)) for n in range(100)]
    >>> found = arm_audit("R", points, {"a": 0.3})
    >>> same = bias_difference(found, found)
    >>> same.value, round(same.low, 3), round(same.high, 3)
    (0.0, -0.09, 0.09)
    """
    value = changed.bias - reference.bias
    low = value - math.hypot(changed.bias - changed.bias_low, reference.bias_high - reference.bias)
    high = value + math.hypot(changed.bias_high - changed.bias, reference.bias - reference.bias_low)
    # More truth is less bias: the lowest difference comes from unsure points that all are it in the changed arm and never in the other.
    lowest = (changed.map_share - changed.if_it) - (reference.map_share - reference.if_not)
    highest = (changed.map_share - changed.if_not) - (reference.map_share - reference.if_it)
    return BiasDifference(value, low, high, min(lowest, value), max(highest, value))
