"""What all entries of the diary have in common: checked as a folder's rows are, stored once however often they come, changed, taken
back and brought back.

An entry carries a key that the page which made it has drawn. The same key with the same content is the same entry; with another content
it is that entry put right by whoever wrote it. Entries with different keys are different entries: two phones may both have read a tank.
"""

import csv
import io
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from fairtank.errors import DesignError, FairtankError, InputError, Words
from fairtank.records.folder import checks, checks_dates, checks_instruments, checks_readings
from fairtank.records.folder.chore_rows import check_chores
from fairtank.records.folder.nouns import FIELDS
from fairtank.records.folder.paths import CONTROL
from fairtank.records.folder.problems import Problems, shown
from fairtank.records.folder.rows import Row, Rows, rows_from_text
from fairtank.records.models import AuditPoint, Frame, PairChoice, Round, Score, Stroke, Trial, Unit
from fairtank.records.planned import Planned, planned_of
from fairtank.records.rows.door import row_values, values_of
from fairtank.records.rows.kinds import KINDS, RowKind
from fairtank.records.services.trail import By, noted

Beside = Callable[[Any], Iterable[Any]]
KEPT_DAYS = 30
LONGEST_ENTRY, LONGEST_REASON = 60, 300
# How far ahead of the shelf's own clock an entry may lie: a phone's clock may go wrong a little, and zones differ.
_AHEAD = timedelta(hours=26)
_ENTRY = re.compile(r"[A-Za-z0-9_.:-]+", re.ASCII)
# In a page there are no files: what is said of them is said of the trial.
_WORDS = ((" of trial.toml", " of this trial"), (" of schedule.toml", " of the schedule"), ("trial.toml", "the plan"),
          *((f"{kind.table.file}", "the diary") for kind in KINDS.values()))
_COLUMN_WORDS = {"value": "the value", "unit": "the tank", "units": "the tanks", "taken_at": "the time", "at": "the time",
                 "until": "the end", "done_at": "the time", "unit_of_measure": "the unit of measure", "quantity": "what was read",
                 "note": "the note", "kind": "the kind", "effect": "what it means for the judging", "amount": "how much",
                 "minutes": "the minutes", "due": "the day for which it was due", "by": "whose hands"}


class EntryError(FairtankError):
    """An entry that cannot be stored; faults: the column and a sentence for each reason."""

    def __init__(self, faults: Sequence[tuple[str, str]]) -> None:
        self.faults = tuple(faults)
        super().__init__(" ".join(sentence for _, sentence in faults))

    def in_words(self, words: Words) -> str:
        """Each sentence by itself."""
        return " ".join(words(sentence) for _, sentence in self.faults)


class DoubtfulError(InputError):
    """A value that can be stored and was probably not meant; the sentence asks."""

    def __init__(self, asked: str) -> None:
        super().__init__("the value", "doubtful", "a value that you are sure of")
        self.asked = asked

    def __str__(self) -> str:
        return self.asked


@dataclass(frozen=True)
class Stored:
    """What became of an entry. row: as it stands now. what: `new`, `same` (it was there) or `changed`. beside: other people's entries of
    the same thing on the same day, which are kept too."""

    row: Any
    what: str
    beside: tuple[Any, ...] = ()


@dataclass(frozen=True)
class Entering:
    """Who enters something into which trial, when by the keeper's clock, and under which key.

    now: when it was written down. late_reason: why that was on another day than the one it tells of; that of the round counts too.
    """

    trial: Trial
    by: By
    now: datetime
    entry: str | None = None
    round: Round | None = None
    late_reason: str = ""


def plain(text: Any) -> str:
    """A text as a table can hold it: without control characters and broken letters, and with plain line ends."""
    words = str(text).encode("utf-8", "replace").decode().replace("\r\n", "\n").replace("\r", "\n")
    return CONTROL.sub(" ", words).strip()


def open_plan(trial: Trial) -> Planned:
    """The plan of a trial in which things may be entered; else DesignError says why not."""
    planned = planned_of(trial)
    if planned is None:
        raise DesignError("This trial has no plan yet that says which tanks there are. Write the plan first; then rounds can begin.")
    return planned


def check_open(trial: Trial) -> None:
    """Refuse what is written into a trial that is finished; the row is locked until the transaction ends."""
    row = Trial.everything.select_for_update().filter(pk=trial.pk).values_list("closed_at", "removed_at").first()
    if row is None or row[1] is not None:
        raise DesignError("This trial was taken off the shelf. Bring it back before anything is entered.")
    if row[0] is not None:
        raise DesignError(f"This trial was finished on {row[0]:%Y-%m-%d}. Open it again on its page before anything is entered or changed.")


def check_when(who: Entering, on: datetime) -> None:
    """Refuse an entry without a key's form, from the future, or of another day without a reason."""
    if who.entry is not None and not (len(who.entry) <= LONGEST_ENTRY and _ENTRY.fullmatch(who.entry)):
        raise InputError("the key of the entry", "not usable", f"1 to {LONGEST_ENTRY} letters, digits or - _ . :")
    if who.round is not None and who.round.trial_id != who.trial.pk:
        raise InputError("the round", "one of another trial", "a round of this trial")
    if on > who.now + _AHEAD:
        raise EntryError([("taken_at", f"{on:%Y-%m-%d %H:%M} has not come yet. Look at the day and the time.")])
    reason = who.late_reason or (who.round.late_reason if who.round else "")
    if on.date() != who.now.date() and not reason.strip():
        raise EntryError([("late_reason", f"This tells of {on:%Y-%m-%d} and is written down on {who.now:%Y-%m-%d}. Say in a few words why "
                                          "it comes later; the reason is kept beside it.")])


def check_unit(trial: Trial, unit: str) -> None:
    """Refuse what is not one tank of this trial."""
    known = tuple(Unit.objects.filter(trial=trial).values_list("key", flat=True))
    if unit not in known:
        raise EntryError([("unit", f"{shown(plain(unit))} is not a tank of this trial; accepted: {', '.join(known)}.")])


def checked_values(planned: Planned, field: str, cells: Mapping[str, Any],
                   beside: Mapping[str, Sequence[Row]] | None = None) -> dict[str, Any]:
    """The values of one row, read and checked as a trial folder with that row would be.

    beside: rows of any table that are there already and that the row must fit.
    """
    kind, noted_faults = KINDS[field], _Faults()
    names = [column.name for column in kind.table.columns]
    target = io.StringIO()
    csv.writer(target).writerows([names, [plain(cells.get(name) or "") for name in names]])
    rows = rows_from_text(kind.table, target.getvalue(), noted_faults)
    for name, text in ((name, plain(cells.get(name) or "")) for name in names):
        longest = _longest(kind, name)
        if longest and len(text) > longest:
            noted_faults.add(kind.table.file, 2, name, f"a text of {len(text)} characters is too long", f"at most {longest} characters")
    row_sets = {name: Rows(table) for name, table in FIELDS.items()}
    for name, there in (beside or {}).items():
        row_sets[name] = Rows(FIELDS[name], tuple(there), is_there=True)
    row_sets[field] = Rows(kind.table, (*row_sets[field].rows, *rows.rows), is_there=True)
    _check(field, row_sets, planned, noted_faults)
    if noted_faults.found:
        raise EntryError(list(dict.fromkeys(noted_faults.found)))
    values: dict[str, Any] = rows.rows[0].values
    return values


def _check(field: str, row_sets: dict[str, Rows], planned: Planned, problems: Problems) -> None:
    draft = planned.draft
    if field != "photos":
        checks.check_references(row_sets, draft, frozenset(), problems)
    checks_dates.check_dates(row_sets, draft, problems)
    checks_readings.check_readings(row_sets["readings"], problems)
    checks_instruments.check_instruments(row_sets, draft, problems)
    checks.check_events(row_sets["events"], draft, problems)
    check_chores(row_sets["chores_done"], draft, planned.keys, problems, Problems())


class _Faults(Problems):
    """Each problem of the row as a sentence of its own."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, str]] = []

    def add(self, file: str, row: int | None, column: str | None, read: str, accepted: str) -> None:
        """Note one problem."""
        words = _COLUMN_WORDS.get(column or "", column or "")
        if read == "the cell is empty":
            read = f"{words} is missing" if words else "something is missing"
        sentence = f"{read}; accepted: {accepted}." if accepted else f"{read}."
        for of_files, of_trials in _WORDS:
            sentence = sentence.replace(of_files, of_trials)
        self.found.append((column or "", sentence[0].upper() + sentence[1:]))


def _longest(kind: RowKind, column: str) -> int | None:
    field = next(one.field for one in kind.table.columns if one.name == column)
    return getattr(kind.model._meta.get_field(kind.row_field(field)), "max_length", None)


def put(who: Entering, field: str, values: Mapping[str, Any], start: date, *, said: str, changed: str,
        more: Mapping[str, Any] | None = None, beside: Beside = lambda row: ()) -> Stored:
    """Store a checked row once: the row of the same key is handed back, or put right where it says something else.

    Call it inside a transaction, after `check_open`.
    """
    kind = KINDS[field]
    fields = row_values(kind, values, start, _units(who.trial, values), {})
    there = kind.model.everything.filter(trial=who.trial, entry=who.entry).first() if who.entry else None
    if there is not None:
        return _again(who, kind, there, fields, changed, beside)
    row = kind.model(trial=who.trial, entry=who.entry, round=who.round, **fields, **(more or {}))
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError:  # another request with the same key was faster
        there = kind.model.everything.filter(trial=who.trial, entry=who.entry).first() if who.entry else None
        if there is None:
            raise
        return Stored(there, "same", tuple(beside(there)))
    noted(by=who.by, verb="add", said=said + _late(who), trial=who.trial, tables=(field,), row=row)
    return Stored(row, "new", tuple(beside(row)))


def _again(who: Entering, kind: RowKind, there: Any, fields: Mapping[str, Any], changed: str, beside: Beside) -> Stored:
    """What came under a key that is known; a row that was taken back meanwhile stays away."""
    clock = kind.clock
    differs = any(getattr(there, name) != value for name, value in fields.items() if name not in (clock, "day"))
    if not differs or there.removed_at is not None:
        return Stored(there, "same", tuple(beside(there)))
    before = said_of(kind, there)
    for name, value in fields.items():
        setattr(there, name, value)
    there.save()
    noted(by=who.by, verb="change", said=changed, trial=who.trial, tables=(kind.field,), row=there, before=before)
    return Stored(there, "changed", tuple(beside(there)))


def _units(trial: Trial, values: Mapping[str, Any]) -> dict[str, Unit]:
    key = values.get("unit")
    return {unit.key: unit for unit in Unit.objects.filter(trial=trial, key=key)} if key else {}


def _late(who: Entering) -> str:
    reason = who.late_reason or (who.round.late_reason if who.round else "")
    return f" Entered later: {reason}" if reason else ""


def said_of(kind: RowKind, row: Any) -> dict[str, Any]:
    """What a row says, as the trail keeps it."""
    return {name: value if isinstance(value, (str, int, float, bool, type(None))) else
            list(value) if isinstance(value, tuple) else value.isoformat() for name, value in values_of(kind, row).items()}


def entry_change(*, row: Any, field: str, by: By, cells: Mapping[str, Any], reason: str = "") -> Any:
    """Change an entry; what it said before is kept in the trail, with the reason where one is given.

    cells: columns of the table that are to say something else, as text. Raises EntryError with a sentence for each thing that is wrong.
    """
    kind, trial = KINDS[field], row.trial
    planned = open_plan(trial)
    with transaction.atomic():
        check_open(trial)
        row = kind.model.objects.select_for_update().get(pk=row.pk)
        before = said_of(kind, row)
        texts = {column.name: column.cell.write(value) if value is not None and value != "" else ""
                 for column in kind.table.columns for value in [values_of(kind, row)[column.name]]}
        if kind.units:
            check_unit(trial, str({**texts, **cells}["unit"]))
        values = checked_values(planned, field, {**texts, **cells})
        for name, value in row_values(kind, values, planned.plan.start, _units(trial, values), {}).items():
            setattr(row, name, value)
        row.save()
        said = f"Changed {words_of(row)} of day {row.day}{': ' + plain(reason) if reason else '.'}"
        noted(by=by, verb="change", said=said, trial=trial, tables=(field,), row=row, before=before)
    return row


def entry_take_back(*, row: Any, field: str, by: By, reason: str = "") -> Any:
    """Take an entry back; for 30 days it can be brought back."""
    kind, trial = KINDS[field], row.trial
    with transaction.atomic():
        check_open(trial)
        if field == "photos":
            check_free(row)
        row.removed_at = timezone.now()
        row.save(update_fields=["removed_at"])
        said = f"Took back {words_of(row)} of day {row.day}{': ' + plain(reason) if reason else '.'}"
        noted(by=by, verb="remove", said=said, trial=trial, tables=(field,), row=row, before=said_of(kind, row))
    return row


def entry_bring_back(*, row: Any, field: str, by: By) -> Any:
    """Bring an entry back that was taken back within the last 30 days."""
    trial = row.trial
    with transaction.atomic():
        check_open(trial)
        if row.removed_at is None:
            return row
        if row.removed_at < timezone.now() - timedelta(days=KEPT_DAYS):
            raise InputError("the entry", f"taken back more than {KEPT_DAYS} days ago", "one of the last 30 days", "Enter it anew.")
        row.removed_at = None
        row.save(update_fields=["removed_at"])
        noted(by=by, verb="bring back", said=f"Brought back {words_of(row)} of day {row.day}.", trial=trial, tables=(field,), row=row)
    return row


def check_free(photo: Any) -> None:
    """Refuse to take away a photo on which something else rests: the record would point at nothing."""
    rests = [words for words, there in (
        ("a frame was drawn on it", Frame.objects.filter(reference_photo=photo)),
        ("strokes were painted on it", Stroke.objects.filter(photo=photo)),
        ("people scored it", Score.objects.filter(photo=photo)), ("points on it were judged", AuditPoint.objects.filter(photo=photo)),
        ("people compared it", PairChoice.objects.filter(photo_a=photo) | PairChoice.objects.filter(photo_b=photo)),
    ) if there.exists()]
    if rests:
        raise DesignError(f"This photo stays, because {' and '.join(rests)}. Take that back first, or write down a deviation that leaves "
                          "its day out.")


def words_of(row: Any) -> str:
    """An entry in a few words, with its tank where it has one."""
    unit = getattr(row, "unit", None)
    return f"{row} in {unit}" if unit is not None else str(row)
