"""A swap: every tank has both arms, one after the other, and the lot says which came first."""

from dataclasses import replace

from fairtank.errors import DesignError
from fairtank.finding import Finding
from fairtank.inference.designs.orders import two_orders
from fairtank.inference.designs.posing import check_summary
from fairtank.inference.findings import finding_of
from fairtank.inference.question import settle_question
from fairtank.inference.record import Record
from fairtank.inference.series.windows import split_periods
from fairtank.registry import analysis
from fairtank.trial import MeasureChoice, Plan

SOURCES = ("senn2002", "matthews1990", "welch1947", "satterthwaite1946", "student1908", "fisher1935")


def _in_order(plan: Plan) -> Plan:
    """The plan with each unit counted in the arm it had first: `first_arm`, else `arm`."""
    known = [arm.key for arm in plan.arms]
    for unit in plan.units:
        if unit.first_arm and unit.first_arm not in known:
            raise DesignError(f"Unit {unit.key} has the first_arm {unit.first_arm}, which is not in the plan. Give it one of "
                              f"{', '.join(known)}.")
    return replace(plan, units=tuple(replace(unit, arm=unit.first_arm or unit.arm) for unit in plan.units))


@analysis(key="swap", title="Swap", designs=("swap",), sources=SOURCES)
def swap(plan: Plan, choice: MeasureChoice, record: Record) -> tuple[Finding, ...]:
    """Half the difference between the two orders in how far each unit's first period lies above its second, with Welch's interval.

    Each unit is compared with itself, and what all of them did from one period to the next drops out. The days of the wash-out belong to
    neither period. A change that stays in the tank after the swap cannot be seen in the data: the reset has to be planned.

    Parameters
    ----------
    plan : Plan
        Of the kind `swap`, with its swap_day; a unit's `first_arm` (else its arm) says what it had first.
    choice : MeasureChoice
        Its summary is `swap`; its window narrows the first period's start and the second's end.
    record : Record
        What was recorded of the whole trial. [natural units]

    Returns
    -------
    tuple of Finding
        One finding; n counts the units that had the reference first and those that had the change first.

    Raises
    ------
    DesignError
        If the summary is another one, a period is left without a day, or the plan cannot carry it otherwise.
    InputError
        If a series cannot be used, or a value does not fit the scale.

    References
    ----------
    senn2002, matthews1990, welch1947, satterthwaite1946, student1908, fisher1935 (keys from sources.py).
    """
    check_summary(choice, "swap", ("swap",))
    first, second = split_periods(plan, choice)
    question = settle_question(_in_order(plan), choice, treated=second, first_period=first, sources=SOURCES, contrast=two_orders)
    return (finding_of(question, record),)
