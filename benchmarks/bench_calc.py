"""How fast the calculators answer: single calls, arrays of a million, intervals, a table, and the whole command beside an empty process.

    python benchmarks/bench_calc.py [--repeats 7] [--record]

Each calculator is called with the example of its docstring. Arrays: its first input that takes them is a million equal values. Ratios are
made within the run: single calls by a bare square root, arrays by np.exp of as many numbers, the command by `python -c pass`.
"""

import argparse
import math
import shlex
import subprocess
import sys
import time
from collections.abc import Callable
from typing import Any

import numpy as np
from recording import circumstances, told

from fairtank import registry
from fairtank.bench.inputs import ONE, example_of, taken_by
from fairtank.cli.asking import asked
from fairtank.registry import Entry
from fairtank.science.calling import is_number
from fairtank.science.uncertainty import band_of, interval_of

MILLION = 1_000_000
LIMITS = {"single_ms": 50.0, "array_s": 1.0, "calc_s": 0.6, "help_s": 0.4}
COMMANDS = {
    "numpy": ["-c", "import numpy"],
    "help": ["-m", "fairtank.cli", "--help"],
    "calc": ["-m", "fairtank.cli", "calc", "oxygen_saturation_mg_l", "--temp-c", "20"],
    "calc_draws": ["-m", "fairtank.cli", "calc", "carbonate", "--temp-c", "25", "--alkalinity-dkh", "4", "--ph", "6.6"],
    "calc_list": ["-m", "fairtank.cli", "calc"],
}


def median_s(call: Callable[[], Any], repeats: int) -> float:
    """Median wall seconds of a call, after one that does not count."""
    spent = []
    for _ in range(repeats + 1):
        start = time.perf_counter()
        call()
        spent.append(time.perf_counter() - start)
    return float(np.median(spent[1:]))


def example(entry: Entry) -> dict[str, Any]:
    """The inputs of the example in the docstring."""
    return asked(entry, shlex.split(example_of(entry))[3:]).given


def array_call(entry: Entry, given: dict[str, Any]) -> Callable[[], Any] | None:
    """A call with a million values of the first input that takes arrays; None where none does."""
    for declared in entry.inputs:
        takes_arrays = taken_by(entry, declared) == ONE and is_number(given.get(declared.name))
        if takes_arrays and "array" in (entry.function.__doc__ or "").split(f"{declared.name} : ")[-1].split("\n")[0]:
            many = {**given, declared.name: np.full(MILLION, float(given[declared.name]))}
            return lambda: entry.function(**many)
    return None


def calculators(repeats: int) -> dict[str, Any]:
    """The slowest single call and the slowest array of all calculators, beside plain calls."""
    exponents = np.full(MILLION, 0.5)
    bare_s, plain_s = median_s(lambda: math.sqrt(2.0), 99), median_s(lambda: np.exp(exponents), repeats)
    single, array = {}, {}
    for entry in registry.entries("calculator"):
        given = example(entry)
        single[entry.key] = median_s(lambda entry=entry, given=given: entry.function(**given), repeats)
        call = array_call(entry, given)
        if call is not None:
            array[entry.key] = median_s(call, 1)
    slowest, longest = max(single, key=single.__getitem__), max(array, key=array.__getitem__)
    print(f"single calls: median {1e6 * float(np.median(list(single.values()))):.0f} µs over {len(single)} calculators; slowest {slowest} "
          f"{1e3 * single[slowest]:.1f} ms (limit {LIMITS['single_ms']:g} ms)")
    print(f"a million values: median {float(np.median(list(array.values()))):.3f} s over {len(array)} calculators; slowest {longest} "
          f"{array[longest]:.2f} s (limit {LIMITS['array_s']:g} s), {array[longest] / plain_s:.0f} x np.exp of as many")
    return {"calculators": len(single), "single_median_s": float(np.median(list(single.values()))), "single_slowest": slowest,
            "single_slowest_s": single[slowest], "single_median_per_sqrt": float(np.median(list(single.values()))) / bare_s,
            "arrays": len(array), "array_median_s": float(np.median(list(array.values()))), "array_slowest": longest,
            "array_slowest_s": array[longest], "array_slowest_per_exp": array[longest] / plain_s}


def intervals(repeats: int) -> dict[str, float]:
    """One interval by slopes, one by draws, and the bands of a table of ten thousand rows."""
    oxygen, carbonate = registry.entry("calculator", "oxygen_saturation_mg_l"), registry.entry("calculator", "carbonate")
    ph = {"ph": np.linspace(6.0, 8.0, 10_000)}
    row = {
        "interval_slopes_s": median_s(lambda: interval_of(oxygen, {"temp_c": 20.0}), repeats),
        "interval_draws_s": median_s(lambda: interval_of(carbonate, {"temp_c": 25.0, "alkalinity_dkh": 4.0, "ph": 6.6}), repeats),
        "table_10000_s": median_s(lambda: band_of(carbonate, {"temp_c": 25.0, "alkalinity_dkh": 4.0}, ph), 1),
    }
    print(f"interval: {1e3 * row['interval_slopes_s']:.0f} ms by slopes, {1e3 * row['interval_draws_s']:.0f} ms by draws (three parts, "
          f"three readings); 10,000 rows with bands by draws {row['table_10000_s']:.1f} s")
    return row


def commands(repeats: int) -> dict[str, float]:
    """The whole command, beside an empty process and one that only loads numpy."""
    row = {"empty_s": process_s(["-c", "pass"], repeats)}
    for name, words in COMMANDS.items():
        row[f"{name}_s"] = process_s(words, repeats)
        row[f"{name}_per_empty"] = row[f"{name}_s"] / row["empty_s"]
        limit = f" (limit {LIMITS[f'{name}_s']:g} s)" if f"{name}_s" in LIMITS else ""
        print(f"{name:10} {row[f'{name}_s']:.3f} s{limit}, {row[f'{name}_per_empty']:.1f} x an empty process")
    row["calc_per_numpy"] = row["calc_s"] / row["numpy_s"]
    return row


def process_s(words: list[str], repeats: int) -> float:
    """Median wall seconds of a whole Python process; the first run, which may compile, does not count."""
    return median_s(lambda: subprocess.run([sys.executable, *words], check=True, capture_output=True), repeats)


def main() -> None:
    """Print the times and ratios and the run's JSON line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--repeats", type=int, default=7)
    parser.add_argument("--record", action="store_true", help="add the JSON line to results/calc.jsonl")
    options = parser.parse_args()
    before = circumstances()
    row: dict[str, Any] = {**commands(options.repeats), **calculators(options.repeats), **intervals(options.repeats)}
    told("calc", before, row, record=options.record)


if __name__ == "__main__":
    main()
