"""A generated shelf, as large as one gets in many years: 200 trials of ten tanks, 200,000 photos, 2 million readings and more.

    FAIRTANK_DATA=FOLDER python benchmarks/shelf_maker.py [--size 1.0] [--seed 20261126]

The data folder must lie below the system's folder for what is temporary and hold no shelf yet. Of a smaller size both are fewer, trials
and days, each by the root of it: at 0.05 there are 45 trials of 24 days. Half of the trials are over: sealed, with values of two measures,
frames, values of every photo, and answers that were worked out once and kept for each; the others run, some of them sealed; one in twenty
has only a plan. Every plan is a text of its own. The photos are a few small pictures, named again and again.
"""

import argparse
import os
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import partial
from io import BytesIO
from pathlib import Path
from random import Random
from typing import Any

SEED = 20261126
TRIALS, UNITS, DAYS = 200, 10, 106
# What is read of every tank on every day, in which unit, about which value.
READ = (("temperature", "°C", 25.0), ("ph", "", 6.8), ("kh", "dKH", 4.0), ("gh", "dGH", 7.0), ("nitrate", "mg/L", 12.0),
        ("phosphate", "mg/L", 0.6), ("potassium", "mg/L", 14.0), ("iron", "mg/L", 0.1), ("oxygen", "mg/L", 7.5), ("tds", "ppm", 220.0))
ANSWERS = ("judge", "even", "watch", "detect")
_BATCH = 2000
_HEAD = """[trial]
title = "{title}"
question = "Does a dark break at midday keep algae off the glass?"
[design]
kind = "side_by_side"
start = {start}
days = {days}
drawn = {drawn}
blinded = {blinded}
"""
_ARMS = """[[arm]]
key = "R"
role = "reference"
name = "no break"
[[arm]]
key = "C"
role = "changed"
name = "dark break"
"""
_MEASURES = """[[measure]]
key = "algae_cover"
role = "primary"
[[measure]]
key = "plant_cover"
role = "secondary"
"""
_CHORES = (("photos", "Photos of all tanks", "photo", "every day", ""),
           ("tests", "Water tests", "test", "every day", "temperature, ph, kh, nitrate"),
           ("feed", "Feed potassium", "dose", "every 3 days", "potassium"), ("glass", "Wipe the front glass", "clean", "every 5 days", ""),
           ("water", "Change water", "water_change", "every 7 days", ""))


@dataclass(frozen=True)
class Size:
    """How many trials there are, and of how many days something is recorded."""

    trials: int
    days: int


def size_of(factor: float) -> Size:
    """Both by the root, so that photos and readings go with the factor."""
    return Size(max(round(TRIALS * factor**0.5), 4), max(round(DAYS * factor**0.5), 6))


@dataclass(frozen=True)
class Kind:
    """What sort of trial one is, by its number."""

    number: int
    days: int

    @property
    def has_rows(self) -> bool:
        """One in twenty was only planned."""
        return self.number % 20 != 19

    @property
    def is_over(self) -> bool:
        """Every other trial."""
        return self.number % 2 == 0

    @property
    def is_sealed(self) -> bool:
        """What is over, and a part of what runs."""
        return self.is_over or self.number % 4 == 1

    @property
    def start(self) -> date:
        """Day 0: a while ago, so that today is the day after the last with rows; of a plan alone in some weeks."""
        back = self.days + (30 + self.number % 40 if self.is_over else 0)
        return date.today() + (timedelta(days=20) if not self.has_rows else -timedelta(days=back))


def shelf_make(factor: float, seed: int = SEED) -> dict[str, int]:
    """Fill the empty shelf of the data folder that the settings name; how many rows of each sort there are."""
    from django.conf import settings

    from fairtank.records.database import tables_ready
    from fairtank.records.models import Trial

    if Path(tempfile.gettempdir()).resolve() not in Path(settings.DATA).resolve().parents:
        raise SystemExit(f"{settings.DATA} does not lie below {tempfile.gettempdir()}: the generated shelf goes nowhere else")
    tables_ready()
    if Trial.everything.exists():
        raise SystemExit(f"{settings.DATA} holds a shelf already; name an empty folder")
    size, lot = size_of(factor), Random(seed)
    digests, answers = _pictures(), dict[str, Any]()
    for number in range(size.trials):
        _trial_make(Kind(number, size.days), digests, answers, lot)
    _cupboard(lot)
    return counts()


def counts() -> dict[str, int]:
    """How many rows of each sort the shelf holds."""
    from fairtank.records import models

    kinds = (models.Trial, models.Unit, models.Photo, models.Reading, models.Event, models.ChoreDone, models.Measurement, models.Result)
    return {kind.__name__.lower(): kind._base_manager.count() for kind in kinds}


def _pictures() -> list[tuple[str, int]]:
    """A few small photos in the store: digest and size."""
    from PIL import Image

    from fairtank.records.shelf_photos import photo_files

    found = []
    for number in range(12):
        target = BytesIO()
        Image.new("RGB", (64, 48), (40 + 5 * number, 120, 60)).save(target, "JPEG")
        stored = photo_files().put(iter([target.getvalue()]))
        found.append((stored.sha256, stored.size_bytes))
    return found


def _folder_write(root: Path, kind: Kind, lot: Random) -> None:
    """The trial's folder without its many rows."""
    drawn, blinded = str(kind.has_rows).lower(), str(not kind.is_over and kind.number % 8 == 3).lower()
    days = kind.days - 1 + (0 if kind.is_over else 20)
    head = _HEAD.format(title=f"Dark break {kind.number + 1} (invented)", start=kind.start, days=days, drawn=drawn, blinded=blinded)
    units = "".join(f'[[unit]]\nkey = "T{place}"\narm = "{"RC"[place % 2]}"\nposition = "shelf {place // 4 + 1}"\n'
                    for place in range(UNITS))
    (root / "trial.toml").write_text(head + _ARMS + units + _MEASURES, encoding="utf-8")
    chores = []
    for key, title, sort, every, quantity in _CHORES:
        more = f'quantity = "{quantity}"\n' if quantity else ""
        more += 'amount = 2\nunit_of_measure = "mL"\n' if sort == "dose" else 'amount = 0.3\n' if sort == "water_change" else ""
        chores.append(f'[[chore]]\nkey = "{key}"\ntitle = "{title}"\nkind = "{sort}"\nevery = "{every}"\n{more}')
    (root / "schedule.toml").write_text("".join(chores), encoding="utf-8")
    if kind.is_over:
        rows = [f"T{place},{day},{measure},{base + place % 2 * slope * day + lot.gauss(0, 1):.2f}" for measure, base, slope in
                (("algae_cover", 20, 0.05), ("plant_cover", 40, 0.01)) for place in range(UNITS) for day in range(0, kind.days, 2)]
        (root / "series.csv").write_text("\n".join(("unit,day,measure,value", *rows)) + "\n", encoding="utf-8")


def _trial_make(kind: Kind, digests: Sequence[tuple[str, int]], answers: dict[str, Any], lot: Random) -> None:
    """One trial: its folder taken in as any folder is, then its rows."""
    from django.db import transaction

    from fairtank.records.models import Trial, Unit
    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.sealing import trial_seal
    from fairtank.records.services.trail import KEEPER

    with tempfile.TemporaryDirectory() as place:
        root = Path(place)
        _folder_write(root, kind, lot)
        if kind.is_sealed and kind.has_rows:
            trial_seal(root=root, now=partial(datetime.combine, kind.start, datetime.min.time(), UTC))
        trial = trial_import(root=root, by=KEEPER)
    if not kind.has_rows:
        return
    if kind.is_over:
        _answered(trial, answers)
        Trial.everything.filter(pk=trial.pk).update(closed_at=datetime.now(UTC))
    units = list(Unit.objects.filter(trial=trial))
    with transaction.atomic():
        _photos_make(trial, units, kind, digests)
        _readings_make(trial, units, kind, lot)
        _diary_make(trial, units, kind)


def _answered(trial: Any, answers: dict[str, Any]) -> None:
    """The answers of the first trial are worked out, those of the others are the same, for their own state."""
    from fairtank.records.jobs.queue import enqueue
    from fairtank.records.jobs.worker import work_once
    from fairtank.records.models import Result
    from fairtank.records.services.trail import KEEPER

    if not answers:
        for kind in ANSWERS:
            enqueue(kind=kind, trial=trial, by=KEEPER)
        while work_once():
            pass
        answers.update({one.kind: one for one in Result.objects.filter(trial=trial)})
        return
    Result.objects.bulk_create(Result(trial=trial, kind=one.kind, revision=trial.revision, content=one.content, digest=one.digest,
                                      software=one.software, made_at=one.made_at) for one in answers.values())


def _moments(kind: Kind, units: Sequence[Any], hour: int) -> Iterator[tuple[int, datetime, int, Any]]:
    """Every day and tank: the day, the time, the tank's place and the tank."""
    for day in range(kind.days):
        at = datetime.combine(kind.start + timedelta(days=day), datetime.min.time()) + timedelta(hours=hour)
        for place, unit in enumerate(units):
            yield day, at + timedelta(minutes=2 * place), place, unit


def _photos_make(trial: Any, units: Sequence[Any], kind: Kind, digests: Sequence[tuple[str, int]]) -> None:
    """A photo of every tank on every day; of trials that are over also frames and values."""
    from fairtank.records.models import Frame, Measurement, Photo

    rows = []
    for day, at, place, unit in _moments(kind, units, 18):
        sha256, size_bytes = digests[(day + place) % len(digests)]
        rows.append(Photo(trial=trial, unit=unit, path=f"photos/{unit.key}-{day:03d}.jpg", taken_at=at, day=day, sha256=sha256,
                          size_bytes=size_bytes, width_px=64, height_px=48, quality="usable" if kind.is_over else ""))
    photos = Photo.objects.bulk_create(rows, batch_size=_BATCH)
    if not kind.is_over:
        return
    Frame.objects.bulk_create(Frame(trial=trial, unit=unit, reference_photo=photos[place], mode="by_hand", view="front",
                                    corners=[4, 4, 60, 4, 60, 44, 4, 44], width_cm=60, height_cm=36)
                              for place, unit in enumerate(units))
    Measurement.objects.bulk_create((Measurement(trial=trial, photo=photo, measure=measure, value=value, se=0.4, unit_of_measure="%",
                                                 quality="usable", version="1") for photo in photos
                                     for measure, value in (("algae_cover", 20.0), ("plant_cover", 40.0))), batch_size=_BATCH)


def _readings_make(trial: Any, units: Sequence[Any], kind: Kind, lot: Random) -> None:
    """Ten readings of every tank on every day. They are most of the shelf: as plain values they go in ten times as fast as rows."""
    from django.db import connection

    from fairtank.records.models import Reading

    now = datetime.now(UTC).replace(tzinfo=None).isoformat(" ")
    columns = ("trial_id", "unit_id", "taken_at", "day", "quantity", "value", "unit_of_measure", "extra", "method", "below_detection",
               "entered_at")
    rows = []
    for day, at, _, unit in _moments(kind, units, 19):
        own = (trial.pk, unit.pk, at.isoformat(" "), day)
        rows += [(*own, quantity, round(usual * (0.95 + 0.1 * lot.random()), 3), measured_in, "{}", "", False, now)
                 for quantity, measured_in, usual in READ]
    with connection.cursor() as cursor:
        cursor.executemany(f"INSERT INTO {Reading._meta.db_table} ({', '.join(columns)}) VALUES ({', '.join(['%s'] * len(columns))})", rows)


def _diary_make(trial: Any, units: Sequence[Any], kind: Kind) -> None:
    """Chores, events, rounds, and the trail of them."""
    from fairtank.records.models import BuildLine, Change, ChoreDone, Event, FactorValue, Round

    every = {"feed": (3, "dose"), "glass": (5, "clean"), "water": (7, "water_change")}
    chores, events, rounds, trail = [], [], [], []
    for day, at, place, unit in _moments(kind, units, 20):
        chores += [ChoreDone(trial=trial, unit=unit, chore=chore, kind=sort, due_day=day, done_at=at, day=day)
                   for chore, (step, sort) in every.items() if day % step == 0]
        if place == 0:
            rounds.append(Round(trial=trial, key=f"r{day}", day=day, begun_at=at.replace(tzinfo=UTC), by="keeper",
                                ended_at=(at + timedelta(minutes=9)).replace(tzinfo=UTC)))
            trail.append(Change(trial=trial, by="keeper", verb="add", said=f"Round on day {day}: 10 photos, 100 readings."))
        if day % 4 == place:
            events.append(Event(trial=trial, units=[unit.key], at=at, day=day, kind="note", note="A few leaves have gone yellow."))
    for model, rows in ((ChoreDone, chores), (Event, events), (Round, rounds), (Change, trail)):
        model._base_manager.bulk_create(rows, batch_size=_BATCH)
    factors = (("lamp_age", "6", "months"), ("substrate_depth", "5", "cm"), ("water_volume", "54", "L"))
    FactorValue.objects.bulk_create(FactorValue(trial=trial, unit=unit, factor=factor, value=value, unit_of_measure=measured_in)
                                    for unit in units for factor, value, measured_in in factors)
    BuildLine.objects.bulk_create(BuildLine(trial=trial, unit=unit, material=material, kind="layer", planned=2.5, weighed=2.5,
                                            unit_of_measure="kg") for unit in units for material in ("sand", "soil"))


def _cupboard(lot: Random) -> None:
    """Tanks and materials of the keeper's own."""
    from fairtank.records.models import Material, Tank

    Tank.objects.bulk_create(Tank(key=f"tank-{number}", title=f"Tank {number}", length_mm=600, width_mm=300, height_mm=360, glass_mm=6,
                                  water_mm=330) for number in range(1, 41))
    Material.objects.bulk_create(Material(key=f"gravel-{number}", kind="layer", title=f"Gravel {number}", bulk_density_kg_l=1.5,
                                          pack_size=5, pack_unit="kg", owned=round(20 * lot.random(), 1)) for number in range(1, 61))


def main() -> None:
    """Make the shelf and tell what it holds."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--size", type=float, default=1.0)
    asked.add_argument("--seed", type=int, default=SEED)
    given = asked.parse_args()
    if "FAIRTANK_DATA" not in os.environ:
        raise SystemExit("Name the data folder in FAIRTANK_DATA, below the system's folder for what is temporary.")
    os.environ["DJANGO_SETTINGS_MODULE"] = "fairtank.settings"
    import django

    django.setup()
    begun = time.monotonic()
    found = shelf_make(given.size, given.seed)
    print(", ".join(f"{count} {name}" for name, count in found.items()), f"in {time.monotonic() - begun:.0f} s")


if __name__ == "__main__":
    main()
