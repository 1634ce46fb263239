"""The demo trials as trial folders: invented tanks, rendered photos, and the exact truth beside them."""

import csv
import io
import multiprocessing
import os
import shutil
from collections.abc import Callable
from concurrent.futures import Executor, ProcessPoolExecutor
from pathlib import Path

from fairtank import __version__
from fairtank.errors import InputError, JobError
from fairtank.records.fanout import fanout_twice
from fairtank.records.folder import write_tables
from fairtank.simulation import render_photo, scenario, strokes_on

# Goes up when demo photos or tables change, so that an older demo folder is made anew.
EDITION = "4"
_MARK = "demo-edition.txt"
_STROKE_SEED = 1
TRUTH_FILE = "truth/truth.csv"
TRUTH_COLUMNS = ("photo", "unit", "day", "plant_cover_pct", "algae_cover_pct", "carpet_cover_pct", "canopy_height_cm")


def demo_make(*, name: str, root: Path, workers: int | None = None, progress: Callable[[int, int], None] | None = None) -> bool:
    """Make a demo folder; does nothing when it is there already.

    Parameters
    ----------
    name : str
        `midday` or `cover_glass`.
    root : Path
        Where the folder shall lie.
    workers : int or None
        Processes; None for one per core.
    progress : callable or None
        Called with (photos rendered, photos in all).

    Returns
    -------
    bool
        Whether it was made now.

    Raises
    ------
    InputError
        If something else than a demo lies at that place.

    References
    ----------
    common_practice (keys from sources.py).
    """
    mark = f"{name} {EDITION} {__version__}\n"
    if root.exists() and any(root.iterdir()):
        if not (root / _MARK).is_file():
            raise InputError("the demo folder", root, "a folder that is not there yet, or an earlier demo", "Choose another with --folder.")
        if (root / _MARK).read_text(encoding="utf-8") == mark:
            return False
    planned = scenario(name)
    partial = root.parent / f".{root.name}.partial"
    shutil.rmtree(partial, ignore_errors=True)
    for folder in ("photos", "labels", "truth"):
        (partial / folder).mkdir(parents=True)
    units = [(name, unit.key, partial) for unit in planned.plan.units]
    count = min(workers or os.cpu_count() or 1, len(units))

    def made(number: int | None) -> Executor:
        return ProcessPoolExecutor(number or count, mp_context=multiprocessing.get_context("spawn"))

    truth: dict[str, list[tuple[object, ...]]] = {}
    if progress:
        progress(0, len(planned.photos))
    for (_, unit, _), rows in fanout_twice(made, _unit_render, units):
        if isinstance(rows, JobError):
            raise JobError(f"The demo photos of {unit} could not be made. {rows}") from rows
        truth[unit] = rows
        if progress:
            progress(sum(map(len, truth.values())), len(planned.photos))
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(TRUTH_COLUMNS)
    writer.writerows(row for unit in planned.plan.units for row in truth[unit.key])
    (partial / TRUTH_FILE).write_text(out.getvalue(), encoding="utf-8", newline="")
    write_tables(
        partial, planned.plan, photos=planned.photos, frames=planned.frames, zones=planned.zones, label_classes=planned.label_classes,
        readings=planned.readings, events=planned.events, build=planned.build, cards=planned.cards_of_units,
        setup=planned.setup,
    )  # fmt: skip
    (partial / _MARK).write_text(mark, encoding="utf-8")
    shutil.rmtree(root, ignore_errors=True)
    partial.rename(root)
    return True


def _unit_render(work: tuple[str, str, Path]) -> list[tuple[object, ...]]:
    """Render all photos of one tank, and the strokes of those that are labelled; returns the truth, a row per photo."""
    from PIL import Image

    name, unit, partial = work
    planned = scenario(name)
    labelled = {photo.path for photo in planned.label_photos}
    rows: list[tuple[object, ...]] = []
    for photo in planned.photos:
        if photo.unit != unit:
            continue
        rendered = render_photo(planned, unit, photo.day)
        (partial / photo.path).write_bytes(rendered.jpeg_bytes(quality=90))
        if photo.path in labelled:
            picture = strokes_on(planned, rendered.truth, photo, _STROKE_SEED)
            Image.fromarray(picture).save(partial / "labels" / f"{Path(photo.path).stem}.png")
        truth = rendered.truth
        values = (truth.plant_cover_pct, truth.algae_cover_pct, truth.carpet_cover_pct, truth.canopy_height_cm)
        rows.append((photo.path, unit, photo.day, *(f"{value:.4f}" for value in values)))
    return rows
