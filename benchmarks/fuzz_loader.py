"""Feed the photo loader thousands of spoilt files: it must answer each with px or a sentence, in time and in little memory.

    python benchmarks/fuzz_loader.py [--cases 6000] [--seed 1] [--record]

Small photos of every format are mutated (cut off, bytes flipped, lengths and sizes changed, blocks repeated, EXIF and profiles made
nonsense, glued to archives) and decoded in worker processes whose memory is limited. Counted are: px, sentences, errors of another kind,
cases that took more CPU time than the limit, and processes that died.
"""

import argparse
import multiprocessing
import resource
import time
from collections import Counter
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from loader_cases import case, good_files
from recording import circumstances, told

MEMORY_MB, LIMIT_S = 1024, 5.0


def worked(pipe: Connection, mb: int) -> None:
    """A worker: takes case numbers, answers with what became of each."""
    import cv2  # noqa: F401 - libraries take their address space before the limit is set
    import pi_heif  # noqa: F401
    import simplejpeg  # noqa: F401
    from PIL import ImageCms  # noqa: F401

    from fairtank.errors import PhotoError
    from fairtank.vision.load import decoded_photo

    for name, content in good_files().items():  # every decoder has run once
        decoded_photo(content, name)
    if mb:
        size = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0]) * resource.getpagesize()
        resource.setrlimit(resource.RLIMIT_AS, (size + mb * 1024 * 1024,) * 2)
    while (number := pipe.recv()) is not None:
        name, content = case(*number)
        start = time.process_time()
        try:
            photo = decoded_photo(content, name)
            answer = "px" if photo.pixels.ndim == 3 and photo.pixels.shape[2] == 3 and photo.pixels.size else "wrong px"
        except PhotoError:
            answer = "sentence"
        except BaseException as error:  # anything else is what is looked for
            answer = f"{type(error).__name__}: {error}"[:200]
        pipe.send((name, answer, time.process_time() - start, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024))


def started() -> tuple[multiprocessing.Process, Connection]:
    """A worker and the pipe to it."""
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe()
    process = context.Process(target=worked, args=(theirs, MEMORY_MB), daemon=True)
    process.start()
    theirs.close()
    return process, ours  # type: ignore[return-value]


def run(cases: int, seed: int) -> dict[str, Any]:
    """All cases, one after another; a worker that hangs or dies is replaced and its case is named."""
    counts: Counter[str] = Counter()
    kinds: Counter[str] = Counter()
    bad: list[str] = []
    slowest, peak_mb = (0.0, ""), 0.0
    process, pipe = started()
    for number in range(cases):
        pipe.send((seed, number))
        try:
            if not pipe.poll(60):
                raise EOFError("hangs")
            name, answer, took, peak = pipe.recv()
        except EOFError as error:
            bad.append(f"case {number}: {'hangs' if str(error) else 'the process died'} ({case(seed, number)[0]})")
            counts["hung" if str(error) else "died"] += 1
            process.kill()
            process.join()
            process, pipe = started()
            continue
        kinds[name.split("-")[0]] += 1
        peak_mb = max(peak_mb, peak)
        slowest = max(slowest, (took, f"case {number} {name}"))
        known = answer if answer in ("px", "sentence") else "other"
        counts[known] += 1
        if known == "other":
            bad.append(f"case {number} {name}: {answer}")
        if took > LIMIT_S:
            counts["slow"] += 1
            bad.append(f"case {number} {name}: {took:.1f} s")
    pipe.send(None)
    process.join()
    for line in bad[:40]:
        print(line)
    ends = ("px", "sentence", "other", "slow", "hung", "died")
    row: dict[str, Any] = {"cases": cases, "seed": seed, **{key: counts[key] for key in ends}}
    return row | {"formats": dict(kinds), "slowest_s": slowest[0], "slowest": slowest[1], "peak_mb": peak_mb, "memory_limit_mb": MEMORY_MB}


def main() -> None:
    """Print the counts and every case that was answered in another way."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--cases", type=int, default=6000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--record", action="store_true", help="add the JSON line to results/fuzz_loader.jsonl")
    options = parser.parse_args()
    before = circumstances()
    told("fuzz_loader", before, run(options.cases, options.seed), record=options.record)


if __name__ == "__main__":
    main()
