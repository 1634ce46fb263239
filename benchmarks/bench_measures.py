"""Error of every measure of the photos on rendered tanks whose truth is known: mean and worst, beside the target where there is one.

    python benchmarks/bench_measures.py [--cache FOLDER] [--record]

Three sets of photos of the six tanks of one demo trial, 2048 px wide, none of them painted; one classifier for all of them, learnt from the
trial's own nine photos with strokes. `days`: the trial as it is. `spots`: with more algae, pairs of photos of successive days.
`water`: a card beside each tank, and water that turns brown, then milky. Rendered photos are kept in FOLDER under a digest of the renderer.
"""

import argparse
import hashlib
import pickle
import tempfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from recording import circumstances, told

from fairtank import simulation
from fairtank.simulation import render_photo, scenario, strokes_on
from fairtank.simulation.scenario import Scenario
from fairtank.simulation.truth import SPOT_CM, Truth
from fairtank.vision.classes.classifier import Classifier, learn_classes
from fairtank.vision.classes.strokes import class_numbers, stroke_picture
from fairtank.vision.load import LoadedPhoto, decoded_photo
from fairtank.vision.measure import PhotoResult, measure_photo
from fairtank.vision.measures.spots import SAME_PLACE_CM, confirmed
from fairtank.vision.prepare import prepared_photo
from fairtank.vision.sequence import Moment, sequence_measures
from fairtank.vision.view import View, relative, view_of

TRIAL = scenario("midday")
UNITS = tuple(unit.key for unit in TRIAL.plan.units)
SETS = {
    "days": TRIAL,
    "spots": replace(TRIAL, growth=replace(TRIAL.growth, algae_start_pct=5.0)),
    "water": replace(TRIAL, cards=True, water_course=((0, 0.0, 0.0), (16, 0.3, 0.0), (26, 0.3, 0.25), (37, 0.0, 0.25))),
}
TESTED = {
    "days": tuple((unit, day) for unit in UNITS for day in (3, 10, 17, 25, 34)),
    "spots": tuple((unit, day + later) for unit in UNITS for day in (5, 14) for later in (0, 1)),
    "water": tuple((unit, day) for unit in ("T2", "T5") for day in (0, 8, 14, 20, 27, 35)),
}
TARGETS = {
    "plant_cover": {"mean": 1.5, "worst": 4.0}, "algae_cover": {"mean": 1.5, "worst": 4.0}, "canopy_height": {"p90": 0.7},
    "spots": {"recall": 0.80, "precision": 0.90},
}  # fmt: skip


class Photos:
    """Rendered photos with their truth, kept in a folder."""

    def __init__(self, folder: Path) -> None:
        sources = sorted(Path(simulation.__file__).parent.glob("*.py"))
        digest = hashlib.sha256(b"".join(path.read_bytes() for path in sources)).hexdigest()[:12]
        self.folder = folder / digest
        self.folder.mkdir(parents=True, exist_ok=True)

    def get(self, name: str, unit: str, day: int) -> tuple[LoadedPhoto, Truth]:
        """One photo of one of the SETS, as it is loaded, and its truth."""
        path = self.folder / f"{name}-{unit}-{day}.pickle"
        if not path.exists():
            rendered = render_photo(SETS[name], unit, day, TRIAL.photo_size)
            path.write_bytes(pickle.dumps((rendered.jpeg_bytes(), rendered.truth)))
        content, truth = pickle.loads(path.read_bytes())
        return decoded_photo(content, path.name), truth


def views_of(photos: Photos, name: str) -> dict[str, View]:
    """The view of each tank, from its first photo."""
    trial: Scenario = SETS[name]
    units = {unit for unit, _ in TESTED[name]} | ({unit for unit, _ in trial.labelled} if name == "days" else set())
    return {
        frame.unit: view_of(frame, tuple(zone for zone in trial.zones if zone.unit == frame.unit), photos.get(name, frame.unit, 0)[0])
        for frame in trial.frames if frame.unit in units
    }  # fmt: skip


def classifier_of(photos: Photos, views: dict[str, View]) -> Classifier:
    """Learnt from the strokes on the trial's own labelled photos."""
    pictures = []
    for unit, day in TRIAL.labelled:
        loaded, truth = photos.get("days", unit, day)
        prepared = prepared_photo(loaded, views[unit])
        numbers = class_numbers(strokes_on(TRIAL, truth, TRIAL.photo(unit, day), 1), TRIAL.label_classes)
        corners = relative(prepared.corners_px, max(truth.label.shape))
        pictures.append(stroke_picture(f"{unit}-{day}", prepared.picture, numbers, corners, views[unit]))
    return learn_classes(tuple(pictures), TRIAL.label_classes)


def measured(photos: Photos, classifier: Classifier, name: str, views: dict[str, View]) -> list[tuple[str, int, PhotoResult, Truth]]:
    """Every tested photo of a set: unit, day, what was measured, what is true."""
    found = []
    for unit, day in TESTED[name]:
        loaded, truth = photos.get(name, unit, day)
        found.append((unit, day, measure_photo(SETS[name].photo(unit, day), loaded, views[unit], classifier, version="bench"), truth))
    return found


def errors(rows: list[tuple[str, int, PhotoResult, Truth]], key: str, truth_key: str = "") -> dict[str, Any]:
    """Mean, bias, 90th percentile and worst absolute error of one measure, and the error of always answering the median truth."""
    pairs = []
    for _, _, result, truth in rows:
        value = next((row.value for row in result.measured if (row.measure, row.zone) == (key, "")), None)
        true = truth.row()[truth_key or key]
        if value is not None and true is not None:
            pairs.append((value, true))
    if not pairs:
        return {"photos": 0}
    off, truths = np.array([value - true for value, true in pairs]), np.array([true for _, true in pairs])
    size = np.abs(off)
    constant = float(np.abs(truths - np.median(truths)).mean())
    return {"photos": len(pairs), "mean": float(size.mean()), "bias": float(off.mean()), "p90": float(np.percentile(size, 90)),
            "worst": float(size.max()), "constant": constant, "truth_to": float(truths.max())}  # fmt: skip


def spot_rates(rows: list[tuple[str, int, PhotoResult, Truth]]) -> dict[str, Any]:
    """How many spots that both photos of a pair show were confirmed, how many confirmed dots are spots, and the error of their density."""

    def near(places: np.ndarray, others: np.ndarray, within_cm: float) -> np.ndarray:
        if not len(places) or not len(others):
            return np.zeros(len(places), bool)
        return np.hypot(*(places[:, None] - others[None]).transpose(2, 0, 1)).min(axis=1) <= within_cm

    true, hits, kept, right, off, densities = 0, 0, 0, 0, [], []
    for first, second in zip(rows[::2], rows[1::2], strict=True):
        (unit, day, now, truth), (_, _, later, truth_later) = first, second
        if now.spots is None or later.spots is None:
            continue
        there = truth.spots[truth.spots[:, 2] >= SPOT_CM][:, :2]
        there = there[near(there, truth_later.spots[:, :2], 0.05)]
        dots = now.spots.places[confirmed(now.spots, later.spots)].astype(float)
        true, hits = true + len(there), hits + int(near(there, dots, SAME_PLACE_CM).sum())
        kept, right = kept + len(dots), right + int(near(dots, truth.spots[:, :2], SAME_PLACE_CM).sum())
        moments = tuple(
            Moment(SETS["spots"].photo(unit, at), result.quality.quality, "bench", {}, result.spots)
            for at, result in ((day, now), (day + 1, later))
        )
        told_values = [row.value for row in sequence_measures(moments) if row.measure == "algae_spots"]
        if told_values:
            off.append(told_values[0] - truth.algae_spots)
            densities.append(truth.algae_spots)
    size = np.abs(off)
    return {"pairs": len(densities), "true": true, "recall": hits / max(true, 1), "kept": kept, "precision": right / max(kept, 1),
            "density_mean": float(size.mean()), "density_bias": float(np.mean(off)), "density_worst": float(size.max()),
            "density_true_mean": float(np.mean(densities))}  # fmt: skip


def table(found: dict[str, dict[str, Any]]) -> None:
    """Print one line per measure, and whether its targets were met."""
    for key, row in found.items():
        numbers = ", ".join(f"{name} {value:.3g}" for name, value in row.items())
        missed = [f"{name} {limit:g}" for name, limit in TARGETS.get(key, {}).items()
                  if (row[name] < limit if key == "spots" else row[name] > limit)]  # fmt: skip
        verdict = "" if key not in TARGETS else "  MISSED: " + ", ".join(missed) if missed else "  targets met"
        print(f"{key}: {numbers}{verdict}")


def main() -> None:
    """Render what is missing, measure, print the errors and the run's JSON line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--cache", type=Path, default=Path(tempfile.gettempdir()) / "fairtank-bench-measures", metavar="FOLDER")
    parser.add_argument("--record", action="store_true", help="add the JSON line to results/measures.jsonl")
    options = parser.parse_args()
    before, photos = circumstances(), Photos(options.cache)
    views = {name: views_of(photos, name) for name in SETS}
    classifier = classifier_of(photos, views["days"])
    rows = {name: measured(photos, classifier, name, views[name]) for name in SETS}
    found = {key: errors(rows["days"], key) for key in ("plant_cover", "algae_cover", "carpet_cover", "canopy_height")}
    found["spots"] = spot_rates(rows["spots"])
    found |= {key: errors(rows["water"], key) for key in ("water_tint", "haze")}
    table(found)
    quality = [result.quality.quality for part in rows.values() for _, _, result, _ in part]
    print(f"{quality.count('usable')} of {len(quality)} photos usable, {quality.count('doubtful')} doubtful")
    told("measures", before, {"errors": found, "photos": len(quality), "usable": quality.count("usable")}, record=options.record)


if __name__ == "__main__":
    main()
