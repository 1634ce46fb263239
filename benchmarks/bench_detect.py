"""How long it takes to tell what plans could show: 24 layouts of three plans, one borrowed interval, and the whole command.

    python benchmarks/bench_detect.py [--repeats 5] [--record]

The layouts are those of a plan of one tank per arm, of one of two tanks per arm with eight earlier trials, and of a ladder of doses, at
several lengths; nothing is kept from one run to the next. The command is `fairtank detect` on three tanks per arm, its two pictures
included. Seconds are those of one core (CPU time), for the command also by the clock.
"""

import argparse
import resource
import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
from recording import circumstances, told

from fairtank.inference.foresight import borrowed_power, drawn_start_power, many_arms_power
from fairtank.inference.foresight.showing import show
from fairtank.records.folder import write_folder
from fairtank.simulation.trials import example_trial

LIMITS_S = {"24_designs": 6.0, "borrowed": 0.3}
PLANS = ("one_each", "two_each", "ladder")
LENGTHS_D = (41, 48)


def forget() -> None:
    """Empty what the planning keeps, so that each run is the first."""
    for module, names in ((borrowed_power, ("_curve", "_half_width", "supposed_power")), (drawn_start_power, ("drawn_start_difference",)),
                          (many_arms_power, ("several_arms_difference", "ladder_difference", "two_changes_difference"))):
        for name in names:
            getattr(module, name).cache_clear()


def designs_s() -> tuple[int, float]:
    """How many layouts were worked out, and the CPU seconds they took, all plans and lengths together."""
    forget()
    count, began = 0, time.process_time()
    for name in PLANS:
        plan, _, earlier = example_trial(name)
        for days in LENGTHS_D:
            count += len(show(replace(plan, days=days), entries=earlier).designs)
    return count, time.process_time() - began


def borrowed_s() -> float:
    """CPU seconds for one smallest difference of two tanks per arm that borrows from eight earlier trials."""
    forget()
    variances = np.random.default_rng(5).uniform(0.1, 0.5, 8)
    began = time.process_time()
    borrowed_power.borrowed_power(variances, [2.0] * 8, 0.5, 2, 2)
    return time.process_time() - began


def command_s(root: Path) -> tuple[float, float]:
    """Wall and CPU seconds of `fairtank detect` as a process of its own."""
    began, used = time.perf_counter(), resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, "-m", "fairtank.cli", "detect", str(root)], check=True, capture_output=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return time.perf_counter() - began, after.ru_utime + after.ru_stime - used.ru_utime - used.ru_stime


def main() -> None:
    """Print the times, and the run's JSON line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--repeats", type=int, default=5)
    parser.add_argument("--record", action="store_true", help="add the JSON line to results/detect.jsonl")
    options = parser.parse_args()
    before = circumstances()
    runs = [designs_s() for _ in range(options.repeats + 1)][1:]  # the first one loads scipy
    row: dict[str, float] = {"designs": runs[0][0], "designs_s": float(np.median([seconds for _, seconds in runs]))}
    row["24_designs_s"] = row["designs_s"] * 24 / row["designs"]
    row["borrowed_s"] = float(np.median([borrowed_s() for _ in range(options.repeats)]))
    with tempfile.TemporaryDirectory() as temporary:
        write_folder(Path(temporary) / "trial", example_trial("side_by_side")[0])
        spent = [command_s(Path(temporary) / "trial") for _ in range(options.repeats + 1)][1:]
        row["command_wall_s"], row["command_s"] = (float(np.median(column)) for column in zip(*spent, strict=True))
    for name in ("24_designs", "borrowed", "command"):
        limit = f" (limit {LIMITS_S[name]:g} s)" if name in LIMITS_S else ""
        print(f"{name:10} {row[f'{name}_s']:.3f} s of one core{limit}")
    told("detect", before, row, record=options.record)


if __name__ == "__main__":
    main()
