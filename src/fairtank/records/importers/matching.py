"""Which column of a sheet is what: a plain dataclass, made by guesses with their reasons and changed by the keeper."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from django.utils.translation import gettext_lazy as _

from fairtank.errors import InputError
from fairtank.records.importers.amounts import DECIMALS
from fairtank.records.importers.sheet import Sheet
from fairtank.records.importers.times import DATE_ORDERS

# What a column can be, with the words for it.
ROLES = {
    "ignore": _("left out"), "time": _("date and time, or date"), "clock": _("time of day"), "day": _("day of the trial"),
    "unit": _("tank"), "quantity": _("quantity"), "value": _("values"), "unit_of_measure": _("unit of measure"), "method": _("method"),
    "below": _("below detection, yes or no"),
}
ASK, KEEP = "ask", "keep"
DOUBTFUL = (ASK, KEEP)
SEVERAL_ALLOWED = ("ignore", "value")
LONGEST_FIELD = 200
MOST_NAMES = 500
_WORDS_OF_A_COLUMN = ("unit", "quantity", "unit_of_measure", "method", "limit")
_WHOLE = ("unit", "quantity", "unit_of_measure", "method")


@dataclass(frozen=True)
class ColumnUse:
    """What one column is taken for.

    column: its place, counted from 0. heading: what stands above it. role: one of ROLES. reason: why, in a sentence. unit, quantity,
    unit_of_measure, method: for values, what is the same in the whole column; empty where another column or the whole file says it.
    limit: what a mark such as `n.d.` stands for in this column, as the keeper wrote it.
    """

    column: int
    heading: str
    role: str
    reason: str = ""
    unit: str = ""
    quantity: str = ""
    unit_of_measure: str = ""
    method: str = ""
    limit: str = ""


@dataclass(frozen=True)
class Matching:
    """How a sheet is to be read.

    columns: every column's use. unit, quantity, unit_of_measure, method: what holds for the whole file where no column says it. units,
    quantities: names as written with the trial's own ones. date_order: `day_first`, `month_first` or empty: not known. decimal: `point`,
    `comma` or empty: not known. doubtful: `ask` holds back values that are unusual in their unit and readings that differ from one that is
    there, `keep` takes them as they are written. reasons: what was guessed for the whole file, and why.
    """

    columns: tuple[ColumnUse, ...]
    unit: str = ""
    quantity: str = ""
    unit_of_measure: str = ""
    method: str = ""
    units: tuple[tuple[str, str], ...] = ()
    quantities: tuple[tuple[str, str], ...] = ()
    date_order: str = ""
    decimal: str = ""
    doubtful: str = ASK
    reasons: tuple[tuple[str, str], ...] = ()

    def one(self, role: str) -> ColumnUse | None:
        """The first column of a role."""
        return next((use for use in self.columns if use.role == role), None)

    @property
    def values(self) -> tuple[ColumnUse, ...]:
        """The columns that hold values."""
        return tuple(use for use in self.columns if use.role == "value")


def fields_of(matching: Matching) -> dict[str, str]:
    """A matching as the fields of a form: `column-2-role`, `column-2-unit`, `unit`, `date_order`, `units-0-written`, `units-0-key` ..."""
    found = {name: str(getattr(matching, name)) for name in (*_WHOLE, "date_order", "decimal", "doubtful")}
    for use in matching.columns:
        found[f"column-{use.column}-role"] = use.role
        found.update({f"column-{use.column}-{word}": getattr(use, word) for word in _WORDS_OF_A_COLUMN})
    for name in ("units", "quantities"):
        for number, (written, key) in enumerate(getattr(matching, name)):
            found[f"{name}-{number}-written"], found[f"{name}-{number}-key"] = written, key
    return found


def matching_from_fields(sent: Mapping[str, str], guessed: Matching) -> Matching:
    """The guessed matching with what a form sent back in its place; fields that were not sent stay.

    Raises
    ------
    InputError
        If a role, an order of dates, a decimal mark or a length is none that is known, or two columns are to be the time.
    """
    for name, text in sent.items():
        if len(text) > LONGEST_FIELD:
            raise InputError(name, f"{len(text)} characters long", f"at most {LONGEST_FIELD} characters")
    columns = tuple(_use_from_fields(sent, use) for use in guessed.columns)
    for role in ROLES:
        own = [use.heading for use in columns if use.role == role]
        if role not in SEVERAL_ALLOWED and len(own) > 1:
            raise InputError(f"the column with the {ROLES[role]}", " and ".join(own), "one column", "Choose left out for the others.")
    return replace(
        guessed, columns=columns, **{name: sent.get(name, getattr(guessed, name)).strip() for name in _WHOLE},
        units=_names(sent, "units", guessed.units), quantities=_names(sent, "quantities", guessed.quantities),
        date_order=_known(sent, "date_order", DATE_ORDERS, guessed.date_order), decimal=_known(sent, "decimal", DECIMALS, guessed.decimal),
        doubtful=_known(sent, "doubtful", DOUBTFUL, guessed.doubtful),
    )


def _use_from_fields(sent: Mapping[str, str], use: ColumnUse) -> ColumnUse:
    start = f"column-{use.column}-"
    role = _known(sent, f"{start}role", tuple(ROLES), use.role)
    words = {word: sent.get(f"{start}{word}", getattr(use, word)).strip() for word in _WORDS_OF_A_COLUMN}
    changed = replace(use, role=role, **words)
    return changed if changed == use else replace(changed, reason="chosen by you")


def _names(sent: Mapping[str, str], field: str, guessed: tuple[tuple[str, str], ...]) -> tuple[tuple[str, str], ...]:
    """Names as written with the trial's own; those that the form did not send stay."""
    sent_names = {sent.get(f"{field}-{number}-written", ""): sent.get(f"{field}-{number}-key", "").strip() for number in range(MOST_NAMES)}
    return tuple((written, sent_names.get(written, key)) for written, key in guessed)


def _known(sent: Mapping[str, str], name: str, known: tuple[str, ...], otherwise: str) -> str:
    given = sent.get(name, otherwise)
    if given not in known:
        raise InputError(name, given or "empty", ", ".join(filter(None, known)))
    return given


def check_fits(matching: Matching, sheet: Sheet) -> None:
    """Refuse a matching that was made for another sheet."""
    if any(not 0 <= use.column < max(sheet.width, 1) for use in matching.columns):
        raise InputError("the choice of columns", "made for another table", "one made for this table", "Choose the file again.")
