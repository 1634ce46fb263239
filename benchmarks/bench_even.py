"""How well the evenness check finds what was planted, and how often it finds what was not: 440 invented trials of some 70 kinds.

    python benchmarks/bench_even.py [--seed N] [--keep FOLDER] [--record]

The trials (`planted/`) were written without a look at the check. Each is written as a folder and read again as any trial is. Counted are:
of a factor that goes along with the arms, how often it is called so; of one that is as uneven in every arm, how often it is called crossed;
of a change that brings something else, how often that is told, or asked whether it is meant; of a factor written down for one arm only, how
often that is told; and of fair trials, with the scatter of scales, lots and drop tests, how many get a factor that is said to go along with
the arms. --keep leaves the folders that came out otherwise than planted. Last the CPU time of one check of 12 tanks with 40 factors.
"""

import argparse
import shutil
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import numpy as np
from planted.factors import FACTORS, STATED
from planted.facts import Facts
from planted.forms import write
from planted.layouts import plan_of
from planted.trials import ALIGNED, CROSSED, FAIR, MEANT, MISSING, SEED, SIDE, Trial, trials
from recording import circumstances, told

from fairtank.records.evened import folder_even
from fairtank.records.folder import read_folder
from fairtank.records.services.evening import trial_even
from fairtank.science.cover import wilson

LIMITS = {"recall": 0.95, "fair_trials": 0.05, "cpu_ms": 200.0}
RIGHT = {ALIGNED: {"confounded"}, CROSSED: {"crossed"}, SIDE: {"side_effect", "confounded", "change?"}, MISSING: {"not_recorded"},
         MEANT: {"change"}}
NONE_GIVEN = ("doses", "water_change")  # chores of one arm only read as well as none in the other: either is told
# What is another thing once the first is: a longer glass holds more water, of which ten litres are a smaller share.
_FROM = ("tank_length", "tank_width", "water_level", "water_volume", "substrate_mass", "substrate_depth", "hardscape_mass")
FOLLOWS = {key: {"water_volume", "water_change", "doses", "substrate_depth"} for key in _FROM}
WORDS = {ALIGNED: "goes along with the arms", CROSSED: "uneven in every arm alike", SIDE: "comes with the change",
         MISSING: "not written down for one arm", MEANT: "the change itself", FAIR: "nothing planted"}


def verdicts(trial: Trial, root: Path) -> dict[str, list[str]]:
    """The verdicts of the check by factor, from the written folder; a factor of several parts has several."""
    trial.write(root)
    found: dict[str, list[str]] = defaultdict(list)
    for check in trial_even(root=root).result.checks:
        found[check.key].append("change?" if check.may_be_the_change else check.verdict)
    return found


def is_right(trial: Trial, found: dict[str, list[str]]) -> bool:
    """Whether one of the planted factors got a verdict that fits; of a fair trial, whether no factor is said to go along with the arms."""
    if trial.sort == FAIR:
        return not any("confounded" in own for own in found.values())
    right = RIGHT[trial.sort] | ({"confounded"} if trial.sort == MISSING and set(trial.factors) & set(NONE_GIVEN) else set())
    return any(right & set(found[key]) for key in trial.factors)


def falsely_aligned(trial: Trial, found: dict[str, list[str]]) -> list[str]:
    """Factors, other than those planted, that are said to go along with the arms."""
    follows = set().union(*(FOLLOWS.get(key, set()) for key in trial.factors))
    return [key for key, own in found.items() if "confounded" in own and key not in trial.factors and key not in follows]


def looked_at(chosen: Iterable[Trial], keep: Path | None = None, tell: Callable[[str], object] = print) -> list[dict[str, Any]]:
    """One row for each trial: its sort and kind, whether it came out right, and what was called out without being planted."""
    rows = []
    with tempfile.TemporaryDirectory() as temporary:
        for trial in chosen:
            root = Path(temporary) / f"trial_{trial.number}"
            found = verdicts(trial, root)
            right, extra = is_right(trial, found), falsely_aligned(trial, found)
            told_of = {key: found.get(key, []) for key in trial.factors}
            if not right or extra:
                tell(f"{trial.number} {trial.sort}: {trial.kind} ({trial.layout}): {told_of}, also called aligned: {extra}")
                if keep is not None:
                    shutil.copytree(root, keep / root.name, dirs_exist_ok=True)
            judged = sum(own not in (["not_recorded"], []) for own in found.values())
            rows.append({"number": trial.number, "sort": trial.sort, "kind": trial.kind, "factors": trial.factors, "layout": trial.layout,
                         "right": right, "extra": extra, "told": told_of, "judged": judged})
            shutil.rmtree(root)
    return rows


def summary(rows: list[dict[str, Any]]) -> dict[str, Any]:
    """Shares with their intervals, by what was planted."""
    found: dict[str, Any] = {"trials": len(rows), "kinds": len({row["kind"] for row in rows})}
    for sort in WORDS:
        own = [row for row in rows if row["sort"] == sort]
        if own:
            found[sort] = share(sum(row["right"] for row in own), len(own))
    fair = [row for row in rows if row["sort"] == FAIR]
    if fair:
        found["fair_factors"] = share(sum(len(row["extra"]) for row in fair), sum(row["judged"] for row in fair))
    crossed = [row for row in rows if row["sort"] == CROSSED]
    if crossed:
        aligned = sum("confounded" in told for row in crossed for told in row["told"].values())
        found["crossed_called_aligned"] = share(aligned, len(crossed))
    rest = [row for row in rows if row["sort"] not in (FAIR, SIDE)]
    if rest:
        found["others_called_aligned"] = share(sum(len(row["extra"]) for row in rest), sum(row["judged"] for row in rest))
    return found


def share(count: int, of: int) -> dict[str, float]:
    """A share with its 95 % interval."""
    interval = wilson(count, of)
    return {"count": count, "of": of, "share": count / of, "low": float(interval.low), "high": float(interval.high)}


def twelve_by_forty_ms(repeats: int = 9) -> tuple[int, float]:
    """How many factors were written down for twelve tanks, and the median CPU time of one check of them in ms, the folder being read."""
    chance = np.random.default_rng(12)
    facts = Facts(plan_of("side_6", chance))
    for one in FACTORS[:46]:
        form = one.forms[-1] if one.forms[-1] not in ("setup", "place") else one.forms[0]
        write(facts, one, form if form != "place" else STATED, set(), chance)
    with tempfile.TemporaryDirectory() as temporary:
        root = Path(temporary) / "twelve"
        Trial(0, FAIR, "", (), "side_6", facts).write(root)
        folder = read_folder(root)
        checks = sum(bool(check.values) for check in folder_even(folder)[0].checks)
        spent = []
        for _ in range(repeats):
            began = time.process_time()
            folder_even(folder)
            spent.append(1000 * (time.process_time() - began))
    return checks, float(np.median(spent))


def main() -> None:
    """Print what came out otherwise than planted, the shares, the time, and the run's JSON line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--keep", type=Path, help="where folders go that came out otherwise than planted")
    parser.add_argument("--record", action="store_true", help="add the JSON line to results/even.jsonl")
    parser.add_argument("--seed", type=int, default=SEED, help="another one gives other designs, forms and sizes to the same factors")
    options = parser.parse_args()
    before = circumstances()
    rows = looked_at(trials(seed=options.seed), options.keep)
    row = {"seed": options.seed, **summary(rows)}
    for sort, words in WORDS.items():
        own = row[sort]
        print(f"{words:32} right in {own['count']} of {own['of']}: {100 * own['share']:.1f} % "
              f"({100 * own['low']:.1f} to {100 * own['high']:.1f})")
    for name in ("fair_factors", "crossed_called_aligned", "others_called_aligned"):
        own = row[name]
        print(f"{name.replace('_', ' '):32} {own['count']} of {own['of']}: {100 * own['share']:.2f} %")
    row["checked_factors"], row["cpu_ms"] = twelve_by_forty_ms()
    print(f"12 tanks, {row['checked_factors']} factors: {row['cpu_ms']:.0f} ms (limit {LIMITS['cpu_ms']:g})")
    told("even", before, row, record=options.record)


if __name__ == "__main__":
    main()
