"""The whole judging under an independent simulator of whole trials: its trials, its scoring, our findings.

    python benchmarks/judged_by_simulator.py --simulator FILE [--reps 400] [--rate -0.03] [--record]

FILE is a Python file with `Cfg`, `SETTINGS`, `simulate` and `score`; it hands over one trial at a time as a table (unit, arm, day, phase,
receives, cover_pct) and counts claims of an effect where there is none, intervals that hold its truth, and power. One or two tanks per arm
may ask eight earlier trials of two tanks per arm that the same simulator made, drawn anew for every trial.
"""

import argparse
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
from bench_library import simulator_of
from honest_trials import EARLIER_TRIALS, MEASURE, entries_of, unit_numbers
from recording import circumstances, told

from fairtank.errors import JobError
from fairtank.inference import judge
from fairtank.records.fanout import fanout
from fairtank.simulation.trials.plans import CHANGED, REFERENCE, run_in_plan, side_by_side_plan, swap_plan
from fairtank.trial import Plan, Series, SpreadEntry, Unit

ARM_KEYS = {"reference": REFERENCE, "changed": CHANGED}


def plan_of(table: Any, days: int) -> Plan:
    """The plan behind a table of one trial, from what is said of phases and arms; the simulator's day 1 is day 0."""
    arms = dict(zip(table["unit"], table["arm"], strict=True))
    phases = {phase: int(table.loc[table["phase"] == phase, "day"].min()) - 1 for phase in table["phase"].unique()}
    sizes = [sum(arm == side for arm in arms.values()) for side in ARM_KEYS]
    if "swapped" in phases:
        plan = swap_plan(*sizes, days=days, swap_day=days // 2)
    elif "run-in" in phases:
        plan = run_in_plan(*sizes, days=days, run_in_days=14)
    else:
        plan = side_by_side_plan(*sizes, days=days)
    units = tuple(Unit(unit, ARM_KEYS[arm], tank=unit, first_arm=ARM_KEYS[arm] if plan.kind == "swap" else "")
                  for unit, arm in arms.items())
    return replace(plan, units=units)


def analyse(table: Any, days: int, earlier: tuple[SpreadEntry, ...] = ()) -> dict[str, Any]:
    """Our finding on one trial in the form that the simulator scores."""
    plan = plan_of(table, days)
    series = tuple(Series(unit, MEASURE, tuple((own["day"] - 1).tolist()), tuple(own["cover_pct"].tolist()), ready_made=True)
                   for unit, own in table.groupby("unit", sort=False))
    finding = judge(plan, series, earlier=earlier, tank_litres=plan.tank_litres)[0]
    return {"verdict": finding.grade, "low": finding.low, "high": finding.high}


def libraries(simulator: ModuleType, cfg: Any, reps: int, seed: int) -> Iterator[tuple[SpreadEntry, ...]]:
    """Earlier trials for each trial, by the same simulator: two tanks per arm, nothing changed."""
    plan = (swap_plan(2, 2, days=cfg.days, swap_day=cfg.days // 2) if cfg.swap
            else run_in_plan(2, 2, days=cfg.days, run_in_days=cfg.runin) if cfg.runin else side_by_side_plan(2, 2, days=cfg.days))
    values, _, _ = simulator.simulate(replace(cfg, n1=2, n2=2, d_rate=0.0, d_level=0.0), reps * EARLIER_TRIALS, seed)
    z = unit_numbers(plan, values)
    variances = (z[:, :2].var(axis=1, ddof=1) + z[:, 2:].var(axis=1, ddof=1)) / 2
    for own in np.reshape(variances, (reps, EARLIER_TRIALS)).tolist():
        yield entries_of(plan, own)


def analysis_for(simulator: ModuleType, cfg: Any, reps: int, seed: int) -> Callable[[Any], dict[str, Any]]:
    """The analysis of one trial after the other, each with a library of its own where an arm has two tanks or fewer."""
    if min(cfg.n1, cfg.n2) > 2:
        return lambda table: analyse(table, cfg.days)
    drawn = libraries(simulator, cfg, 2 * reps, seed + 5)  # the scoring goes through the trials twice, without and with an effect
    return lambda table: analyse(table, cfg.days, next(drawn))


def scored(work: tuple[str, str, int, int, float]) -> dict[str, Any]:
    """The simulator's own score of one of its settings."""
    path, setting, reps, seed, rate = work
    simulator = simulator_of(Path(path))
    analysis = analysis_for(simulator, simulator.SETTINGS[setting], reps, seed)
    return {"setting": setting, **simulator.score(analysis, setting, reps, seed, rate)}


def main() -> None:
    """Print the scores, and the run's JSON line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--simulator", type=Path, required=True, help="an independent simulator of whole trials, a Python file")
    parser.add_argument("--reps", type=int, default=400, help="trials per setting, without an effect and again with one")
    parser.add_argument("--seed", type=int, default=11)
    parser.add_argument("--rate", type=float, default=-0.03, help="the effect, on the logit of cover per day")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--record", action="store_true", help="add the JSON line to results/simulator.jsonl")
    options = parser.parse_args()
    before, begun = circumstances(), time.perf_counter()
    names = list(simulator_of(options.simulator).SETTINGS)
    rows = {}
    with ProcessPoolExecutor(options.processes) as executor:
        work = [(str(options.simulator), name, options.reps, options.seed, options.rate) for name in names]
        for (_, name, *_), row in fanout(executor, scored, work):
            if isinstance(row, JobError):
                raise row
            rows[name] = row
            null, effect = row["null"], row["effect"]
            held = [f"{100 * one['coverage']:.1f} %" if one["coverage"] is not None else "-" for one in (null, effect)]
            print(f"{name}: false claims {100 * null['claims']:.1f} %, coverage {held[0]} and {held[1]}, power "
                  f"{100 * effect['claims']:.1f} %, intervals given {100 * null['intervals_given']:.0f} %", flush=True)
    told("simulator", before, {"reps": options.reps, "rate": options.rate, "took_s": time.perf_counter() - begun,
                               "settings": [rows[name] for name in names]}, record=options.record)


if __name__ == "__main__":
    main()
