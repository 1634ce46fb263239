"""How fast a kit is written beside a plain copy of the same files, and how much memory it takes, in one run.

    python benchmarks/bench_kit.py [--gigabytes 2] [--photo-mb 5] [--place FOLDER] [--record]

Photo-like files are made below a temporary folder: a true JPEG head and random bytes behind it, stuffed as packed px are, no two alike.
They are copied one by one (`shutil.copyfile`), then written into a kit the way photos are: read, looked through for a place, SHA-256 and
check sum reckoned, stored. Both are done twice in turn, and the faster of each counts: the first copy also brings the files into memory.
At the end everything is taken away. Both times end when everything has reached the disk. `ratio` is the kit's speed by that of the copy;
peak memory is of this process, after the files were made.

On a busy machine, or one that shares its time out by program, two threads are no faster than one, and the clock says little. So CPU time is
told as well, and by parts: `floor` is that of a copy, a SHA-256 and a check sum of the same bytes, and `ratio_two_cores` what the ratio
would be if nothing else ran, the copy kept one core busy, the kit two, and the disk took everything at once.
"""

import argparse
import hashlib
import os
import resource
import shutil
import tempfile
import time
import zlib
from collections.abc import Callable
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from typing import Any

from PIL import Image
from recording import circumstances, told

from fairtank.publish.kit.facts import WHOLE
from fairtank.records.exporters.kit_photos import photo_content, placeless
from fairtank.records.exporters.kit_zip import READERS, KitZip, Source

FEWEST_OF_COPY = 0.6
CORES = 2


def photo_head() -> bytes:
    """The head of a true JPEG of 12 megapixels, up to where its px begin."""
    out = BytesIO()
    Image.new("RGB", (4032, 3024)).save(out, "JPEG", quality=90)
    content = out.getvalue()
    start = content.index(b"\xff\xda")
    return content[:start + 2 + int.from_bytes(content[start + 2:start + 4], "big")]


def photos_make(root: Path, total_bytes: int, photo_bytes: int) -> list[str]:
    """So many files of that length; behind the head every mark is a stuffed one, one in 256 bytes or so."""
    head, names = photo_head(), []
    (root / "photos").mkdir(parents=True)
    for number in range(total_bytes // photo_bytes):
        n_bytes = photo_bytes - len(head) - 3
        body = os.urandom(n_bytes).replace(b"\xff", b"\xff\0")[:n_bytes] + b"\0"
        names.append(f"photos/{number:05d}.jpg")
        (root / names[-1]).write_bytes(head + body + b"\xff\xd9")
    return names


def spent(work: Callable[[], None]) -> tuple[float, float]:
    """Seconds by the clock until everything has reached the disk, and CPU seconds of the work alone."""
    os.sync()  # what others have left to write is not counted
    start, cpu = time.perf_counter(), time.process_time()
    work()
    cpu = time.process_time() - cpu
    os.sync()
    return time.perf_counter() - start, cpu


def copied(root: Path, names: list[str], place: Path) -> tuple[float, float]:
    """A plain copy of every file."""
    place.mkdir()

    def work() -> None:
        for name in names:
            shutil.copyfile(root / name, place / Path(name).name)

    found = spent(work)
    shutil.rmtree(place)
    return found


def packed(root: Path, names: list[str], place: Path) -> tuple[float, float]:
    """The same files written into a kit."""
    digests = set()

    def work() -> None:
        sources = (Source(name, lambda name=name: placeless(photo_content(root, name), name), WHOLE) for name in names)  # type: ignore[misc]
        with place.open("wb") as file, KitZip(file, "bench") as archive:
            digests.update(one.sha256 for one in archive.add_all(sources))

    found = spent(work)
    assert len(digests) == len(names)
    place.unlink()
    return found


def parts_s_gb(root: Path, names: list[str], total_bytes: float) -> dict[str, float]:
    """CPU seconds per GB of what is done with the bytes of a photo, one after the other on one thread."""
    parts = {"read": 0.0, "look": 0.0, "sha256": 0.0, "crc32": 0.0}
    for name in names:
        times = [time.thread_time()]
        content = photo_content(root, name)
        times.append(time.thread_time())
        kept = placeless(content, name)
        times.append(time.thread_time())
        hashlib.sha256(kept).digest()
        times.append(time.thread_time())
        zlib.crc32(kept)
        times.append(time.thread_time())
        assert kept is content, "nothing is copied where there is no place"
        for part, (before, after) in zip(parts, pairwise(times), strict=True):
            parts[part] += (after - before) * 1e9 / total_bytes
    return parts


def run(gigabytes: float, photo_mb: float, place: Path | None) -> dict[str, Any]:
    """Both ways, in turn, in a folder that is taken away."""
    with tempfile.TemporaryDirectory(prefix="fairtank-kit-", dir=place) as there:
        root = Path(there)
        names = photos_make(root / "trial", round(gigabytes * 1e9), round(photo_mb * 1e6))
        before_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3
        copies, kits = [], []
        for _ in range(2):
            copies.append(copied(root / "trial", names, root / "copy"))
            kits.append(packed(root / "trial", names, root / "kit.zip"))
        peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3
        total_bytes = len(names) * photo_mb * 1e6
        parts = parts_s_gb(root / "trial", names, total_bytes)
    copy_s, kit_s, copy_cpu, kit_cpu = (min(one[k] for one in all_) for k in (0, 1) for all_ in (copies, kits))
    megabytes, per_gb = total_bytes / 1e6, 1e9 / total_bytes
    return {"photos": len(names), "megabytes": megabytes, "copy_mb_s": megabytes / copy_s, "kit_mb_s": megabytes / kit_s,
            "ratio": copy_s / kit_s, "copies_s": [one[0] for one in copies], "kits_s": [one[0] for one in kits],
            "copy_cpu_s_gb": copy_cpu * per_gb, "kit_cpu_s_gb": kit_cpu * per_gb, "parts_cpu_s_gb": parts,
            "floor_cpu_s_gb": copy_cpu * per_gb + parts["sha256"] + parts["crc32"],
            "ratio_two_cores": copy_cpu / kit_cpu * min(CORES, READERS + 1), "peak_mb": peak_mb, "before_mb": before_mb}


def main() -> None:
    """Run it, say it, and keep a line where that was asked for."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--gigabytes", type=float, default=2.0)
    parser.add_argument("--photo-mb", type=float, default=5.0)
    parser.add_argument("--place", type=Path)
    parser.add_argument("--record", action="store_true")
    asked = parser.parse_args()
    before = circumstances()
    found = run(asked.gigabytes, asked.photo_mb, asked.place)
    print(f"{found['photos']} photos, {found['megabytes']:.0f} MB: copied at {found['copy_mb_s']:.0f} MB/s, packed at "
          f"{found['kit_mb_s']:.0f} MB/s, {found['ratio']:.2f} of a copy (wanted: {FEWEST_OF_COPY}); "
          f"peak memory {found['peak_mb']:.0f} MB, {found['before_mb']:.0f} MB before.")
    print(f"CPU seconds per GB: copy {found['copy_cpu_s_gb']:.2f}, kit {found['kit_cpu_s_gb']:.2f} (floor {found['floor_cpu_s_gb']:.2f}; "
          + ", ".join(f"{part} {value:.2f}" for part, value in found["parts_cpu_s_gb"].items())
          + f"); by CPU alone on two idle cores {found['ratio_two_cores']:.2f} of a copy.")
    told("kit", before, found, record=asked.record)


if __name__ == "__main__":
    main()
