"""Uniformity: how often a difference is claimed between plots of which none was treated, by how the two arms were laid out.

    python benchmarks/bench_uniformity.py [--reps 4000] [--draws 100000] [--processes 2] [--record]

In the four tables every plot was kept alike and harvested by itself, so any difference between two groups of plots is a false alarm. Each
repetition picks two clumps of 2 x 3 neighbouring plots somewhere in the table, apart from each other, and gives the twelve plots their arms
in three ways: clumped (one clump is the changed arm, the other the reference), drawn by our lot without blocks, and drawn by our lot in six
blocks of two neighbours. Each is judged by `fairtank.inference.compare` as a side-by-side trial. Then the lot itself: a chi-square over
many draws of six units, three pairs and two blocks of three, and over the Latin squares of four.
"""

import argparse
import csv
import random
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from datetime import date
from pathlib import Path
from typing import Any

from recording import circumstances, told

from fairtank.inference import compare
from fairtank.planning.drawing.lots import LotInputs, drawn_lots
from fairtank.trial import Arm, MeasureChoice, Plan, Series, Unit

TABLES = Path(__file__).resolve().parent.parent / "tests" / "published"
KINDS = ("peach", "apple", "grape", "tomato")
WAYS = ("clumped", "drawn", "drawn in blocks")
ARMS = (Arm("R", "reference", "left as they were"), Arm("C", "changed", "called changed, and left as they were"))
CHOICE = MeasureChoice("yield", "primary", "mean", "identity", title="Yield", unit_of_measure="")
Plot = tuple[int, int]


def table(kind: str) -> dict[Plot, float]:
    """Yield by row and column; plots without a yield are left out."""
    with (TABLES / f"strickland_{kind}_uniformity.csv").open(encoding="utf-8") as lines:
        next(lines)
        return {(int(row["row"]), int(row["col"])): float(row["yield"]) for row in csv.DictReader(lines) if row["yield"]}


def clump(at: Plot, tall: bool) -> tuple[Plot, ...]:
    """Six neighbouring plots from a corner on, as three pairs of neighbours, one pair behind the other."""
    row, column = at
    return tuple((row + a, column + b) if tall else (row + b, column + a) for a in range(3) for b in range(2))


def two_clumps(plots: dict[Plot, float], chance: random.Random) -> tuple[tuple[Plot, ...], tuple[Plot, ...]]:
    """Two clumps of the same shape that share no plot and have a yield in each."""
    corners = sorted(plots)
    while True:
        tall = chance.random() < 0.5
        first, second = (clump(chance.choice(corners), tall) for _ in range(2))
        if not set(first) & set(second) and all(plot in plots for plot in (*first, *second)):
            return first, second


def is_claimed(plots: dict[Plot, float], arms: dict[Plot, str]) -> bool:
    """Whether our judging calls a difference, be it that the whole interval lies on one side of nothing."""
    named = {plot: f"P{place}" for place, plot in enumerate(arms)}
    plan = Plan("Uniformity", date(2026, 3, 1), 0, "side_by_side", ARMS, tuple(Unit(named[plot], arm) for plot, arm in arms.items()),
                (CHOICE,), drawn=True)
    found = compare(plan, CHOICE, [Series(named[plot], "yield", (0,), (plots[plot],)) for plot in arms])
    return found.low is not None and found.high is not None and (found.low > 0 or found.high < 0)


def arms_of(way: str, clumps: tuple[tuple[Plot, ...], tuple[Plot, ...]], seed: int) -> dict[Plot, str]:
    """The arm of each of the twelve plots."""
    if way == "clumped":
        return {plot: arm for arm, own in zip("RC", clumps, strict=True) for plot in own}
    plots = (*clumps[0], *clumps[1])
    units = tuple(f"{row},{column}" for row, column in plots)
    blocks = tuple((unit, str(place // 2)) for place, unit in enumerate(units)) if way == "drawn in blocks" else ()
    drawn = dict(drawn_lots(seed, LotInputs("side_by_side", units, ("R", "C"), blocks)).arms)
    return {plot: drawn[unit] for plot, unit in zip(plots, units, strict=True)}


def claims(kind: str, reps: int) -> dict[str, int]:
    """How many of so many comparisons claim a difference, by the way in which the arms were laid out."""
    plots, chance, count = table(kind), random.Random(f"uniformity {kind}"), Counter[str]()
    for seed in range(reps):
        clumps = two_clumps(plots, chance)
        for way in WAYS:
            count[way] += is_claimed(plots, arms_of(way, clumps, seed))
    return {way: count[way] for way in WAYS}


DRAWS = {
    "six units": (LotInputs("side_by_side", tuple("abcdef"), ("R", "C")), 20),
    "three pairs": (LotInputs("pairs", tuple("abcdef"), ("R", "C"), tuple(zip("abcdef", "112233", strict=True))), 8),
    "two blocks of three": (LotInputs("side_by_side", tuple("abcdef"), ("R", "C"), tuple(zip("abcdef", "111222", strict=True))), 18),
    "Latin square of four": (LotInputs("side_by_side", tuple("abcdefghijklmnop"), tuple("RCDE"),
                                       rows=tuple(zip("abcdefghijklmnop", "1111222233334444", strict=True)),
                                       columns=tuple(zip("abcdefghijklmnop", "1234123412341234", strict=True))), 576),
}  # fmt: skip


def evenness(name: str, draws: int) -> dict[str, Any]:
    """A chi-square of how often each possible draw came, over seeds 0, 1, 2 ..."""
    from scipy.stats import chi2

    inputs, possible = DRAWS[name]
    seen = Counter(drawn_lots(seed, inputs).arms for seed in range(draws))
    expected = draws / possible
    square = sum((count - expected) ** 2 / expected for count in seen.values()) + expected * (possible - len(seen))
    return {"possible": possible, "seen": len(seen), "draws": draws, "chi_square": square, "df": possible - 1,
            "p": float(chi2.sf(square, possible - 1)), "fewest": min(seen.values()), "most": max(seen.values())}


def main() -> None:
    """Run it and say what was found."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--reps", type=int, default=4000)
    parser.add_argument("--draws", type=int, default=100_000)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--record", action="store_true")
    asked = parser.parse_args()
    before, begun = circumstances(), time.perf_counter()
    with ProcessPoolExecutor(asked.processes) as executor:
        tables = {kind: executor.submit(claims, kind, asked.reps) for kind in KINDS}
        lots = {name: executor.submit(evenness, name, asked.draws) for name in DRAWS}
        found, even = ({name: one.result() for name, one in jobs.items()} for jobs in (tables, lots))
    for kind, counts in found.items():
        print(kind + ": " + ", ".join(f"{way} {100 * count / asked.reps:.1f} %" for way, count in counts.items()))
    for name, row in even.items():
        print(f"{name}: {row['seen']} of {row['possible']} draws seen, chi-square {row['chi_square']:.1f} on {row['df']}, p {row['p']:.3f}")
    row = {"reps": asked.reps, "claims": found, "lots": even, "wall_s": time.perf_counter() - begun}
    told("uniformity", before, row, record=asked.record)


if __name__ == "__main__":
    main()
