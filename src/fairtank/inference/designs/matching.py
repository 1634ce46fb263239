"""Units that belong together, one of each arm: the two of a pair, the two of a round."""

from fairtank.finding import UnitSummary
from fairtank.inference.contrast import Units, by_role
from fairtank.trial import Plan

Match = tuple[str, UnitSummary, UnitSummary]


def matched(plan: Plan, units: Units, names: dict[str, str]) -> tuple[list[Match], tuple[str, ...]]:
    """The pairs or rounds with both units usable (name, reference, changed), and the keys of the units left alone.

    names: the pair or round of each unit; the whole ones keep the order in which it names them.
    """
    reference, changed = ({names[unit.unit]: unit for unit in group} for group in by_role(plan, units))
    whole = [(name, reference[name], changed[name]) for name in dict.fromkeys(names.values()) if name in reference and name in changed]
    kept = {name for name, _, _ in whole}
    return whole, tuple(unit.unit for unit in units if names[unit.unit] not in kept)
