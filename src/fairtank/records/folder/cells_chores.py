"""Cells of chores.csv: the day for which a chore was due, what sort of chore it was, and the units in which it was done."""

import re
from datetime import date

from fairtank.chore import CHORE_KINDS
from fairtank.records.folder.cells import TEXT, UNIT_LIST, Cell
from fairtank.records.folder.near import did_you_mean, meant
from fairtank.records.folder.problems import Refusal, listed, shown

_DUE_ACCEPTED = "the day for which it was due: a whole number such as 12, or a date such as 2026-03-13"


def _read_due(text: str) -> int | date:
    if re.fullmatch(r"-?[0-9]{1,5}", text, re.ASCII):
        return int(text)
    try:
        return date.fromisoformat(text) if len(text) == 10 else _no_date()
    except ValueError:
        raise Refusal(f"{shown(text)} is no day", _DUE_ACCEPTED) from None


def _no_date() -> date:
    raise ValueError


def _read_kind(text: str) -> str:
    """A blank or a hyphen between two words is understood: `water change`."""
    word = text.casefold().replace(" ", "_").replace("-", "_")
    if word not in CHORE_KINDS:
        raise Refusal(f"{shown(text)} is none of the words known here{did_you_mean(meant(word, CHORE_KINDS))}", listed(CHORE_KINDS))
    return word


DAY_OR_DATE = Cell(_read_due, _DUE_ACCEPTED)
CHORE_KIND = Cell(_read_kind, listed(CHORE_KINDS), limits=(("enum", CHORE_KINDS),))
UNITS_OR_ALL = Cell(TEXT.read, UNIT_LIST.accepted)
