"""Honesty: how often a difference is claimed in trials in which nothing differs, and how often intervals hold the truth.

    python benchmarks/bench_honesty.py [--reps 1000] [--effect-reps 1000] [--processes 2] [--only WORDS] [--group main] [--record]

Whole trials are simulated and judged one by one, as any trial is: 36 settings (three designs, four sizes, three spreads of like tanks) and
more in which such promises usually break, each without and with an effect. One or two tanks per arm may ask eight earlier trials of two
tanks per arm, drawn anew for every trial. On the same trials of the 36 settings three naive ways are counted, which take every value for
a tank. `scripts/honesty` makes the page from what was recorded.
"""

import argparse
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from typing import Any

from honest_settings import MAIN, MORE, Setting
from honest_trials import Portion, judged, settings, truth_of
from recording import circumstances, told

from fairtank.errors import JobError
from fairtank.records.fanout import fanout

PORTION = 125
ALPHA = 0.05


def _one(work: tuple[Portion, tuple[tuple[str, float], ...]]) -> tuple[dict[str, Any], float]:
    """The counts of a portion and the seconds of computing that it took."""
    (portion, truth), begun = work, time.process_time()
    return judged(portion, dict(truth)), time.process_time() - begun


def _work(places: list[int], reps: int, effect_reps: int) -> list[tuple[Portion, tuple[tuple[str, float], ...]]]:
    """Portions of all settings, each with the truth of its setting; the seed depends on the setting and the portion alone."""
    work = []
    for place in places:
        truth = tuple(sorted(truth_of(settings()[place]).items()))
        for with_effect in (False, True):
            count = effect_reps if with_effect else reps
            for first in range(0, count, PORTION):
                seed = 1_000_000 + 10_000 * place + 10 * (first // PORTION) + 2 * with_effect
                work.append((Portion(place, with_effect, seed, min(PORTION, count - first)), truth))
    return work


def _share(counts: Counter[str], name: str, of: str = "trials") -> str:
    return f"{100 * counts[name] / counts[of]:5.1f} %" if counts[of] else "   -   "


def _row(setting: Setting, found: dict[tuple[str, bool], Counter[str]], truth: dict[str, float]) -> dict[str, Any]:
    row: dict[str, Any] = {"group": setting.group, "design": setting.design, "arms": setting.arms, "spread": setting.spread,
                           "note": setting.note, "truth": truth}
    for (way, with_effect), counts in sorted(found.items()):
        row.setdefault("effect" if with_effect else "null", {})[way] = dict(counts)
    null, effect = found["ours", False], found["ours", True]
    line = (f"{setting.key}: false claims {_share(null, 'claims')}, coverage {_share(null, 'covered', 'intervals')} and "
            f"{_share(effect, 'covered', 'intervals')}, power {_share(effect, 'claims')}, verdicts {_share(null, 'verdicts')}")
    naive = [f"{way} {_share(found[way, False], 'claims')}" for way in ("daily_t", "last_day", "photo_anova") if (way, False) in found]
    print(line + (f"; naive: {', '.join(naive)}" if naive else ""), flush=True)
    return row


def run(reps: int, effect_reps: int, processes: int, words: str, group: str) -> tuple[list[dict[str, Any]], dict[str, float]]:
    """The rows of all settings of a group whose name holds the words, and the seconds that they took, on the clock and of computing."""
    places = [place for place, setting in enumerate(settings()) if setting.group == group and words in setting.key]
    begun, computing, rows = time.perf_counter(), 0.0, {}
    counts: dict[int, dict[tuple[str, bool], Counter[str]]] = {place: {} for place in places}
    work = _work(places, reps, effect_reps)
    waiting = Counter(portion.place for portion, _ in work)
    truths = {portion.place: dict(truth) for portion, truth in work}
    with ProcessPoolExecutor(processes) as executor:
        for (portion, _), done in fanout(executor, _one, work):
            if isinstance(done, JobError):
                raise done
            found, took_s = done
            computing += took_s
            for way, counted in found.items():
                counts[portion.place].setdefault((way, portion.with_effect), Counter()).update(counted)
            waiting[portion.place] -= 1
            if not waiting[portion.place]:
                rows[portion.place] = _row(settings()[portion.place], counts[portion.place], truths[portion.place])
    return [rows[place] for place in places], {"took_s": time.perf_counter() - begun, "computing_s": computing}


def main() -> None:
    """Print the rates, and the run's JSON line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--reps", type=int, default=1000, help="trials per setting without an effect")
    parser.add_argument("--effect-reps", type=int, help="trials per setting with an effect; as many if not given")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--only", default="", help="settings whose name holds these words")
    parser.add_argument("--group", choices=(MAIN, MORE), help="only the 36, or only the others; a line is recorded for each")
    parser.add_argument("--record", action="store_true", help="add the JSON line to results/honesty.jsonl")
    options = parser.parse_args()
    effect_reps = options.effect_reps or options.reps
    for group in (options.group,) if options.group else (MAIN, MORE):
        before = circumstances()
        rows, took = run(options.reps, effect_reps, options.processes, options.only, group)
        print(f"{len(rows)} settings took {took['took_s']:.0f} s with {options.processes} processes, "
              f"{took['computing_s']:.0f} s of computing")
        row = {"group": group, "reps": options.reps, "effect_reps": effect_reps, "processes": options.processes, **took, "settings": rows}
        told("honesty", before, row, record=options.record)


if __name__ == "__main__":
    main()
