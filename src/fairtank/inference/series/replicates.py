"""Days of one tank offered as tanks of their own: refused, because all of them share that one tank's luck."""

import re
from collections.abc import Mapping, Sequence

from fairtank.errors import DesignError
from fairtank.inference.series.tanks import sharing_of
from fairtank.trial import Plan, Series, Unit

NO_REPLICATES = ("Days, photos or readings of one tank are no replicates: whatever else happens to that tank is in all of them, so the "
                 "tank counts once.")
_NUMBERED = re.compile(r"(?P<stem>.*?)[ ._-]*(?P<day>day)?[ ._-]*(?P<number>\d+)", re.IGNORECASE)
_MOST_NAMED = 4


def _named(units: Sequence[str]) -> str:
    """Units by key, the first few of many."""
    more = f" and {len(units) - _MOST_NAMED} more" if len(units) > _MOST_NAMED else ""
    return f"{', '.join(units[:_MOST_NAMED])}{more}"


def _crowded(plan: Plan) -> tuple[str, list[Unit]] | None:
    """A tank that holds several units of one arm which are not told apart as its compartments, and these units."""
    if plan.kind == "rounds" or sharing_of(plan).averaged:
        return None
    held: dict[tuple[str, str], list[Unit]] = {}
    for unit in plan.units:
        held.setdefault((unit.in_tank, unit.arm), []).append(unit)
    for (tank, _), units in held.items():
        parts = {unit.compartment for unit in units}
        if len(units) > 1 and ("" in parts or len(parts) < len(units)):
            return tank, units
    return None


def _named_by_day(plan: Plan, series: Mapping[str, Series]) -> list[str]:
    """Units of one arm whose keys differ by a day alone, each with a value on that one day."""
    if plan.kind == "rounds":
        return []
    alike: dict[tuple[str, str], list[tuple[str, bool]]] = {}
    for unit in plan.units:
        found, own = _NUMBERED.fullmatch(unit.key), series.get(unit.key)
        if found is None or own is None or not own.days:
            continue
        days = set(own.days)
        says = found["day"] is not None or days == {int(found["number"])}
        alike.setdefault((unit.arm, found["stem"].casefold()), []).append((unit.key, says and len(days) == 1))
    return next(([key for key, _ in group] for group in alike.values() if len(group) > 1 and all(says for _, says in group)), [])


def check_replicates(plan: Plan, series: Mapping[str, Series]) -> None:
    """Refuse a plan whose units are days of one tank.

    These are several units of one arm in a tank that are not told apart as its compartments, or units named by days with a value on one day
    each. Compartments that share water are averaged first and pass; in rounds a tank comes back on purpose.

    Parameters
    ----------
    plan : Plan
        Every unit allotted.
    series : mapping of str to Series
        The series of one measure by unit.

    Raises
    ------
    DesignError
        If days are offered as units.

    References
    ----------
    matthews1990 (keys from sources.py).
    """
    crowded = _crowded(plan)
    if crowded is not None:
        tank, units = crowded
        named = _named([unit.key for unit in units])
        raise DesignError(f"Units {named} stand in one tank ({tank}) under one arm and are not told apart as its compartments. "
                          f"{NO_REPLICATES} List the tank as one [[unit]] and give each day a row in series.csv; if they are parts of the "
                          "tank, name the `compartment` of each.")
    by_day = _named_by_day(plan, series)
    if by_day:
        raise DesignError(f"Units {_named(by_day)} are named by days and have a value on one day each. {NO_REPLICATES} List the tank as "
                          "one [[unit]] and give each day a row in series.csv.")
