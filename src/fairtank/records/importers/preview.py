"""What would be stored of a sheet, what is refused and why, and what must be answered first; nothing is stored here."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fairtank.records.folder.cells import number_text
from fairtank.records.folder.nouns import nouns_from_rows
from fairtank.records.folder.problems import Problems, listed, shown
from fairtank.records.folder.rows import Rows
from fairtank.records.folder.tables import READINGS
from fairtank.records.importers import amounts, times
from fairtank.records.importers.checking import problems_of
from fairtank.records.importers.doubts import doubt_of
from fairtank.records.importers.facts import TrialFacts
from fairtank.records.importers.matching import KEEP, Matching, check_fits
from fairtank.records.importers.rows_read import TO_DO, Group, Refused, rows_read
from fairtank.records.importers.sheet import Sheet
from fairtank.records.readings import is_convertible
from fairtank.trial import Reading
from fairtank.units import in_unit

COLUMNS = "columns"  # in place of one field of the form: a column is to be given another role
_ROLES_OF_CHECKS = {"taken_at": "time", "below_detection": "below"}


class PreviewRow(NamedTuple):
    """One reading that could be read: its row and heading, the reading, the cell as written, and why it is held back, if it is."""

    row: int
    column: str
    reading: Reading
    written: str
    why: str = ""


@dataclass(frozen=True)
class Question:
    """What only the keeper knows: the form's field for the answer, the question, what can be answered (empty: any text)."""

    field: str
    text: str
    answers: tuple[str, ...] = ()


@dataclass(frozen=True)
class Preview:
    """What a sheet holds, looked at before anything is stored.

    rows: readings that would be stored, in the order of the file. refused: cells that cannot be taken. doubtful: readings that are
    held back until the keeper says that they are meant. there_already: readings that the trial has; twice: rows that repeat one above.
    outside: those of rows that lie before day 0 or after the last day; they are stored and not judged. empty: cells without a reading.
    questions: what must be answered first. said: all of this in sentences.
    """

    rows: tuple[PreviewRow, ...]
    refused: tuple[Refused, ...] = ()
    doubtful: tuple[PreviewRow, ...] = ()
    there_already: tuple[PreviewRow, ...] = ()
    twice: tuple[PreviewRow, ...] = ()
    outside: tuple[PreviewRow, ...] = ()
    empty: int = 0
    questions: tuple[Question, ...] = ()
    said: tuple[str, ...] = ()

    @property
    def is_ready(self) -> bool:
        """Whether there is something to store and nothing left to answer."""
        return bool(self.rows) and not self.questions

    @property
    def readings(self) -> tuple[Reading, ...]:
        """The readings that would be stored."""
        return tuple(row.reading for row in self.rows)

    def refusals(self, name: str = "") -> tuple[str, ...]:
        """The refusals as sentences, the same one in many rows told once."""
        problems = Problems()
        for one in self.refused:
            problems.add(name or "This table", one.row, one.column or None, one.read, one.accepted)
        return problems.sentences()


def rows_of(sheet: Sheet, matching: Matching, facts: TrialFacts) -> Preview:
    """The readings that a sheet holds, read as the matching says and checked as those of a trial folder are.

    Parameters
    ----------
    sheet : Sheet
        The cells as text.
    matching : Matching
        Which column is what: as guessed, or as the keeper changed it.
    facts : TrialFacts
        What is known of the trial.

    Returns
    -------
    Preview
        Values are in the quantity's own unit: the plan's, else the one in which it was read before.

    Raises
    ------
    InputError
        If the matching was made for another sheet.

    References
    ----------
    arithmetic, common_practice (keys from sources.py).
    """
    check_fits(matching, sheet)
    questions = tuple(_missing(matching, facts))
    if questions:
        return Preview((), questions=questions, said=tuple(question.text for question in questions))
    read = rows_read(sheet, matching, facts)
    refused = list(read.refused)
    found = sorted((row for group in read.groups for row in _checked(group, matching, facts, refused)), key=lambda one: one.row)
    kept, doubtful, there, twice = _sorted_out(found, matching, facts)
    outside = tuple(row for row in kept if not 0 <= row.reading.day <= facts.plan.days)
    questions = tuple(_asked(read.asked, matching))
    refused.sort(key=lambda one: one.row)
    preview = Preview(tuple(kept), tuple(refused), tuple(doubtful), tuple(there), tuple(twice), outside, read.empty, questions)
    assumed = (f"No unit of measure stands with {quantity}: its values are taken as {unit}."
               for quantity, unit in read.unit_assumed.items())
    return replace(preview, said=(*_said(preview), *assumed))


def _missing(matching: Matching, facts: TrialFacts) -> Iterator[Question]:
    """What no column and no word for the whole file says."""
    if not matching.values:
        yield Question(COLUMNS, "Which column holds the values?", tuple(use.heading for use in matching.columns))
        return
    if not matching.one("time") and not matching.one("day"):
        yield Question(COLUMNS, "Which column says when it was read?", tuple(use.heading for use in matching.columns))
    homeless = tuple(use.heading for use in matching.values if not (use.unit or matching.unit or matching.one("unit")))
    nameless = tuple(use.heading for use in matching.values if not (use.quantity or matching.quantity or matching.one("quantity")))
    if homeless:
        yield Question("unit", f"In which tank was {listed(homeless)} read?", facts.units)
    if nameless:
        yield Question("quantity", f"What was read in {listed(nameless)}?", tuple(known.key for known in facts.quantities))


def _asked(asked: dict[str, str], matching: Matching) -> Iterator[Question]:
    for field, read in asked.items():
        if field == "date_order":
            yield Question(field, f"Does the day or the month come first? {read}.", (times.DAY_FIRST, times.MONTH_FIRST))
        elif field == "decimal":
            yield Question(field, f"What does a comma in a number mean? {read}.", (amounts.COMMA, amounts.POINT))
        else:
            heading = next(use.heading for use in matching.columns if f"column-{use.column}-limit" == field)
            yield Question(field, f"What is the smallest amount that the test of {shown(heading)} can tell? {read}.")


def _checked(group: Group, matching: Matching, facts: TrialFacts, refused: list[Refused]) -> list[PreviewRow]:
    """The rows of one column of values that pass every check of a folder; the others are added to those that are refused."""
    wrong: dict[int, list[tuple[str, str, str]]] = {}
    for number, column, read, accepted in problems_of(group.rows, facts):
        for place in (number,) if number is not None else (row.number for row in group.rows):
            wrong.setdefault(place, []).append((column, read, accepted))
    headings = {use.role: use.heading for use in matching.columns if use.role not in ("value", "ignore")}
    for number, problems in wrong.items():
        for column, read, accepted in problems:
            role = _ROLES_OF_CHECKS.get(column, column)
            role = "day" if role == "time" and "time" not in headings else role
            refused.append(Refused(number, headings.get(role, group.use.heading), read, accepted, TO_DO.get(role, _IN_THE_PLAN)))
    pairs = [(row, text) for row, text in zip(group.rows, group.written, strict=True) if row.number not in wrong]
    nouns = nouns_from_rows("readings", Rows(READINGS, tuple(row for row, _ in pairs), is_there=True), facts.plan)
    heading = group.use.heading
    return [PreviewRow(row.number, heading, noun, text) for (row, text), noun in zip(pairs, nouns, strict=True)]


_IN_THE_PLAN = "Change it in the plan, or leave the column out."


def _sorted_out(found: Iterable[PreviewRow], matching: Matching,
                facts: TrialFacts) -> tuple[list[PreviewRow], list[PreviewRow], list[PreviewRow], list[PreviewRow]]:
    """Readings to be stored, doubtful ones, those that are there already, those that stand twice in the file."""
    kept, doubtful, there, twice = list[PreviewRow](), list[PreviewRow](), list[PreviewRow](), list[PreviewRow]()
    seen: set[tuple[object, ...]] = set()
    before = facts.there
    asks = matching.doubtful != KEEP
    for row in found:
        reading = row.reading
        place = reading.unit, reading.taken_at, reading.quantity
        itself = (*place, reading.value, reading.below_detection)
        if itself in seen:
            twice.append(row)
            continue
        seen.add(itself)
        others = before.get(place)
        if others and any(_is_same(other, reading) for other in others):
            there.append(row)
            continue
        why = ""
        if asks and others:
            why = _differs(others, reading)
        elif asks:
            why = doubt_of(reading.quantity, reading.value, reading.unit_of_measure)
            if why and number_text(reading.value) not in row.written.replace(",", "."):
                why = doubt_of(reading.quantity, reading.value, reading.unit_of_measure, is_as_written=False)
        if why:
            doubtful.append(PreviewRow(row.row, row.column, reading, row.written, why))
        else:
            kept.append(row)
    return kept, doubtful, there, twice


def _is_same(other: tuple[float, bool, str], reading: Reading) -> bool:
    """Whether a reading that is there says the same, maybe in another unit."""
    value, below, unit = other
    if below != reading.below_detection or not is_convertible(unit, reading.unit_of_measure):
        return False
    return math.isclose(in_unit(value, unit, reading.unit_of_measure), reading.value, rel_tol=1e-8)


def _differs(others: list[tuple[float, bool, str]], reading: Reading) -> str:
    value, below, unit = others[0]
    sign, spaced = "below " if below else "", f" {unit}" if unit else ""
    return (f"there is already a reading of {reading.quantity} in {reading.unit} at that time, {sign}{number_text(value)}{spaced}; "
            f"this one says {number_text(reading.value)}")


def _said(preview: Preview) -> Iterator[str]:
    """The whole in sentences."""
    readings = [row.reading for row in preview.rows]
    if readings:
        units, quantities = {one.unit for one in readings}, dict.fromkeys(one.quantity for one in readings)
        first, last = min(one.taken_at for one in readings).date(), max(one.taken_at for one in readings).date()
        days = {"first": first, "last": last}
        yield _("%(readings)s of %(quantities)s in %(tanks)s, %(span)s.") % {
            "readings": ngettext("%(n)d reading", "%(n)d readings", len(readings)) % {"n": len(readings)},
            "quantities": listed(tuple(quantities)),
            "tanks": ngettext("%(n)d tank", "%(n)d tanks", len(units)) % {"n": len(units)},
            "span": _("on %(first)s") % days if first == last else _("from %(first)s to %(last)s") % days}
    else:
        yield _("There is nothing to store yet.")
    there, twice, doubtful, outside = map(len, (preview.there_already, preview.twice, preview.doubtful, preview.outside))
    for count, text in (
        (there, ngettext("%(n)d reading is there already and will not be stored again.",
                         "%(n)d readings are there already and will not be stored again.", there)),
        (twice, ngettext("%(n)d reading is in this table twice; one of each is taken.",
                         "%(n)d readings are in this table twice; one of each is taken.", twice)),
        (doubtful, ngettext("%(n)d reading is held back: unusual, or different from what is there.",
                            "%(n)d readings are held back: unusual, or different from what is there.", doubtful)),
        (outside, ngettext("%(n)d reading is from before day 0 or after the last day; stored, and not judged.",
                           "%(n)d readings are from before day 0 or after the last day; stored, and not judged.", outside)),
    ):
        if count:
            yield text % {"n": count}
    if preview.refused:
        rows = len({one.row for one in preview.refused})
        yield ngettext("%(n)d row cannot be taken as it is, or not wholly.", "%(n)d rows cannot be taken as they are, or not wholly.", rows
                       ) % {"n": rows}  # fmt: skip
