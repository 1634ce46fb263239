"""plan-by-day.csv: a row for each task, a column for each tank to tick."""

import csv
import io
from datetime import datetime

from tests.planning.test_schedule_tasks import CHORES, PLAN

from fairtank.chore import ChoreDone
from fairtank.planning.schedule.days import states_of
from fairtank.planning.schedule.tasks import doings_from, planned_tasks
from fairtank.records.exporters.plan_by_day import DAY_COLUMNS, plan_by_day_text


def test_every_task_has_a_row_and_every_tank_a_column_to_tick():
    doings = doings_from(chores_done=(ChoreDone("T1", "water", "water_change", 7, datetime(2026, 3, 8, 19), 7),))
    tasks = planned_tasks(PLAN, CHORES)
    rows = list(csv.DictReader(io.StringIO(plan_by_day_text(states_of(tasks, doings), PLAN))))
    assert len(rows) == len(tasks)
    assert tuple(rows[0]) == (*DAY_COLUMNS, "T1", "T2", "T3")
    water = next(row for row in rows if (row["chore"], row["day"]) == ("water", "7"))
    assert (water["T1"], water["T2"], water["T3"], water["at"], water["weekday"]) == ("done", "-", "", "18:00", "Sunday")
    change = next(row for row in rows if row["chore"] == "plan:change")
    assert (change["kind"], change["at"], change["T1"]) == ("plan", "", "-")
