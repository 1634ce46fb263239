"""Where the frame is found in rendered photos of known truth: error of the worst corner, CPU time beside decoding, bad photos.

    python benchmarks/bench_framing.py [--units T1 T3 T6] [--seed 1] [--record]

Each photo is also seen by a camera that moved (shifts to 45 px, turns to 1.5 degrees, 4 % nearer or farther, corners pulled to 14 px),
since the renders' own camera hardly moves. Features are the way that blocks replaced, with the same edges after them. px are of 2016
across.
"""

# ruff: noqa: E402 - the libraries read how many threads they may use when they are imported
import os

for _library in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[_library] = "1"

import argparse
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from recording import circumstances, told

from fairtank.simulation import render_photo, scenario
from fairtank.vision.framing.edges import NORMAL_LONG_SIDE_PX, refined_corners
from fairtank.vision.framing.features import TRIES, corners_by_features, features_of
from fairtank.vision.framing.placing import Placement, Reference, placed, reference_of
from fairtank.vision.load import decoded_photo

TRIAL = scenario("midday")
SIZE = (2048, 1536)
DAYS = (6, 12, 18, 24, 29, 33, 37)
SCALE = NORMAL_LONG_SIDE_PX / SIZE[0]
LIMITS = {"worst_px": 1.5, "median_px": 0.4, "ms": 15.0}


@dataclass(frozen=True, eq=False)
class Shown:
    """One rendered photo: its file, its px, and the true corners [normalised px]."""

    content: bytes
    pixels: np.ndarray
    corners: np.ndarray


def rendered(unit: str, day: int) -> Shown:
    """A photo as the loader gives it."""
    photo = render_photo(TRIAL, unit, day, SIZE)
    content = photo.jpeg_bytes()
    return Shown(content, decoded_photo(content, f"{unit}-{day}").pixels, np.array(photo.truth.corners) * SCALE)


def moved(shown: Shown, rng: np.random.Generator) -> Shown:
    """The photo as a camera at another place would have taken it."""
    width, height = SIZE
    turn, zoom = np.deg2rad(rng.uniform(-1.5, 1.5)), 1 + rng.uniform(-0.04, 0.04)
    corners = np.array([[0, 0], [width, 0], [width, height], [0, height]], float)
    middle = corners.mean(0)
    turned = zoom * np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    target = (corners - middle) @ turned.T + middle + rng.uniform(-45, 45, 2) + rng.uniform(-14, 14, (4, 2))
    matrix = cv2.getPerspectiveTransform((corners - 0.5).astype(np.float32), (target - 0.5).astype(np.float32))
    pixels = cv2.warpPerspective(shown.pixels, matrix, SIZE, flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return Shown(shown.content, pixels, (cv2.perspectiveTransform((shown.corners / SCALE - 0.5)[None], matrix)[0] + 0.5) * SCALE)


def by_features(pixels: np.ndarray, reference: Reference) -> Placement | None:
    """The frame by features first, as before there were blocks."""
    for (count, long_side_px), known in zip(TRIES, reference.features, strict=True):
        start, inliers = corners_by_features(features_of(pixels, count, long_side_px), known, reference.corners)
        if start is not None:
            refined = refined_corners(pixels, start, reference.strips, first_pass=1)
            return Placement(refined.corners, refined.edges_found, refined.residual_px, inliers)
    return None


def cpu_ms(work: Callable[[], Any]) -> tuple[float, Any]:
    """CPU milliseconds of one call, and what it gave."""
    start = time.process_time()
    result = work()
    return 1000 * (time.process_time() - start), result


def worst_px(found: Placement | None, truth: np.ndarray) -> float:
    """Error of the worst corner; infinite where no frame was found."""
    return float(np.hypot(*(found.corners - truth).T).max()) if found else float("inf")


def photos(units: list[str], seed: int) -> Iterator[tuple[str, Reference, Shown]]:
    """Every photo after the first of each unit, as it was taken and as a moved camera sees it, with the unit's reference."""
    rng = np.random.default_rng(seed)
    for unit in units:
        first = rendered(unit, 0)
        reference = reference_of(first.pixels, first.corners)
        placed(first.pixels, reference)  # loops are compiled before anything is timed
        for day in DAYS:
            shown = rendered(unit, day)
            yield "as taken", reference, shown
            yield "moved", reference, moved(shown, rng)


def found_and_timed(units: list[str], seed: int) -> dict[str, Any]:
    """Errors, ways and CPU time of blocks and of features, and of decoding the same file in between."""
    rows: dict[str, list[tuple[float, float, float, str]]] = {}
    for kind, reference, shown in photos(units, seed):
        for name, work in (("blocks", placed), ("features", by_features)):
            decode = min(cpu_ms(lambda s=shown: decoded_photo(s.content, "photo"))[0] for _ in range(3))
            runs = [cpu_ms(lambda s=shown, w=work, r=reference: w(s.pixels, r)) for _ in range(3)]
            took, found = min(run[0] for run in runs), runs[0][1]
            rows.setdefault(f"{name}, {kind}", []).append((worst_px(found, shown.corners), took, decode, found.way if found else "none"))
    return {name: summed(found) for name, found in rows.items()}


def summed(found: list[tuple[float, float, float, str]]) -> dict[str, Any]:
    """One row of the table."""
    errors, took, decode, ways = zip(*found, strict=True)
    return {
        "photos": len(found), "median_px": float(np.median(errors)), "p90_px": float(np.quantile(errors, 0.9)), "worst_px": max(errors),
        "ms": float(np.median(took)), "ms_worst": max(took), "decode_ms": float(np.median(decode)),
        "ways": {way: ways.count(way) for way in sorted(set(ways))},
    }  # fmt: skip


def glared(pixels: np.ndarray) -> np.ndarray:
    """A window's reflection over the middle of the glass."""
    light = np.zeros(pixels.shape[:2], np.float32)
    cv2.ellipse(light, (1100, 800), (330, 520), 15, 0, 360, 210, -1)
    return np.clip(pixels + cv2.GaussianBlur(light, (0, 0), 60)[..., None], 0, 255).astype(np.uint8)


def bad_photos(units: list[str]) -> dict[str, dict[str, Any]]:
    """What becomes of photos that went wrong."""
    first, later, other = rendered(units[0], 0), rendered(units[0], 18), rendered(units[1], 18)
    reference = reference_of(first.pixels, first.corners)
    pixels = later.pixels
    bad = {
        "blur 4 px": cv2.GaussianBlur(pixels, (0, 0), 4), "blur 9 px": cv2.GaussianBlur(pixels, (0, 0), 9),
        "light x0.18": lit(pixels, 0.18), "light x4": lit(pixels, 4.0), "glare": glared(pixels),
        "noise": np.random.default_rng(1).integers(0, 255, pixels.shape, np.uint8),
    }  # fmt: skip
    found = {name: one_bad(spoilt, reference, later.corners) for name, spoilt in bad.items()}
    turned = np.array([NORMAL_LONG_SIDE_PX, NORMAL_LONG_SIDE_PX * SIZE[1] / SIZE[0]]) - later.corners
    found["upside down"] = one_bad(np.ascontiguousarray(pixels[::-1, ::-1]), reference, turned)
    found["another tank"] = one_bad(other.pixels, reference, other.corners)
    found["another tank, refused by the check"] = one_bad(other.pixels, reference, other.corners, check=lambda corners: False)
    return found


def lit(pixels: np.ndarray, gain: float) -> np.ndarray:
    """The photo at so many times its light."""
    linear = np.minimum((np.arange(256) / 255) ** 2.2 * gain, 1)
    return cv2.LUT(pixels, np.round(255 * linear ** (1 / 2.2)).astype(np.uint8))


def one_bad(pixels: np.ndarray, reference: Reference, truth: np.ndarray, **said: Any) -> dict[str, Any]:
    took, found = cpu_ms(lambda: placed(pixels, reference, **said))
    if found is None:
        return {"found": False, "ms": took}
    residual = found.residual_px if found.residual_px is not None and np.isfinite(found.residual_px) else None
    return {"found": True, "way": found.way, "edges": found.edges_found, "residual_px": residual, "sure": found.is_sure,
            "checked": found.checked, "error_px": worst_px(found, truth), "ms": took}  # fmt: skip


def main() -> None:
    """Measure, print, record."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--units", nargs="+", default=["T1", "T3", "T6"])
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--record", action="store_true")
    asked = parser.parse_args()
    cv2.setNumThreads(1)
    before = circumstances()
    row = {"placing": found_and_timed(asked.units, asked.seed), "bad": bad_photos(asked.units), "limits": LIMITS}
    for name, part in row["placing"].items():
        print(f"{name:22} {part['photos']:3} photos  px {part['median_px']:.2f} / {part['p90_px']:.2f} / {part['worst_px']:.2f}  "
              f"{part['ms']:.1f} ms (worst {part['ms_worst']:.1f}), decode {part['decode_ms']:.1f} ms  {part['ways']}")
    for name, part in row["bad"].items():
        print(f"{name:36} {part}")
    told("framing", before, row, record=asked.record)


if __name__ == "__main__":
    main()
