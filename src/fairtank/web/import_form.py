"""The form under a table of readings: what each column is taken for and why, what holds for the whole table, what must be answered."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from fairtank.records.importers import ColumnUse, Matching, Preview, Sheet, TrialFacts, fields_of
from fairtank.records.importers.matching import KEEP, ROLES
from fairtank.records.importers.preview import COLUMNS
from fairtank.web.said import in_pages
from fairtank.web.spoken import capital, spoken

MOST_SHOWN, MOST_REFUSED, SAMPLES = 30, 50, 3
_CUT = 40


@dataclass(frozen=True)
class Field:
    """One field. answers: (value, words) to choose from; none where any text goes. listed: the list of words that are offered."""

    name: str
    label: str
    value: str
    answers: tuple[tuple[str, str], ...] = ()
    listed: str = ""


@dataclass(frozen=True)
class ColumnForm:
    """One column: its heading, some of its cells, what it is taken for and why, and the fields that its role needs."""

    use: ColumnUse
    cells: tuple[str, ...]
    role: Field
    reason: str
    fields: tuple[Field, ...]


def form_of(sheet: Sheet, matching: Matching, preview: Preview, facts: TrialFacts) -> dict[str, Any]:
    """All fields of the form, each once: those that are asked for stand with their question."""
    values = fields_of(matching)
    asked = tuple((spoken(question.text),
                   _field(question.field, "", values, facts, question.answers) if question.field != COLUMNS else None)
                  for question in preview.questions)
    taken = {field.name for _text, field in asked if field is not None}
    columns = tuple(_column(use, sheet, values, facts, taken) for use in matching.columns)
    refused = list(dict.fromkeys((one.row, one.column, _sentence(one.read), spoken(one.accepted), spoken(one.to_do))
                                 for one in preview.refused))
    whole = tuple(field for field in _whole(values, facts) if field.name not in taken)
    return {
        "asked": asked, "columns": columns, "whole": whole, "names": tuple(_names(matching, values, facts)),
        "known": [(one.key, one.title) for one in facts.quantities], "keeps": matching.doubtful == KEEP,
        "shown": preview.rows[:MOST_SHOWN], "more": max(0, len(preview.rows) - MOST_SHOWN),
        "refused": refused[:MOST_REFUSED], "more_refused": max(0, len(refused) - MOST_REFUSED),
        "doubtful": preview.doubtful[:MOST_REFUSED], "said": [in_pages(line) for line in preview.said],
        "reasons": [spoken(reason) for _name, reason in matching.reasons],
    }


def _sentence(text: str) -> str:
    return capital(spoken(text))


def _column(use: ColumnUse, sheet: Sheet, values: dict[str, str], facts: TrialFacts, taken: set[str]) -> ColumnForm:
    cells = [row[use.column] for _number, row in sheet.data[:200] if use.column < len(row) and row[use.column]][:SAMPLES]
    roles = tuple((role, words) for role, words in ROLES.items())
    start, labels = f"column-{use.column}-", {
        "unit": _("Tank of all its values"), "quantity": _("What was read"), "unit_of_measure": _("Unit of measure"),
        "method": _("Method"), "limit": _("What a mark such as n.d. stands for")}
    own = tuple(_field(f"{start}{word}", words, values, facts) for word, words in labels.items()
                if use.role == "value" and f"{start}{word}" not in taken)
    return ColumnForm(use, tuple(cell if len(cell) <= _CUT else f"{cell[:_CUT]}…" for cell in cells),
                      Field(f"{start}role", _("Taken for"), use.role, roles), _sentence(use.reason), own)


def _whole(values: dict[str, str], facts: TrialFacts) -> Iterator[Field]:
    """What holds for the whole table where no column says it."""
    for name, words in (("unit", _("Tank")), ("quantity", _("What was read")), ("unit_of_measure", _("Unit of measure")),
                        ("method", _("Method")), ("date_order", _("Dates such as 03/04")), ("decimal", _("The mark of decimals"))):
        yield _field(name, words, values, facts)


def _names(matching: Matching, values: dict[str, str], facts: TrialFacts) -> Iterator[tuple[str, Field]]:
    """Names as written, each with the trial's own one to choose; those that are the trial's own are not asked for."""
    for kind in ("units", "quantities"):
        for number, (written, key) in enumerate(getattr(matching, kind)):
            if written == key:
                continue
            field = _field(f"{kind}-{number}-key", written, values, facts)
            yield f"{kind}-{number}-written", field


def _field(name: str, label: str, values: dict[str, str], facts: TrialFacts, answers: tuple[str, ...] = ()) -> Field:
    word, value = name.rsplit("-", 1)[-1], values.get(name, "")
    if name in ("date_order", "decimal"):
        said = {"": _("as the table shows"), "day_first": _("the day first: 3 April"), "month_first": _("the month first: 4 March"),
                "point": _("a point: 24.8"), "comma": _("a comma: 24,8")}
        return Field(name, label, value, tuple((key, said[key]) for key in ("", *_ANSWERS[name])))
    if word == "unit" or name.startswith("units-"):
        none = _("choose a tank") if answers or name.startswith("units-") else _("as another column says")
        return Field(name, label, value, (("", none), *((unit, unit) for unit in facts.units)))
    return Field(name, label, value, listed="known" if word == "quantity" or name.startswith("quantities-") else "")


_ANSWERS = {"date_order": ("day_first", "month_first"), "decimal": ("point", "comma")}
