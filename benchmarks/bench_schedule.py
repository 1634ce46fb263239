"""How fast a calendar of 120 days is made: tasks, calendar, before and after a slip, as CPU time and as a ratio within the run.

    python benchmarks/bench_schedule.py [--repeats 9] [--record]

The trial is invented: six units, the proposed schedule (daily photos, weekly tests, trims) with water changes and doses, and a longer
one of twelve chores. Ratios are to parsing one small JSON text a thousand times in the same run.
"""

import argparse
import json
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
from recording import circumstances, told

from fairtank.chore import Chore, Slip
from fairtank.planning.schedule.dates import rule_days
from fairtank.planning.schedule.proposing import default_chores
from fairtank.planning.schedule.tasks import schedule_of
from fairtank.records.exporters.calendar import calendar_bytes
from fairtank.trial import Arm, Looks, MeasureChoice, Plan, Unit

LIMIT_MS = 100.0
PLAN = Plan(title="A calendar of 120 days", start=date(2026, 3, 1), days=120, kind="run_in", run_in_days=14,
            arms=(Arm("R", "reference"), Arm("C", "changed")), units=tuple(Unit(f"T{number}", "RC"[number % 2]) for number in range(6)),
            measures=(MeasureChoice("algae_cover", "primary"),), looks=Looks((60, 120), (0.01, 0.04)))
DOSE = Chore("dose", "Dose 2 mL of feed in each tank", "dose", "FREQ=WEEKLY;BYDAY=WE,SU", amount=2.0, unit_of_measure="mL")
WATER = Chore("water", "Water change, 30 %", "water_change", "FREQ=WEEKLY;BYDAY=SA", amount=0.3)
PROPOSED = (*default_chores(PLAN), DOSE, WATER)
TWELVE = (*PROPOSED, *(replace(DOSE, key=f"dose{number}", rule="FREQ=DAILY;INTERVAL=2", from_day=number)
                       for number in range(12 - len(PROPOSED))))
SLIPS = (Slip(10, 2, "away"),)


def median_ms(call: Callable[[], Any], repeats: int) -> float:
    """Median CPU milliseconds of a call, after one that does not count."""
    spent = []
    for _ in range(repeats + 1):
        start = time.process_time()
        call()
        spent.append(1000 * (time.process_time() - start))
    return float(np.median(spent[1:]))


def made(chores: Sequence[Chore], slips: Sequence[Slip]) -> bytes:
    """The calendar from the rules on, with nothing kept from the run before."""
    rule_days.cache_clear()
    return calendar_bytes(PLAN, schedule_of(PLAN, chores, slips))


def figures(repeats: int) -> dict[str, Any]:
    """CPU time of each case and its ratio to the yardstick of the run."""
    text = json.dumps({"a": list(range(20))})
    yardstick = median_ms(lambda: [json.loads(text) for _ in range(1000)], repeats)
    cases = {"proposed": (PROPOSED, ()), "twelve": (TWELVE, ()), "proposed after a slip": (PROPOSED, SLIPS),
             "twelve after a slip": (TWELVE, SLIPS)}
    found: dict[str, Any] = {"yardstick_ms": yardstick, "limit_ms": LIMIT_MS}
    for name, (chores, slips) in cases.items():
        spent = median_ms(lambda chores=chores, slips=slips: made(chores, slips), repeats)
        schedule = schedule_of(PLAN, chores, slips)
        found[name] = {"tasks": len(schedule.tasks), "ms": spent, "ratio": spent / yardstick, "bytes": len(calendar_bytes(PLAN, schedule))}
    return found


def main() -> None:
    """Measure, print, and with --record keep the line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--repeats", type=int, default=9)
    parser.add_argument("--record", action="store_true")
    given = parser.parse_args()
    before = circumstances()
    told("schedule", before, figures(given.repeats), record=given.record)


if __name__ == "__main__":
    main()
