"""Borrowed intervals: how long one takes, and how often they claim a difference where none is, at several sizes and degrees of likeness.

    python benchmarks/bench_library.py [--reps 2000] [--simulator FILE] [--record]

Every trial of a setting draws its own library of 8 earlier trials with 2 degrees of freedom each; like tanks' variance differs from
trial to trial (scaled inverse chi-square, 8 degrees of freedom). The figures beside ours were found before with another implementation of
the same rule and other seeds; a setting that is farther from them than chance allows (2.58 standard errors of the difference) is marked.
FILE, when given, is an independent simulator of whole trials, with `Cfg`, `simulate` and `summarise`: then series are simulated, not tanks'
numbers.
"""

import argparse
import importlib.util
import math
import sys
import time
from dataclasses import replace
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
from recording import circumstances, told

from fairtank.inference.earlier.library import BRAKES, WITHDRAWN_BELOW, interval_with_library
from fairtank.inference.earlier.like_tanks import SpreadKind, library_of, pooled_variance
from fairtank.inference.earlier.mixture import difference_mixture, spread_grid
from fairtank.inference.intervals.welch import welch
from fairtank.trial import SpreadEntry

LIMIT_MS = 100.0
ALPHA = 0.05
WORDS = "algae_cover", "logit", "mean", "35 to 49 days", "tank of 45 to under 80 L"
GROUPS, GROUP_DF, TRIAL_DF = 8, 2, 8
EARLIER_REPS = 4000
# False claims in % found before: (arms, times as scattered, brake, guard) -> %.
BEFORE_PCT = {
    (1, 1, 1.0, 1.0, 0.0): 4.9, (1, 1, 1.5, 1.0, 0.0): 14.1, (1, 1, 2.0, 1.0, 0.0): 25.1,
    (1, 1, 1.0, 1.5, 0.2): 0.8, (1, 1, 1.5, 1.5, 0.2): 4.7, (1, 1, 2.0, 1.5, 0.2): 10.5,
    (2, 2, 1.0, 1.0, 0.0): 5.3, (2, 2, 1.5, 1.0, 0.0): 11.1, (2, 2, 2.0, 1.0, 0.0): 16.5,
    (2, 2, 1.0, 1.25, 0.2): 2.0, (2, 2, 1.5, 1.25, 0.2): 4.3, (2, 2, 2.0, 1.25, 0.2): 6.2,
    (1, 2, 1.0, 1.5, 0.2): 0.8, (1, 2, 1.5, 1.5, 0.2): 3.0, (2, 3, 1.0, 1.25, 0.2): 1.9, (2, 3, 1.5, 1.25, 0.2): 3.3,
    (3, 3, 1.0, 1.15, 0.2): 2.2, (3, 3, 1.5, 1.15, 0.2): 3.4, (3, 3, 2.0, 1.15, 0.2): 4.8,
}  # fmt: skip
# At three per arm: chance to claim an effect of so many SDs of like tanks, with earlier tanks and by Welch alone.
POWER_BEFORE_PCT = {2.0: (39, 35), 3.0: (71, 62), 4.0: (86, 81)}
# The independent simulator, tanks' own spread 1.5 times the library's, middle tank-to-tank SD; with the like ones' range over three SDs.
TRIALS_BEFORE_PCT = {"parallel": {1: ((0.6, 1.2), 3.6), 2: ((1.2, 2.0), 3.6)}, "run_in": {1: ((0.6, 0.7), 2.7), 2: ((1.5, 1.7), 3.2)},
                     "swap": {1: ((0.2, 0.3), 0.4), 2: ((1.1, 1.4), 2.3)}}


def claims(earlier: list[float], reference: list[float], changed: list[float], brake: float, guard: float) -> bool | None:
    """Whether a difference is claimed; None where the earlier tanks are set aside and nothing is left to judge by."""
    grid, (variance, df) = spread_grid(earlier, [GROUP_DF] * len(earlier)), pooled_variance([reference, changed])
    own = (variance, df) if df else None
    if own and grid.exceedance(*own) < guard:
        return None if min(len(reference), len(changed)) < 2 else welch(reference, changed, alpha=ALPHA).p_value < ALPHA
    mixture = difference_mixture(grid, factor=1 / len(reference) + 1 / len(changed), brake=brake, own=own)
    return 2 * mixture.upper_tail(abs(float(np.mean(changed) - np.mean(reference)))) < ALPHA


def drawn(seed: int, reps: int, n_1: int, n_2: int, times: float, effect: float = 0.0) -> list[tuple[list[float], ...]]:
    """Variances of the earlier trials and z of both arms, `reps` times; the spread of like tanks is about 1."""
    chance = np.random.default_rng(seed)
    earlier = TRIAL_DF / chance.chisquare(TRIAL_DF, (reps, GROUPS)) * chance.chisquare(GROUP_DF, (reps, GROUPS)) / GROUP_DF
    sigma = times * np.sqrt(TRIAL_DF / chance.chisquare(TRIAL_DF, (reps, 1)))
    arms = sigma * chance.normal(size=(reps, n_1)), effect + sigma * chance.normal(size=(reps, n_2))
    return list(zip(earlier.tolist(), *(arm.tolist() for arm in arms), strict=True))


def full_p(earlier: list[float], reference: list[float], changed: list[float]) -> float | None:
    """The p of the function that judges, all its parts included."""
    entries = [SpreadEntry(*WORDS, variance, GROUP_DF, f"trial {place:03}") for place, variance in enumerate(earlier)]
    library = library_of(entries, SpreadKind(*WORDS))
    return interval_with_library(reference, changed, alpha=ALPHA, library=library, borrow_at_three=True).interval.p_value


def false_claims(reps: int) -> list[dict[str, Any]]:
    """The rate of false claims of every setting, beside what was found before."""
    rows = []
    for (n_1, n_2, times, brake, guard), before_pct in BEFORE_PCT.items():
        draws = drawn(1000 * n_1 + 100 * n_2 + int(10 * times), reps, n_1, n_2, times)
        said = [claims(*draw, brake, guard) for draw in draws]
        if brake == BRAKES[min(n_1, n_2)] and guard == WITHDRAWN_BELOW:
            for draw, claim in list(zip(draws, said, strict=True))[:25]:
                p = full_p(*draw)
                assert claim == (None if p is None else p < ALPHA), "the parts and the whole disagree"
        rate, before = sum(claim is True for claim in said) / reps, before_pct / 100
        chance = 2.58 * math.sqrt(before * (1 - before) * (1 / reps + 1 / EARLIER_REPS))
        row = {"arms": f"{n_1}v{n_2}", "times": times, "brake": brake, "guard": guard, "found_pct": 100 * rate, "before_pct": before_pct,
               "withheld_pct": 100 * said.count(None) / reps, "within_chance": abs(rate - before) <= chance}
        rows.append(row)
        print(f"{n_1}v{n_2}, {times:g} times as different, brake {brake:g}, guard {guard:g}: false claims {100 * rate:.1f} % "
              f"(before {before_pct:g} %)" + ("" if row["within_chance"] else "  FARTHER THAN CHANCE ALLOWS")
              + (f", withheld {row['withheld_pct']:.0f} %" if row["withheld_pct"] else ""), flush=True)
    return rows


def power_at_three(reps: int) -> list[dict[str, Any]]:
    """What three per arm gain by borrowing."""
    rows = []
    for effect, (before, before_welch) in POWER_BEFORE_PCT.items():
        draws = drawn(int(3300 + effect), reps, 3, 3, 1.0, effect)
        borrowed = 100 * sum(bool(claims(*draw, BRAKES[3], WITHDRAWN_BELOW)) for draw in draws) / reps
        alone = 100 * sum(welch(draw[1], draw[2], alpha=ALPHA).p_value < ALPHA for draw in draws) / reps
        rows.append({"effect_sd": effect, "borrowed_pct": borrowed, "welch_pct": alone})
        print(f"3v3 effect of {effect:g} SD: claimed {borrowed:.0f} % with earlier tanks (before {before}), "
              f"{alone:.0f} % without ({before_welch})")
    return rows


def simulator_of(path: Path) -> ModuleType:
    """The independent simulator as a module."""
    spec = importlib.util.spec_from_file_location("independent_simulator", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def simulated(simulator: ModuleType, design: str, n: int, times: float, reps: int) -> float:
    """The rate of false claims on whole simulated trials, each with a library of simulated trials, in %."""
    layout = {"parallel": {}, "run_in": {"days": 56, "runin": 14}, "swap": {"swap": True}}[design]
    cfg = simulator.Cfg(**layout)
    values, _, phase = simulator.simulate(replace(cfg, n1=n, n2=n, scale=times), reps, 7 * n + int(10 * times))
    z = simulator.summarise(values, phase)
    count = 0
    earlier = np.empty((reps, GROUPS))
    for group in range(GROUPS):
        values, _, phase = simulator.simulate(replace(cfg, n1=2, n2=2), reps, 9000 + 100 * group + 7 * n + int(10 * times))
        other = simulator.summarise(values, phase)
        earlier[:, group] = (other[:, :2].var(axis=1, ddof=1) + other[:, 2:].var(axis=1, ddof=1)) / 2
    for one, seen in zip(z.tolist(), earlier.tolist(), strict=True):
        # Halving the difference of a swap changes the interval and its estimate alike, so the claim is that of the whole difference.
        count += bool(claims(seen, one[:n], one[n:], BRAKES[n], WITHDRAWN_BELOW))
    return 100 * count / reps


def whole_trials(path: Path, reps: int) -> list[dict[str, Any]]:
    """False claims on whole trials by the independent simulator, like and 1.5 times as scattered tanks."""
    simulator, rows = simulator_of(path), []
    for design, sizes in TRIALS_BEFORE_PCT.items():
        for n, ((low, high), before) in sizes.items():
            like, more = simulated(simulator, design, n, 1.0, reps), simulated(simulator, design, n, 1.5, reps)
            rows.append({"design": design, "arms": f"{n}v{n}", "like_pct": like, "half_as_much_again_pct": more})
            print(f"{design} {n}v{n}: false claims {like:.1f} % (before {low} to {high}), "
                  f"tanks 1.5 times as different {more:.1f} % ({before})", flush=True)
    return rows


def times_ms() -> dict[str, float]:
    """Median time of one judged difference [ms], two per arm, by the number of earlier trials; without the first call."""
    found = {}
    for groups in (GROUPS, 50):
        earlier = np.random.default_rng(groups).chisquare(GROUP_DF, groups) / GROUP_DF
        spent = []
        for _ in range(21):
            start = time.perf_counter()
            full_p(earlier.tolist(), [0.1, 0.9], [1.2, 1.9])
            spent.append(1000 * (time.perf_counter() - start))
        found[f"{groups}_trials_ms"] = float(np.median(spent[1:]))
        print(f"one interval beside {groups} earlier trials: {found[f'{groups}_trials_ms']:.0f} ms (limit {LIMIT_MS:g} ms)")
    return found


def main() -> None:
    """Print times and rates, and the run's JSON line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--reps", type=int, default=2000, help="trials per setting")
    parser.add_argument("--simulator", type=Path, help="an independent simulator of whole trials, a Python file")
    parser.add_argument("--record", action="store_true", help="add the JSON line to results/library.jsonl")
    options = parser.parse_args()
    before = circumstances()
    row: dict[str, Any] = {"reps": options.reps, **times_ms()}
    row["false_claims"], row["power_at_three"] = false_claims(options.reps), power_at_three(options.reps)
    if options.simulator:
        row["whole_trials"] = whole_trials(options.simulator, options.reps)
    told("library", before, row, record=options.record)


if __name__ == "__main__":
    main()
