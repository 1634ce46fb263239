"""Cover error on hand-labelled field photos, through the real chain, beside plain ways and beside an answer that looks at nothing.

    python benchmarks/bench_cover.py DIR [--draws 5] [--record] [--write FOLDER]

DIR holds images/*.jpg and labels/*.png (green = crop, red = weed, black = background). For each draw three photos get strokes cut
from their labels; the error is that of plant cover (crop and weed together) on all other photos, in points.
"""

import argparse
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from field_trial import drawn_names, field_trial_write, names_of, truth_masks
from PIL import Image
from plain_ways import PLAIN_WAYS
from recording import circumstances, told

from fairtank.records.folder import read_folder
from fairtank.records.services.measuring import folder_measure
from fairtank.records.store import Store

LIMIT_POINTS = 2.0


def errors(covers: dict[str, float], truth: dict[str, float], names: list[str]) -> dict[str, float]:
    """Mean absolute error, bias, 90th percentile and worst of some photos. [points]"""
    off = np.array([covers[name] - truth[name] for name in names])
    size = np.abs(off)
    return {"mean": float(size.mean()), "bias": float(off.mean()), "p90": float(np.percentile(size, 90)), "worst": float(size.max())}


def chain_covers(source: Path, seed: int) -> tuple[dict[str, float], float]:
    """Plant cover of every photo that got a value, by read_folder and folder_measure on a real trial folder; and CPU seconds."""
    with tempfile.TemporaryDirectory() as temporary:
        root = Path(temporary) / "trial"
        field_trial_write(source, root, seed)
        start = time.process_time()
        measured = folder_measure(folder=read_folder(root), store=Store(Path(temporary) / "store"), workers=1)
        spent = time.process_time() - start
    for quality in measured.qualities:
        if quality.quality == "not usable":
            print(f"  {quality.photo} is not usable: {' '.join(quality.reasons)}")
    return {Path(row.photo).stem: row.value for row in measured.measured if (row.measure, row.zone) == ("plant_cover", "")}, spent


def plain_covers(source: Path, mask: Callable[[np.ndarray], np.ndarray]) -> dict[str, float]:
    """Green cover of every photo by a plain way."""
    return {name: 100 * float((mask(np.asarray(Image.open(source / "images" / f"{name}.jpg"))) > 0).mean()) for name in names_of(source)}


def main() -> None:
    """Print the errors of each draw and way, and the run's JSON line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("source", type=Path, metavar="DIR")
    parser.add_argument("--draws", type=int, default=5)
    parser.add_argument("--record", action="store_true", help="add the JSON line to results/cover.jsonl")
    parser.add_argument("--write", type=Path, metavar="FOLDER", help="only write the trial folder of draw 0")
    options = parser.parse_args()
    if options.write:
        print(f"Strokes on {', '.join(field_trial_write(options.source, options.write, 0))}. Now: fairtank run {options.write} --out out")
        return
    before = circumstances()
    masks = {name: truth_masks(options.source / "labels" / f"{name}.png") for name in names_of(options.source)}
    truth = {name: 100 * float((parts["plant"] | parts["weed"]).mean()) for name, parts in masks.items()}
    plain = {way: plain_covers(options.source, mask) for way, mask in PLAIN_WAYS.items()}
    draws: dict[str, list[dict[str, float]]] = {}
    missing, spent = 0, []
    for seed in range(options.draws):
        painted = drawn_names(options.source, seed)
        ours, took = chain_covers(options.source, seed)
        spent.append(took)
        others = [name for name in truth if name not in painted]
        valued = [name for name in others if name in ours]
        missing += len(others) - len(valued)
        constant = dict.fromkeys(truth, float(np.median([truth[name] for name in painted])))
        print(f"draw {seed}: strokes on {', '.join(painted)}; {len(valued)} of {len(others)} other photos got a value")
        for way, covers in {"fairtank": ours, **plain, "constant": constant}.items():
            found = errors(covers, truth, valued)
            draws.setdefault(way, []).append(found)
            print(f"  {way:13}" + "".join(f"  {key} {value:6.2f}" for key, value in found.items()))
    row: dict[str, Any] = {"photos": len(truth), "draws": options.draws, "without_value": missing, "folder_cpu_s": float(np.median(spent))}
    for way, found in draws.items():
        row[way] = {key: float(np.mean([one[key] for one in found])) for key in found[0]} | {"draws_mean": [one["mean"] for one in found]}
    means = ", ".join(f"{way} {row[way]['mean']:.2f}" for way in draws)
    print(f"Mean absolute error over {options.draws} draws: {means} (limit for fairtank {LIMIT_POINTS:g})")
    told("cover", before, row, record=options.record)


if __name__ == "__main__":
    main()
