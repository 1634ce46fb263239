"""What a 12 megapixel photo costs: CPU time of the whole chain beside decoding alone, plain baselines, memory, two workers.

    python benchmarks/bench_photo.py [--cache FOLDER] [--repeats 7] [--quick] [--record]

The chain is what `fairtank measure` does with a photo: load, find the frame, read the card, correct the colours, rectify, judge its
quality, look for spots, keep the prepared photo, classify, take every measure, make the small picture. Each repeat decodes the same file
alone right before it, so that a busy machine slows both. The second stage alone is what changed strokes cost. Algae are told from plants by
what lies around each px; with one green its colour alone decides, and that chain is timed beside it. A 24 megapixel file is made of a
12 megapixel one.
"""

# ruff: noqa: E402 - the libraries read how many threads they may use when they are imported
import os

for _library in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[_library] = "1"

import argparse
import dataclasses
import multiprocessing
import resource
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import simplejpeg
from large_trial import JPEG_QUALITY, MEASURED_DAYS, SIZE, large_trial, measured_photos, true_values
from plain_ways import PLAIN_WAYS
from recording import circumstances, told

from fairtank import registry
from fairtank.records.folder import read_folder
from fairtank.records.services.measuring import folder_measure
from fairtank.records.services.preparing import task_of
from fairtank.records.services.versions import versions_of
from fairtank.records.store import Store, prepared_bytes, prepared_of
from fairtank.trial import Photo, TrialFolder
from fairtank.vision import measure, prepare
from fairtank.vision.classes.classifier import Classifier
from fairtank.vision.load import load_photo
from fairtank.vision.measure import PhotoResult, measure_photo, measure_prepared
from fairtank.vision.prepare import prepared_photo
from fairtank.vision.view import View

LIMITS = {
    "chain_per_decode": 2.5, "one_green_per_decode": 2.2, "again_ms": 20.0, "large_per_chain": 1.3, "worker_mb": 350.0, "two_workers": 1.8,
}  # fmt: skip
LARGE = (5632, 4224)


def cpu_ms(work: Callable[[], Any]) -> tuple[float, Any]:
    """CPU milliseconds of one call, and what it gave."""
    start = time.process_time()
    result = work()
    return 1000 * (time.process_time() - start), result


def half_decoded(content: bytes) -> np.ndarray:
    """What the loader's decoder gives for these files, and nothing else."""
    width_px, height_px = (side // 2 for side in SIZE)
    return simplejpeg.decode_jpeg(content, "RGB", fastdct=True, fastupsample=True, min_width=width_px, min_height=height_px, min_factor=1)


def learnt(folder: TrialFolder) -> tuple[View, Classifier]:
    """The tank's view and the trial's classifier, as folder_measure makes them."""
    with tempfile.TemporaryDirectory() as place:
        task, cautions, _ = task_of(folder, Store(Path(place)), versions_of(folder))
    assert task.classifier is not None, cautions
    return next(iter(task.views.values())), task.classifier


def one_green(folder: TrialFolder) -> TrialFolder:
    """The same folder, as if all that lives had been painted as plant."""
    plain = (dataclasses.replace(kind, counts_as="plant") if kind.counts_as == "algae" else kind for kind in folder.label_classes)
    return dataclasses.replace(folder, label_classes=tuple(plain))


def chain(root: Path, photo: Photo, view: View, classifier: Classifier) -> PhotoResult:
    """Everything that is done with one photo."""
    return measure_photo(photo, load_photo(root / photo.path), view, classifier, version="bench")


def chain_timed(root: Path, photos: list[Photo], view: View, classifier: Classifier, repeats: int) -> dict[str, Any]:
    """Milliseconds of decoding alone, of the whole chain and of its second stage, medians per photo, and their ratio."""
    decode, whole, again, unpacked = [], [], [], []
    for photo in photos:
        content = (root / photo.path).read_bytes()
        kept = prepared_bytes(prepared_photo(load_photo(root / photo.path), view))
        prepared = prepared_of(kept)
        assert prepared is not None
        times: list[list[float]] = [[], [], [], []]
        for _ in range(repeats):
            times[0].append(cpu_ms(lambda file=content: half_decoded(file))[0])
            times[1].append(cpu_ms(lambda one=photo: chain(root, one, view, classifier))[0])
            times[2].append(cpu_ms(lambda one=photo, held=prepared: measure_prepared(one, held, view, classifier, version="bench"))[0])
            times[3].append(cpu_ms(lambda held=kept: prepared_of(held))[0])
        for found, those in zip((decode, whole, again, unpacked), times, strict=True):
            found.append(float(np.median(those)))
    ratios = [one / other for one, other in zip(whole, decode, strict=True)]
    return {
        "decode_ms": float(np.median(decode)), "chain_ms": float(np.median(whole)), "chain_per_decode": float(np.median(ratios)),
        "chain_per_decode_worst": max(ratios), "file_mb": float(np.mean([(root / photo.path).stat().st_size for photo in photos])) / 1e6,
        "again_ms": float(np.median(again)), "unpack_ms": float(np.median(unpacked)), "kept_kb": len(kept) / 1e3,
    }  # fmt: skip


def large_timed(root: Path, photos: list[Photo], view: View, classifier: Classifier, repeats: int) -> float:
    """The chain on a file of twice the px, over the chain on the file it was made of; median over photos. Both keep the same content."""
    ratios = []
    with tempfile.TemporaryDirectory() as place:
        for photo in photos:
            pixels = simplejpeg.decode_jpeg((root / photo.path).read_bytes(), "RGB")
            larger = cv2.resize(pixels, LARGE, interpolation=cv2.INTER_CUBIC)
            file = Path(place) / photo.path
            file.parent.mkdir(exist_ok=True)
            file.write_bytes(simplejpeg.encode_jpeg(larger, JPEG_QUALITY, "RGB", "420"))
            times = []
            for _ in range(repeats):
                times.append([cpu_ms(lambda at=at, one=photo: chain(at, one, view, classifier))[0] for at in (root, Path(place))])
            small, large = np.median(times, axis=0)
            ratios.append(large / small)
    return float(np.median(ratios))


STEPS = (
    (measure, ("classified", "jpeg", "spot_note", "verdicts_of", "as_kept")),
    (prepare, ("placed", "correction_of", "rectified_in_colour", "look_of", "with_look", "spot_candidates")),
)


def steps_timed(root: Path, photos: list[Photo], view: View, classifier: Classifier, repeats: int) -> dict[str, float]:
    """Milliseconds of each step inside the chain, medians over photos and repeats; `measures` are all declared ones together."""
    spent: dict[str, list[float]] = {}

    def timed(name: str, work: Callable[..., Any]) -> Callable[..., Any]:
        def call(*values: Any, **more: Any) -> Any:
            took, result = cpu_ms(lambda: work(*values, **more))
            spent.setdefault(name, []).append(took)
            return result

        return call

    first = {(module, name): getattr(module, name) for module, names in STEPS for name in names}
    try:
        for (module, name), work in first.items():
            setattr(module, name, timed(name, work))
        loading, taking = timed("load", load_photo), timed("measures", measure._measured)
        held, measure._measured = measure._measured, taking
        for photo in photos * repeats:
            loaded = loading(root / photo.path)
            measure_photo(photo, loaded, view, classifier, version="bench")
    finally:
        measure._measured = held
        for (module, name), work in first.items():
            setattr(module, name, work)
    for entry in registry.entries("measure"):
        if entry.over == "photo":
            spent[entry.key] = []
    return {step: float(np.median(times)) for step, times in spent.items() if times}


def baselines(root: Path, photos: list[Photo], view: View, classifier: Classifier, repeats: int) -> dict[str, dict[str, float]]:
    """Plain ways beside ours: CPU time, and cover error in points against the truth of plants, and of plants and algae together.

    The baselines decode whole and use one crop for all photos: the frame of the reference photo without its ignored and static zones.
    """
    truth = true_values(root)
    full = (np.array(view.corners) * SIZE[0]).astype(np.float32)
    frame = np.array([[0, 0], [view.width_px, 0], [view.width_px, view.height_px], [0, view.height_px]], np.float32)
    matrix = cv2.getPerspectiveTransform(frame, full)
    crop = cv2.warpPerspective(view.counted.astype(np.uint8), matrix, SIZE, flags=cv2.INTER_NEAREST)
    (left, right), (top, bottom) = ((int(full[:, axis].min()), int(full[:, axis].max())) for axis in (0, 1))
    box = np.s_[top:bottom, left:right]
    inside = crop[box] > 0
    found: dict[str, dict[str, float]] = {}
    for name, mask in PLAIN_WAYS.items():

        def cover(photo: Photo, mask: Callable[[np.ndarray], np.ndarray] = mask) -> float:
            pixels = np.ascontiguousarray(simplejpeg.decode_jpeg((root / photo.path).read_bytes(), "RGB")[box])
            return 100 * float((mask(pixels)[inside] > 0).mean())

        times = [cpu_ms(lambda p=photo, work=cover: work(p))[0] for photo in photos for _ in range(min(repeats, 3))]
        found[name] = {"ms": float(np.median(times)), **_errors({photo.path: (cover(photo), cover(photo)) for photo in photos}, truth)}
    ours = {}
    for photo in photos:
        values = {row.measure: row.value for row in chain(root, photo, view, classifier).measured if row.zone == ""}
        ours[photo.path] = (values["plant_cover"], values["plant_cover"] + values["algae_cover"])
    found["fairtank"] = _errors(ours, truth)
    return found


def _errors(covers: dict[str, tuple[float, float]], truth: dict[str, dict[str, float]]) -> dict[str, float]:
    plant = [plant - truth[path]["plant_cover"] for path, (plant, _) in covers.items()]
    living = [living - truth[path]["plant_cover"] - truth[path]["algae_cover"] for path, (_, living) in covers.items()]
    return {
        "plant_error": float(np.abs(plant).mean()), "plant_bias": float(np.mean(plant)),
        "living_error": float(np.abs(living).mean()), "living_bias": float(np.mean(living)),
    }  # fmt: skip


_held: tuple[Path, View, Classifier] | None = None


def begin(root: Path, view: View, classifier: Classifier) -> None:
    """Set up a worker as the fan-out does: one thread, view and classifier handed over."""
    global _held
    cv2.setNumThreads(1)
    _held = root, view, classifier


def measured_in_worker(photo: Photo) -> str:
    """One photo, in a worker."""
    assert _held is not None
    return chain(_held[0], photo, *_held[1:]).quality.quality


def peak_mb(_: int = 0) -> float:
    """Peak memory of this process since it began. (getrusage alone would also count the parent it was started from.)"""
    try:
        status = Path("/proc/self/status").read_text(encoding="ascii")
        return int(status.split("VmHWM:")[1].split()[0]) / 1024
    except (OSError, IndexError):
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def counted_up(count: int) -> int:
    """Work that needs no memory and no disk: what it gains from a second worker is what the machine has to give."""
    return sum(range(count))


def workers_timed(root: Path, photos: tuple[Photo, ...], view: View, classifier: Classifier, count: int) -> tuple[float, float, float]:
    """Wall seconds for all photos in a pool whose workers have begun, best of three; the same for counting; a worker's peak memory."""
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(count, mp_context=context, initializer=begin, initargs=(root, view, classifier)) as pool:
        list(pool.map(measured_in_worker, photos[: 2 * count]))
        walls: dict[str, list[float]] = {"photos": [], "counting": []}
        for _ in range(3):
            for name, work, units in (("photos", measured_in_worker, photos), ("counting", counted_up, [6_000_000] * len(photos))):
                start = time.perf_counter()
                list(pool.map(work, units))
                walls[name].append(time.perf_counter() - start)
        return min(walls["photos"]), min(walls["counting"]), pool.submit(peak_mb).result()


def folder_s(folder: TrialFolder, workers: int) -> float:
    """Wall seconds of folder_measure from an empty store: starting processes, views and learning the colours are in it."""
    with tempfile.TemporaryDirectory() as store:
        start = time.perf_counter()
        folder_measure(folder=folder, store=Store(Path(store)), workers=workers)
        return time.perf_counter() - start


def main() -> None:
    """Print what was found, and the run's JSON line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    home = Path(tempfile.gettempdir()) / "fairtank-bench"
    parser.add_argument("--cache", type=Path, default=home, help="where the rendered photos are kept")
    parser.add_argument("--repeats", type=int, default=7)
    parser.add_argument("--quick", action="store_true", help="chain and steps only")
    parser.add_argument("--record", action="store_true", help="add the JSON line to results/photo.jsonl")
    options = parser.parse_args()
    before = circumstances()
    cv2.setNumThreads(1)
    root = large_trial(options.cache)
    folder = read_folder(root)
    view, classifier = learnt(folder)
    photos = measured_photos(folder.photos)
    chain(root, photos[0], view, classifier)  # the first call imports what is imported late
    row: dict[str, Any] = {"photo": f"rendered {SIZE[0]}x{SIZE[1]} quality {JPEG_QUALITY}, card in the picture", "days": MEASURED_DAYS}
    row |= chain_timed(root, photos, view, classifier, options.repeats)
    plain = chain_timed(root, photos, view, learnt(one_green(folder))[1], options.repeats)
    row |= {"one_green_per_decode": plain["chain_per_decode"], "one_green_ms": plain["chain_ms"], "one_green_again_ms": plain["again_ms"]}
    limit = LIMITS["chain_per_decode"]
    print(f"decode {row['decode_ms']:.1f} ms, chain {row['chain_ms']:.1f} ms: {row['chain_per_decode']:.2f} x (limit {limit:g})")
    print(f"with one green {row['one_green_ms']:.1f} ms: {row['one_green_per_decode']:.2f} x (limit {LIMITS['one_green_per_decode']:g})")
    print(f"second stage {row['again_ms']:.1f} ms (limit {LIMITS['again_ms']:g}), reading what was kept {row['unpack_ms']:.1f} ms; "
          f"{row['kept_kb']:.0f} kB a photo")
    row["steps_ms"] = steps_timed(root, photos, view, classifier, options.repeats)
    for step, took in row["steps_ms"].items():
        print(f"  {step:18} {took:6.2f} ms")
    if options.quick:
        return
    row["large_per_chain"] = large_timed(root, photos[:3], view, classifier, min(options.repeats, 3))
    print(f"24 megapixels: {row['large_per_chain']:.2f} x the time of 12 (limit {LIMITS['large_per_chain']:g})")
    row["baselines"] = baselines(root, photos, view, classifier, options.repeats)
    for name, found in row["baselines"].items():
        took = found.get("ms", row["chain_ms"])
        print(f"  {name:13} {took:6.0f} ms, plants off by {found['plant_error']:.2f} points (bias {found['plant_bias']:+.2f}), "
              f"with algae {found['living_error']:.2f} ({found['living_bias']:+.2f})")
    row["load_at_workers"] = os.getloadavg()[0]
    (one, one_counting, memory), (two, two_counting, _) = (workers_timed(root, folder.photos, view, classifier, count) for count in (1, 2))
    row |= {"worker_mb": memory, "one_worker_s": one, "two_workers_s": two, "two_workers": one / two, "photos": len(folder.photos)}
    row["two_workers_counting"] = one_counting / two_counting
    row |= {"folder_one_s": folder_s(folder, 1), "folder_two_s": folder_s(folder, 2)}
    print(f"worker {memory:.0f} MB (limit {LIMITS['worker_mb']:g}); {len(folder.photos)} photos: one worker {one:.2f} s, two {two:.2f} s: "
          f"{one / two:.2f} x (limit {LIMITS['two_workers']:g} on free cores)")
    print(f"plain counting gains {row['two_workers_counting']:.2f} x from a second worker; "
          f"load {row['load_at_workers']:.1f} on {os.cpu_count()} cores")
    print(f"folder_measure from an empty store: one process {row['folder_one_s']:.2f} s, two {row['folder_two_s']:.2f} s")
    told("photo", before, row, record=options.record)


if __name__ == "__main__":
    main()
