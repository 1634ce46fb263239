"""The blind table as it stands: who sits at it, how far they are, what comes next, and how far people agree."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from fairtank.errors import FairtankError
from fairtank.finding import Eyes
from fairtank.inference.eyes.eyes import eyes_of_scores
from fairtank.inference.eyes.raters import Rating
from fairtank.records.folder.checks_measures import own_measures
from fairtank.records.models import PairChoice, Photo, Reading, Score, Seat, SeriesValue, Trial
from fairtank.records.services.attempts import digest_of
from fairtank.trial import MeasureChoice, Plan

SCORE, PAIRS = "score", "pairs"
TENTHS = 10
MORE = ("a", "b", "same")
ROWS: dict[str, Any] = {SCORE: Score, PAIRS: PairChoice}


@dataclass(frozen=True)
class Task:
    """What is shown at once: a word that tells nothing, and the keys of one photo or of two."""

    token: str
    photos: tuple[int, ...]


@dataclass(frozen=True)
class Standing:
    """How far one person is.

    tasks: those whose photos are there. answers: what was answered, by the task's word, in no order.
    """

    seat: Seat
    tasks: tuple[Task, ...]
    answers: dict[str, Any]

    @property
    def total(self) -> int:
        """How many tasks there are."""
        return len(self.tasks)

    @property
    def done(self) -> int:
        """How many of them are answered."""
        return sum(task.token in self.answers for task in self.tasks)

    @cached_property
    def open(self) -> tuple[Task, ...]:
        """Those that are not answered, in their order."""
        return tuple(task for task in self.tasks if task.token not in self.answers)

    @property
    def next(self) -> Task | None:
        """What is asked now."""
        return self.open[0] if self.open else None

    @property
    def ahead(self) -> Task | None:
        """What is asked after that."""
        return self.open[1] if len(self.open) > 1 else None

    @property
    def last(self) -> Task | None:
        """What was answered last."""
        return next((task for task in reversed(self.tasks) if task.token in self.answers), None)


@dataclass(frozen=True)
class ByEye:
    """A measure of the plan that people may score. way: the only one that is left, where somebody began; seats: of it."""

    choice: MeasureChoice
    way: str
    seats: tuple[Standing, ...]

    @property
    def title(self) -> str:
        """Its words."""
        return self.choice.title or self.choice.key.replace("_", " ")

    @property
    def begun(self) -> Seat | None:
        """The first seat: later ones are asked the same."""
        return self.seats[0].seat if self.seats else None

    @property
    def is_open(self) -> bool:
        """Whether somebody has still something to answer."""
        return any(one.open and one.seat.closed_at is None for one in self.seats)


@dataclass(frozen=True)
class Agreed:
    """How far people agree, where there is something to tell: a sentence, and each person's agreement with themself; or how many choices
    there are of how many people."""

    eyes: Eyes | None
    choices: int = 0
    people: int = 0


def seat_of_secret(secret: str) -> Seat | None:
    """The seat that a link opens; None where it opens none (any more)."""
    found: Seat | None = Seat.objects.filter(token_digest=digest_of(secret)).select_related("trial").first() if secret else None
    if found is None or found.closed_at or (found.expires_at and found.expires_at <= timezone.now()):
        return None
    return None if found.trial.removed_at or found.trial.closed_at else found


def entry_of(seat: Seat, token: str) -> str:
    """The key of the answer to one task."""
    return f"seat:{seat.pk}:{token}"


def answers_of(seat: Seat) -> QuerySet[Any]:
    """What was answered at a seat."""
    rows: QuerySet[Any] = ROWS[seat.way].objects.filter(trial=seat.trial_id, entry__gte=f"seat:{seat.pk}:", entry__lt=f"seat:{seat.pk};")
    return rows


def tasks_of(seat: Seat) -> tuple[Task, ...]:
    """All tasks of a seat, in their order."""
    return tuple(Task(token, tuple(photos)) for token, *photos in seat.tasks)


def standing_of(seat: Seat) -> Standing:
    """How far the person at a seat is, in two queries."""
    given = {row.entry.rpartition(":")[2]: row.value if seat.way == SCORE else row.more for row in answers_of(seat)}
    return _standing(seat, _there([seat]), given)


def standings_of(trial: Trial) -> tuple[Standing, ...]:
    """The same of every seat of a trial, in four queries however many there are."""
    seats = list(Seat.objects.filter(trial=trial))
    given: dict[int, dict[str, Any]] = {seat.pk: {} for seat in seats}
    for way, field in ((SCORE, "value"), (PAIRS, "more")):
        rows = ROWS[way].objects.filter(trial=trial, entry__gte="seat:", entry__lt="seat;").values_list("entry", field)
        for entry, answer in rows.iterator():
            _seat, number, token = entry.split(":", 2)
            given.get(int(number), {})[token] = answer
    there = _there(seats)
    return tuple(_standing(seat, there, given[seat.pk]) for seat in seats)


def _there(seats: Sequence[Seat]) -> frozenset[int]:
    """Photos of these seats that were not taken away."""
    trials = {seat.trial_id for seat in seats}
    return frozenset(Photo.objects.filter(trial__in=trials).values_list("pk", flat=True)) if trials else frozenset()


def _standing(seat: Seat, there: frozenset[int], given: dict[str, Any]) -> Standing:
    return Standing(seat, tuple(task for task in tasks_of(seat) if task.token in given or there.issuperset(task.photos)), given)


def measures_by_eye(trial: Trial, plan: Plan) -> tuple[ByEye, ...]:
    """Measures of the plan that no photo and no test gives, with the people who score them."""
    tested = set(Reading.objects.filter(trial=trial).order_by().values_list("quantity", flat=True).distinct())
    tested |= set(SeriesValue.objects.filter(trial=trial).order_by().values_list("measure", flat=True).distinct())
    by_photo, standings = own_measures(), standings_of(trial)
    ways = {measure: way for way, model in ROWS.items()
            for measure in model.objects.filter(trial=trial).order_by().values_list("measure", flat=True).distinct()}
    found = []
    for choice in plan.measures:
        seats = tuple(one for one in standings if one.seat.measure == choice.key)
        if seats or (choice.key not in by_photo and choice.key not in tested):
            found.append(ByEye(choice, ways.get(choice.key, seats[0].seat.way if seats else ""), seats))
    return tuple(found)


def agreed_of(trial: Trial, plan: Plan, of: ByEye) -> Agreed | None:
    """How far people agree about a measure; None while somebody scores blind, and where there is nothing to tell."""
    if plan.blinded and of.is_open:
        return None
    if of.way == PAIRS:
        people = list(PairChoice.objects.filter(trial=trial, measure=of.choice.key).values_list("rater", flat=True))
        return Agreed(None, len(people), len(set(people))) if people else None
    try:
        return Agreed(_eyes(tuple(_ratings(trial, of.choice.key))))
    except FairtankError:  # nothing was scored yet
        return None


@lru_cache(maxsize=64)
def _eyes(ratings: tuple[Rating, ...]) -> Eyes:
    """Its interval is drawn many times over, which takes a third of a second for 600 scores; the page is asked for more often than that."""
    return eyes_of_scores(ratings)


def _ratings(trial: Trial, measure: str) -> Iterable[Rating]:
    rows = Score.objects.filter(trial=trial, measure=measure).order_by("pk")
    for photo, unit, day, rater, value in rows.values_list("photo__path", "photo__unit__key", "photo__day", "rater", "value"):
        yield Rating(photo, unit, day, rater, value)
