"""The plan's text as rows of arms, units and measures; the text stays what counts."""

from collections.abc import Iterable, Sequence
from typing import Any

from django.db.models import ProtectedError

from fairtank.errors import DesignError
from fairtank.inference.question import title_unit_scale
from fairtank.lot import Draw, order_of_work
from fairtank.records.folder.plan_toml import draft_from_text
from fairtank.records.folder.problems import Problems
from fairtank.records.folder.undrawn import units_without_arm, with_arms
from fairtank.records.models import Arm, Measure, Trial, Unit
from fairtank.records.rows.door import days_moved
from fairtank.seal import Seal
from fairtank.trial import Plan


def plan_from_text(text: str) -> Plan:
    """The plan that a text of trial.toml describes, drawn or not.

    Parameters
    ----------
    text : str

    Returns
    -------
    Plan
        Units that have no arm yet are given arms in turn, so that the plan is whole; `units_without_arm` tells which.

    Raises
    ------
    FolderError
        With every problem that the text has.

    References
    ----------
    common_practice (keys from sources.py).
    """
    problems = Problems()
    plan = draft_from_text(with_arms(text), problems).plan
    if problems or plan is None:
        raise problems.as_error()
    return plan


def plan_rows_store(trial: Trial, text: str, seal: Seal | None = None, draws: Sequence[Draw] = ()) -> Plan:
    """Bring a trial's rows in step with the text of its plan; rows that records refer to keep their keys.

    Units stand in the order of work that the last of the draws gave, else in that of the plan.

    Raises
    ------
    DesignError
        If the text leaves out a unit of which something is recorded.
    """
    plan, open_units = plan_from_text(text), units_without_arm(text)
    before = trial.start
    trial.title, trial.question, trial.change = plan.title or "A trial without a title", plan.question, plan.change
    trial.kind, trial.start, trial.days, trial.planned = plan.kind, plan.start, plan.days, True
    trial.sealed_at, trial.seal_code = (seal.entries[0].at, seal.entries[0].code) if seal else (None, "")
    trial.save()
    arms = _kept(trial, Arm, ((arm.key, {"role": arm.role, "name": arm.name}) for arm in plan.arms))
    own = {unit.key: None if unit.key in open_units else arms.get(unit.arm or unit.first_arm) for unit in plan.units}
    positions = {unit.key: unit.position for unit in plan.units}
    _kept(trial, Unit, ((key, {"arm": own[key], "position": positions[key]}) for key in order_of_work(tuple(positions), draws)))
    _kept(trial, Measure, ((choice.key, _measure(choice)) for choice in plan.measures))
    _gone(Arm.objects.filter(trial=trial).exclude(key__in=[arm.key for arm in plan.arms]))
    if before is not None and before != plan.start:
        days_moved(trial, plan.start - before)
    return plan


def _measure(choice: Any) -> dict[str, Any]:
    title, unit, _ = title_unit_scale(choice)
    return {"role": choice.role, "title": title, "unit_of_measure": unit}


def _kept(trial: Trial, model: type[Any], wanted: Iterable[tuple[str, dict[str, Any]]]) -> dict[str, Any]:
    """Rows of one model by key, made, changed and (but for arms, which units may still refer to) taken away as the plan has it."""
    there = {row.key: row for row in model.objects.filter(trial=trial)}
    rows = {}
    for place, (key, values) in enumerate(wanted):
        row = there.pop(key, None) or model(trial=trial, key=key)
        for name, value in {**values, "place": place}.items():
            setattr(row, name, value)
        row.save()
        rows[key] = row
    if model is not Arm:
        _gone(model.objects.filter(pk__in=[row.pk for row in there.values()]))
    return rows


def _gone(rows: Any) -> None:
    try:
        rows.delete()
    except ProtectedError as error:
        names = ", ".join(str(row) for row in rows)
        raise DesignError(f"The plan leaves out {names}, of which something is recorded. Keep it in the plan; an event can tell that it "
                          "does not count.") from error
