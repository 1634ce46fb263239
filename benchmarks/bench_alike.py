"""Two arms that are the same tank, photographed by two cameras: whatever difference comes out was made by photographing and measuring.

    python benchmarks/bench_alike.py [--seeds 200] [--workers 2] [--record]

For each seed one invented tank with a photo card grows for four weeks. Its photos of arm R are taken as the renderer would take them;
those of arm C of the very same days by another camera: brighter or darker by up to 30 %, another white, another place, another zoom, all
drawn once for the seed. Strokes are painted on one photo of each arm. Every measure that has a value in both arms is compared: its mean
difference, the slope of the difference over the days, and whether a t-test of the daily differences would have called one. (Days are no
tanks: fairtank never judges so. Here it is the strictest question that can be put to the photographs alone.)

Then fairtank judges: each seed as a trial of one tank per arm, which can never be a finding, and each two seeds in a row as a trial of two
tanks per arm, the same two tanks in both. A finding there would have been made by the cameras.
"""

# ruff: noqa: E402 - the libraries read how many threads they may use when they are imported
import os

for _library in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[_library] = "1"

import argparse
import dataclasses
import multiprocessing
from concurrent.futures import ProcessPoolExecutor

import numpy as np
from recording import circumstances, told

from fairtank import registry
from fairtank.inference import judge
from fairtank.simulation import camera, render_photo, scenario, strokes_on
from fairtank.simulation.chance import generator
from fairtank.simulation.trials.plans import side_by_side_plan
from fairtank.trial import Frame, MeasureChoice, Series
from fairtank.vision.classes.classifier import learn_classes
from fairtank.vision.classes.strokes import class_numbers, stroke_picture
from fairtank.vision.colour.target import colour_target_of
from fairtank.vision.load import decoded_photo
from fairtank.vision.measure import measure_prepared
from fairtank.vision.prepare import prepared_photo
from fairtank.vision.view import relative, view_of, with_colour_target

Found = dict[str, dict[str, list[float]]]
SIZE, DAYS, STROKE_DAYS, UNIT = (800, 600), (0, 7, 14, 21, 28), (14,), "T1"
ARMS, FEWEST_DAYS, CLAIMS = ("R", "C"), 3, ("matters", "differs")


def other_camera(first: camera.Shot, seed: int, view: camera.View) -> camera.Shot:
    """The same moment with the other camera of this seed: its exposure, its white, its place."""
    chance = generator(seed, "other camera")
    light = np.exp(chance.uniform(-0.26, 0.26)) * np.exp(chance.normal(0, 0.06, 3))
    turn, zoom = np.radians(chance.uniform(-1, 1)), chance.uniform(0.93, 1.0)
    middle, move = np.array([view.width_px, view.height_px]) / 2, chance.uniform(-0.012, 0.012, 2) * view.width_px
    spin = zoom * np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    shift = np.eye(3)
    shift[:2, :2], shift[:2, 2] = spin, middle - spin @ middle + move
    gains = tuple(float(gain * factor) for gain, factor in zip(first.gains, light, strict=True))
    return camera.Shot(shift @ first.homography, gains, first.noise)  # type: ignore[arg-type]


def series_of(seed: int, days: tuple[int, ...] = DAYS, stroke_days: tuple[int, ...] = STROKE_DAYS) -> Found:
    """Measure -> arm -> value on each day, of one seed; a day that gave no value is NaN."""
    trial = dataclasses.replace(scenario("midday"), seed=seed, photo_size=SIZE, cards=True)
    card = next(one.card for one in trial.cards_of_units if one.unit == UNIT)
    view, loaded, truths, views = camera.View(*SIZE), {}, {}, {}
    for day in days:
        first = camera.shot(view, seed, UNIT, day)
        for arm, shot in (("R", first), ("C", other_camera(first, seed, view))):
            rendered = render_photo(trial, UNIT, day, SIZE, taken=shot)
            loaded[arm, day] = decoded_photo(rendered.jpeg_bytes(), f"{arm}{day}.jpg")
            truths[arm, day] = rendered.truth
    zones = tuple(zone for zone in trial.zones if zone.unit == UNIT)
    pictures = []
    for arm in ARMS:
        frame = Frame(UNIT, f"{arm}0.jpg", "registered", "front", truths[arm, 0].corners, camera.TANK_WIDTH_CM, camera.TANK_HEIGHT_CM)
        views[arm] = view_of(frame, zones, loaded[arm, 0], card=card)
    target = colour_target_of([view.card for view in views.values()], [view.patch for view in views.values()])
    views = {arm: with_colour_target(view, target) for arm, view in views.items()}
    prepared = {(arm, day): prepared_photo(photo, views[arm]) for (arm, day), photo in loaded.items()}
    for arm, day in ((arm, day) for arm in ARMS for day in stroke_days):
        one = prepared[arm, day]
        assert one.picture is not None
        assert one.corners_px is not None
        painted = class_numbers(strokes_on(trial, truths[arm, day], trial.photo(UNIT, day), seed), trial.label_classes)
        pictures.append(stroke_picture(f"{arm}{day}", one.picture, painted, relative(one.corners_px, SIZE[0]), views[arm]))
    classifier = learn_classes(tuple(pictures), trial.label_classes)
    found: Found = {}
    for number, day in enumerate(days):
        for arm in ARMS:
            result = measure_prepared(trial.photo(UNIT, day), prepared[arm, day], views[arm], classifier, version="bench")
            for row in result.measured:
                if row.zone == "":
                    arms = found.setdefault(row.measure, {key: [float("nan")] * len(days) for key in ARMS})
                    arms[arm][number] = row.value
    return found


def compared(found: list[Found]) -> dict[str, dict[str, float]]:
    """For each measure over all seeds: mean and spread of the difference, mean slope per week, and how often a t-test would call it."""
    from scipy.stats import ttest_1samp

    rows: dict[str, dict[str, float]] = {}
    for key in sorted({measure for one in found for measure in one}):
        differences = [np.array(one[key]["C"]) - np.array(one[key]["R"]) for one in found if key in one]
        whole = [part for part in differences if np.isfinite(part).sum() >= FEWEST_DAYS]
        if len(whole) < 2:
            continue
        means = np.array([np.nanmean(part) for part in whole])
        slopes = np.array([np.polyfit(np.array(DAYS)[np.isfinite(part)] / 7, part[np.isfinite(part)], 1)[0] for part in whole])
        called = np.array([ttest_1samp(part[np.isfinite(part)], 0).pvalue < 0.05 for part in whole])
        se = float(slopes.std(ddof=1) / np.sqrt(len(slopes)))
        rows[key] = {
            "seeds": len(whole), "difference": float(means.mean()), "difference_sd": float(means.std(ddof=1)),
            "difference_worst": float(np.abs(means).max()), "slope_per_week": float(slopes.mean()), "slope_se": se,
            "called_by_days": float(called.mean()), "typical": float(np.nanmedian([one[key]["R"] for one in found if key in one])),
        }  # fmt: skip
    return rows


def claims(found: list[Found], tanks: int) -> dict[str, dict[str, int]]:
    """How often fairtank gave each grade for each measure, when so many seeds in a row are the tanks of both arms."""
    grades: dict[str, dict[str, int]] = {}
    keys = sorted({measure for one in found for measure in one if registry.entry("measure", measure).scale})
    choices = tuple(MeasureChoice(key, "secondary", "mean") for key in keys if key != "algae_cover")
    for first in range(0, len(found) - tanks + 1, tanks):
        plan = side_by_side_plan(tanks, tanks, days=DAYS[-1] + 1)
        plan = dataclasses.replace(plan, measures=(*plan.measures, *choices))
        series = []
        for unit, place in zip(plan.units, 2 * list(range(tanks)), strict=True):
            for key, arms in found[first + place].items():
                there = [(day, value) for day, value in zip(DAYS, arms[unit.arm], strict=True) if np.isfinite(value)]
                if key in keys and there:
                    series.append(Series(unit.key, key, *zip(*there, strict=True)))  # type: ignore[arg-type]
        for finding in judge(plan, series, tank_litres=plan.tank_litres):
            own = grades.setdefault(finding.measure, {})
            own[finding.grade] = own.get(finding.grade, 0) + 1
    return grades


def main() -> None:
    """Print the differences of each measure, and the run's JSON line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seeds", type=int, default=200)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--record", action="store_true", help="add the JSON line to results/alike.jsonl")
    options = parser.parse_args()
    before = circumstances()
    with ProcessPoolExecutor(options.workers, mp_context=multiprocessing.get_context("spawn")) as executor:
        found = []
        for one in executor.map(series_of, range(1, options.seeds + 1)):
            found.append(one)
            if len(found) % 20 == 0:
                print(f"{len(found)} of {options.seeds} seeds", flush=True)
    rows = compared(found)
    for key, row in rows.items():
        print(f"{key:18} typical {row['typical']:7.2f}  C - R {row['difference']:+.3f} (sd {row['difference_sd']:.3f}, "
              f"worst {row['difference_worst']:.2f})  slope {row['slope_per_week']:+.4f} ± {1.96 * row['slope_se']:.4f} a week, "
              f"days would call it in {100 * row['called_by_days']:.0f} %")
    judged = {f"{tanks} + {tanks}": claims(found, tanks) for tanks in (1, 2)}
    for sizes, grades in judged.items():
        called = sum(count for own in grades.values() for grade, count in own.items() if grade in CLAIMS)
        print(f"{sizes} tanks: {called} findings of an effect among {sum(map(sum, (own.values() for own in grades.values())))}; {grades}")
    told("alike", before, {"seeds": options.seeds, "days": list(DAYS), "measures": rows, "judged": judged}, record=options.record)


if __name__ == "__main__":
    main()
