"""What cards.csv says of the photo cards: each unit, card and code once, and no code that tells a tank or an arm."""

from fairtank.card import plain_word, telling_words
from fairtank.records.folder.plan_toml import Draft
from fairtank.records.folder.problems import Problems, shown
from fairtank.records.folder.rows import Rows

_ONCE = (("unit", "the unit"), ("card", "the card"), ("code", "the code"))


def check_cards(rows: Rows, draft: Draft, problems: Problems) -> None:
    """A card stands beside one unit, and a unit has one card; of a row that repeats another one, the first cell is named."""
    first: dict[tuple[str, str], int] = {}
    for row in rows.rows:
        repeated = False
        for name, what in _ONCE:
            value = row.values.get(name)
            if value is None:
                continue
            before = first.setdefault((name, str(value).casefold()), row.number)
            if before != row.number and not repeated:
                repeated = True
                problems.add(rows.table.file, row.number, name, f"{what} {shown(str(value))} is already in row {before}", "each one once")
    _check_codes_tell_nothing(rows, draft, problems)


def _check_codes_tell_nothing(rows: Rows, draft: Draft, problems: Problems) -> None:
    """A code is read by whoever scores or paints a photo, and must not say which tank or arm it shows."""
    told = {plain_word(unit): "a unit" for unit in draft.units or ()}
    if draft.plan is not None:
        told |= telling_words(draft.plan)
    for row in rows.rows:
        code = str(row.values.get("code") or "")
        what = told.get(plain_word(code)) if code else None
        if what is not None:
            problems.add(rows.table.file, row.number, "code", f"{shown(code)} is the name of {what}, and whoever reads the card in a photo "
                         "would know which it is", "a code that says nothing (take the row out, and fairtank cards draws one by lot)")
