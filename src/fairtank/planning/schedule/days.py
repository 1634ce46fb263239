"""One day of a schedule: what is to be done today, what is overdue, and what the next days bring."""

from collections.abc import Sequence
from dataclasses import dataclass

from fairtank.planning.schedule.doing import Doings
from fairtank.planning.schedule.tasks import Task

USUAL_AHEAD = 7


@dataclass(frozen=True)
class State:
    """A task with the units in which it was done and those that are left."""

    task: Task
    done: tuple[str, ...]
    left: tuple[str, ...]

    @property
    def is_done(self) -> bool:
        """Whether nothing of it is left."""
        return not self.left and not self.task.is_plan_day


@dataclass(frozen=True)
class DayList:
    """What a day asks for.

    day: of the trial. today: the day's tasks. overdue: tasks of earlier days that were not done everywhere and that the chore's next task
    has not taken the place of yet. missed: tasks of earlier days that were not done before their next one came. ahead: tasks of the next
    days. minutes: of work today, for what is left.
    """

    day: int
    today: tuple[State, ...]
    overdue: tuple[State, ...]
    missed: tuple[State, ...]
    ahead: tuple[State, ...]

    @property
    def minutes(self) -> float:
        """Minutes of work that are left for today: a task's minutes by the share of its units that are left."""
        return sum(state.task.minutes * len(state.left) / len(state.task.units) for state in self.today if state.task.units)


def states_of(tasks: Sequence[Task], doings: Doings) -> tuple[State, ...]:
    """Every task with what was done of it.

    Parameters
    ----------
    tasks : sequence of Task
        In the order of days, as `planned_tasks` gives them.
    doings : Doings
        What was done.

    Returns
    -------
    tuple of State
        In the order of the tasks.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    following = _following(tasks)
    found = []
    for task, after in zip(tasks, following, strict=True):
        done = () if task.is_plan_day else doings.units_done(task.chore, task.units, task.day, after)
        found.append(State(task, done, task.units if not done else tuple(unit for unit in task.units if unit not in done)))
    return tuple(found)


def day_list(tasks: Sequence[Task], doings: Doings, day: int, *, ahead_days: int = USUAL_AHEAD) -> DayList:
    """What a day asks for.

    Parameters
    ----------
    tasks : sequence of Task
        As `planned_tasks` gives them.
    doings : Doings
        What was done.
    day : int
        The day of the trial.
    ahead_days : int
        How many of the next days to tell.

    Returns
    -------
    DayList

    References
    ----------
    arithmetic (keys from sources.py).
    """
    states, following = states_of(tasks, doings), _following(tasks)
    before = [(state, after) for state, after in zip(states, following, strict=True)
              if state.task.day < day and not state.is_done and not state.task.is_plan_day]
    return DayList(
        day=day, today=tuple(state for state in states if state.task.day == day),
        overdue=tuple(state for state, after in before if after is None or after > day),
        missed=tuple(state for state, after in before if after is not None and after <= day),
        ahead=tuple(state for state in states if day < state.task.day <= day + ahead_days),
    )


def _following(tasks: Sequence[Task]) -> list[int | None]:
    """For each task the day of its chore's next task; None after the last."""
    found: list[int | None] = [None] * len(tasks)
    last: dict[str, tuple[int, int | None]] = {}
    for place in range(len(tasks) - 1, -1, -1):
        task = tasks[place]
        later, after_later = last.get(task.chore.key, (None, None))
        found[place] = later if later is None or later > task.day else after_later
        last[task.chore.key] = (task.day, later if later != task.day else after_later)
    return found
