"""How often the drift watch calls out where nothing drifts, and how soon it finds what does.

    python benchmarks/bench_drift.py [--trials 2000] [--workers 2] [--record]

False alarms: trials of 42 days in which all tanks of all arms follow the same course and scatter around it. Ten factors are written
down: temperature, conductivity, KH, GH, pH, nitrate, doses, water changed, minutes of work and photos. Each setting says how many tanks
an arm has, on which days is read, how the scatter holds on from day to day, and how large it is beside what is taken for granted. A trial
with one alarm or more, on any day, of any factor, arm or tank, counts. Delays: the same trials with one arm 1 °C warmer, or dosed 10 %
less, from day 21 on; told is the time to the first alarm of that factor. Seeded; nothing is kept from trial to trial.
"""

import argparse
import time
from collections.abc import Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
from recording import circumstances, told

from fairtank.chore import ChoreDone
from fairtank.planning.drift.watched import BY_KEY, natural_scatter
from fairtank.planning.drift.watching import watch
from fairtank.science.cover import wilson
from fairtank.trial import Arm, MeasureChoice, Photo, Plan, Reading, TrialFolder, Unit

DAYS, START, FROM_DAY = 42, date(2026, 3, 1), 21
LEVELS = {"temperature": 24.0, "conductivity": 320.0, "kh": 4.0, "gh": 7.0, "ph": 6.9, "nitrate": 12.0}
STEPS = {"temperature": 0.1, "conductivity": 1.0, "kh": 0.5, "gh": 0.5, "ph": 0.05, "nitrate": 1.0}
WEEKLY = tuple(range(0, DAYS + 1, 7))


@dataclass(frozen=True)
class Setting:
    """One kind of trial: tanks per arm, arms, days of the tests, days of the thermometer, memory of the scatter from one day to the next,
    and its size as a multiple of what is taken for granted."""

    name: str
    tanks: int
    arms: int = 2
    tests: tuple[int, ...] = WEEKLY
    thermometer: tuple[int, ...] = tuple(range(DAYS + 1))
    memory: float = 0.5
    size: float = 1.0
    thorough: bool = False  # all trials; else a quarter of them


TWICE_A_WEEK = tuple(sorted({*range(0, DAYS + 1, 7), *range(3, DAYS + 1, 7)}))
SETTINGS = (
    Setting("three tanks an arm, weekly tests, thermometer daily", 3, thorough=True),
    Setting("three, weekly, no memory", 3, memory=0.0),
    Setting("three, weekly, long memory", 3, memory=0.9),
    Setting("three, weekly, twice the scatter", 3, size=2.0),
    Setting("three, weekly, everything weekly", 3, thermometer=WEEKLY, thorough=True),
    Setting("three, tests twice a week", 3, tests=TWICE_A_WEEK),
    Setting("three, everything daily, long memory", 3, tests=tuple(range(DAYS + 1)), memory=0.9),
    Setting("two tanks an arm, weekly tests, thermometer daily", 2, thorough=True),
    Setting("two, twice the scatter", 2, size=2.0),
    Setting("three arms of two", 2, arms=3, thorough=True),
    Setting("one tank an arm, weekly tests, thermometer daily", 1, thorough=True),
    Setting("one, long memory", 1, memory=0.9),
    Setting("one, twice the scatter", 1, size=2.0),
)
DRIFTS = {"1 °C warmer": ("temperature", 1.0), "10 % less dosed": ("doses", -0.10)}


def wandering(chance: np.random.Generator, units: int, memory: float) -> np.ndarray:
    """Scatter of variance 1 that holds on from day to day: one row for each unit, one column for each day."""
    steps = chance.normal(0, 1, (units, DAYS + 1))
    for day in range(1, DAYS + 1):
        steps[:, day] = memory * steps[:, day - 1] + np.sqrt(1 - memory**2) * steps[:, day]
    return steps


def trial(setting: Setting, seed: int, drift: tuple[str, float] | None = None) -> TrialFolder:
    """One trial without drift, or with one arm's drift from day 21 on."""
    chance = np.random.default_rng(seed)
    arms = tuple(Arm(key, "reference" if key == "A" else "changed") for key in "ABCD"[: setting.arms])
    units = tuple(Unit(f"T{number + 1}", arms[number % len(arms)].key) for number in range(setting.tanks * len(arms)))
    plan = Plan("Made up", START, DAYS, "side_by_side", arms, units, (MeasureChoice("algae_cover", "primary"),), drawn=True, seed=seed)
    moved = np.array([1.0 if unit.arm == "B" else 0.0 for unit in units])
    readings = [one for key in LEVELS for one in _readings(setting, chance, plan, key, moved, drift)]
    chores = _chores(setting, chance, plan, moved, drift)
    photos = tuple(Photo(f"{unit.key}_{day}.jpg", unit.key, _at(day), day) for unit in units for day in range(DAYS + 1)
                   if chance.random() > 0.05)
    return TrialFolder(Path("."), plan, "", readings=tuple(readings), chores_done=tuple(chores), photos=photos)


def _at(day: int) -> datetime:
    return datetime(START.year, START.month, START.day, 18) + timedelta(days=day)


def _readings(setting: Setting, chance: np.random.Generator, plan: Plan, key: str, moved: np.ndarray,
              drift: tuple[str, float] | None) -> list[Reading]:
    """A level that moves for all tanks alike, with an offset of each tank's own, wander and reading error, rounded as it is read."""
    days = setting.thermometer if key == "temperature" else setting.tests
    fast, slow = (setting.size * one for one in natural_scatter(BY_KEY[key], LEVELS[key]))
    total = np.hypot(fast, slow)
    common = LEVELS[key] + 2 * total * np.sin(np.arange(DAYS + 1) / 9 + chance.uniform(0, 6))
    offsets = chance.normal(0, total, len(plan.units))
    if setting.memory in (0.0, 0.9):  # all of the scatter has no memory, or a long one
        scatter = total * wandering(chance, len(plan.units), setting.memory)
    else:
        scatter = slow * wandering(chance, len(plan.units), setting.memory) + chance.normal(0, fast, (len(plan.units), DAYS + 1))
    values = common + offsets[:, None] + scatter
    if drift is not None and drift[0] == key:
        values[:, FROM_DAY:] += drift[1] * moved[:, None]
    values = np.maximum(np.round(values / STEPS[key]) * STEPS[key], 0.0)
    return [Reading(unit.key, _at(day), day, key, float(values[row, day]), "") for row, unit in enumerate(plan.units) for day in days]


def _chores(setting: Setting, chance: np.random.Generator, plan: Plan, moved: np.ndarray,
            drift: tuple[str, float] | None) -> list[ChoreDone]:
    """Doses three times a week, a water change a week with its minutes, a wipe now and then."""
    done = []
    for row, unit in enumerate(plan.units):
        for day in range(DAYS + 1):
            late = 1.0 + (drift[1] * moved[row] if drift is not None and drift[0] == "doses" and day >= FROM_DAY else 0.0)
            if day % 7 in (1, 3, 5):
                amount = 2.0 * late * (1 + chance.normal(0, 0.02 * setting.size * 3**0.5))
                done.append(ChoreDone(unit.key, "npk", "dose", day, _at(day), day, 1.0, "nitrate", float(amount), "mg/L"))
            if day % 7 == 6:
                litres = 20.0 * (1 + chance.normal(0, 0.05 * setting.size))
                minutes = 15.0 * np.exp(chance.normal(0, 0.2 * setting.size))
                done.append(ChoreDone(unit.key, "change", "water_change", day, _at(day), day, float(minutes), "water", float(litres), "L"))
    return done


def alarmed(folder: TrialFolder) -> list[str]:
    """Keys of the factors with an alarm."""
    return [factor.key for factor in watch(folder).factors if factor.departures]


def delays(setting: Setting, drift: tuple[str, float], trials: int) -> dict[str, float | None]:
    """Days from the start of the drift to the first alarm of that factor: median and the day by which 80 of 100 are found."""
    found = []
    for seed in range(trials):
        departures = next(one for one in watch(trial(setting, 50_000 + seed, drift)).factors if one.key == drift[0]).departures
        days = [one.noticed_day - FROM_DAY for one in departures if one.kind == "arms" and one.noticed_day >= FROM_DAY]
        found.append(min(days) if days else np.inf)
    ordered = np.sort(found)
    median, by_80 = (float(one) if np.isfinite(one) else None for one in (ordered[trials // 2], ordered[int(0.8 * trials)]))
    return {"found": float(np.isfinite(ordered).mean()), "median_d": median, "by_80_d": by_80}


def shares(setting: Setting, trials: int) -> dict[str, Any]:
    """Share of trials with any alarm, with its 95 % interval, and which factors it came from."""
    by_factor: dict[str, int] = {}
    hit = 0
    for seed in range(trials):
        keys = alarmed(trial(setting, seed))
        hit += bool(keys)
        for key in set(keys):
            by_factor[key] = by_factor.get(key, 0) + 1
    interval = wilson(hit, trials)
    by_factor_share = {key: count / trials for key, count in by_factor.items()}
    return {"trials": trials, "alarm": hit / trials, "low": float(interval.low), "high": float(interval.high), "by_factor": by_factor_share}


def main(settings: Sequence[Setting] = SETTINGS) -> None:
    """Print the shares and delays, and the run's JSON line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--trials", type=int, default=2000)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--only", default="", help="settings whose name holds this")
    parser.add_argument("--record", action="store_true", help="add the JSON line to results/drift.jsonl")
    options = parser.parse_args()
    before, began = circumstances(), time.perf_counter()
    row: dict[str, Any] = {"trials": options.trials, "false_alarms": {}, "delays": {}}
    chosen = [one for one in settings if options.only in one.name]
    counts = [options.trials if one.thorough else options.trials // 4 for one in chosen]
    with ProcessPoolExecutor(options.workers) as workers:
        asked = [(one, name, workers.submit(delays, one, drift, max(options.trials // 10, 20)))
                 for one in chosen if one.thorough and one.arms == 2 for name, drift in DRIFTS.items()]
        shared = workers.map(shares, chosen, counts)
        delayed = [(one, name, future.result()) for one, name, future in asked]
        row["false_alarms"] = tell_shares(zip(chosen, shared, strict=True))
    row["delays"] = tell_delays(delayed)
    row["wall_s"] = time.perf_counter() - began
    told("drift", before, row, record=options.record)


def tell_shares(found_by_setting: Iterable[tuple[Setting, dict[str, Any]]]) -> dict[str, Any]:
    """Print the false alarms of each setting as they come; all of them by name."""
    row = {}
    for setting, found in found_by_setting:
        row[setting.name] = found
        worst = ", ".join(f"{key} {100 * share:.1f}" for key, share in sorted(found["by_factor"].items(), key=lambda one: -one[1])[:4])
        alarm, low, high = (100 * found[name] for name in ("alarm", "low", "high"))
        print(f"{setting.name:55} {alarm:5.1f} % ({low:.1f} to {high:.1f})   {worst}", flush=True)
    return row


def tell_delays(delayed: Iterable[tuple[Setting, str, dict[str, float | None]]]) -> dict[str, Any]:
    """Print how soon each drift was found; all of them by name."""
    row = {}
    for setting, name, found in delayed:
        row[f"{name}: {setting.name}"] = found
        days = f"median {found['median_d']} d, 80 % by {found['by_80_d']} d"
        print(f"{name:16} {setting.name:55} found {100 * found['found']:.0f} %, {days}", flush=True)
    return row


if __name__ == "__main__":
    main()
