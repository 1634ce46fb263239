"""Values of the run-in that were measured from photos before: they tell how far like tanks stand apart, and nothing about the change."""

import csv
from pathlib import Path

from fairtank.errors import InputError
from fairtank.records.services.trials import MEASURES_FILE
from fairtank.trial import Series, TrialFolder


def run_in_measured(folder: TrialFolder, place: Path) -> tuple[Series, ...]:
    """One series per unit and measure of the run-in's days, from measures.csv among the results; empty without a run-in or that file.

    Later days are not taken along: what came after the change is not looked at when a trial is planned. A measure that series.csv holds
    is taken from there alone.

    Raises
    ------
    InputError
        If measures.csv is not the file that measuring writes.
    """
    file, last = place / MEASURES_FILE, folder.plan.run_in_days - 1
    if last < 0 or not file.is_file():
        return ()
    ready_made, units = {one.measure for one in folder.series}, {unit.key for unit in folder.plan.units}
    rows: dict[tuple[str, str], list[tuple[int, float]]] = {}
    try:
        with file.open(encoding="utf-8", newline="") as text:
            for row in csv.DictReader(text):
                day = int(row["day"])
                if row["zone"] == "" and row["measure"] not in ready_made and row["unit"] in units and 0 <= day <= last:
                    rows.setdefault((row["unit"], row["measure"]), []).append((day, float(row["value"])))
    except (KeyError, TypeError, ValueError, csv.Error) as error:
        raise InputError(str(file), "another table", "the table that fairtank measure writes",
                         "Measure again, or take the file away.") from error
    found = []
    for (unit, measure), values in rows.items():
        days, numbers = zip(*sorted(values), strict=True)
        found.append(Series(unit, measure, days, numbers))
    return tuple(found)
