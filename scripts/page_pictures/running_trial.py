"""The trial that runs: half the feed in six tanks, day 18 of it today, with its photos, readings, chores, slips and its blind table."""

import csv
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from page_pictures.clock import clock_put
from page_pictures.makers import by, planned

NOW = (2026, 6, 16, 18, 40)
RUNS_FROM = date(2026, 5, 29)
_EYES = """
[[measure]]
key = "algae_by_eye"
title = "algae, by eye"

[[measure]]
key = "more_algae"
title = "algae on leaves and glass"
"""
_EVENTS = {
    (7, "T4"): {"note": "A snail more than yesterday; taken out."},
    (16, "T2"): {"kind": "device failure", "effect": "exclude_window",
                 "note": "The lamp was off from noon to six; a plug had come loose."},
}
_TABLE = "day\ttank\tnitrate (mg/L)\tphosphate (mg/L)\n" + "".join(
    f"2026-06-{day:02}\tT{tank}\t{10 - 0.4 * (day - 12) + 0.3 * tank:.1f}\t{0.6 - 0.02 * tank:.2f}\n"
    for day in (14, 15) for tank in range(1, 7))


def running_made(demo: Path, found: dict[str, str], framed: Any) -> Any:
    """Half the feed in six tanks, drawn and sealed, day 18 today, two of six tanks done."""
    from fairtank.records.models import Document
    from fairtank.records.services.drawing import DrawRequest
    from fairtank.records.services.shelf_lot import lot_draw
    from fairtank.records.services.shelf_planning import plan_text_store
    from fairtank.records.services.shelf_seal import plan_seal

    clock_put(2026, 5, 21, 20, 15)
    trial = planned("feeding", title="Half the feed, or all of it (invented)", tanks="6", start=f"{RUNS_FROM}", blinded="yes", setup="no")
    plan = Document.objects.get(trial=trial, path="trial.toml").text
    plan_text_store(trial=trial, by=by(), text=plan + _EYES, reason="algae judged by eye as well")
    trial.refresh_from_db()
    clock_put(2026, 5, 24, 21)
    lot_draw(trial=trial, by=by(), request=DrawRequest(seed=20260529))
    trial.refresh_from_db()
    clock_put(2026, 5, 25, 10, 20)
    plan_seal(trial=trial, by=by())
    trial.refresh_from_db()
    shots = _shots(demo)
    for day in range(19):
        _day(trial, day, shots, ("T1", "T2") if day == 18 else ("T1", "T2", "T3", "T4", "T5", "T6"))
    clock_put(*NOW)
    _framed(trial, framed)
    _table_set(trial, found)
    return trial


def _framed(trial: Any, like: Any) -> None:
    """The frames of another trial in this one, since their photos are the same."""
    from fairtank.records.models import Frame, Photo
    from fairtank.records.services.framing import FrameDrawn, frame_store

    for unit in trial.units.all():
        one = Frame.objects.filter(trial=like, unit__key=unit.key).first()
        corners = tuple(zip(one.corners[::2], one.corners[1::2], strict=True))
        first = Photo.objects.filter(trial=trial, unit=unit).order_by("taken_at").first()
        frame_store(trial=trial, unit=unit, by=by(), drawn=FrameDrawn(first, one.mode, one.view, corners, one.width_cm, one.height_cm))


def _shots(demo: Path) -> dict[tuple[str, int], Path]:
    """The rendered photos of the other trial, by tank and day."""
    start = date(2026, 3, 1)
    with (demo / "photos.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    return {(row["unit"], (date.fromisoformat(row["taken_at"][:10]) - start).days): demo / row["photo"] for row in rows}


def _day(trial: Any, day: int, shots: dict[tuple[str, int], Path], tanks: tuple[str, ...]) -> None:
    """What was recorded on a day."""
    from fairtank.records.planned import planned_of
    from fairtank.records.services.chores import chore_done_add
    from fairtank.records.services.entries import Entering
    from fairtank.records.services.photos import photo_add
    from fairtank.records.services.rounds import round_begin, round_end

    on = RUNS_FROM + timedelta(days=day)
    begun = clock_put(on.year, on.month, on.day, 18, 12)
    made = round_begin(trial=trial, by=by(), key=f"round-{day}", day=day, today=on)
    due = [task.chore for task in planned_of(trial).tasks(None) if task.day == day and task.chore.kind not in ("photo", "test")]
    for place, unit in enumerate(tanks):
        at = begun + timedelta(minutes=2 * place)
        clock_put(on.year, on.month, on.day, at.hour, at.minute)

        def who(what: str, unit: str = unit, at: datetime = at) -> Entering:
            return Entering(trial, by(), at, f"{unit}-{day}-{what}", made)

        if (unit, day) in shots and day % 2 == 0:
            photo_add(who=who("photo"), unit=unit, content=shots[unit, day].read_bytes(), name=f"{unit}.jpg", taken_at=at,
                      camera_clock=False)
        if day % 3 == 0 or day == 18:
            _read(who, unit, day, place)
        for chore in due:
            chore_done_add(who=who(chore.key), unit=unit, chore=chore.key, due_day=day, done_at=at)
        if (day, unit) in _EVENTS:
            trial.event = _happened(who("event"), unit, _EVENTS[day, unit])
    if day < 18:
        later = begun + timedelta(minutes=14)
        clock_put(on.year, on.month, on.day, later.hour, later.minute)
        round_end(trial=trial, by=by(), key=made.key, ended_at=later.replace(tzinfo=UTC))


def _read(who: Callable[[str], Any], unit: str, day: int, place: int) -> None:
    """What the thermometer and the drop tests said."""
    from fairtank.records.services.readings import reading_add

    for quantity, value, measured_in in (
            ("temperature", f"{24.6 + 0.1 * place + 0.1 * (day % 2):.1f}", "°C"),
            ("nitrate", f"{14 - 0.3 * day + 0.4 * place:.1f}", "mg/L"),
            ("phosphate", f"{0.9 - 0.02 * day + 0.03 * place:.2f}", "mg/L")):
        entering = who(quantity)
        reading_add(who=entering, unit=unit, quantity=quantity, value=value, unit_of_measure=measured_in, taken_at=entering.now, sure=True)


def _happened(who: Any, unit: str, said: dict[str, str]) -> Any:
    """An event of one tank; one with an effect was over by the evening."""
    from fairtank.records.services.events import event_add

    noon = who.now.replace(hour=12, minute=0)
    times = {"at": noon, "until": noon.replace(hour=18)} if "effect" in said else {"at": who.now, "until": None}
    return event_add(who=who, units=[unit], **times, **said).row


def _table_set(trial: Any, found: dict[str, str]) -> None:
    """Two seats at the blind table, one of them behind a link, and a pasted table that waits to be looked at."""
    from fairtank.records.kept_sheets import sheet_keep
    from fairtank.records.selectors.seats import standing_of
    from fairtank.records.services.scoring import answer_give
    from fairtank.records.services.seats import SeatWanted, seat_link_make, seat_make
    from fairtank.records.services.trail import KEEPER

    seat = seat_make(trial=trial, by=by(), wanted=SeatWanted("algae_by_eye", "score", "Quorim", 24), seed=5)
    other = seat_make(trial=trial, by=by(), wanted=SeatWanted("more_algae", "pairs", "Mira", 16), seed=6)
    for answer in ("2", "3", "1", "4", "2"):
        answer_give(seat=seat, token=standing_of(seat).next.token, answer=answer, by=by())
    found |= {"seat": str(seat.pk), "link": seat_link_make(seat=other, by=by()), "no_link": "no-such-link", "no_trial": "no-such-trial"}
    found["sheet"] = sheet_keep(trial=trial, by=KEEPER, name="", content=_TABLE)
    found |= {"event": "events", "event_key": str(trial.event.pk)}
