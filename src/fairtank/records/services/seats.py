"""Seats at the blind table: made for one person and one measure, opened by a link, ended and opened again."""

import secrets
import zlib
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from fairtank.errors import DesignError, InputError, NotEnoughDataError
from fairtank.inference.eyes.choices import window_of
from fairtank.inference.series.days import without_excluded_days
from fairtank.records.folder.checks_instruments import check_instruments
from fairtank.records.folder.nouns import FIELDS
from fairtank.records.folder.problems import Problems
from fairtank.records.folder.rows import Row, Rows
from fairtank.records.models import Event, Photo, Seat, Trial
from fairtank.records.planned import Planned
from fairtank.records.seat_tasks import Shot, pair_tasks, score_tasks
from fairtank.records.selectors.seats import PAIRS, ROWS, SCORE, measures_by_eye, tasks_of
from fairtank.records.services.attempts import digest_of
from fairtank.records.services.entries import check_open, open_plan, plain
from fairtank.records.services.trail import By, noted
from fairtank.trial import Event as EventNoun
from fairtank.trial import MeasureChoice, Plan
from fairtank.vision.quality.verdicts import NOT_USABLE

FEWEST, MOST, USUAL = 2, 600, 60
TOPS = (10, 100)
LINK_LASTS = timedelta(days=30)
LONGEST_NAME, LONGEST_QUESTION, LONGEST_WORDS = 100, 200, 60
# Designs in which what was before the change is read too.
_READ_FROM_THE_START = ("run_in", "swap", "drawn_start")


@dataclass(frozen=True)
class SeatWanted:
    """What a seat is to be. way: `score` or `pairs`. count: photos or pairs, without those that come twice. question, low_words,
    high_words, top: what is asked and the scale; those of the first person hold for all."""

    measure: str
    way: str
    rater: str
    count: int = USUAL
    question: str = ""
    low_words: str = ""
    high_words: str = ""
    top: int = 10


def seat_make(*, trial: Trial, by: By, wanted: SeatWanted, seed: int | None = None) -> Seat:
    """A seat with its photos in an order of its own.

    Raises
    ------
    InputError
        If the measure, the way, the name or the count cannot be used.
    NotEnoughDataError
        If there are no photos to show.
    DesignError
        If the trial is finished, or the measure has values of another kind.
    """
    planned, rater = open_plan(trial), plain(wanted.rater)
    drawn = secrets.randbelow(2**53) if seed is None else seed
    if not 1 <= len(rater) <= LONGEST_NAME:
        raise InputError("the name", "missing" if not rater else "too long", f"a name or letter of 1 to {LONGEST_NAME} characters",
                         "It stands beside each answer.")
    with transaction.atomic():
        check_open(trial)
        of = next((one for one in measures_by_eye(trial, planned.plan) if one.choice.key == wanted.measure), None)
        if of is None:
            raise InputError("the measure", plain(wanted.measure)[:60] or "missing",
                             "a measure of the plan that no photo and no test gives")
        _check(trial, planned, of.choice, wanted, rater)
        tasks = _tasks(trial, planned.plan, wanted, drawn)
        seat = Seat(trial=trial, measure=wanted.measure, way=wanted.way, rater=rater, seed=drawn, tasks=tasks, **_scale(wanted, of.begun))
        try:
            with transaction.atomic():
                seat.save()
        except IntegrityError as error:
            raise InputError("the name", rater, "one that has no seat for this measure yet", "Let that person go on, or add a letter."
                             ) from error  # fmt: skip
        noted(by=by, verb="add", said=f"Made a seat at the blind table for {rater}: {wanted.measure}, {len(tasks)} to answer.", trial=trial,
              row=seat)
    return seat


def _scale(wanted: SeatWanted, begun: Seat | None) -> dict[str, Any]:
    if begun is not None:
        return {"question": begun.question, "low_words": begun.low_words, "high_words": begun.high_words, "top": begun.top}
    if wanted.top not in TOPS:
        raise InputError("the scale", wanted.top, "0 to 10, or 0 to 100 percent")
    texts = {"question": (plain(wanted.question), LONGEST_QUESTION), "low_words": (plain(wanted.low_words), LONGEST_WORDS),
             "high_words": (plain(wanted.high_words), LONGEST_WORDS)}
    for name, (text, longest) in texts.items():
        if len(text) > longest:
            raise InputError({"question": "the question"}.get(name, "what stands at an end of the scale"), f"{len(text)} characters long",
                             f"at most {longest} characters")
    return {**{name: text for name, (text, _longest) in texts.items()}, "top": wanted.top}


def _check(trial: Trial, planned: Planned, choice: MeasureChoice, wanted: SeatWanted, rater: str) -> None:
    """Refuse what the folder would be refused for once the answers stand in it."""
    if wanted.way not in ROWS:
        raise InputError("how photos are judged", plain(wanted.way)[:60] or "missing", "by scores, or by choosing between two photos")
    if not FEWEST <= wanted.count <= MOST:
        raise InputError("how many photos", wanted.count, f"{FEWEST} to {MOST}")
    others = ROWS[PAIRS if wanted.way == SCORE else SCORE]
    mixed = others.objects.filter(trial=trial, measure=choice.key).exists()
    if mixed or Seat.objects.filter(trial=trial, measure=choice.key).exclude(way=wanted.way).exists():
        raise DesignError("This measure is judged the other way already; scores and choices cannot be mixed. Give each a measure of its "
                          "own.")
    there = ROWS[wanted.way].objects.filter(trial=trial)
    if there.filter(measure=choice.key, rater=rater).exists():
        raise InputError("the name", rater, "one that has no answers yet", "Answers under that name came with a table.")
    if there.filter(rater="").exists():
        raise DesignError("There are answers without a name in this trial. Name who gave them first: a row without a name would be a "
                          "further person.")
    table, cells = FIELDS["scores" if wanted.way == SCORE else "pairs"], {"measure": choice.key, "rater": rater}
    rows = tuple(Row(number, {**cells, "value": float(value)}, {}) for number, value in enumerate((0, wanted.top), start=2))
    sets = {field: Rows(own) for field, own in FIELDS.items()}
    sets["scores" if wanted.way == SCORE else "pairs"] = Rows(table, rows, is_there=True)
    found = _Said()
    check_instruments(sets, planned.draft, found)
    if found.said:
        raise DesignError(f"This measure cannot be judged like that: {found.said[0]}.")


class _Said(Problems):
    """What would be wrong, without the places of a file."""

    def __init__(self) -> None:
        super().__init__()
        self.said: list[str] = []

    def add(self, file: str, row: int | None, column: str | None, read: str, accepted: str) -> None:
        """Note one problem."""
        self.said.append(f"{read.replace('pairs.csv', 'the answers')}; accepted: {accepted}")


def _tasks(trial: Trial, plan: Plan, wanted: SeatWanted, seed: int) -> list[list[Any]]:
    shots = shots_of(trial, plan, next(choice for choice in plan.measures if choice.key == wanted.measure), wanted.way)
    if wanted.way == SCORE:
        others = Seat.objects.filter(trial=trial, measure=wanted.measure, way=SCORE)
        before = frozenset(key for seat in others for task in tasks_of(seat) for key in task.photos)
        made = score_tasks(shots, wanted.count, seed, before=before)
    else:
        made = pair_tasks(shots, wanted.count, seed, zlib.crc32(f"{trial.uid} {wanted.measure}".encode()))
    if not made:
        raise NotEnoughDataError("There is nothing to show yet: " + (
            "no usable photo lies on a day that counts." if wanted.way == SCORE else
            "no two tanks have usable photos within a week of each other on days that count."))
    return [[secrets.token_urlsafe(9), *photos] for photos in made]


def shots_of(trial: Trial, plan: Plan, choice: MeasureChoice, way: str) -> tuple[Shot, ...]:
    """Photos that may be shown: usable or not measured yet, on days that count."""
    first, last = window_of(plan, choice)
    if way == SCORE and choice.window is None and plan.kind in _READ_FROM_THE_START:
        first = 0
    events = [EventNoun(tuple(row.units), row.at, row.until, row.day, (row.until.date() - plan.start).days if row.until else row.day,
                        row.kind, row.note, row.effect) for row in Event.objects.filter(trial=trial).exclude(effect="keep")]
    rows = Photo.objects.filter(trial=trial, day__range=(first, last)).exclude(quality=NOT_USABLE)
    return tuple(Shot(key, unit, day, quality == "doubtful") for key, unit, day, quality in
                 rows.values_list("pk", "unit__key", "day", "quality") if _counts(unit, day, events))


def _counts(unit: str, day: int, events: list[EventNoun]) -> bool:
    away = any(event.effect == "exclude_unit" and (not event.units or unit in event.units) for event in events)
    return not away and bool(without_excluded_days(unit, {day: 0.0}, events))


def seat_link_make(*, seat: Seat, by: By) -> str:
    """A new secret for a link that opens this seat and nothing else, for 30 days; an earlier link opens nothing any more.

    Only its digest is kept, so that it can be told once.
    """
    secret = secrets.token_urlsafe(32)
    with transaction.atomic():
        check_open(seat.trial)
        seat.token_digest, seat.expires_at = digest_of(secret), timezone.now() + LINK_LASTS
        seat.save(update_fields=["token_digest", "expires_at"])
        noted(by=by, verb="link", said=f"Made a link to the blind table for {seat.rater}.", trial=seat.trial, row=seat)
    return secret


def seat_link_end(*, seat: Seat, by: By) -> None:
    """Let the link of a seat open nothing any more; what was answered stays, and the person can go on at this computer."""
    with transaction.atomic():
        seat.token_digest, seat.expires_at = "", None
        seat.save(update_fields=["token_digest", "expires_at"])
        noted(by=by, verb="link", said=f"Took back the link of {seat.rater}.", trial=seat.trial, row=seat)


def seat_close(*, seat: Seat, by: By) -> None:
    """End a seat: nobody waits for its answers any more, and its link opens nothing; what was answered counts."""
    with transaction.atomic():
        seat.closed_at = timezone.now()
        seat.save(update_fields=["closed_at"])
        noted(by=by, verb="close", said=f"Ended the seat of {seat.rater} at the blind table.", trial=seat.trial, row=seat)


def seat_open_again(*, seat: Seat, by: By) -> None:
    """Let the person at an ended seat go on."""
    with transaction.atomic():
        check_open(seat.trial)
        seat.closed_at = None
        seat.save(update_fields=["closed_at"])
        noted(by=by, verb="open", said=f"Opened the seat of {seat.rater} at the blind table again.", trial=seat.trial, row=seat)
