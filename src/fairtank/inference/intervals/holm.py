"""Several secondary measures: Holm's step-down adjustment of their p-values."""

from collections.abc import Sequence

from fairtank.errors import OutOfRangeError


def holm(p_values: Sequence[float | None]) -> tuple[float, ...]:
    """The adjusted p-values, in the order given; a measure without a p-value counts as 1.

    The chance of even one false alarm in the family stays at the level against which the adjusted values are held.

    Parameters
    ----------
    p_values : sequence of float or None, shape (n,)
        One per measure of the family, 0 to 1; None where no interval could be built.

    Returns
    -------
    tuple of float, shape (n,)

    Raises
    ------
    OutOfRangeError
        If a p-value lies outside 0 to 1.

    References
    ----------
    holm1979 (keys from sources.py).

    Examples
    --------
    >>> holm([0.01, 0.04, 0.03, 0.005])
    (0.03, 0.06, 0.06, 0.02)
    """
    filled = [1.0 if p is None else p for p in p_values]
    for p in filled:
        if not 0 <= p <= 1:
            raise OutOfRangeError("p", p, "0 to 1")
    adjusted = [1.0] * len(filled)
    highest = 0.0
    for rank, index in enumerate(sorted(range(len(filled)), key=lambda index: (filled[index], index))):
        highest = max(highest, min(1.0, (len(filled) - rank) * filled[index]))
        adjusted[index] = highest
    return tuple(adjusted)
