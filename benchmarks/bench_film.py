"""A whole film beside encoding the very same frames alone: time by the clock, CPU time, peak memory.

    python benchmarks/bench_film.py FOLDER [--size 1080p|4k] [--shape wide] [--as mp4|webm] [--record]

FOLDER is a measured trial, such as `fairtank demo` makes. The film's frames are first written to a raw file; then one process encodes that
file and nothing else, and another one makes the film from the photos on: both with the same settings, one after the other, in a process of
their own. Frames that are alike are stored and encoded from one array in both.
"""

import argparse
import json
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
from recording import circumstances, told

from fairtank.publish.film.encode import film_write
from fairtank.publish.film.frames import Stretch, frames_of
from fairtank.publish.film.making import film_of
from fairtank.publish.film.settled import Film
from fairtank.publish.film.wishes import FilmWishes
from fairtank.records.services.filming import film_content, stills_write
from fairtank.records.services.trials import JudgedTrial, trial_judge

MOST_RATIO, MOST_MB = 1.35, 500


def judged_of(folder: Path) -> JudgedTrial:
    """The trial as it is filmed; its photos are measured already."""
    return trial_judge(root=folder, out=folder / "out", workers=1, today=date.today())


def film_at(folder: Path, wishes: FilmWishes) -> Film:
    """The film before its first frame."""
    return film_of(film_content(judged_of(folder), folder / "out"), wishes)


def raw_write(folder: Path, wishes: FilmWishes, raw: Path) -> None:
    """Every different frame into one raw file, and how often each comes into another."""
    counts = []
    with raw.open("wb") as file:
        for stretch in frames_of(film_at(folder, wishes)):
            file.write(stretch.pixels.tobytes())
            counts.append(stretch.frames)
    raw.with_suffix(".json").write_text(json.dumps(counts))


def raw_frames(raw: Path, size_px: tuple[int, int]) -> Iterator[Stretch]:
    """The frames of a raw file."""
    width, height = size_px
    counts = json.loads(raw.with_suffix(".json").read_text())
    with raw.open("rb") as file:
        for frames in counts:
            yield Stretch(np.frombuffer(file.read(width * height * 3 // 2), np.uint8).reshape(-1, width), frames)


def timed(work: Any) -> dict[str, float]:
    """Seconds by the clock and of CPU, and the peak of this process's memory."""
    clock, cpu = time.perf_counter(), time.process_time()
    work()
    spent = {"wall_s": time.perf_counter() - clock, "cpu_s": time.process_time() - cpu}
    return {**spent, "peak_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024}


def part_done(part: str, folder: Path, wishes: FilmWishes, place: Path) -> dict[str, float]:
    """One part of the benchmark in this process."""
    raw = place / "frames.raw"
    if part == "raw":
        return timed(lambda: raw_write(folder, wishes, raw))
    if part == "encode":
        frames = sum(json.loads(raw.with_suffix(".json").read_text()))
        return timed(lambda: film_write(raw_frames(raw, wishes.size_px), place / "alone", form=wishes.form, size_px=wishes.size_px,
                                        frames_per_second=wishes.frames_per_second, frames=frames)) | {"frames": frames}
    if part == "stills":
        film = film_at(folder, wishes)
        return timed(lambda: stills_write(film, place))
    judged = judged_of(folder)

    def made() -> None:
        film = film_of(film_content(judged, folder / "out"), wishes)
        film_write(frames_of(film), place / "whole", form=wishes.form, size_px=wishes.size_px,
                   frames_per_second=wishes.frames_per_second, frames=film.timeline.frames)

    found, file = timed(made), place / "whole"
    return found | {"film_mb": file.stat().st_size / 1e6, "same_bytes": file.read_bytes() == (place / "alone").read_bytes()}


def main() -> None:
    """Print what was found, and one JSON line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--size", default="1080p")
    parser.add_argument("--shape", default="wide")
    parser.add_argument("--as", dest="form", default="mp4")
    parser.add_argument("--record", action="store_true", help="add the JSON line to results/film.jsonl")
    parser.add_argument("--part", help=argparse.SUPPRESS)
    parser.add_argument("--place", type=Path, help=argparse.SUPPRESS)
    options = parser.parse_args()
    wishes = FilmWishes(shape=options.shape, size=options.size, form=options.form)
    if options.part:
        print(json.dumps(part_done(options.part, options.folder, wishes, options.place)))
        return
    before = circumstances()
    with tempfile.TemporaryDirectory() as place:
        found = {}
        for part in ("raw", "encode", "film", "stills"):
            words = [sys.executable, __file__, *sys.argv[1:], "--part", part, "--place", place]
            ran = subprocess.run(words, capture_output=True, text=True, check=True)
            found[part] = json.loads(ran.stdout)
    alone, whole = found["encode"], found["film"]
    ratio, cpu_ratio = whole["wall_s"] / alone["wall_s"], whole["cpu_s"] / alone["cpu_s"]
    print(f"{options.size} {options.shape} {options.form}: {alone['frames']} frames, {whole['film_mb']:.1f} MB, "
          f"{'the same bytes as' if whole['same_bytes'] else 'NOT the bytes of'} the frames encoded alone")
    print(f"encoding alone {alone['wall_s']:.1f} s by the clock, {alone['cpu_s']:.1f} s of CPU; the film from its photos on "
          f"{whole['wall_s']:.1f} s and {whole['cpu_s']:.1f} s: {ratio:.2f} and {cpu_ratio:.2f} times (wanted: {MOST_RATIO} at most)")
    print(f"poster and stills {found['stills']['cpu_s']:.1f} s of CPU beside it")
    print(f"peak memory {whole['peak_mb']:.0f} MB (wanted: {MOST_MB} at most)")
    row = {"size": options.size, "shape": options.shape, "form": options.form, **{f"alone_{key}": alone[key] for key in alone},
           **{f"film_{key.removeprefix('film_')}": whole[key] for key in whole}, "ratio": ratio, "cpu_ratio": cpu_ratio,
           "stills_cpu_s": found["stills"]["cpu_s"]}
    told("film", before, row, record=options.record)


if __name__ == "__main__":
    main()
