"""What a folder may hold and probably was not meant to: decimal commas that parted a number in two, and classes that name no size.

Where it is nearly sure it is refused; else the folder is read and a sentence says what to look at once more.
"""

import re
from collections.abc import Callable

from fairtank.inference.earlier.classes import days_said, litres_said
from fairtank.records.folder.cells import number_text
from fairtank.records.folder.plan_toml import Draft
from fairtank.records.folder.problems import Problems, shown
from fairtank.records.folder.rows import Row, Rows

# Rows of a measure from which a pattern in them is no accident. Common practice, no source.
FEWEST_ROWS = 3
_CLASSES: tuple[tuple[str, Callable[[str], object], str], ...] = (
    ("window_class", days_said, "no window: 42 days, 6 weeks or 35 to 49 days would"),
    ("tank_class", litres_said, "no size of tanks: 54 L or 45 to 80 L would"),
)


def check_decimal_commas(rows: Rows, problems: Problems, doubts: Problems) -> None:
    """A standard error larger than its value is rare; with whole numbers throughout, a decimal comma parted each value in two."""
    by_measure: dict[str, list[Row]] = {}
    for row in rows.rows:
        if {"measure", "value", "se"} <= row.values.keys():
            by_measure.setdefault(row.values["measure"], []).append(row)
    for measure, own in by_measure.items():
        larger = [row for row in own if row.values["se"] is not None and row.values["se"] > abs(row.values["value"])]
        if not larger:
            continue
        value, se = number_text(larger[0].values["value"]), number_text(larger[0].values["se"])
        parted = f"a decimal comma parted {value},{se} into {value} and {se}"
        is_sure = len(own) >= FEWEST_ROWS and len(larger) > len(own) / 2 and all(_is_whole(row) for row in own)
        sure = (f"all values of {shown(measure)} are whole numbers, and in {len(larger)} of {len(own)} rows the standard error is larger: "
                f"most likely {parted}")
        doubt = f"the standard error of {shown(measure)} is larger than the value; look whether {parted}"
        for row in larger:
            if is_sure:
                problems.add(rows.table.file, row.number, "se", sure,
                             f"values with a decimal point ({value}.{se}), and se left empty where it is not known")
            else:
                doubts.add(rows.table.file, row.number, "se", doubt, "")


def _is_whole(row: Row) -> bool:
    return all(given is None or float(given).is_integer() for given in (row.values["value"], row.values["se"]))


def check_spread_classes(rows: Rows, doubts: Problems) -> None:
    """A class without any number says neither how long nor how large, so like cannot be told from unlike."""
    for row in rows.rows:
        for name, read_as, wanted in _CLASSES:
            words = row.values.get(name, "").strip()
            if words and not re.search(r"\d", words) and read_as(words) is None:
                read = f"{shown(words)} names {wanted}. Whether the entry is of like tanks cannot be checked"
                doubts.add(rows.table.file, row.number, name, read, "")


def check_drawn_day(rows: Rows, draft: Draft, file: str, problems: Problems) -> None:
    """Once there are values from after the window of a drawn start, the lot was drawn: the day it chose must be known."""
    plan = draft.plan
    if plan is None or plan.kind != "drawn_start" or plan.start_window is None or plan.drawn_day is not None:
        return
    first, last = plan.start_window
    if any(row.values.get("day", first) > last for row in rows.rows):
        read = f"the key is missing, and {rows.table.file} holds values from after day {last}, the last day on which the change could start"
        problems.add(file, None, "[design] drawn_day", read, f"the day that the lot chose, a whole number from {first} to {last}")
