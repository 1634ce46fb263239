"""Marker corners beside those that another reader gives for photographs: how far apart, and whether px are counted from the same place.

    python benchmarks/bench_card.py DIR

DIR holds pairs of NAME.jpg and NAME.txt; each line of a text gives a tag's number and its four corners as (x y), px counted from the outer
edge of the first one. The tags are of the family 36h11.
"""

import argparse
import re
from pathlib import Path

import numpy as np
from PIL import Image

from fairtank.vision.card.markers import markers_found

FAMILY = "DICT_APRILTAG_36h11"
_NEAR_PX = 6.0  # middles of the same tag


def tags_in(text: str) -> list[np.ndarray]:
    """Corners of every tag that a text lists; arrays (4, 2)."""
    lines = ([float(word) for word in re.findall(r"-?\d+\.\d+", line)] for line in text.splitlines())
    return [np.array(numbers).reshape(4, 2) for numbers in lines if len(numbers) == 8]


def offsets(picture: np.ndarray, tags: list[np.ndarray]) -> np.ndarray:
    """For each corner of each tag that is found, how far ours lies from theirs; array (n, 2) [px]."""
    found = markers_found(picture, FAMILY)
    apart = []
    for corners in tags:
        near = [marker.corners for marker in found if np.hypot(*(marker.corners.mean(0) - corners.mean(0))) < _NEAR_PX]
        apart += [own[np.hypot(*(own - corner).T).argmin()] - corner for own in near[:1] for corner in corners]
    return np.array(apart).reshape(-1, 2)


def main() -> None:
    """Print one line for each photo and one for all."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parts = []
    for text in sorted(parser.parse_args().folder.glob("*.txt")):
        tags = tags_in(text.read_text(encoding="utf-8"))
        picture = np.asarray(Image.open(text.with_suffix(".jpg")).convert("L"))
        parts.append(offsets(picture, tags))
        print(f"{text.stem}: {len(parts[-1]) // 4} of {len(tags)} tags found")
    every = np.concatenate(parts)
    size = np.hypot(*every.T)
    right, down = np.median(every, axis=0)
    most = np.percentile(size, 90)
    print(f"{len(size)} corners: median {np.median(size):.2f} px, 9 of 10 below {most:.2f} px, all below {size.max():.2f} px")
    print(f"median shift right {right:+.2f} px, down {down:+.2f} px (+-0.5 if px were counted otherwise)")


if __name__ == "__main__":
    main()
