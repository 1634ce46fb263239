"""How long a keeper waits for the command line: whole-process wall time of judging, of --help and of a rerun, beside an empty process.

    python benchmarks/bench_judge.py [--demo FOLDER] [--repeats 7] [--record]

The judged folder is made up: 6 tanks, 60 days, 8 measures as ready-made values. FOLDER, when given, is a trial folder whose photos
have been measured before (`fairtank demo --folder D` leaves D/midday): then `fairtank run` on it is timed too.
"""

import argparse
import subprocess
import sys
import tempfile
import time
from datetime import date
from pathlib import Path

import numpy as np
from recording import circumstances, told

from fairtank.records.folder import write_folder
from fairtank.trial import Arm, MeasureChoice, Plan, Series, Unit

LIMITS_S = {"judge": 1.5, "help": 0.4}
UNITS, DAYS = 6, 60
# Measure keys and the typical value of each.
TYPICAL = {
    "algae_cover": 8.0, "plant_cover": 35.0, "carpet_cover": 50.0, "plant_area": 700.0, "algae_area": 160.0, "canopy_height": 21.0,
    "plant_lightness": 45.0, "plant_yellowness": 28.0,
}  # fmt: skip


def made_up_folder(root: Path) -> None:
    """A trial of six tanks with a value of every measure on every day."""
    chance = np.random.default_rng(5)
    units = tuple(Unit(f"T{number + 1}", "RC"[number % 2], tank=f"T{number + 1}") for number in range(UNITS))
    measures = tuple(MeasureChoice(key, "primary" if number == 0 else "secondary", "mean") for number, key in enumerate(TYPICAL))
    plan = Plan(
        title="Made-up values", start=date(2026, 3, 1), days=DAYS - 1, kind="side_by_side",
        arms=(Arm("R", "reference"), Arm("C", "changed")), units=units, measures=measures, drawn=True, seed=1,
    )  # fmt: skip
    days = tuple(range(DAYS))
    series = [
        Series(unit.key, key, days, tuple((typical * np.exp(chance.normal(0, 0.1) + chance.normal(0, 0.05, DAYS))).round(3).tolist()))
        for unit in units for key, typical in TYPICAL.items()
    ]  # fmt: skip
    write_folder(root, plan, series=series)


def wall_s(words: list[str], repeats: int) -> float:
    """Median wall seconds of a whole Python process; the first run, which may compile, does not count."""
    spent = []
    for _ in range(repeats + 1):
        start = time.perf_counter()
        subprocess.run([sys.executable, *words], check=True, capture_output=True)
        spent.append(time.perf_counter() - start)
    return float(np.median(spent[1:]))


def main() -> None:
    """Print the times and their ratios to an empty process, and the run's JSON line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--demo", type=Path, help="a trial folder whose photos are measured already")
    parser.add_argument("--repeats", type=int, default=7)
    parser.add_argument("--record", action="store_true", help="add the JSON line to results/judge.jsonl")
    options = parser.parse_args()
    before = circumstances()
    row: dict[str, float] = {"empty_s": wall_s(["-c", "pass"], options.repeats)}
    with tempfile.TemporaryDirectory() as temporary:
        root = Path(temporary) / "trial"
        made_up_folder(root)
        row["help_s"] = wall_s(["-m", "fairtank.cli", "--help"], options.repeats)
        row["judge_s"] = wall_s(["-m", "fairtank.cli", "judge", str(root), "--json"], options.repeats)
        if options.demo:
            words = ["-m", "fairtank.cli", "run", str(options.demo), "--out", str(Path(temporary) / "out")]
            row["rerun_s"] = wall_s(words, options.repeats)
    for name in ("help", "judge", "rerun"):
        if f"{name}_s" in row:
            row[f"{name}_per_empty"] = row[f"{name}_s"] / row["empty_s"]
            limit = f" (limit {LIMITS_S[name]:g} s)" if name in LIMITS_S else ""
            print(f"{name:6} {row[f'{name}_s']:.3f} s{limit}, {row[f'{name}_per_empty']:.1f} x an empty process")
    told("judge", before, row, record=options.record)


if __name__ == "__main__":
    main()
