"""All the ways in which the lot could have dealt the arms to the tanks, inside their blocks; a fair sample where there are too many."""

import math
from functools import lru_cache
from itertools import permutations, product

import numpy as np
from numpy.typing import NDArray

MOST = 3000
_SEED = 20261126

Groups = tuple[int, ...]


@lru_cache(maxsize=256)
def arrangements(groups: Groups, blocks: Groups) -> NDArray[np.int64]:
    """Every way to deal these groups out again inside the blocks, one row each; the first row is the one that was dealt.

    Parameters
    ----------
    groups : tuple of int, length n
        Which side of the comparison each tank is on.
    blocks : tuple of int, length n
        Which block each tank is in.

    Returns
    -------
    array of shape (m, n)
        At most MOST rows, by a seeded generator where there are more ways.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> arrangements((0, 0, 1, 1), (0, 0, 0, 0)).shape, arrangements((0, 1, 0, 1), (0, 0, 1, 1)).shape
    ((6, 4), (4, 4))
    """
    places = [[index for index, block in enumerate(blocks) if block == one] for one in dict.fromkeys(blocks)]
    held = [tuple(groups[index] for index in own) for own in places]
    if math.prod(map(_ways, held)) > MOST:
        generator = np.random.default_rng(_SEED)
        rows = np.tile(np.array(groups), (MOST, 1))
        for own in places:
            rows[1:, own] = generator.permuted(rows[1:, own], axis=1)
        return rows
    found = []
    for dealt in product(*(_distinct(own) for own in held)):
        row = [0] * len(groups)
        for own, values in zip(places, dealt, strict=True):
            for index, value in zip(own, values, strict=True):
                row[index] = value
        found.append(tuple(row))
    found.sort(key=lambda row: row != groups)
    return np.array(found)


def _ways(groups: Groups) -> int:
    """In how many orders these groups can stand."""
    return math.factorial(len(groups)) // math.prod(math.factorial(groups.count(one)) for one in set(groups))


@lru_cache(maxsize=256)
def _distinct(groups: Groups) -> tuple[Groups, ...]:
    """The orders of these groups, each once."""
    if len(set(groups)) == 1:
        return (groups,)
    if len(groups) <= 6:
        return tuple(sorted(set(permutations(groups))))
    return tuple((first, *rest) for first in sorted(set(groups))
                 for rest in _distinct(groups[: groups.index(first)] + groups[groups.index(first) + 1:]))


def chance_of(statistic: NDArray[np.float64]) -> float:
    """How often a dealing gives at least as much as the first row's."""
    return float(np.mean(statistic >= statistic[0] - 1e-9))
