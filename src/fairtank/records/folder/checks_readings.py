"""Readings of quantities whose sign and range are known: hardness, pH and temperature; a unit stays as the keeper wrote it."""

from fairtank.records.folder.cells import number_text
from fairtank.records.folder.problems import Problems, shown
from fairtank.records.folder.rows import Rows

# Lowest and highest value that can be meant. common practice, no source
RANGES = {"kh": (0.0, None), "gh": (0.0, None), "ph": (0.0, 14.0)}


def check_readings(rows: Rows, problems: Problems) -> None:
    """KH and GH are not negative, and pH lies on its scale."""
    for row in rows.rows:
        quantity, value = row.values.get("quantity", ""), row.values.get("value")
        lowest, highest = RANGES.get(quantity.casefold(), (None, None))
        if value is None or lowest is None or (lowest <= value and (highest is None or value <= highest)):
            continue
        accepted = f"a number of {lowest:g} or more" if highest is None else f"a number from {lowest:g} to {highest:g}"
        problems.add(rows.table.file, row.number, "value", f"{number_text(value)} cannot be a value of {shown(quantity)}", accepted)
