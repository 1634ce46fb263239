"""Which photos of a trial to look at oneself: their classes were a closer call, or their colours newer, than on the others."""

from collections.abc import Sequence
from statistics import median

# Chosen on field photos and renders, not fitted: so many times the trial's median, and at least so much more than it.
TIMES_MEDIAN, AT_LEAST = 4.0, 0.01


def odd_photos(shares: Sequence[float | None]) -> tuple[bool, ...]:
    """Which photos stand out by a share that is usually small: `ClassMap.closeness`, or the share of px in new colours.

    It is an alarm, no interval: look at such a photo and count points on it by hand. On field photos the fifth with the closest calls
    held about half of the large errors.

    Parameters
    ----------
    shares : sequence of float or None
        One per photo of the trial; None for a photo without a map.

    Returns
    -------
    tuple of bool
        True from 4 times the median on, if that is at least 0.01 more than the median.

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> odd_photos((0.01, 0.012, None, 0.009, 0.06))
    (False, False, False, False, True)
    """
    there = [share for share in shares if share is not None]
    if not there:
        return (False,) * len(shares)
    usual = median(there)
    return tuple(share is not None and share >= TIMES_MEDIAN * usual and share - usual >= AT_LEAST for share in shares)
