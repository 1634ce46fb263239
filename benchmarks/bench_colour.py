"""How alike photos become in colour: correction by the photo card beside a plain gain, grey-world and nothing at all.

    python benchmarks/bench_colour.py [--tanks 3] [--record]

Two questions, each on rendered tanks with a card beside them. First: the same photo, its light changed as another phone would (gains of
the channels, exposure; in the second half also gamma, an S curve and saturation), stored as JPEG and corrected: how far from the photo as
it was, px by px in the tank (CIEDE2000, median) and in the mean (L*, a*, b*)? Second: photos of other days, plants grown, taken with known
gains: how far off is the gain that each way finds? Grey-world is told both ways: on the very same scene it looks good, on a growing tank
it takes the growth for light. The card stands in the light of the room, darker than much of the tank: curves go on beyond its white.
"""

# ruff: noqa: E402 - the libraries read how many threads they may use when they are imported
import os

for _library in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[_library] = "1"

import argparse
import dataclasses
import time
from collections.abc import Callable
from typing import Any

import numpy as np
import simplejpeg
from recording import circumstances, told

from fairtank.card import GREYS, PATCHES
from fairtank.science.colour import delta_e_2000, lab_from_srgb
from fairtank.science.srgb import linear_from_srgb, srgb_from_linear
from fairtank.simulation import camera, render_photo, scenario
from fairtank.simulation.chance import generator
from fairtank.trial import Frame
from fairtank.vision.card.reading import CardReading
from fairtank.vision.colour.correction import Correction, patch_correction, told_fields, uncorrected
from fairtank.vision.load import LoadedPhoto, decoded_photo
from fairtank.vision.prepare import CardLook, correction_of
from fairtank.vision.rectify import rectified_in_colour
from fairtank.vision.view import View, relative, view_of

SIZE, DAYS, TIMES = (1280, 960), (0, 14, 28), 3
_GREYS = [PATCHES.index(patch) for patch in GREYS]
# Aims: gain off by [%], in the mean; mean L* shift in the tank after a changed tone curve; milliseconds of card and correction together.
LIMITS = {"gain_error_pct": 1.0, "lightness_shift": 0.45, "card_and_colour_ms": 2.5}


def other_light(pixels: np.ndarray, chance: np.random.Generator, *, is_curved: bool) -> np.ndarray:
    """The photo as another phone would have stored it."""
    light = linear_from_srgb(pixels / 255) * np.exp(chance.normal(0, 0.10, 3)) * np.exp(chance.normal(0, 0.20))
    stored = srgb_from_linear(np.where(light <= 0.85, light, 0.85 + 0.15 * np.tanh((light - 0.85) / 0.15)))
    if is_curved:
        stored = stored ** np.exp(chance.normal(0, 0.10))
        stored += chance.uniform(-0.2, 0.35) * stored * (1 - stored) * (2 * stored - 1)
        grey = stored @ np.array([0.2126, 0.7152, 0.0722])
        stored = grey[..., None] + np.exp(chance.normal(0, 0.12)) * (stored - grey[..., None])
    return through_jpeg((255 * np.clip(stored, 0, 1) + chance.random(stored.shape)).astype(np.uint8))


def through_jpeg(pixels: np.ndarray) -> np.ndarray:
    """The px after a JPEG of quality 92."""
    encoded = simplejpeg.encode_jpeg(np.ascontiguousarray(pixels), quality=92, colorsubsampling="420")
    return np.asarray(simplejpeg.decode_jpeg(encoded))


def by_gains(gains: np.ndarray) -> Correction:
    """A plain gain per channel."""
    return patch_correction(255 * srgb_from_linear(0.3 * np.ones(3)), 0.3 / np.asarray(gains))


def plain_gain(card: CardReading, view: View) -> np.ndarray:
    """The gain that the greys say, nothing else."""
    fields = view.colours.fields
    assert fields is not None
    used = [grey for grey in _GREYS if told_fields(card.patches, card.clipped)[grey] and np.isfinite(fields[grey]).all()]
    return np.asarray(linear_from_srgb(card.patches[used] / 255).sum(axis=0) / fields[used].sum(axis=0))


def grey_world(pixels: np.ndarray, reference: np.ndarray) -> np.ndarray:
    """The gain that makes two pictures equal in their mean."""
    return np.asarray(_mean_light(pixels) / _mean_light(reference))


def _mean_light(pixels: np.ndarray) -> np.ndarray:
    return np.asarray(linear_from_srgb(pixels[::4, ::4] / 255).mean(axis=(0, 1)))


def rendered(tanks: int) -> tuple[dict[tuple[str, int], LoadedPhoto], dict[tuple[str, int], Any], dict[str, View]]:
    """Photos by tank and day, taken with gains that differ as phones differ; their truth; the view of each tank."""
    trial = dataclasses.replace(scenario("midday"), cards=True)
    units = [unit.key for unit in trial.plan.units][:tanks]
    photos, truths, views = {}, {}, {}
    for unit in units:
        for day in DAYS:
            chance = generator(11, unit, day, "gains")
            gains = np.exp(chance.normal(0, 0.15)) * np.exp(chance.normal(0, 0.06, 3)) * 0.95
            shot = dataclasses.replace(camera.shot(camera.View(*SIZE), trial.seed, unit, day), gains=tuple(map(float, gains)))
            photo = render_photo(trial, unit, day, SIZE, taken=shot)
            photos[unit, day], truths[unit, day] = decoded_photo(photo.jpeg_bytes(92), f"{unit}-{day}.jpg"), photo.truth
        frame = Frame(unit, "", "registered", "front", truths[unit, 0].corners, camera.TANK_WIDTH_CM, camera.TANK_HEIGHT_CM)
        views[unit] = view_of(frame, (), photos[unit, 0])
    return photos, truths, views


def same_photo(photos: dict[tuple[str, int], LoadedPhoto], truths: dict[tuple[str, int], Any], *, is_curved: bool) -> dict[str, Any]:
    """Each way's median CIEDE2000 and mean L*, a*, b* shift in the tank against the photo as it was; medians over all cases."""
    ways: dict[str, Callable[[LoadedPhoto, View, CardReading, np.ndarray, LoadedPhoto], Correction]] = {
        "nothing": lambda photo, view, card, corners, first: uncorrected(),
        "plain gain": lambda photo, view, card, corners, first: by_gains(plain_gain(card, view)),
        "grey-world": lambda photo, view, card, corners, first: by_gains(grey_world(photo.pixels, first.pixels)),
        "card": lambda photo, view, card, corners, first: correction_of(photo.pixels, corners, view, card),
    }
    found: dict[str, list[np.ndarray]] = {way: [] for way in ways}
    residuals = []
    for (unit, day), photo in photos.items():
        corners = relative(truths[unit, day].corners, max(SIZE))
        frame = Frame(unit, "", "fixed", "front", truths[unit, day].corners, camera.TANK_WIDTH_CM, camera.TANK_HEIGHT_CM)
        view = view_of(frame, (), photo)
        wanted = lab_from_srgb(rectified_in_colour(photo.pixels, corners, view.width_px, view.height_px, uncorrected())[::2, ::2])
        for time_ in range(TIMES):
            pixels = other_light(photo.pixels, generator(5, unit, day, time_, is_curved), is_curved=is_curved)
            other = LoadedPhoto(pixels, *SIZE)
            look = CardLook(pixels, view)
            look.agrees(corners * 2016)
            card = look.settled()
            assert card is not None
            for way, correction in ways.items():
                made = correction(other, view, card, corners, photo)
                got = lab_from_srgb(rectified_in_colour(pixels, corners, view.width_px, view.height_px, made)[::2, ::2])
                shift = np.abs((got - wanted).mean(axis=(0, 1)))
                found[way].append(np.array([np.median(delta_e_2000(got, wanted)), *shift]))
                if way == "card" and made.residual_delta_e is not None:
                    residuals.append(made.residual_delta_e)
    table = {way: dict(zip(("delta_e", "lightness", "redness", "yellowness"), map(float, np.median(rows, axis=0)), strict=True))
             | {"worst_lightness": float(np.max(rows, axis=0)[1])} for way, rows in found.items()}
    return table | {"residual": {"median": float(np.median(residuals)), "highest": float(np.max(residuals))}}


def other_days(photos: dict[tuple[str, int], LoadedPhoto], truths: dict[tuple[str, int], Any], views: dict[str, View]) -> dict[str, Any]:
    """Error of the gains against those the photos were taken with [%]: mean and worst of each way; and milliseconds."""
    off: dict[str, list[np.ndarray]] = {"card": [], "plain gain": [], "grey-world of the photo": [], "grey-world of the tank": []}
    spent = []
    for (unit, day), photo in photos.items():
        if day == DAYS[0]:
            continue
        view, corners, first = views[unit], relative(truths[unit, day].corners, max(SIZE)), photos[unit, DAYS[0]]
        truth = np.array(truths[unit, day].gains) / np.array(truths[unit, DAYS[0]].gains)
        for _ in range(5):
            look, start = CardLook(photo.pixels, view), time.process_time()
            look.agrees(corners * 2016)
            card = look.settled()
            made = correction_of(photo.pixels, corners, view, card)
            spent.append(1000 * (time.process_time() - start))
        assert card is not None
        assert made.gains is not None
        tanks = [rectified_in_colour(one.pixels, at, 360, 288, uncorrected()) for one, at in ((photo, corners), (first, view.corners))]
        told_by = {"card": np.array(made.gains), "plain gain": plain_gain(card, view),
                   "grey-world of the photo": grey_world(photo.pixels, first.pixels), "grey-world of the tank": grey_world(*tanks)}
        for way, gains in told_by.items():
            off[way].append(100 * np.abs(gains / truth - 1))
    return {
        "gain_error_pct": {way: {"mean": float(np.mean(rows)), "worst": float(np.max(rows))} for way, rows in off.items()},
        "card_and_colour_ms": float(np.median(spent)),
    }


def main() -> None:
    """Print the tables, and the run's JSON line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--tanks", type=int, default=3)
    parser.add_argument("--record", action="store_true", help="add the JSON line to results/colour.jsonl")
    options = parser.parse_args()
    import cv2

    cv2.setNumThreads(1)
    before = circumstances()
    photos, truths, views = rendered(options.tanks)
    row: dict[str, Any] = {"photos": len(photos), "cases": len(photos) * TIMES, "limits": LIMITS}
    for name, is_curved in (("gains", False), ("gains and curve", True)):
        row[name] = same_photo(photos, truths, is_curved=is_curved)
        print(f"{name}, {row['cases']} cases: median CIEDE2000, mean shift of L* a* b*, worst shift of L*")
        for way, part in row[name].items():
            print(f"  {way:12} " + " ".join(f"{value:6.2f}" for value in part.values()))
    row |= other_days(photos, truths, views)
    print("gain off on other days, mean and worst [%]")
    for way, part in row["gain_error_pct"].items():
        print(f"  {way:24} {part['mean']:6.2f} {part['worst']:6.2f}")
    print(f"card and correction {row['card_and_colour_ms']:.2f} ms")
    told("colour", before, row, record=options.record)


if __name__ == "__main__":
    main()
