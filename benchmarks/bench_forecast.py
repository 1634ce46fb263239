"""How long an ensemble of the tank model takes, and how far its integrator is from a public one over the whole course.

    python benchmarks/bench_forecast.py [--repeats 3] [--compared 3] [--record]

The tank is a fresh planted one over rich soil, two arms (with and without a CO2 supply), 200 members, 60 days. Seconds are CPU time in one
process, and for two processes by the clock and as CPU time of both; the clock also counts what else the machine does. The integrator is
held against scipy's LSODA (rtol 1e-9) on some members, one by one: the largest difference of any day from 0 to 60. The last line tells
what the ensemble says, so that a change of the model shows: the day from which animals would be safe, and the spread of like tanks.
"""

import argparse
import multiprocessing
import resource
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace

import numpy as np
from recording import circumstances, told

from fairtank.simulation.tank import (
    Ensemble,
    Plants,
    TankSetup,
    drawn_parameters,
    joined,
    like_tank_spread,
    parts_of,
    soil_start_changes,
    tank_course,
    tank_ensemble,
)

MEMBERS, DAYS = 200, 60
LIMIT_CLOCK_S, LIMIT_CPU_S = 20.0, 30.0
BARE = TankSetup(events=soil_start_changes(DAYS), plants=(Plants("stem", 0.2, "bunched"), Plants("carpet", 0.2, "in_vitro")))
ARMS = {"with CO2": replace(BARE, co2_target_mg_l=20.0), "without": BARE}
COMPARED = ("total_ammonia", "nitrite", "nitrate", "plant_cover", "carpet_cover", "algae_cover", "oxygen_low", "oxygen_high", "ph")


def one_part(part: int) -> Ensemble:
    """One part of the ensemble, as a process of its own runs it."""
    return tank_ensemble(ARMS, members=MEMBERS, days=DAYS, part=part)


def in_one_process() -> tuple[float, Ensemble]:
    """CPU seconds, and the ensemble."""
    began = time.process_time()
    found = tank_ensemble(ARMS, members=MEMBERS, days=DAYS)
    return time.process_time() - began, found


def in_two_processes() -> tuple[float, float, Ensemble]:
    """Seconds by the clock, CPU seconds of the children, and the ensemble; starting the processes is in both."""
    before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as executor:
        found = joined(list(executor.map(one_part, range(parts_of(MEMBERS)))))
    clock, after = time.perf_counter() - began, resource.getrusage(resource.RUSAGE_CHILDREN)
    return clock, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime, found


def differences(members: int) -> dict[str, float]:
    """Largest difference of each measure on any day between the fast integrator and the public one, over some members."""
    drawn, worst = drawn_parameters(MEMBERS, 1), dict.fromkeys(COMPARED, 0.0)
    for member in range(members):
        one = drawn.of(np.array([member * (MEMBERS // max(members, 1))]))
        fast, public = (tank_course(ARMS["with CO2"], one, days=DAYS, method=method).measures for method in ("fast", "reference"))
        for key in COMPARED:
            worst[key] = max(worst[key], float(np.abs(fast[key] - public[key]).max()))
    return worst


def main() -> None:
    """Print times and differences, and the run's JSON line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--repeats", type=int, default=3)
    parser.add_argument("--compared", type=int, default=3, help="members held against the public integrator, about 15 s each")
    parser.add_argument("--record", action="store_true", help="add the JSON line to results/forecast.jsonl")
    options = parser.parse_args()
    before = circumstances()
    runs = [in_one_process() for _ in range(options.repeats)]
    row: dict[str, object] = {"members": MEMBERS, "days": DAYS, "arms": len(ARMS), "cpu_s": float(np.median([one for one, _ in runs]))}
    clock, cpu, found = in_two_processes()
    row |= {"two_processes_clock_s": clock, "two_processes_cpu_s": cpu}
    same = all((found.courses[arm].states == runs[0][1].courses[arm].states).all() for arm in ARMS)
    row |= {"same_result": same, "balance": max(float(course.balance.max()) for course in found.courses.values())}
    print(f"one process {row['cpu_s']:.1f} s CPU; two processes {clock:.1f} s by the clock (limit {LIMIT_CLOCK_S:g} s), "
          f"{cpu:.1f} s CPU (limit {LIMIT_CPU_S:g} s); the same result: {same}; balances kept to {row['balance']:.0e}")
    row["differences"] = worst = differences(options.compared)
    for key, value in worst.items():
        print(f"  {key:14} differs by at most {value:.2g}")
    row["safe_day"] = {arm: [float(day) for day in np.nanquantile(course.safe_day, [0.05, 0.5, 0.95])]
                       for arm, course in found.courses.items()}
    spread = like_tank_spread(ARMS["without"])
    row["like_tank_sd_logit"] = [spread.low, spread.sd, spread.high]
    print(f"animals safe from day (5 %, middle, 95 %): {row['safe_day']}; like tanks' algae cover, SD on the logit scale: "
          f"{spread.sd:.2f} ({spread.low:.2f} to {spread.high:.2f})")
    told("forecast", before, row, record=options.record)


if __name__ == "__main__":
    main()
