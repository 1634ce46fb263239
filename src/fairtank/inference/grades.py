"""The grade that an interval earns, and the tags that qualify it."""

from collections.abc import Sequence

from fairtank.finding import UnitSummary
from fairtank.inference.intervals import shuffle
from fairtank.inference.intervals.welch import Interval

# In the order in which a finding carries them.
TAGS = (
    "not by lot", "not blinded", "stopped early", "fragile", "gaps", "uneven arms", "at the limit of the scale", "below detection",
    "raters differ", "changed after the seal",
)

MOST_CLIPPED_FRACTION = 0.20  # of all unit-days, before the tag
CLIPPED_ARM_FRACTION = 0.80  # of every unit's days, before the interval is withheld


def claim_of(interval: Interval, margin: float | None) -> str:
    """The grade of one interval before anything qualifies it: matters, alike, differs or open, asked in this order.

    Parameters
    ----------
    interval : Interval
        Changed minus reference; without limits the grade is open.
    margin : float or None
        The smallest difference that matters, above 0; None leaves only differs and open. [summary scale]

    Returns
    -------
    str
        matters: the whole interval lies at or beyond the margin. alike: all of it lies inside the margin.
        differs: it leaves out 0. open: none of these.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> claim_of(Interval(0.8, 0.5, 1.1), 0.5), claim_of(Interval(0.2, 0.1, 0.3), 0.5), claim_of(Interval(0.2, 0.1, 0.3), None)
    ('matters', 'alike', 'differs')
    """
    low, high = interval.low, interval.high
    if low is None or high is None:
        return "open"
    if margin is not None:
        if low >= margin or high <= -margin:
            return "matters"
        if -margin < low and high < margin:
            return "alike"
    return "differs" if low > 0 or high < 0 else "open"


def gate_is_asked(n_reference: int, n_changed: int, alpha: float) -> bool:
    """Whether a claim must also pass the shuffle test: enough arrangements, not too many, and alpha within its reach."""
    asked = is_gate(shuffle.arrangements(n_reference, n_changed), shuffle.smallest_p(n_reference, n_changed), alpha)
    return asked and shuffle.is_shown(n_reference, n_changed)


def is_gate(arrangements: int, smallest_p: float, alpha: float) -> bool:
    """Whether a claim must also pass a shuffle test with that many arrangements: enough of them, and alpha within their reach."""
    return arrangements >= shuffle.FEWEST_ASKED and smallest_p <= alpha


def is_clipped_arm(units: Sequence[UnitSummary]) -> bool:
    """Whether every unit of an arm spent at least 80 % of its days beyond the clipping limits."""
    return all(unit.clipped_days >= CLIPPED_ARM_FRACTION * unit.days for unit in units)


def is_often_clipped(units: Sequence[UnitSummary]) -> bool:
    """Whether more than 20 % of all unit-days lie beyond the clipping limits."""
    return sum(unit.clipped_days for unit in units) > MOST_CLIPPED_FRACTION * sum(unit.days for unit in units)


def is_uneven(n_reference: int, n_changed: int) -> bool:
    """Whether the arms' numbers of usable units differ by more than one."""
    return abs(n_reference - n_changed) > 1


def in_order(tags: set[str]) -> tuple[str, ...]:
    """The tags in the order in which a finding carries them."""
    return tuple(tag for tag in TAGS if tag in tags)
