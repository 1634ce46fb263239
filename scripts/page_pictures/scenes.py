"""The shelf that the pictures show: invented trials that are over, that run, that are planned and asked for, and one with nothing in it."""

from datetime import date
from pathlib import Path
from typing import Any

from page_pictures.clock import clock_put
from page_pictures.makers import answered, begun, by, planned, worked
from page_pictures.running_trial import NOW, running_made


def demo_made(place: Path) -> dict[str, Any]:
    """The demo trials, rendered, measured and judged; what was found, by name. What lies there already is not measured again."""
    from fairtank.records.services.demo import demo_make
    from fairtank.records.services.trials import trial_run

    found = {}
    for name in ("midday", "cover_glass"):
        demo_make(name=name, root=place / name)
        found[name] = trial_run(root=place / name, out=place / name / "out")[0]
    return found


def shelf_fill(demo: Path, judged: dict[str, Any]) -> dict[str, str]:
    """Everything, in the order in which it would have come about; what stands in addresses, by the words of the list."""
    from fairtank.records.services.demo_shelving import demo_shelve

    found: dict[str, str] = {}
    clock_put(2026, 4, 8, 20, 10)
    trials = {"midday": demo_shelve(root=demo / "midday", judged=judged["midday"])}
    clock_put(2026, 5, 26, 19, 30)
    trials["glass"] = demo_shelve(root=demo / "cover_glass", judged=judged["cover_glass"])
    _cupboard(trials["midday"], found)
    trials["running"] = running_made(demo / "midday", found, trials["midday"])
    clock_put(2026, 6, 12, 21, 5)
    trials["planned_setup"] = planned("substrate", title="Soil under the sand, or sand alone (invented)", tanks="6", start="2026-07-25",
                                      blinded="no", setup="yes")
    trials["planned"] = planned("flow", title="Twice the flow, or as usual (invented)", tanks="4", start="2026-06-30",
                                blinded="yes", setup="no")
    clock_put(2026, 6, 14, 20, 30)
    trials["asked"] = answered("light", until="weeks", tanks="6")
    clock_put(*NOW[:4], 0)
    _taken_away()
    _audited(trials["midday"])
    _asked_for(trials)
    clock_put(*NOW)
    trials["blank"] = begun("")
    found |= {name: trial.slug for name, trial in trials.items()}
    return found | _keys(trials)


def _cupboard(trial: Any, found: dict[str, str]) -> None:
    """The keeper's own tanks and materials: those of the demo's setup."""
    from fairtank.records.services.materials import materials_take
    from fairtank.records.services.setup_lines import tank_table
    from fairtank.records.services.shelf_setup import set_up
    from fairtank.records.services.tanks import tank_note_add, tank_store

    setup = set_up(trial).setup
    tanks = [tank_store(by=by(), table=tank_table(tank)) for tank in setup.tanks]
    tank_note_add(tank=tanks[0], by=by(), said="Silicone looked over; nothing loose.", at=date(2026, 4, 8))
    materials_take(by=by(), materials=setup.materials, said_of=trial.title)
    found["tank"] = str(tanks[0].pk)


def _taken_away() -> None:
    """A trial that was taken off the shelf."""
    from fairtank.records.services.shelf_trials import trial_remove

    trial_remove(trial=begun("Less water, more often (invented)"), by=by())


def _keys(trials: dict[str, Any]) -> dict[str, str]:
    """Keys of rows that stand in addresses."""
    from fairtank.records.models import Job, Material, Photo, Stroke, Unit

    midday = trials["midday"]
    photos = Photo.objects.filter(trial=midday)
    return {"photo": str(photos.get(unit__key="T1", day=32).pk), "unit": str(Unit.objects.filter(trial=midday).first().pk), "T2": "T2",
            "painted": str(Stroke.objects.filter(trial=midday).first().photo_id), "lamp_age": "lamp_age", "layer": "layer", "zero": "0",
            "material": str(Material.objects.first().pk), "job_over": str(Job.objects.filter(kind="watch").first().pk),
            "calculator": "salt_mass_g", "claim": "carbon_dioxide_claim"}


def _audited(trial: Any) -> None:
    """Audit points, the first of them answered."""
    from fairtank.records.services.audit_answers import answer_give, asked_of, points_draw
    from fairtank.records.services.trail import KEEPER

    points_draw(trial=trial, count=40, by=KEEPER, seed=3)
    for answer in ("plant", "background", "algae"):
        answer_give(trial=trial, number=asked_of(trial, KEEPER).next.number, answer=answer, by=KEEPER)


def _asked_for(trials: dict[str, Any]) -> None:
    """What a keeper has had worked out."""
    from fairtank.records.jobs.queue import enqueue

    enqueue(kind="forecast", trial=trials["midday"], by=by(), given={"days": 60})
    for kind in ("judge", "even", "watch", "report"):
        enqueue(kind=kind, trial=trials["midday"], by=by())
    enqueue(kind="site", trial=trials["midday"], by=by(), given={})
    charts = {"shapes": ["wide", "square"], "themes": ["light", "dark"], "forms": ["png"], "series": False}
    enqueue(kind="charts", trial=trials["midday"], by=by(), given=charts)
    enqueue(kind="film", trial=trials["midday"], by=by(), given={"short_side_px": 720})
    enqueue(kind="words", trial=trials["midday"], by=by())
    enqueue(kind="kit", trial=trials["midday"], by=by(), given={"photos": "reduced", "licence": "CC-BY-4.0"})
    for kind in ("even", "detect"):
        enqueue(kind=kind, trial=trials["planned"], by=by())
    enqueue(kind="backup", by=by())
    worked()
