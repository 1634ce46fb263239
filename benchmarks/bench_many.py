"""Ten thousand photos: measured, killed in the middle, resumed. Is anything lost or doubled, does memory stay flat, how fast is it?

    python benchmarks/bench_many.py [--photos 10000] [--workers 2] [--cache FOLDER] [--record]

A hundred photos are rendered at a moderate size; each is taken many times, as from a camera that is held by hand: moved by some px, so that
no two photos are alike, stored anew, and under another time. The days of growth go up and down again.
The run is `fairtank measure` in a process of its own. It is killed (SIGKILL, the parent alone, as a machine that runs out of memory
does) once half of the photos are stored, and started again.
"""

import argparse
import csv
import dataclasses
import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import simplejpeg
from PIL import Image
from recording import circumstances, told

from fairtank.records.folder import write_tables
from fairtank.simulation import render_photo, scenario, strokes_on
from fairtank.simulation.scenario import Scenario
from fairtank.trial import Photo

SIZE, UNITS, KINDS = (1024, 768), 4, 25
# Photos of one unit lie this far apart, so that none looks like a second try of the one before.
APART = timedelta(hours=3)
# How far the camera moves [px], and the step from one place to the next, which shares no factor with their number (25 x 17).
FARTHEST, STRIDE = (12, 8), 83
STEADY_AFTER = 0.2  # memory is watched from this share of the photos on: before, libraries are loaded and loops compiled


def moved(pixels: np.ndarray, turn: int) -> bytes:
    """A photo whose camera stood a little elsewhere, another place for each turn; what came into view repeats the edge. Turn 0 stays."""
    wide, high = 2 * FARTHEST[0] + 1, 2 * FARTHEST[1] + 1
    place = (turn * STRIDE + wide * high // 2) % (wide * high)
    matrix = np.array([[1, 0, place % wide - FARTHEST[0]], [0, 1, place // wide - FARTHEST[1]]], np.float32)
    there = cv2.warpAffine(pixels, matrix, SIZE, flags=cv2.INTER_NEAREST, borderMode=cv2.BORDER_REPLICATE)
    return simplejpeg.encode_jpeg(np.ascontiguousarray(there), 90, "RGB", "420")


def rendered(cache: Path) -> tuple[Scenario, dict[tuple[str, int], bytes], Path]:
    """The scenario, and a hundred photos of it by unit and day, with strokes on one day of each unit."""
    planned = dataclasses.replace(scenario("midday"), photo_size=SIZE)
    units = sorted({photo.unit for photo in planned.photos})[:UNITS]
    place = cache / f"many-{SIZE[0]}x{SIZE[1]}"
    place.mkdir(parents=True, exist_ok=True)
    jpegs = {}
    for unit in units:
        for photo in [photo for photo in planned.photos if photo.unit == unit][:KINDS]:
            file, strokes = place / f"{unit}-{photo.day:02d}.jpg", place / f"{unit}-{photo.day:02d}.png"
            needs_strokes = photo.day == 18
            if not file.exists() or (needs_strokes and not strokes.exists()):
                made = render_photo(planned, unit, photo.day, SIZE)
                if needs_strokes:
                    Image.fromarray(strokes_on(planned, made.truth, photo, 1)).save(strokes)
                file.write_bytes(made.jpeg_bytes(quality=90))
            jpegs[unit, photo.day] = file.read_bytes()
    return planned, jpegs, place


def many_trial(root: Path, count: int, cache: Path) -> None:
    """The folder with that many photos."""
    planned, jpegs, made = rendered(cache)
    units = sorted({unit for unit, _ in jpegs})
    photos = []
    start = datetime.combine(planned.plan.start, datetime.min.time())
    (root / "photos").mkdir(parents=True)
    (root / "labels").mkdir()
    for unit in units:
        days = sorted(day for one, day in jpegs if one == unit)
        up_and_down = [*days, *days[-2:0:-1]]
        pixels = {day: simplejpeg.decode_jpeg(jpegs[unit, day], "RGB") for day in days}
        for number in range(count // len(units)):
            turn, place = divmod(number, len(up_and_down))
            day = up_and_down[place]
            taken = start + number * APART
            path = f"photos/{unit}-{number:05d}.jpg"
            (root / path).write_bytes(moved(pixels[day], 2 * turn + (place >= len(days))))
            photos.append(Photo(path, unit, taken, (taken.date() - planned.plan.start).days))
            if number < len(days) and (made / f"{unit}-{day:02d}.png").exists():
                shutil.copy(made / f"{unit}-{day:02d}.png", root / "labels" / f"{unit}-{number:05d}.png")
    first = {photo.unit: photo.path for photo in reversed(photos)}
    frames = [dataclasses.replace(frame, reference_photo=first[frame.unit]) for frame in planned.frames if frame.unit in first]
    plan = dataclasses.replace(planned.plan, days=max(planned.plan.days, *(photo.day for photo in photos)))
    write_tables(root, plan, photos=photos, frames=frames, zones=[zone for zone in planned.zones if zone.unit in first],
                 label_classes=planned.label_classes)


def memory_mb(pid: int) -> float:
    """Resident memory of a process; 0 when it is gone."""
    try:
        return int(Path(f"/proc/{pid}/status").read_text(encoding="ascii").split("VmRSS:")[1].split()[0]) / 1024
    except (OSError, IndexError):
        return 0.0


def children(pid: int) -> list[int]:
    """Processes that a process started, without those that only keep track."""
    try:
        found = [int(child) for child in Path(f"/proc/{pid}/task/{pid}/children").read_text(encoding="ascii").split()]
        return [child for child in found if b"spawn_main" in Path(f"/proc/{child}/cmdline").read_bytes()]
    except OSError:
        return []


def stored(root: Path) -> int:
    """How many photos have their result."""
    return sum(1 for _ in (root / ".fairtank" / "photos").rglob("*.json"))


def measured(root: Path, out: Path, workers: int, kill_at: int | None) -> dict[str, Any]:
    """One run, watched; killed once that many results are there."""
    before, begin = stored(root), time.monotonic()
    start = "from fairtank.cli import main; main()"
    command = [sys.executable, "-c", start, "measure", str(root), "--out", str(out), "--workers", str(workers)]
    run = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    watched: list[tuple[int, float, float]] = []
    workers_seen: set[int] = set()
    first_at = None
    while run.poll() is None:
        time.sleep(2)
        own = children(run.pid)
        workers_seen |= set(own)
        done = stored(root)
        if first_at is None and done > before:
            first_at = (time.monotonic(), done)
        watched.append((done, memory_mb(run.pid), max((memory_mb(child) for child in own), default=0.0)))
        if kill_at is not None and done >= kill_at:
            os.kill(run.pid, signal.SIGKILL)
            run.wait()
            time.sleep(5)
            break
    said = run.stdout.read() if run.stdout and kill_at is None else ""
    left = [pid for pid in workers_seen if memory_mb(pid) > 0]
    return {"stored_before": before, "stored_after": stored(root), "s": time.monotonic() - begin, "code": run.returncode, "said": said,
            "watched": watched, "workers_left": len(left), "first_at": first_at, "ended": time.monotonic()}


def growth(watched: list[tuple[int, float, float]], place: int, total: int) -> tuple[float, float]:
    """Highest memory in the first fifth after the start-up and in the last fifth. [MB]"""
    rows = [row for row in watched if row[place] > 0 and row[0] > 0]
    low = rows[0][0] + STEADY_AFTER * (rows[-1][0] - rows[0][0])
    early = [row[place] for row in rows if low <= row[0] <= low + 0.2 * total] or [rows[0][place]]
    return max(early), max(row[place] for row in rows[-max(1, len(rows) // 5):])


def main() -> None:
    """Print what was found, and the run's JSON line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--photos", type=int, default=10_000)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--cache", type=Path, default=Path(tempfile.gettempdir()) / "fairtank-bench")
    parser.add_argument("--record", action="store_true", help="add the JSON line to results/many.jsonl")
    options = parser.parse_args()
    before = circumstances()
    with tempfile.TemporaryDirectory() as temporary:
        root, out = Path(temporary) / "trial", Path(temporary) / "out"
        many_trial(root, options.photos, options.cache)
        total = sum(1 for _ in (root / "photos").iterdir())
        first = measured(root, out, options.workers, total // 2)
        second = measured(root, out, options.workers, None)
        third = measured(root, out, options.workers, None)
        with (out / "photos_quality.csv").open(encoding="utf-8") as file:
            rows = [row["photo"] for row in csv.DictReader(file)]
        kept = sum(path.stat().st_size for path in (root / ".fairtank").rglob("*") if path.is_file())
        drafts = sum(1 for _ in (root / ".fairtank").rglob("*.tmp"))
    start, at = second["first_at"][0], second["first_at"][1]
    parent, worker = growth(second["watched"], 1, total), growth(second["watched"], 2, total)
    row: dict[str, Any] = {
        "photos": total, "size": SIZE, "workers": options.workers, "killed_with": first["stored_after"],
        "workers_left": first["workers_left"],
        "resumed_with": second["stored_before"], "stored": second["stored_after"], "rows": len(rows), "different": len(set(rows)),
        "drafts_left": drafts, "photos_per_s": (second["stored_after"] - at) / (second["ended"] - start),
        "parent_mb": parent, "worker_mb": worker, "rerun_s": third["s"], "kb_per_photo": kept / total / 1e3,
        "load_after": os.getloadavg()[0], "said": second["said"].splitlines()[:1],
    }  # fmt: skip
    print(json.dumps(row, indent=1))
    lost = total - len(set(rows)) + (second["stored_after"] != total)
    print(f"lost or doubled: {lost + len(rows) - len(set(rows))}; "
          f"parent {parent[0]:.0f} -> {parent[1]:.0f} MB, worker {worker[0]:.0f} -> {worker[1]:.0f} MB")
    told("many", before, row, record=options.record)


if __name__ == "__main__":
    main()
