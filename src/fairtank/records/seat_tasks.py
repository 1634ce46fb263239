"""What somebody at the blind table is shown, in which order: drawn from a seed, balanced over tanks and days, some of it twice.

Which photos are chosen depends on the photos alone, so that all people of a measure see the same ones; the seed gives each an order of
their own.
"""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from fairtank.inference.eyes.raters import FEWEST_REPEATS
from fairtank.inference.series.windows import LONGEST_GAP_D

# One task in so many comes up twice. common practice, no source
REPEATED_ONE_IN = 8
FEWEST_WITH_REPEATS = 6


@dataclass(frozen=True)
class Shot:
    """A photo that could be shown: its key, its unit and day, whether it is doubtful."""

    key: int
    unit: str
    day: int
    is_doubtful: bool = False


Task = tuple[int, ...]


def score_tasks(shots: Sequence[Shot], count: int, seed: int, *, before: frozenset[int] = frozenset()) -> tuple[Task, ...]:
    """Photos to be scored, as many of each unit, in turns of one photo of every unit, so that no unit and no time comes first or last.

    Parameters
    ----------
    shots : sequence of Shot
    count : int
        Photos wanted, without those that come twice; at least one of each unit is taken.
    seed : int
    before : frozenset of int
        Photos that others were given: they are chosen first.

    Returns
    -------
    tuple of tuples
        One key of a photo each.

    References
    ----------
    common_practice (keys from sources.py).
    """
    rng = np.random.default_rng(seed)
    by_unit = _one_a_day(shots)
    per_unit = max(1, count // max(1, len(by_unit)))
    chosen = {unit: [own[place] for place in rng.permutation(len(own))]
              for unit, own in ((unit, _spread(own, per_unit, before)) for unit, own in by_unit.items())}
    order: list[Shot] = []
    for turn in range(max(map(len, chosen.values()), default=0)):
        present = [own[turn] for own in chosen.values() if turn < len(own)]
        ordered = [present[place] for place in rng.permutation(len(present))]
        if order and len(ordered) > 1 and ordered[0].unit == order[-1].unit:
            ordered.append(ordered.pop(0))
        order += ordered
    return _with_repeats([(shot.key,) for shot in order], rng)


def pair_tasks(shots: Sequence[Shot], count: int, seed: int, draw: int) -> tuple[Task, ...]:
    """Pairs of photos to be compared: every two units equally often, each time on about the same day, each unit as often left as right.

    Where there are more pairs of units than are wanted, the units are set in a ring, and each is compared with its next ones.

    Parameters
    ----------
    shots : sequence of Shot
    count : int
        Pairs wanted, without those that come twice.
    seed : int
        Of the order and the sides.
    draw : int
        Of the ring; the same for everybody.

    Returns
    -------
    tuple of tuples
        Two keys of photos each; none where no two units were photographed within a week of each other.

    References
    ----------
    common_practice (keys from sources.py).
    """
    rng = np.random.default_rng(seed)
    by_unit = _one_a_day(shots)
    matches = _matches(sorted(by_unit), count, draw)
    times = max(1, round(count / max(1, len(matches))))
    pairs = [pair for one, other in matches for pair in _near(by_unit[one], by_unit[other], times)]
    shuffled = [pairs[place] for place in rng.permutation(len(pairs))]
    return _with_repeats(_sided(_parted(shuffled), rng), rng, swaps=True)


def _one_a_day(shots: Sequence[Shot]) -> dict[str, list[Shot]]:
    """Of each unit one photo a day, the last one that is not doubtful; days ascending."""
    kept: dict[str, dict[int, Shot]] = defaultdict(dict)
    for shot in sorted(shots, key=lambda one: (one.unit, one.day, not one.is_doubtful, one.key)):
        kept[shot.unit][shot.day] = shot
    return {unit: list(days.values()) for unit, days in kept.items()}


def _spread(own: Sequence[Shot], count: int, before: frozenset[int]) -> list[Shot]:
    """So many photos of one unit, evenly over its days, those that others were given first."""
    first = [shot for shot in own if shot.key in before]
    if len(first) >= count:
        return _evenly(first, count)
    rest = [shot for shot in own if shot.key not in before]
    return sorted([*first, *_evenly(rest, count - len(first))], key=lambda one: one.day)


def _evenly(own: Sequence[Shot], count: int) -> list[Shot]:
    places = sorted({round(float(place)) for place in np.linspace(0, len(own) - 1, min(count, len(own)))}) if own and count > 0 else []
    return [own[place] for place in places]


def _matches(units: Sequence[str], count: int, draw: int) -> list[tuple[str, str]]:
    every = list(combinations(units, 2))
    if len(every) <= max(count, len(units)):
        return every
    ring = [units[place] for place in np.random.default_rng(draw).permutation(len(units))]
    steps = range(1, max(1, count // len(ring)) + 1)
    return [(ring[place], ring[(place + step) % len(ring)]) for step in steps for place in range(len(ring))]


def _near(one: Sequence[Shot], other: Sequence[Shot], times: int) -> list[tuple[Shot, Shot]]:
    """Pairs of photos of two units, nearest in day and alike in quality, spread over the days."""
    found = []
    for shot in one:
        near = min(other, key=lambda its: (abs(its.day - shot.day), its.is_doubtful != shot.is_doubtful, its.day))
        if abs(near.day - shot.day) <= LONGEST_GAP_D:
            found.append((shot, near))
    sound = [pair for pair in found if not (pair[0].is_doubtful or pair[1].is_doubtful)] or found
    places = sorted({round(float(place)) for place in np.linspace(0, len(sound) - 1, min(times, len(sound)))}) if sound else []
    return [sound[place] for place in places]


def _parted(pairs: Sequence[tuple[Shot, Shot]]) -> list[tuple[Shot, Shot]]:
    """The same pairs, no unit in two of them running where that can be had."""
    left, order = list(pairs), list[tuple[Shot, Shot]]()
    while left:
        last = {shot.unit for shot in order[-1]} if order else set()
        order.append(left.pop(next((place for place, pair in enumerate(left) if not last & {shot.unit for shot in pair}), 0)))
    return order


def _sided(pairs: Sequence[tuple[Shot, Shot]], rng: np.random.Generator) -> list[Task]:
    """Which of the two stands left: the one that stood there less often, else by lot."""
    left: Counter[str] = Counter()
    tasks = list[Task]()
    for one, other in pairs:
        ahead = left[one.unit] - left[other.unit]
        if ahead > 0 or (ahead == 0 and rng.integers(2)):
            one, other = other, one
        left[one.unit] += 1
        left[other.unit] -= 1
        tasks.append((one.key, other.key))
    return tasks


def _with_repeats(tasks: Sequence[Task], rng: np.random.Generator, *, swaps: bool = False) -> tuple[Task, ...]:
    """One in eight of them comes again in the second half, long after its first time; of two photos the sides are changed then."""
    made = list(tasks)
    if len(made) < FEWEST_WITH_REPEATS:
        return tuple(made)
    half = len(made) // 2
    count = min(half, max(FEWEST_REPEATS, round(len(made) / REPEATED_ONE_IN)))
    for place in sorted(rng.choice(half, count, replace=False).tolist()):
        again = made[place][::-1] if swaps else made[place]
        earliest = max(half, place + max(3, half // 2))
        made.insert(int(rng.integers(min(earliest, len(made)), len(made) + 1)), again)
    return tuple(made)
