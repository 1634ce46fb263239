"""The exact shuffle test: how often would another draw of the lot have given such a difference?"""

import math
from collections.abc import Sequence
from itertools import combinations

from fairtank.inference.rounding import rounded

FEWEST_SHOWN = 40  # arrangements; with fewer the smallest possible p says nothing
FEWEST_ASKED = 250  # arrangements from which on a claim must also pass the shuffle
MOST_COUNTED = 200_000  # 10 units in each of two arms have 184 756


def arrangements(n_reference: int, n_changed: int) -> int:
    """In how many ways the units could have been dealt to two arms of these sizes.

    >>> arrangements(3, 3), arrangements(6, 6)
    (20, 924)
    """
    return math.comb(n_reference + n_changed, n_reference)


def is_shown(n_reference: int, n_changed: int) -> bool:
    """Whether the test has enough arrangements to say something, and not too many to count.

    >>> is_shown(3, 3), is_shown(4, 4)
    (False, True)
    """
    return FEWEST_SHOWN <= arrangements(n_reference, n_changed) <= MOST_COUNTED


def smallest_p(n_reference: int, n_changed: int) -> float:
    """The smallest two-sided p that these sizes can reach: with equal arms the mirror image always counts too.

    >>> round(smallest_p(4, 4), 4)
    0.0286
    """
    return (2 if n_reference == n_changed else 1) / arrangements(n_reference, n_changed)


def shuffle_p(reference: Sequence[float], changed: Sequence[float]) -> float:
    """The share of all arrangements of the units whose arms differ at least as much as these, in either direction.

    It asks nothing of the shape of the scatter, only that the lot was drawn. Ties count as `at least as much`.

    Parameters
    ----------
    reference, changed : sequence of float, shape (n,), n >= 1
        One z per unit. [summary scale]

    Returns
    -------
    float
        A chance, at least 1 / arrangements. Time grows with the number of arrangements: see MOST_COUNTED.

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
    as_large = sum(abs(total) >= bar for total in map(math.fsum, combinations(centred, size)))
    return rounded(as_large / math.comb(len(pooled), size))
