"""How often the audit's intervals hold the truth, and whether the points that it asks for suffice.

    python benchmarks/bench_audit.py [--trials 2000] [--record]

Each simulated arm has photos of unlike cover and unlike map errors; points are drawn evenly over the photos, as the audit draws them. No
photo is rendered: truth and map of a photo are four shares, and a point falls by chance into one of the four.
"""

import argparse
from collections.abc import Iterator
from typing import Any

import numpy as np
from recording import circumstances, told

from fairtank.vision.audit import ArmAudit, Checked, arm_audit, bias_difference, points_needed

COVERS = (0.01, 0.03, 0.10, 0.25, 0.60)
POINTS = (30, 50, 100, 200, 400)
# Share of the true area that the map finds, and of the rest that it leaves alone.
MAPS = {"perfect": (1.0, 1.0), "good": (0.97, 0.985), "fair": (0.95, 0.97), "poor": (0.85, 0.92)}
LEAST = 0.94


def photos_drawn(cover: float, found: float, left: float, count: int, chance: np.random.Generator) -> np.ndarray:
    """Shares (true and mapped, true only, mapped only, neither) of each photo; cover and errors differ from photo to photo."""
    covers = np.clip(cover * chance.lognormal(0, 0.4, count), 0.001, 0.95)
    finds = np.clip(found + (1 - found) * chance.uniform(-1, 1, count), 0, 1)
    leaves = np.clip(left + (1 - left) * chance.uniform(-1, 1, count), 0, 1)
    return np.stack([covers * finds, covers * (1 - finds), (1 - covers) * (1 - leaves), (1 - covers) * leaves], axis=1)


def arm_drawn(photos: np.ndarray, points: int, chance: np.random.Generator) -> tuple[ArmAudit, float]:
    """One audit of an arm, and the true bias of the map over the photos that it looked at, each weighted by its points."""
    order = chance.permutation(len(photos))
    which = np.resize(order, points)
    shares = {str(place): float(photos[place, 0] + photos[place, 2]) for place in range(len(photos))}
    draws = chance.random(points)
    kinds = (draws[:, None] > np.cumsum(photos[which], axis=1)[:, :3]).sum(axis=1)
    checked = [Checked(str(place), kind in (0, 2), float(kind in (0, 1))) for place, kind in zip(which, kinds, strict=True)]
    bias = float((photos[which, 2] - photos[which, 1]).mean())
    return arm_audit("R", checked, shares), bias


def cell(cover: float, quality: str, points: int, trials: int, seed: int) -> dict[str, Any]:
    """Share of trials in which the interval of one arm's bias, and that of the difference of two arms, holds the truth; and mean widths."""
    chance = np.random.default_rng(seed)
    found, left = MAPS[quality]
    held, held_difference, half = 0, 0, 0.0
    for _ in range(trials):
        (one, bias_one), (other, bias_other) = (arm_drawn(photos_drawn(cover, found, left, 40, chance), points, chance) for _ in range(2))
        difference = bias_difference(one, other)
        held += one.bias_low - 1e-12 <= bias_one <= one.bias_high + 1e-12
        held_difference += difference.low - 1e-12 <= bias_one - bias_other <= difference.high + 1e-12
        half += (one.bias_high - one.bias_low) / 2
    return {"cover": cover, "map": quality, "points": points, "arm": held / trials, "difference": held_difference / trials,
            "half_width_points": 100 * half / trials}  # fmt: skip


def asked_for(trials: int, seed: int) -> Iterator[dict[str, Any]]:
    """With as many points as the audit asks for, how far its interval reaches to either side, on average; beside the usual formula's."""
    for quality in ("good", "fair", "poor"):
        found, left = MAPS[quality]
        for cover in (0.03, 0.10, 0.25, 0.55):
            share = cover * found + (1 - cover) * (1 - left)
            right_in, hit_out = cover * found / share, cover * (1 - found) / (1 - share)
            formula = (1.959964 / 0.02) ** 2 * (share * right_in * (1 - right_in) + (1 - share) * hit_out * (1 - hit_out))
            counts = {"asked": points_needed(share, right_in, hit_out), "formula_and_15_pct": round(1.15 * formula)}
            photos = np.array([[cover * found, cover * (1 - found), (1 - cover) * (1 - left), (1 - cover) * left]])
            halves = {}
            for name, points in counts.items():
                chance = np.random.default_rng(seed)
                made = [arm_drawn(photos, points, chance)[0] for _ in range(trials)]
                half = float(np.mean([(one.high - one.low) / 2 for one in made]))
                halves[name] = {"points": points, "half_width_points": round(100 * half, 2)}
            yield {"cover": cover, "map": quality, "formula": round(formula), **halves}


def main() -> None:
    """Print the table and the run's JSON line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--trials", type=int, default=2000)
    parser.add_argument("--record", action="store_true", help="add the JSON line to results/audit.jsonl")
    options = parser.parse_args()
    before, cells = circumstances(), []
    for quality in MAPS:
        for cover in COVERS:
            for points in POINTS:
                cells.append(cell(cover, quality, points, options.trials, seed=len(cells)))
                print("{map:8s} {cover:5.0%} {points:4d} points: arm {arm:.3f}  difference {difference:.3f}  "
                      "half width {half_width_points:.2f}".format(**cells[-1]), flush=True)
    asked = list(asked_for(max(options.trials // 10, 20), seed=1))
    for one in asked:
        print(one)
    line = {
        "trials": options.trials,
        "below_94_pct": sum(one["arm"] < LEAST for one in cells), "lowest_arm": min(one["arm"] for one in cells),
        "lowest_difference": min(one["difference"] for one in cells),
        "mean_arm": float(np.mean([one["arm"] for one in cells])), "cells": len(cells), "asked": asked,
    }  # fmt: skip
    told("audit", before, line, record=options.record)
    # The lowest of a hundred shares falls short of its own truth by chance: three standard errors are allowed for that.
    allowed = LEAST - 3 * (LEAST * (1 - LEAST) / options.trials) ** 0.5
    if line["lowest_arm"] < allowed or line["lowest_difference"] < allowed:
        raise SystemExit(f"an interval holds the truth in fewer than {LEAST:.0%} of the trials")


if __name__ == "__main__":
    main()
