"""plan-by-day.csv: a row for each task, a column for each tank to tick."""

import csv
import io
from dataclasses import replace
from datetime import datetime

from tests.planning.test_schedule_tasks import CHORES, PLAN

from fairtank.chore import ChoreDone
from fairtank.planning.costs import Shopping, ShoppingLine
from fairtank.planning.schedule.days import states_of
from fairtank.planning.schedule.tasks import doings_from, planned_tasks
from fairtank.records.exporters.plan_by_day import DAY_COLUMNS, plan_by_day_text
from fairtank.records.exporters.shopping import shopping_text


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


def test_no_cell_of_what_is_to_be_done_or_bought_is_taken_for_a_formula():
    line = ShoppingLine("=cmd", "@SUM(A1)", 1.0, 0.0, "kg", -1.0, 1.0, None, None, None, None, None, "+1+1")
    bought = next(csv.DictReader(io.StringIO(shopping_text(Shopping((line,), None, 0, 0, 0, 0, (), True, "=EUR", ())))))
    assert (bought["material"], bought["title"], bought["note"], bought["currency"]) == ("'=cmd", "'@SUM(A1)", "'+1+1", "'=EUR")
    assert bought["owned"] == "-1"
    chores = tuple(replace(chore, title="=1+1", note="@x") for chore in CHORES)
    rows = csv.DictReader(io.StringIO(plan_by_day_text(states_of(planned_tasks(PLAN, chores), doings_from()), PLAN)))
    assert {(row["what"], row["note"]) for row in rows if row["kind"] != "plan"} == {("'=1+1", "'@x")}
