"""The shuffle test: how often would another draw of the lot have given such a difference?"""

import hashlib
import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from fairtank.inference.rounding import rounded

FEWEST_SHOWN = 40  # arrangements; with fewer the smallest possible p says nothing
FEWEST_ASKED = 250  # arrangements from which on a claim must also pass the shuffle
MOST_COUNTED = 200_000  # 10 units in each of two arms have 184 756
DRAWS = 9_999  # beyond it so many are drawn; with the real one among them a p of 5 % is known to 0.2 % either way


def arrangements(n_reference: int, n_changed: int) -> int:
    """In how many ways the units could have been dealt to two arms of these sizes.

    >>> arrangements(3, 3), arrangements(6, 6)
    (20, 924)
    """
    return math.comb(n_reference + n_changed, n_reference)


def is_shown(n_reference: int, n_changed: int) -> bool:
    """Whether the test has enough arrangements to say something.

    >>> is_shown(3, 3), is_shown(4, 4)
    (False, True)
    """
    return arrangements(n_reference, n_changed) >= FEWEST_SHOWN


def smallest_p(n_reference: int, n_changed: int) -> float:
    """The smallest two-sided p that these sizes can reach: with equal arms the mirror image always counts too.

    >>> round(smallest_p(4, 4), 4)
    0.0286
    """
    return (2 if n_reference == n_changed else 1) / arrangements(n_reference, n_changed)


def shuffle_p(reference: Sequence[float], changed: Sequence[float]) -> float:
    """The share of all arrangements of the units whose arms differ at least as much as these, in either direction.

    It asks nothing of the shape of the scatter, only that the lot was drawn. Ties count as `at least as much`. Beyond MOST_COUNTED
    arrangements DRAWS of them are drawn at random, the same ones for arms of the same sizes: p = (1 + hits) / (1 + draws), which errs
    no more often than p says, however few are drawn.

    Parameters
    ----------
    reference, changed : sequence of float, shape (n,), n >= 1
        One z per unit. [summary scale]

    Returns
    -------
    float
        A chance, at least 1 / arrangements.

    References
    ----------
    fisher1935, edgington2007 (keys from sources.py).

    Examples
    --------
    >>> round(shuffle_p([1.0, 2.0, 3.0, 4.0], [5.0, 6.0, 7.0, 8.0]), 4)
    0.0286
    """
    pooled = [*reference, *changed]
    centre = math.fsum(pooled) / len(pooled)
    centred = [value - centre for value in pooled]
    # Round the common mean the two arms' sums mirror each other, so one arm's sum tells the difference of the means.
    size = min(len(reference), len(changed))
    observed = abs(math.fsum(centred[: len(reference)]))
    # Numbers that differ in their tenth digit only are ties: what a finding stores is rounded.
    bar = observed - 1e-9 * max(abs(value) for value in pooled)
    if math.comb(len(pooled), size) > MOST_COUNTED:
        return drawn_share(np.abs(_dealt(len(pooled), size) @ np.array(centred)) >= bar)
    # The sums of all ways to choose 0, 1, ... of the values seen so far; each further value is left out or chosen.
    sums = [np.zeros(1), *(np.zeros(0) for _ in range(size))]
    for value in centred:
        for chosen in range(size, 0, -1):
            sums[chosen] = np.concatenate([sums[chosen], sums[chosen - 1] + value])
    return rounded(int((np.abs(sums[size]) >= bar).sum()) / math.comb(len(pooled), size))


@lru_cache(maxsize=8)
def _dealt(count: int, size: int) -> NDArray[np.float64]:
    """DRAWS ways to deal so many units, one per row, 1 for a unit of the smaller arm; the same for all numbers of units of that size."""
    drawn = seeded_by((count, size)).random((DRAWS, count))
    dealt = np.zeros((DRAWS, count))
    np.put_along_axis(dealt, np.argsort(drawn, axis=1)[:, :size], 1.0, axis=1)
    return dealt


def seeded_by(numbers: Sequence[float]) -> np.random.Generator:
    """A generator whose stream follows from the numbers alone: the same trial always gives the same p."""
    digest = hashlib.sha256(" ".join(f"{number:.12g}" for number in numbers).encode()).digest()
    return np.random.Generator(np.random.Philox(key=np.frombuffer(digest[:16], dtype=np.uint64)))


def drawn_share(as_large: NDArray[np.bool_]) -> float:
    """The p of drawn arrangements: the real one counts as drawn too.

    >>> drawn_share(np.array([True, False, False]))
    0.5
    """
    return rounded((1 + int(as_large.sum())) / (1 + len(as_large)))
