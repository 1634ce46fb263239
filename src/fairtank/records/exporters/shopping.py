"""shopping.csv: what must be bought, as numbers for a spreadsheet."""

import csv
import io

from fairtank.planning.costs import Shopping
from fairtank.records.exporters.sheets import guarded
from fairtank.records.folder.cells import number_text

SHOPPING_COLUMNS = ("material", "title", "needed", "waste", "unit_of_measure", "owned", "to_buy", "packs", "pack_size", "price", "cost",
                    "currency", "left_over", "note")


def shopping_text(shopping: Shopping) -> str:
    """shopping.csv as text: a row for each material and device; a cell is empty where something was not said."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(SHOPPING_COLUMNS)
    for line in shopping.lines:
        row = {**line.__dict__, "currency": shopping.currency}
        writer.writerow([_cell(row[name]) for name in SHOPPING_COLUMNS])
    return out.getvalue()


def _cell(value: str | float | None) -> str:
    if value is None or isinstance(value, str):
        return guarded(value or "")
    return number_text(round(value, 6))
