"""A first matching of a sheet to a trial: every guess with its reason in words, for the keeper to look at and to change."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from fairtank.records.folder.near import meant
from fairtank.records.folder.tables import READINGS
from fairtank.records.importers import amounts, times
from fairtank.records.importers.columns import Content, content_of, heading_says, sample_of
from fairtank.records.importers.facts import TrialFacts
from fairtank.records.importers.headings import heading_of
from fairtank.records.importers.matching import MOST_NAMES, ColumnUse, Matching
from fairtank.records.importers.sheet import Sheet

_FOLDER_ROLES = {"unit": "unit", "taken_at": "time", "quantity": "quantity", "value": "value", "unit_of_measure": "unit_of_measure",
                 "method": "method", "below_detection": "below"}
# In this order roles that stand once are given away; a column has one.
_ORDER = ("time", "clock", "day", "unit", "quantity", "unit_of_measure", "below", "method")
_SAYS = {"time": "moments", "clock": "clocks", "unit": "units", "quantity": "quantities", "unit_of_measure": "units_of_measure",
         "below": "yes_no"}
_CELLS_ARE = {"time": "its cells are dates", "clock": "its cells are times of day", "unit": "its cells name tanks of this trial",
              "quantity": "its cells name quantities", "unit_of_measure": "its cells are units of measure",
              "below": "its cells are yes or no"}


def matched(sheet: Sheet, facts: TrialFacts) -> Matching:
    """Which column is the time, the unit, the quantity, the value and all else, as far as it can be told.

    Parameters
    ----------
    sheet : Sheet
        The cells as text.
    facts : TrialFacts
        What is known of the trial.

    Returns
    -------
    Matching
        Every column with its use and the reason; what cannot be told is left empty, and `rows_of` asks for it.

    References
    ----------
    common_practice (what columns are called; keys from sources.py).
    """
    sample = sample_of(sheet)
    contents = [content_of([row[place] if place < len(row) else "" for row in sample], facts) for place in range(sheet.width)]
    uses = _as_in_the_folder(sheet) or _guessed(sheet, facts, contents)
    matching = _whole(Matching(uses), sheet, facts)
    return _with_marks(_with_names(matching, sheet, facts), sheet)


def _as_in_the_folder(sheet: Sheet) -> tuple[ColumnUse, ...]:
    """The columns of readings.csv, where the headings are exactly these."""
    needed = {column.name for column in READINGS.columns if column.name in ("unit", "taken_at", "quantity", "value")}
    if sheet.header is None or not needed <= set(sheet.headings) or len(set(sheet.headings)) < len(sheet.headings):
        return ()
    reason = "the columns are those of readings.csv"
    return tuple(ColumnUse(place, heading, _FOLDER_ROLES.get(heading, "ignore"), reason if heading in _FOLDER_ROLES else
                           "readings.csv has no such column") for place, heading in enumerate(sheet.headings))


def _guessed(sheet: Sheet, facts: TrialFacts, contents: Sequence[Content]) -> tuple[ColumnUse, ...]:
    roles: dict[int, ColumnUse] = {}
    for role in _ORDER:
        place, reason = _best(role, sheet, contents, roles)
        if place is not None:
            roles[place] = ColumnUse(place, sheet.headings[place], role, reason)
    is_long = any(use.role == "quantity" for use in roles.values())
    for place, content in enumerate(contents):
        if place not in roles:
            heading = sheet.headings[place]
            roles[place] = _value_or_none(place, heading, content, facts, is_long, sheet.header is not None)
    return _only_known(tuple(roles[place] for place in sorted(roles)), is_long)


def _best(role: str, sheet: Sheet, contents: Sequence[Content], taken: dict[int, ColumnUse]) -> tuple[int | None, str]:
    """The column that fits a role best, and why: heading and cells, then cells alone, then the heading where cells cannot say it."""
    free = [place for place in range(len(contents)) if place not in taken and contents[place].count]
    says = _SAYS.get(role, "")
    named = [place for place in free if sheet.header is not None and heading_says(sheet.headings[place], role)]
    for place in named:
        content = contents[place]
        if role == "day" and not any(use.role == "time" for use in taken.values()) and content.mostly("amounts"):
            return place, f"its heading says {sheet.headings[place]}"
        if role == "method" and not content.mostly("amounts") and not content.mostly("units"):
            return place, f"its heading says {sheet.headings[place]}"
        if says and content.mostly(says):
            return place, f"its heading says {sheet.headings[place]}, and {_CELLS_ARE[role]}"
        if role in ("unit", "quantity") and not content.mostly("amounts") and not content.mostly("units_of_measure"):
            return place, f"its heading says {sheet.headings[place]}"
    for place in free if role in ("time", "clock", "unit", "quantity", "unit_of_measure") else ():
        content = contents[place]
        is_number = content.mostly("amounts") and role != "clock"
        if content.mostly(says) and not (is_number and role in ("unit", "quantity", "unit_of_measure")) and not (
                role == "time" and content.mostly("amounts") and not content.mostly("moments")):
            return place, _CELLS_ARE[role]
    return None, ""


def _value_or_none(place: int, heading: str, content: Content, facts: TrialFacts, is_long: bool, has_header: bool) -> ColumnUse:
    """A column that has no other role: values, or left out."""
    if not content.count:
        return ColumnUse(place, heading, "ignore", "it is empty")
    if not content.mostly("amounts"):
        return ColumnUse(place, heading, "ignore", "its cells are no numbers")
    if has_header and (heading_says(heading, "ignore") or heading_says(heading, "day")):
        return ColumnUse(place, heading, "ignore", f"its heading says {heading}")
    if not has_header:
        reason = "it only counts the rows" if content.is_counting and place == 0 else "its cells are numbers"
        return ColumnUse(place, heading, "ignore" if "counts" in reason else "value", reason)
    if heading_says(heading, "value"):
        parted = heading_of(heading, facts)
        return ColumnUse(place, heading, "value", f"its heading says {heading}", unit_of_measure=parted.unit_of_measure)
    if is_long:
        return ColumnUse(place, heading, "value", "its cells are numbers")
    parted = heading_of(heading, facts)
    quantity, why = facts.quantity_named(parted.words)
    if not parted.words:
        return ColumnUse(place, heading, "value", f"its heading names the tank {parted.unit}", unit=parted.unit,
                         unit_of_measure=parted.unit_of_measure)
    if quantity:
        return ColumnUse(place, heading, "value", f"its heading names a quantity: {why}", unit=parted.unit, quantity=quantity,
                         unit_of_measure=parted.unit_of_measure)
    near = meant(parted.words, [known.key for known in facts.quantities])
    if near:
        return ColumnUse(place, heading, "value", f"its heading is near {near}", unit=parted.unit, quantity=near,
                         unit_of_measure=parted.unit_of_measure)
    return ColumnUse(place, heading, "value", _UNKNOWN, unit=parted.unit, quantity=parted.words, unit_of_measure=parted.unit_of_measure)


_UNKNOWN = "its cells are numbers; its heading is no quantity of this trial"


def _only_known(uses: tuple[ColumnUse, ...], is_long: bool) -> tuple[ColumnUse, ...]:
    """Where some columns of values are known by their headings, the others are left out; in a long table one column holds the values."""
    values = [use for use in uses if use.role == "value"]
    known = [use for use in values if use.reason != _UNKNOWN and (not is_long or use.reason.startswith("its heading"))]
    if not known or len(known) == len(values):
        return uses if not is_long else _one_value(uses)
    kept = tuple(use if use in known or use.role != "value" else
                 ColumnUse(use.column, use.heading, "ignore", "its heading is no quantity of this trial; choose values to take it in")
                 for use in uses)
    return _one_value(kept) if is_long else kept


def _one_value(uses: tuple[ColumnUse, ...]) -> tuple[ColumnUse, ...]:
    first = next((use for use in uses if use.role == "value"), None)
    return tuple(use if use.role != "value" or use is first else
                 ColumnUse(use.column, use.heading, "ignore", "another column holds the values") for use in uses)


def _whole(matching: Matching, sheet: Sheet, facts: TrialFacts) -> Matching:
    """What holds for the whole file: its unit, by its name or what stands above the header, and its quantity."""
    reasons = list[tuple[str, str]]()
    unit, quantity = "", ""
    if matching.values and not matching.one("unit") and not all(use.unit for use in matching.values):
        unit, why = _unit_of_file(sheet, facts)
        reasons += [("unit", why)] if unit else []
    if matching.values and not matching.one("quantity") and not all(use.quantity for use in matching.values):
        quantity, why = _quantity_of_file(sheet, facts)
        reasons += [("quantity", why)] if quantity else []
    return replace(matching, unit=unit, quantity=quantity, reasons=tuple(reasons))


def _unit_of_file(sheet: Sheet, facts: TrialFacts) -> tuple[str, str]:
    for where, text in (("the file's name", sheet.name.rpartition(".")[0]), ("the worksheet's name", sheet.table),
                        ("what stands above the headings", sheet.preface)):
        found = {key for word in _words(text) if (key := facts.unit_named(word)[0]) and not word.isdigit()}
        if len(found) == 1:
            key = found.pop()
            return key, f"{where} names {key}"
    return (facts.units[0], "the trial has no other") if len(facts.units) == 1 else ("", "")


def _quantity_of_file(sheet: Sheet, facts: TrialFacts) -> tuple[str, str]:
    for where, text in (("the file's name", sheet.name.rpartition(".")[0]), ("the worksheet's name", sheet.table),
                        ("what stands above the headings", sheet.preface)):
        found = {key for word in _words(text) if len(word) > 1 and (key := facts.quantity_named(word)[0])}
        if len(found) == 1:
            key = found.pop()
            return key, f"{where} names {key}"
    only = facts.quantities
    return (only[0].key, "the trial reads no other quantity") if len(only) == 1 else ("", "")


def _words(text: str) -> list[str]:
    """Single words of a text, and each with the one after it: `tank 1` is two words and one name."""
    words = [word for word in "".join(mark if mark.isalnum() else " " for mark in text).split() if word]
    return [*words, *(f"{one} {other}" for one, other in pairwise(words))][:400]


def _with_names(matching: Matching, sheet: Sheet, facts: TrialFacts) -> Matching:
    """Every name in the columns of units and quantities, with the trial's own one where it can be told."""
    units = _distinct(matching.one("unit"), sheet)
    quantities = _distinct(matching.one("quantity"), sheet)
    named = tuple((written, facts.quantity_named(written)[0] or meant(written, [known.key for known in facts.quantities]) or written)
                  for written in quantities)
    pairs = tuple((written, facts.unit_named(written)[0]) for written in units)
    reasons = [("unit", f"{written} is taken for {key}: {facts.unit_named(written)[1]}") for written, key in pairs
               if key and key != written]
    reasons += [("quantity", f"{written} is taken for {key}") for written, key in named if key != written]
    return replace(matching, units=pairs, quantities=named, reasons=(*matching.reasons, *reasons))


def _distinct(use: ColumnUse | None, sheet: Sheet) -> tuple[str, ...]:
    if use is None:
        return ()
    found = dict.fromkeys(cells[use.column] for _, cells in sheet.data if len(cells) > use.column and cells[use.column])
    return tuple(found)[:MOST_NAMES]


def _with_marks(matching: Matching, sheet: Sheet) -> Matching:
    """The order of dates and the decimal mark, as all cells together show them."""
    reasons = list(matching.reasons)
    time = matching.one("time")
    seen = {times.order_seen(text): number for number, text in _cells(sheet, time) if text[4:5] != "-"} if time else {}
    orders = [order for order in (times.DAY_FIRST, times.MONTH_FIRST) if order in seen]
    date_order = orders[0] if len(orders) == 1 else ""
    if date_order:
        words = "day" if date_order == times.DAY_FIRST else "month"
        reasons.append(("date_order", f"row {seen[date_order]} can only have the {words} first"))
    marks: dict[str | None, int] = {}
    for use in matching.values:
        for number, text in _cells(sheet, use):
            if "," in text or ("." in text and (amounts.POINT not in marks or text.count(".") > 1)):
                marks.setdefault(amounts.decimal_seen(text), number)
    sure = [mark for mark in (amounts.POINT, amounts.COMMA) if mark in marks]
    decimal = sure[0] if len(sure) == 1 else (amounts.POINT if not sure and amounts.ASK not in marks else "")
    if sure and decimal:
        reasons.append(("decimal", f"row {marks[decimal]} can only have a decimal {decimal}"))
    return replace(matching, date_order=date_order, decimal=decimal, reasons=tuple(reasons))


def _cells(sheet: Sheet, use: ColumnUse) -> Iterator[tuple[int, str]]:
    place = use.column
    return ((number, cells[place]) for number, cells in sheet.data if len(cells) > place and cells[place])
