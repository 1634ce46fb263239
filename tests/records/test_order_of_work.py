"""Tanks stand everywhere in the order of work that the lot gave."""

from datetime import UTC, datetime

from tests.web.planned_trials import planned_folder, planned_trial

from fairtank.lot import Draw


def test_the_rows_of_units_stand_in_the_drawn_order_of_planting(shelf):
    from fairtank.records.models import Unit
    from fairtank.records.planned import planned_of
    from fairtank.records.rows.plan import plan_rows_store

    trial = planned_trial()
    text = (planned_folder() / "trial.toml").read_text(encoding="utf-8")
    order = list(planned_of(trial).order)
    drawn = (*order[2:], *order[:2])
    draw = Draw(seed=1, at=datetime(2026, 11, 26, tzinfo=UTC), procedure="1", arms=(), blocks=(), possible=1, planting=drawn)
    before = dict(Unit.objects.filter(trial=trial).values_list("key", "pk"))
    assert [unit.key for unit in Unit.objects.filter(trial=trial)] == order
    plan_rows_store(trial, text, None, (draw,))
    assert tuple(unit.key for unit in Unit.objects.filter(trial=trial)) == drawn
    assert dict(Unit.objects.filter(trial=trial).values_list("key", "pk")) == before, "a row stays the same row"
    unlike = Draw(seed=1, at=draw.at, procedure="1", arms=(), blocks=(), possible=1, planting=("X1", *drawn[1:]))
    plan_rows_store(trial, text, None, (draw, unlike))
    assert [unit.key for unit in Unit.objects.filter(trial=trial)] == order
