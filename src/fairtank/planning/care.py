"""What a trial asks of its keeper: minutes of work by its schedule, money, electricity and water by its build."""

from collections.abc import Sequence
from dataclasses import dataclass

from fairtank.build import Setup
from fairtank.chore import Chore
from fairtank.errors import FairtankError
from fairtank.planning.buildsheet import build_sheet
from fairtank.planning.costs import Shopping, shopping_list
from fairtank.planning.schedule.tasks import minutes_by_day, planned_tasks
from fairtank.planning.sheet import BuildSheet
from fairtank.trial import Plan

DAYS_A_WEEK, MINUTES_AN_HOUR = 7, 60


@dataclass(frozen=True)
class Work:
    """Minutes of work by a schedule, for all tanks together.

    days: of the trial, day 0 among them. minutes_per_day, minutes_per_week: on average over all of them. work_h: in all. busiest_day,
    busiest_minutes: the first of the days with the most to do. untimed: titles of chores that say no minutes. is_proposed: it is the
    schedule that would be proposed; the keeper wrote none.
    """

    days: int
    minutes_per_day: float
    minutes_per_week: float
    work_h: float
    busiest_day: int
    busiest_minutes: float
    untimed: tuple[str, ...] = ()
    is_proposed: bool = False


@dataclass(frozen=True)
class Spending:
    """Money, electricity and water by a build.

    purchases: what must be bought, as far as prices are known; is_at_least: some are not, and `unpriced` names what. energy_kwh: over the
    trial; energy_cost: None without a price of a kWh. water_l: of the first fills and all changes. per_tank: purchases shared out over
    the units; per_day: electricity of all tanks. has_prices: any price at all is known. currency: the keeper's own word.
    """

    purchases: float
    is_at_least: bool
    unpriced: tuple[str, ...]
    energy_kwh: float
    energy_cost: float | None
    water_l: float
    per_tank: float
    per_day: float
    has_prices: bool
    currency: str = ""


@dataclass(frozen=True)
class Care:
    """What a trial takes: work, None where nothing is known of its schedule; spending, None without a build, or where it cannot be worked
    out, and reason then says why."""

    work: Work | None
    spending: Spending | None
    reason: str = ""


def work_of(plan: Plan, chores: Sequence[Chore], *, is_proposed: bool = False) -> Work | None:
    """Minutes of work by a schedule, before anything slips.

    Parameters
    ----------
    plan : Plan
        The plan; all days from 0 to its last one count.
    chores : sequence of Chore
        What is to be done again and again, or once.
    is_proposed : bool
        Whether the keeper did not write them.

    Returns
    -------
    Work or None
        None where there is no chore with minutes.

    References
    ----------
    rfc5545, section 3.8.5.3 (keys from sources.py).
    """
    tasks = [task for task in planned_tasks(plan, chores) if not task.is_plan_day]
    minutes = {day: spent for day, spent in minutes_by_day(tasks).items() if spent > 0}
    if not minutes:
        return None
    days, total = plan.days + 1, sum(minutes.values())
    busiest = max(minutes, key=lambda day: (minutes[day], -day))
    titles = {task.chore.key: task.chore.title or task.chore.key for task in tasks if not task.minutes}
    return Work(days, total / days, total / days * DAYS_A_WEEK, total / MINUTES_AN_HOUR, busiest, minutes[busiest], tuple(titles.values()),
                is_proposed)


def spending_of(setup: Setup) -> Spending:
    """Money, electricity and water by a build, over the whole trial.

    Parameters
    ----------
    setup : Setup
        The build, with prices and packs in its catalogue.

    Returns
    -------
    Spending

    Raises
    ------
    DesignError
        If the build cannot be made as it is described, or a material is sold by a unit in which its amount cannot be told.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    sheet = build_sheet(setup)
    shopping = shopping_list(setup, sheet)
    running = shopping.running
    unpriced = tuple(line.title for line in shopping.lines if line.cost is None)
    return Spending(shopping.purchases, bool(unpriced), unpriced, running.energy_kwh_trial, running.cost_trial, water_l(sheet),
                    shopping.purchases / len(setup.units), (running.cost_week or 0.0) / DAYS_A_WEEK, _has_prices(shopping),
                    shopping.currency)


def water_l(sheet: BuildSheet) -> float:
    """Water of the first fills and of all changes [L]."""
    return sum(line.planned * line.times for line in sheet.lines if line.part == "water" and line.unit_of_measure == "L")


def _has_prices(shopping: Shopping) -> bool:
    """Whether anything that is to be bought, or electricity, has a price."""
    return any(line.cost is not None and line.to_buy > 0 for line in shopping.lines) or shopping.running.cost_trial is not None


def care_of(plan: Plan, chores: Sequence[Chore], setup: Setup | None, *, is_proposed: bool = False) -> Care:
    """What a trial takes, as far as its schedule and its build say it.

    Parameters
    ----------
    plan : Plan
        The plan.
    chores : sequence of Chore
        Its schedule; empty where there is none.
    setup : Setup or None
        Its build.
    is_proposed : bool
        Whether the keeper did not write the schedule.

    Returns
    -------
    Care

    References
    ----------
    arithmetic (keys from sources.py).
    """
    work = work_of(plan, chores, is_proposed=is_proposed)
    if setup is None or not setup.units:
        return Care(work, None)
    try:
        return Care(work, spending_of(setup))
    except FairtankError as refusal:  # a build that is out of a range is refused by its own command; here it only has no price
        return Care(work, None, str(refusal).splitlines()[0])
