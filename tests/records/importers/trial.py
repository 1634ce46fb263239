"""A small trial for the tests of this room, and the three steps from content to preview in one."""

from datetime import datetime

from tests.inference.trials import plan_of

from fairtank.chore import Chore
from fairtank.records.importers import TrialFacts, matched, rows_of, sheet_of
from fairtank.trial import MeasureChoice, Reading, Unit

NITRATE = MeasureChoice("nitrate", "primary", unit_of_measure="mg/L NO3")
UNITS = tuple(Unit(f"T{number}", "RC"[number % 2], tank=f"shelf {number}") for number in (1, 2, 3, 4))
TESTS = Chore("tests", "Water tests", "test", "FREQ=WEEKLY", quantity="kh, temperature")
THERE = Reading("T1", datetime(2026, 3, 2, 18), 1, "kh", 5.0, "dKH")
FACTS = TrialFacts(plan_of(choice=NITRATE, units=UNITS), (THERE,), (TESTS,))


def preview_of(content, name="", *, facts=FACTS):
    """What a file or pasted cells would give with all guesses as they are."""
    sheet = sheet_of(content, name)
    return rows_of(sheet, matched(sheet, facts), facts)


def told(preview):
    """The readings of a preview, short: unit, time, quantity, value, unit of measure, whether it is a limit."""
    return [(one.unit, f"{one.taken_at:%m-%d %H:%M}", one.quantity, one.value, one.unit_of_measure, one.below_detection)
            for one in preview.readings]
