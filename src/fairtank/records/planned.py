"""What the texts of a trial say of its days: plan, schedule and the order of work, read once for each text."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

from fairtank.chore import Chore, Slip
from fairtank.errors import FolderError
from fairtank.lot import order_of_work
from fairtank.planning.schedule.proposing import default_chores
from fairtank.planning.schedule.tasks import Doings, Task, schedule_of
from fairtank.records.folder.draw_json import DRAW_FILE, draws_from_text
from fairtank.records.folder.plan_toml import Draft, draft_from_text
from fairtank.records.folder.problems import Problems
from fairtank.records.folder.schedule_toml import schedule_from_text
from fairtank.records.folder.schedule_toml_section import SCHEDULE_FILE
from fairtank.records.folder.setup_toml import setup_from_text
from fairtank.records.folder.setup_toml_section import SETUP_FILE
from fairtank.records.folder.toml_section import FILE as PLAN_FILE
from fairtank.records.folder.undrawn import with_arms
from fairtank.records.models import Document, Trial
from fairtank.trial import Plan

_FILES = (PLAN_FILE, SCHEDULE_FILE, SETUP_FILE, DRAW_FILE)


@dataclass(frozen=True, eq=False)
class Planned:
    """A trial's plan with its schedule.

    draft: what rows are checked against. chores, slips: of schedule.toml, or proposed where there is none (is_proposed). keys: of the
    chores of schedule.toml; None where there is none. order: units in the drawn order of planting, else in the order of the plan.
    """

    plan: Plan
    draft: Draft
    chores: tuple[Chore, ...]
    slips: tuple[Slip, ...]
    keys: tuple[str, ...] | None
    is_proposed: bool
    order: tuple[str, ...]

    @cached_property
    def _tasks(self) -> tuple[Task, ...]:
        return schedule_of(self.plan, self.chores).tasks

    def tasks(self, doings: Doings) -> tuple[Task, ...]:
        """Everything that is to be done; doings matter only where something slipped."""
        return schedule_of(self.plan, self.chores, self.slips, doings).tasks if self.slips else self._tasks

    @lru_cache(maxsize=2048)  # noqa: B019 - of all plans together, since Today asks each of them; plans are held for as long
    def tasks_around(self, day: int) -> tuple[Task, ...]:
        """Of each chore the latest task up to a day and the next one, where nothing slipped: what a day's list needs."""
        latest: dict[str, list[Task]] = {}
        following: dict[str, list[Task]] = {}
        for task in self._tasks:
            held = latest if task.day <= day else following
            kept = held.setdefault(task.chore.key, [])
            if task.day <= day and kept and kept[0].day < task.day:
                kept.clear()
            if task.day <= day or not kept:
                kept.append(task)
        found = [task for held in (latest, following) for tasks in held.values() for task in tasks]
        return tuple(sorted(found, key=lambda task: (task.day, task.at)))


def planned_of(trial: Trial) -> Planned | None:
    """The plan of one trial; None where there is none that can be read."""
    return planned_of_all([trial]).get(trial.pk)


def planned_of_all(trials: Sequence[Trial]) -> dict[int, Planned]:
    """Plans by the trial's number, with one query; trials without a plan are left out."""
    texts: dict[int, dict[str, str]] = {trial.pk: {} for trial in trials}
    rows = Document.objects.filter(trial__in=list(texts), path__in=_FILES).values_list("trial_id", "path", "content")
    for trial, path, content in rows:
        texts[trial][path] = bytes(content).decode("utf-8-sig", "replace")
    found = {}
    for number, files in texts.items():
        planned = _planned(*(files.get(path, "") for path in _FILES)) if files.get(PLAN_FILE) else None
        if planned is not None:
            found[number] = planned
    return found


@lru_cache(maxsize=512)
def _planned(plan_text: str, schedule_text: str, setup_text: str, draw_text: str) -> Planned | None:
    problems = Problems()
    draft = draft_from_text(with_arms(plan_text), problems)
    if draft.plan is None:
        return None
    order = tuple(unit.key for unit in draft.plan.units)
    schedule = schedule_from_text(schedule_text, draft, problems, Problems()) if schedule_text else None
    if schedule is None or schedule.keys is None:
        setup = setup_from_text(setup_text, draft.plan, Problems()).setup if setup_text else None
        chores = default_chores(draft.plan, setup)
        return Planned(draft.plan, draft, chores, (), None, True, _worked(order, draw_text))
    return Planned(draft.plan, draft, schedule.chores, schedule.slips, schedule.keys, False, _worked(order, draw_text))


def _worked(order: tuple[str, ...], draw_text: str) -> tuple[str, ...]:
    """The order of planting that the last draw gave, where it names the same units."""
    try:
        draws = draws_from_text(draw_text, Problems()) if draw_text else ()
    except FolderError:
        draws = ()
    return order_of_work(order, draws)
