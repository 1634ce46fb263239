"""A schedule in words: what is to be done today, what is overdue, what the next days bring, and what a slip moved and left."""

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import date
from itertools import groupby

from fairtank.build import Setup
from fairtank.chore import Chore, Slip
from fairtank.planning.schedule.days import DayList, State
from fairtank.planning.schedule.plan_days import is_plan_chore
from fairtank.planning.schedule.proposing import light_settings
from fairtank.planning.schedule.rules import DAY_NAMES, ONCE, words_of
from fairtank.planning.schedule.tasks import Schedule, Task, Touched
from fairtank.publish.numbers import in_a_row, plain_number, shown, with_unit
from fairtank.trial import Plan

KIND_WORDS = {"photo": "photos", "test": "test", "dose": "dose", "water_change": "water change", "light": "light", "trim": "trim",
              "clean": "cleaning", "feed": "feeding", "other": "other"}
MOST_LINES = 12
NOTHING_TODAY = "Nothing is to be done today."
PLAN_DAY_MARK = "By the plan"
# Chores after which hands or tools have been in the water, or water was carried.
_IN_WATER = ("water_change", "trim", "clean", "test")
_LIGHT = ("light",)


def day_words(day: int, on: date, plan: Plan) -> str:
    """The head of a day: its number, its weekday and its date; before day 0 and after the last day it says so.

    Parameters
    ----------
    day : int
        The day of the trial.
    on : date
        Its date.
    plan : Plan
        The plan.

    Returns
    -------
    str

    References
    ----------
    arithmetic (keys from sources.py).
    """
    dated = f"{DAY_NAMES[on.weekday()]} {on.isoformat()}"
    if day < 0:
        return f"{dated}: {_days(-day)} before the trial starts"
    if day > plan.days:
        return f"{dated}: {_days(day - plan.days)} after the last day that counts, day {plan.days}"
    return f"Day {day} of {plan.days}, {dated}"


def task_words(task: Task, units: Sequence[str] = (), *, is_brief: bool = False) -> str:
    """One task on one line: when, what, in which units.

    Parameters
    ----------
    task : Task
        What is to be done.
    units : sequence of str
        The units to name; none where it is to be done in all of the trial's units.
    is_brief : bool
        Without the day from which it was moved.

    Returns
    -------
    str

    References
    ----------
    arithmetic (keys from sources.py).
    """
    if task.is_plan_day:
        return f"{PLAN_DAY_MARK}: {shown(task.chore.title)}"
    where = f" ({in_a_row(map(shown, units))})" if units else ""
    moved = f" [moved from day {task.planned_day}]" if task.slipped_by and not is_brief else ""
    return f"{task.at:%H:%M} {shown(task.chore.title)}{where}{moved}"


def state_words(state: State, plan: Plan) -> str:
    """One task with what is left of it: `18:20 Photos (left: T3, T5)`, `done` where nothing is."""
    named = () if len(state.task.units) == len(plan.units) else state.task.units
    if state.task.is_plan_day:
        return task_words(state.task)
    if state.is_done:
        return f"{task_words(state.task, named)}: done"
    if state.done:
        return f"{task_words(state.task)}: left in {in_a_row(map(shown, state.left))}"
    return task_words(state.task, named)


def today_words(found: DayList, plan: Plan) -> list[str]:
    """The day's list, a line for each task, and the minutes that it takes."""
    if not found.today:
        return [NOTHING_TODAY]
    told = [f"  {state_words(state, plan)}" for state in found.today]
    if found.minutes:
        told.append(f"In all about {minutes_words(found.minutes)}.")
    return told


def overdue_words(found: DayList, plan: Plan) -> list[str]:
    """What can still be caught up, with its day; and, in one line for each chore, what its next task has taken the place of."""
    told = [f"  {state_words(state, plan)}, due on day {state.task.day}" for state in found.overdue[:MOST_LINES]]
    if len(found.overdue) > MOST_LINES:
        told.append(f"  and {len(found.overdue) - MOST_LINES} more")
    return ["Overdue:", *told] if told else []


def missed_words(found: DayList) -> list[str]:
    """What was not done in time and is not caught up, in one sentence; nothing where nothing was missed."""
    by_chore: dict[str, list[State]] = {}
    for state in found.missed:
        by_chore.setdefault(state.task.chore.title, []).append(state)
    if not by_chore:
        return []
    told = [f"{shown(title)} on {_days_of(state.task.day for state in states)}" for title, states in by_chore.items()]
    return [f"Not done, or not written down, when it was due: {'; '.join(told)}. Do not make up for it in one tank alone."]


def ahead_words(found: DayList, plan: Plan) -> list[str]:
    """The next days, a line for each with its tasks."""
    told = []
    for day, group in groupby(found.ahead, key=lambda state: state.task.day):
        states = list(group)
        on = states[0].task.date
        what = "; ".join(_short(state, plan) for state in states if not state.is_done)
        told.append(f"  day {day}, {DAY_NAMES[on.weekday()][:3]} {on:%m-%d}: {what or 'all done'}")
    return ["The next days:", *told] if told else []


def light_words(setup: Setup | None) -> list[str]:
    """How the lamps are set, in one sentence for each setting."""
    if setup is None:
        return []
    return [f"Light{_where(one.units, setup)}: {plain_number(one.hours_per_day)} h a day, "
            f"{with_unit(plain_number(one.target_umol), 'µmol m⁻² s⁻¹')} at the bed." for one in light_settings(setup)]


def slip_words(slips: Sequence[Slip], schedule: Schedule, *, only: int | None = None) -> list[str]:
    """What slipped, by how much and why, and what fell out past the last day.

    Parameters
    ----------
    slips : sequence of Slip
        All slips, in order.
    schedule : Schedule
        The schedule after them.
    only : int or None
        Tell of this slip alone, counted from 1; None: of all.

    Returns
    -------
    list of str

    References
    ----------
    arithmetic (keys from sources.py).
    """
    told = []
    for number, slip in enumerate(slips, start=1):
        if only not in (None, number):
            continue
        told.append(f"Slip on day {slip.day} by {_days(slip.by_days)}: {shown(slip.reason)}.")
        gone = Counter(shown(task.chore.title) for task in schedule.left_out if task.slipped_by[-1] == number)
        if gone:
            named = in_a_row(f"{title} ({_times(count)})" for title, count in gone.items())
            told.append(f"Left out, because it would come after the last day: {named}.")
    return told


def touched_words(touched: Sequence[Touched], slip: int, *, is_sealed: bool) -> list[str]:
    """That the plan's days stay where they are, for the slip of that number; nothing where it touches none.

    Parameters
    ----------
    touched : sequence of Touched
        Days of the plan on or after a slip.
    slip : int
        Which slip, counted from 1.
    is_sealed : bool
        Whether the plan is sealed.

    Returns
    -------
    list of str

    References
    ----------
    common_practice (keys from sources.py).
    """
    days = [f"day {one.day} ({shown(one.chore.title)})" for one in touched if one.slip == slip]
    if not days:
        return []
    stay = f"The days that are judged stay as the plan has them: {in_a_row(days)}."
    if is_sealed:
        return [stay, "The plan is sealed. If one of these days is to move too, the plan must be amended: change trial.toml and seal it "
                      'again with the reason (fairtank seal FOLDER --reason "..."). The first seal stays, and the finding tells both.']
    return [stay, "If one of them is to move too, change it in trial.toml, before there is data if you can."]


def chore_words(chore: Chore) -> str:
    """A chore as a rhythm: `every 3 days from day 7 at 18:20`; a day of the plan as its day.

    >>> chore_words(Chore("photos", "Photos", "photo", "FREQ=DAILY"))
    'every day at 18:00'
    """
    if is_plan_chore(chore):
        return f"on day {chore.from_day}, by the plan"
    if chore.rule == ONCE:
        return f"once, on day {chore.from_day}, at {chore.at:%H:%M}"
    words = words_of(chore.rule)
    words = f"by the rule {words}" if "=" in words else words
    first = f" from day {chore.from_day}" if chore.from_day else ""
    last = "" if chore.until_day is None else f" until day {chore.until_day}"
    return f"{words}{first}{last} at {chore.at:%H:%M}"


def amount_words(chore: Chore) -> str:
    """How much in each unit, in words; empty where the chore does not say.

    >>> amount_words(Chore("w", "w", "water_change", "FREQ=WEEKLY", amount=0.3)), amount_words(Chore("l", "l", "light", "FREQ=DAILY"))
    ('30\\xa0% of the water in each tank', '')
    """
    if chore.amount is None:
        return ""
    if chore.kind == "water_change" and not chore.unit_of_measure:
        return f"{with_unit(plain_number(100 * chore.amount), '%')} of the water in each tank"
    told = with_unit(plain_number(chore.amount), shown(chore.unit_of_measure))
    return f"{told} in each tank" if chore.kind in ("dose", "water_change", "feed") else told


def minutes_words(minutes: float) -> str:
    """Minutes as people say them.

    >>> minutes_words(9.0), minutes_words(93.0), minutes_words(1.0)
    ('9 minutes', '1 h 33 min', '1 minute')
    """
    whole = round(minutes)
    if whole >= 60:
        return f"{whole // 60} h {whole % 60} min" if whole % 60 else f"{whole // 60} h"
    return f"{max(whole, 1)} minute{'' if whole <= 1 else 's'}"


def caution_keys(chores: Iterable[Chore], setup: Setup | None) -> tuple[str, ...]:
    """Which of the usual cautions belong to these chores.

    Parameters
    ----------
    chores : iterable of Chore
        What is to be done.
    setup : Setup or None
        What is built: whether there is gas, and dry salts.

    Returns
    -------
    tuple of str
        Keys of `science.cautions`, each once.

    References
    ----------
    common_practice (keys from sources.py).
    """
    kinds = {chore.kind for chore in chores}
    devices = {device.kind for device in setup.devices} if setup else set()
    dosed = {chore.quantity for chore in chores if chore.kind == "dose"}
    is_salt = setup is not None and any(one.kind == "salt" and one.key in dosed for one in setup.materials)
    found = [("mains", bool(kinds & {*_IN_WATER, *_LIGHT})), ("weight", "water_change" in kinds), ("dry_salts", is_salt),
             ("co2_cylinder", "co2" in devices), ("co2_animals", "co2" in devices), ("plants_animals", bool(kinds & {"trim", "feed"}))]
    return tuple(key for key, holds in found if holds)


def _short(state: State, plan: Plan) -> str:
    """A task among the next days."""
    if state.task.is_plan_day:
        return shown(state.task.chore.title)
    named = () if len(state.task.units) == len(plan.units) else state.task.units
    return task_words(state.task, named, is_brief=True)


def _where(units: Sequence[str], setup: Setup) -> str:
    return "" if tuple(units) == setup.units else f" in {in_a_row(map(shown, units))}"


def _days(count: int) -> str:
    return f"{count} day{'' if count == 1 else 's'}"


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"


def _days_of(days: Iterable[int]) -> str:
    """Days as spans: `day 3`, `days 3 to 7 and 9`."""
    spans: list[list[int]] = []
    for day in days:
        if spans and day == spans[-1][-1] + 1:
            spans[-1].append(day)
        else:
            spans.append([day])
    told = [text for span in spans for text in ([f"{span[0]} to {span[-1]}"] if len(span) > 2 else map(str, span))]
    return f"day{'s' if len(spans) > 1 or len(spans[0]) > 1 else ''} {in_a_row(told)}"
