"""Chores ticked: what was done in which tank, and for which day it was due."""

from datetime import datetime

from django.db import transaction

from fairtank.records.folder.cells import number_text
from fairtank.records.folder.tables import CHORES
from fairtank.records.models import ChoreDone
from fairtank.records.services.entries import Entering, Stored, check_open, check_unit, check_when, checked_values, open_plan, put

_TIME = next(column.cell for column in CHORES.columns if column.name == "done_at")


def chore_done_add(*, who: Entering, unit: str, chore: str, due_day: int | None, done_at: datetime, minutes: float | None = None,
                   kind: str = "", note: str = "") -> Stored:  # fmt: skip
    """Tick a chore of the schedule in one tank, done as it was planned; or, without a chore, work that was not planned (kind)."""
    planned = open_plan(who.trial)
    meant = next((one for one in planned.chores if one.key == chore), None)
    cells = {"unit": unit, "chore": chore, "kind": kind or (meant.kind if meant else "other"), "done_at": _TIME.write(done_at),
             "due": "" if due_day is None else str(due_day), "minutes": "" if minutes is None else number_text(minutes),
             "by": who.by.name, "note": note}
    if meant is not None:
        cells |= {"quantity": meant.quantity, "amount": "" if meant.amount is None else number_text(meant.amount),
                  "unit_of_measure": meant.unit_of_measure}
    with transaction.atomic():
        check_open(who.trial)
        check_when(who, done_at)
        check_unit(who.trial, unit)
        values = checked_values(planned, "chores_done", cells)
        told = f"{meant.title if meant else values['kind']} in {unit}"
        return put(who, "chores_done", values, planned.plan.start, said=f"Did: {told}.", changed=f"Put right: {told}.",
                   beside=_beside)


def _beside(row: ChoreDone) -> list[ChoreDone]:
    if not row.chore:
        return []
    same = ChoreDone.objects.filter(trial=row.trial_id, unit=row.unit_id, chore=row.chore, due_day=row.due_day)
    return list(same.exclude(pk=row.pk)[:3])
