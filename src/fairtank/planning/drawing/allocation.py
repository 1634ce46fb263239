"""Which unit gets which arm: equal numbers in every block, or as equal as they can be, and every such allocation equally likely."""

import math
from collections import Counter
from collections.abc import Sequence
from functools import lru_cache
from itertools import combinations

from fairtank.errors import DesignError
from fairtank.planning.drawing.numbers import Lot

MOST_TRIES = 100_000


def odd_places(sizes: Sequence[int], arms: int) -> tuple[int, ...]:
    """How many units each block has beyond equal numbers of every arm.

    >>> odd_places((4, 3, 5), 2)
    (0, 1, 1)
    """
    return tuple(size % arms for size in sizes)


def spread_count(odd: Sequence[int], arms: int) -> int:
    """In how many ways the odd places of all blocks can fall to the arms so that over all blocks no arm has two more than another.

    Parameters
    ----------
    odd : sequence of int
        Odd places of each block, fewer than there are arms; within a block each goes to another arm.
    arms : int
        Number of arms.

    Returns
    -------
    int

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> spread_count((1, 1), 2), spread_count((1, 1, 1), 2), spread_count((0, 0), 2)
    (2, 6, 1)
    """
    rows = tuple(sorted(count for count in odd if count))
    low, rest = divmod(sum(rows), arms)
    return _ways(rows, (0,) * arms, low + bool(rest), low)


@lru_cache(maxsize=100_000)
def _ways(rows: tuple[int, ...], held: tuple[int, ...], most: int, least: int) -> int:
    """Ways for the rows that are left, when the arms hold so many already; only how many arms hold what matters."""
    if not rows:
        return int(min(held) >= least)
    total = 0
    for chosen in combinations(range(len(held)), rows[0]):
        after = [count + (place in chosen) for place, count in enumerate(held)]
        if max(after) <= most:
            total += _ways(rows[1:], tuple(sorted(after)), most, least)
    return total


def possible_count(sizes: Sequence[int], arms: int) -> int:
    """How many allocations there are, all of them equally likely in a draw.

    Parameters
    ----------
    sizes : sequence of int
        Units in each block.
    arms : int
        Number of arms.

    Returns
    -------
    int
        Exact, however large.

    References
    ----------
    fisher1935 (keys from sources.py).

    Examples
    --------
    >>> possible_count((6,), 2), possible_count((2, 2, 2), 2), possible_count((3,), 2)
    (20, 8, 6)
    """
    count = spread_count(odd_places(sizes, arms), arms)
    for size in sizes:
        each, odd = divmod(size, arms)
        count *= math.factorial(size) // (math.factorial(each) ** (arms - odd) * math.factorial(each + 1) ** odd)
    return count


def drawn_odd(odd: Sequence[int], arms: int, seed: int) -> tuple[tuple[tuple[int, ...], ...], list[Lot]]:
    """Which arms get the odd places of each block, and the lots that said it.

    For each block with odd places the arms are shuffled, and the first ones get them. A try that leaves one arm two ahead of another over
    all blocks is thrown away whole, and the next one begins: so every spread that is left is equally likely.

    Parameters
    ----------
    odd : sequence of int
        Odd places of each block.
    arms : int
        Number of arms.
    seed : int
        Seed of the draw.

    Returns
    -------
    tuple of tuples, list of Lot
        Arms by number for each block; every try's lot, the last one the one that counts.

    Raises
    ------
    DesignError
        If no spread was found in so many tries as to be out of reach.

    References
    ----------
    fisher1935 (keys from sources.py).
    """
    total = sum(odd)
    if not total:
        return tuple(() for _ in odd), []
    low, high = total // arms, -(-total // arms)
    lots: list[Lot] = []
    for number in range(1, MOST_TRIES + 1):
        lot = Lot(seed, f"odd {number}")
        lots.append(lot)
        taken = tuple(tuple(sorted(lot.shuffled(range(arms))[:count])) if count else () for count in odd)
        held = Counter(arm for chosen in taken for arm in chosen)
        if all(low <= held[arm] <= high for arm in range(arms)):
            return taken, lots
    raise DesignError(f"In {MOST_TRIES} tries no draw left the arms as even as they can be: there are too many blocks that the arms do not "
                      "divide. Name fewer or larger blocks.")


def drawn_block(size: int, arms: int, odd: Sequence[int], lot: Lot) -> tuple[int, ...]:
    """The arms of one block's units, by lot: every arm as often as it is due, then shuffled.

    Parameters
    ----------
    size : int
        Units in the block.
    arms : int
        Number of arms.
    odd : sequence of int
        Arms that stand there once more.
    lot : Lot
        Its numbers.

    Returns
    -------
    tuple of int
        An arm's number for each unit, in the order of the units.

    References
    ----------
    fisher1938 (keys from sources.py).

    Examples
    --------
    >>> drawn_block(2, 2, (), Lot(7, "arms 1"))
    (0, 1)
    """
    each = size // arms
    return lot.shuffled([*(arm for arm in range(arms) for _ in range(each)), *odd])
