"""Stage 2 of a swap: the units that had the change first against those that had it second."""

from dataclasses import replace

from fairtank.inference.contrast import Contrast, Terms, Units, level_of, two_arms, z_of
from fairtank.inference.intervals.welch import mean
from fairtank.trial import Plan


def _held_back(order: Units, turned: int) -> float:
    """The mean of one order's units in the period under the changed arm: z is first minus second, so the order says which end to add."""
    return mean([unit.treated_mean + turned * unit.z for unit in order if unit.treated_mean is not None and unit.z is not None])


def two_orders(plan: Plan, units: Units, terms: Terms) -> Contrast:
    """Half the difference between the two orders in how much higher their first period was than their second.

    What all units did from the first period to the second (growth, season, a tired lamp) is in both orders alike and drops out; it is
    told as a fact of its own. Half the period change is the mean over the two orders of second minus first, halved.

    Parameters
    ----------
    plan : Plan
        A swap; each unit's arm is the one it had first.
    units : tuple of UnitSummary
        The usable units: z is the first period minus the second, treated_mean the level in the period under the reference.
    terms : Terms
        Level and scale.

    Returns
    -------
    Contrast
        reference and changed are the units that had the reference first and those that had the change first.

    References
    ----------
    senn2002, welch1947 (keys from sources.py).
    """
    found = two_arms(plan, units, terms, halved=True)
    if found.interval is None:
        return found
    reference, changed = found.reference, found.changed
    half_period = -(mean(z_of(reference)) + mean(z_of(changed))) / 4.0
    plain = [level for level in (level_of(reference), level_of(changed)) if level is not None]
    facts: tuple[tuple[str, float], ...] = (("half_period_change", half_period),)
    level = None
    if len(plain) == 2:
        level = mean(plain)  # each order counts alike, so that the periods balance
        under_change = mean([_held_back(reference, -1), _held_back(changed, 1)])
        middle = (level + under_change) / 2.0
        facts += (("first_period_level", middle - half_period), ("second_period_level", middle + half_period))
    return replace(found, level=level, facts=facts)
