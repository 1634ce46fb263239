"""Cover error on hand-labelled field photos, beside other ways and beside an answer that looks at nothing.

    python benchmarks/bench_cover.py DIR [--draws 10] [--photos 3] [--record] [--write FOLDER]

DIR holds images/*.jpg and labels/*.png (green = crop, red = weed, black = background). The crop stands for plants, the weed for algae.
For each draw a few photos get strokes cut from their labels; errors are those of cover on all other photos, in points. The constant answer
gives every photo the median cover of the painted ones: a way that does not beat it has measured nothing. The first draw also goes through
the real chain (a trial folder on disk, read and measured), and how far its covers lie from those of the classes alone is told.
"""

import argparse
import json
import tempfile
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np
from field_trial import CLASSES, STROKE_PHOTOS, drawn_names, field_trial_write, names_of, stroke_numbers, truth_masks
from PIL import Image
from plain_ways import LEARNT_WAYS, PLAIN_WAYS
from recording import RESULTS, circumstances, told

from fairtank.records.folder import read_folder
from fairtank.records.services.measuring import folder_measure
from fairtank.records.store import Store
from fairtank.vision.classes.classifier import Classifier, classified, learn_classes
from fairtank.vision.classes.strokes import StrokePicture

PARTS = ("crop", "weed", "green")
LIMITS = {"crop": 2.5, "weed": 3.0, "green": 1.5}
# Ways that take seconds per megapixel see every eighth px across and down, some ten thousand of a photo, and the first draws only.
_THINNED, _SLOW_DRAWS = 8, 2
WORDS = {
    "fairtank": "fairtank: colour and what lies around", "lookup": "fairtank's colour lookup alone",
    "random_forest": "random forest, px by px", "lightgbm": "LightGBM, px by px", "hsv": "fixed limits of hue",
    "excess_green": "excess green with Otsu's threshold", "constant": "the same answer for every photo",
}  # fmt: skip


@dataclass(frozen=True)
class CoverRow:
    """One way in one run. mean, bias, p90, r: by part (crop, weed, green), over all draws and photos. draws_mean: mean error of each draw.
    ms_per_mp: CPU time for a megapixel that is in memory; None where nothing is looked at."""

    way: str
    mean: dict[str, float]
    bias: dict[str, float]
    p90: dict[str, float]
    r: dict[str, float]
    draws_mean: dict[str, list[float]]
    ms_per_mp: float | None


def recorded_rows(photos: int = STROKE_PHOTOS) -> tuple[CoverRow, ...]:
    """The rows of the last recorded run with so many stroke photos."""
    lines = [json.loads(line) for line in (RESULTS / "cover.jsonl").read_text(encoding="utf-8").splitlines()]
    last = [line for line in lines if line.get("stroke_photos") == photos][-1]
    return tuple(CoverRow(**row) for row in last["ways"])


def table_md(rows: tuple[CoverRow, ...]) -> str:
    """Rows as a Markdown table for a page."""
    lines = ["| way | mean error crop / weed / green | bias | nine in ten within | r | ms per megapixel |", "|---|---|---|---|---|---|"]
    for row in rows:
        cells = [" / ".join(f"{values[part]:.{digits}f}" if part in values else "-" for part in PARTS)
                 for values, digits in ((row.mean, 1), (row.bias, 1), (row.p90, 1), (row.r, 2))]
        spent = "-" if row.ms_per_mp is None else f"{row.ms_per_mp:.2g}" if row.ms_per_mp < 100 else f"{round(row.ms_per_mp, -2):.0f}"
        lines.append(f"| {WORDS[row.way]} | {' | '.join(cells)} | {spent} |")
    return "\n".join(lines)


class Found:
    """The covers of one way, gathered photo by photo: (draw, part, found, true)."""

    def __init__(self) -> None:
        self.rows: list[tuple[int, str, float, float]] = []
        self.spent: list[float] = []

    def add(self, draw: int, covers: dict[str, float], truth: dict[str, float]) -> None:
        """One photo's covers beside the truth. [%]"""
        self.rows += [(draw, part, covers[part], truth[part]) for part in PARTS if part in covers]

    def row(self, way: str) -> CoverRow:
        """The errors of all draws together."""
        off: dict[str, dict[str, Any]] = {name: {} for name in ("mean", "bias", "p90", "r", "draws_mean")}
        for part in dict.fromkeys(row[1] for row in self.rows):
            draws, found, true = (np.array([row[place] for row in self.rows if row[1] == part]) for place in (0, 2, 3))
            error = found - true
            off["mean"][part], off["bias"][part] = float(np.abs(error).mean()), float(error.mean())
            off["p90"][part] = float(np.percentile(np.abs(error), 90))
            off["r"][part] = float(np.corrcoef(found, true)[0, 1]) if found.std() > 0 else 0.0
            off["draws_mean"][part] = [float(np.abs(error[draws == draw]).mean()) for draw in np.unique(draws)]
        return CoverRow(way, **off, ms_per_mp=float(np.median(self.spent)) if self.spent else None)


def covers_of(classes: np.ndarray) -> dict[str, float]:
    """Cover of crop (1), weed (2) and both. [%]"""
    crop, weed = (100 * float((classes == kind).mean()) for kind in (1, 2))
    return {"crop": crop, "weed": weed, "green": crop + weed}


def chain_covers(source: Path, seed: int, count: int) -> tuple[dict[str, dict[str, float]], float]:
    """Covers of every photo that got a value, by read_folder and folder_measure on a real trial folder; and CPU seconds."""
    with tempfile.TemporaryDirectory() as temporary:
        root = Path(temporary) / "trial"
        field_trial_write(source, root, seed, count)
        start = time.process_time()
        measured = folder_measure(folder=read_folder(root), store=Store(Path(temporary) / "store"), workers=1)
        spent = time.process_time() - start
    for quality in measured.qualities:
        if quality.quality == "not usable":
            print(f"  {quality.photo} is not usable: {' '.join(quality.reasons)}")
    found: dict[str, dict[str, float]] = {}
    for row in measured.measured:
        if row.zone == "" and row.measure in ("plant_cover", "algae_cover"):
            found.setdefault(Path(row.photo).stem, {})["crop" if row.measure == "plant_cover" else "weed"] = row.value
    return {name: {**covers, "green": covers["crop"] + covers["weed"]} for name, covers in found.items() if len(covers) == 2}, spent


def timed(way: Found, pixels: np.ndarray, megapixels: float, answer: Callable[[np.ndarray], Any]) -> Any:
    """What a way answers, its CPU time noted."""
    start = time.process_time()
    found = answer(pixels)
    way.spent.append(1000 * (time.process_time() - start) / megapixels)
    return found


def draw_run(source: Path, seed: int, count: int, pictures: dict[str, np.ndarray], truth: dict[str, dict[str, float]],
             ways: dict[str, Found]) -> tuple[dict[str, dict[str, float]], float]:
    """All ways on one draw; our covers of every photo, and CPU seconds of learning."""
    painted = drawn_names(source, seed, count)
    strokes = tuple(StrokePicture(name, pictures[name], stroke_numbers(source, name, seed), np.ones(pictures[name].shape[:2], bool))
                    for name in painted)
    start = time.process_time()
    full = learn_classes(strokes, CLASSES)
    spent = time.process_time() - start
    alone = Classifier(full.lookup)
    colours = np.concatenate([one.picture[one.numbers < len(CLASSES)] for one in strokes])
    answers = np.array([1, 2, 0])[np.concatenate([one.numbers[one.numbers < len(CLASSES)] for one in strokes])]
    learnt = {way: learn(colours, answers) for way, learn in LEARNT_WAYS.items() if seed < _SLOW_DRAWS}
    constant = {part: float(np.median([truth[name][part] for name in painted])) for part in PARTS}
    ours: dict[str, dict[str, float]] = {}
    for name in (name for name in truth if name not in painted):
        pixels, true = pictures[name], truth[name]
        megapixels = pixels.shape[0] * pixels.shape[1] / 1e6
        ours[name] = covers_of(timed(ways["fairtank"], pixels, megapixels, lambda pixels: classified(pixels, full)).classes)
        ways["fairtank"].add(seed, ours[name], true)
        by_colour = timed(ways["lookup"], pixels, megapixels, lambda pixels: classified(pixels, alone))
        ways["lookup"].add(seed, covers_of(by_colour.classes), true)
        for way, mask in PLAIN_WAYS.items():
            ways[way].add(seed, {"green": 100 * float((timed(ways[way], pixels, megapixels, mask) > 0).mean())}, true)
        thin = np.ascontiguousarray(pixels[::_THINNED, ::_THINNED]).reshape(-1, 3)
        for way, tell in learnt.items():
            ways[way].add(seed, covers_of(timed(ways[way], thin, len(thin) / 1e6, tell)), true)
        ways["constant"].add(seed, constant, true)
    return ours, spent


def main() -> None:
    """Print the errors of each way, and the run's JSON line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("source", type=Path, metavar="DIR")
    parser.add_argument("--draws", type=int, default=10)
    parser.add_argument("--photos", type=int, default=STROKE_PHOTOS, help="with strokes")
    parser.add_argument("--record", action="store_true", help="add the JSON line to results/cover.jsonl")
    parser.add_argument("--write", type=Path, metavar="FOLDER", help="only write the trial folder of draw 0")
    options = parser.parse_args()
    if options.write:
        painted = field_trial_write(options.source, options.write, 0, options.photos)
        print(f"Strokes on {', '.join(painted)}. Now: fairtank run {options.write} --out out")
        return
    before = circumstances()
    pictures = {name: np.asarray(Image.open(options.source / "images" / f"{name}.jpg").convert("RGB")) for name in names_of(options.source)}
    masks = {name: truth_masks(options.source / "labels" / f"{name}.png") for name in pictures}
    truth = {name: covers_of(parts["plant"] + 2 * parts["weed"].astype(int)) for name, parts in masks.items()}
    ways = {way: Found() for way in WORDS}
    missing, apart, folder_spent, spent = 0, 0.0, 0.0, []
    for seed in range(options.draws):
        ours, took = draw_run(options.source, seed, options.photos, pictures, truth, ways)
        spent.append(took)
        if seed == 0:
            chain, folder_spent = chain_covers(options.source, seed, options.photos)
            missing = len(set(ours) - set(chain))
            apart = max(abs(chain[name][part] - ours[name][part]) for name in ours if name in chain for part in PARTS)
        means = " / ".join(f"{ways['fairtank'].row('').mean[part]:.2f}" for part in PARTS)
        print(f"draw {seed + 1} of {options.draws}; mean errors so far {means}", flush=True)
    rows = tuple(found.row(way) for way, found in ways.items())
    print(table_md(rows))
    ours, alone = rows[0], rows[1]
    print(f"Limits {LIMITS}; weed error {100 * (1 - ours.mean['weed'] / alone.mean['weed']):.0f} % below the colour lookup's.")
    print(f"Through the real chain: covers within {apart:.2g} points of these, {missing} photos without a value.")
    row = {"photos": len(truth), "draws": options.draws, "stroke_photos": options.photos, "without_value": missing, "chain_apart": apart,
           "folder_cpu_s": folder_spent, "learn_cpu_s": float(np.median(spent)), "ways": [asdict(one) for one in rows]}
    told("cover", before, row, record=options.record)


if __name__ == "__main__":
    main()
