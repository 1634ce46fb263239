"""CPU seconds per rendered photo, as a ratio to decoding the same photo's file; one JSON line per run.

    python benchmarks/bench_render.py [--large]

`--large` also renders 12 MP. Ratios travel between machines better than seconds do.
"""

import json
import platform
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from io import BytesIO
from typing import Any

import numpy as np
from PIL import Image

from fairtank.simulation import render_photo, scenario
from fairtank.simulation.scene import PHOTO_SIZE, still_scene

DAYS = (0, 10, 20, 30, 37)


def cpu_s(work: Callable[[], Any], repeats: int = 1) -> float:
    """CPU seconds of one call: the median of some."""
    spent = []
    for _ in range(repeats):
        start = time.process_time()
        work()
        spent.append(time.process_time() - start)
    return float(np.median(spent))


def measured(size: tuple[int, int]) -> dict[str, float]:
    """Seconds for the still scene, a photo, its file, and decoding that file."""
    trial = scenario("midday")
    render_photo(trial, "T1", 0, size)
    still = cpu_s(lambda: still_scene(trial.seed, "T2", False, size))
    photos = [render_photo(trial, "T2", day, size) for day in DAYS]
    render = float(np.mean([cpu_s(lambda day=day: render_photo(trial, "T2", day, size)) for day in DAYS]))
    file = photos[-1].jpeg_bytes()
    encode = cpu_s(photos[-1].jpeg_bytes, 3)
    decode = cpu_s(lambda: np.asarray(Image.open(BytesIO(file))), 5)
    found = {"still_scene_s": still, "photo_s": render, "encode_s": encode, "decode_s": decode, "photo_per_decode": render / decode}
    return {"megapixels": size[0] * size[1] / 1e6, **found, "file_mb": len(file) / 1e6}


def main() -> None:
    """Print one JSON line per size."""
    commit = subprocess.run(["git", "rev-parse", "--short", "HEAD"], capture_output=True, text=True, check=False).stdout.strip()
    for size in (PHOTO_SIZE, *([(4032, 3024)] if "--large" in sys.argv else [])):
        row = {key: round(value, 3) for key, value in measured(size).items()}
        peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
        print(json.dumps({"bench": "render", "commit": commit, "machine": platform.machine(), **row, "peak_mb": peak_mb}))


if __name__ == "__main__":
    main()
