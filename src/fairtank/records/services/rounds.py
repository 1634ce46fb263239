"""Rounds: one visit to all tanks, begun and ended, by the stopwatch of whoever makes it."""

from datetime import date, datetime, timedelta

from django.db import transaction
from django.utils import timezone

from fairtank.errors import InputError
from fairtank.records.folder.tables import DAYS_AWAY
from fairtank.records.models import Round, Trial
from fairtank.records.services.entries import LONGEST_REASON, EntryError, check_open, open_plan, plain
from fairtank.records.services.trail import By, noted

_LONGEST_KEY = 40
LONGEST_ROUND = timedelta(days=2)  # a phone that was put away with the round open


def round_begin(*, trial: Trial, by: By, key: str, day: int, today: date, begun_at: datetime | None = None, late_reason: str = "") -> Round:
    """Begin a round; the same key again gives the same round, with the reason for a late one where it comes only now.

    today: the date on the keeper's clock when the round began; for another day a reason is needed. begun_at: with its zone; None means now.
    """
    reason, now = plain(late_reason)[:LONGEST_REASON], timezone.now()
    if not 1 <= len(key) <= _LONGEST_KEY or not key.isascii() or not key.isprintable():
        raise InputError("the key of the round", "not usable", f"1 to {_LONGEST_KEY} letters and digits")
    there = Round.objects.filter(trial=trial, key=key).first()
    if there is not None and _goes_on(trial, there, day, today, reason):
        return there
    plan = open_plan(trial).plan
    if not -DAYS_AWAY <= day <= plan.days + DAYS_AWAY:
        raise EntryError([("day", f"Day {day} is far from the days of the trial; accepted: day {-DAYS_AWAY} to {plan.days + DAYS_AWAY}.")])
    if day > (today - plan.start).days:
        raise EntryError([("day", f"Day {day} has not come yet. A round is of today, or of an earlier day with the reason why.")])
    day_now = (today - plan.start).days
    if day != day_now and not reason:
        raise EntryError([("late_reason", f"This round is of day {day}, and today is day {day_now}. Say in a few words why it comes later; "
                                          "the reason is kept beside it.")])
    with transaction.atomic():
        check_open(trial)
        begun = min(begun_at or now, now)
        found, is_new = Round.objects.get_or_create(
            trial=trial, key=key, defaults={"day": day, "begun_at": begun, "by": by.name[:100], "late_reason": reason})
        if is_new:
            late = f" Entered later: {reason}" if reason else ""
            noted(by=by, verb="begin", said=f"Began the round of day {day}.{late}", trial=trial, row=found)
        elif (found.day, found.late_reason) != (day, reason or found.late_reason):
            before = {"day": found.day, "late_reason": found.late_reason}
            found.day, found.late_reason = day, reason or found.late_reason
            found.save(update_fields=["day", "late_reason"])
            noted(by=by, verb="change", said=f"The round is of day {day}.", trial=trial, row=found, before=before)
    return found


def _goes_on(trial: Trial, there: Round, day: int, today: date, reason: str) -> bool:
    """Whether a round that was begun is asked for again with nothing new, as with each of its photos."""
    is_same = (there.day, there.late_reason) == (day, reason or there.late_reason)
    is_on_time = bool(reason) or (trial.start is not None and day == (today - trial.start).days)
    return is_same and is_on_time and trial.closed_at is None and trial.removed_at is None


def round_end(*, trial: Trial, by: By, key: str, ended_at: datetime | None = None) -> Round:
    """End a round; one that is ended already stays as it is."""
    now = timezone.now()
    with transaction.atomic():
        check_open(trial)
        found = Round.objects.select_for_update().filter(trial=trial, key=key).first()
        if found is None:
            raise InputError("the round", "not there", "one that was begun", "Enter something first; the round then begins by itself.")
        if found.ended_at is not None:
            return found
        found.ended_at = max(found.begun_at, min(ended_at or now, now, found.begun_at + LONGEST_ROUND))
        found.save(update_fields=["ended_at"])
        minutes = minutes_of(found)
        noted(by=by, verb="end", said=f"Ended the round of day {found.day} after {minutes:g} min.", trial=trial, row=found)
    return found


def minutes_of(found: Round) -> float:
    """How long a round took, in minutes with one digit; 0 while it goes on."""
    return 0.0 if found.ended_at is None else round((found.ended_at - found.begun_at).total_seconds() / 60, 1)
