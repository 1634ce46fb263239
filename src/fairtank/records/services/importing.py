"""A trial folder taken onto the shelf: every file, row and photo of it."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from django.db import transaction
from django.utils.text import slugify

from fairtank.errors import InputError
from fairtank.records.folder.digest import digest_of_bytes
from fairtank.records.folder.kit_files import check_kit, made_files, measured_files
from fairtank.records.folder.paths import TOML_LIMIT_BYTES
from fairtank.records.folder.pictures import picture_from_bytes
from fairtank.records.folder.reader import read_folder
from fairtank.records.folder.toml_section import FILE as PLAN_FILE
from fairtank.records.folder.undrawn import with_arms
from fairtank.records.models import Document, Photo, Stroke, Trial
from fairtank.records.rows.door import rows_from_nouns
from fairtank.records.rows.kinds import FILE_FIELDS, KINDS
from fairtank.records.rows.plan import plan_rows_store
from fairtank.records.services.trail import By, noted
from fairtank.records.shelf_photos import photo_files
from fairtank.trial import TrialFolder

Progress = Callable[[int, int], None]
_BATCH = 1000
# Tables that refer to photos come after the photos.
ORDER = ("photos", *(field for field in KINDS if field != "photos"))


def trial_import(*, root: Path, by: By, progress: Progress | None = None, title: str = "", origin: str = "",
                 is_example: bool = False, owner: Any = None) -> Trial:  # fmt: skip
    """Take a trial folder onto the shelf; nothing of it stays if anything is wrong with it.

    Photos keep their bytes, and with them every digest that a seal, a stamp or a finding names.

    Parameters
    ----------
    root : Path
        A folder with trial.toml that has no problems.
    by : By
    progress : function of photos done and in all, optional
    title : str
        In place of the plan's own.
    origin : str
        Where it is said to come from; the folder's name where left out.
    is_example : bool
        Whether it is invented.
    owner : account, optional

    Returns
    -------
    Trial

    Raises
    ------
    FolderError
        With every problem of the folder; of a kit, with every file that is otherwise than its list says.
    InputError
        If it is a kit that a later fairtank wrote.

    References
    ----------
    common_practice (keys from sources.py).
    """
    check_kit(root)
    folder, came_from = read_folder(root, reworded=with_arms, frames_may_wait=True), origin or root.name
    facts = photo_facts(folder, progress)
    with transaction.atomic():
        trial = Trial(title=title or folder.plan.title or came_from, slug=free_slug(title or folder.plan.title or came_from),
                      origin=came_from[:300], is_example=is_example, owner=owner or by.user)
        trial.save()
        documents_store(trial, root, folder)
        plan_rows_store(trial, (root / PLAN_FILE).read_text(encoding="utf-8-sig"), folder.seal, folder.draws)
        for field in ORDER:
            table_store(trial, folder, field, facts if field == "photos" else ())
        strokes_store(trial, folder)
        noted(by=by, verb="import", said=f"Took in the folder {came_from}: {counted(folder)}.", trial=trial, row=trial)
    return trial


def counted(folder: TrialFolder) -> str:
    """What a folder holds, in words."""
    values = sum(len(one.days) for one in folder.series)
    parts = [(len(folder.plan.units), "units"), (len(folder.photos), "photos"), (len(folder.readings), "readings"),
             (len(folder.events), "events"), (len(folder.chores_done), "chores done"), (values, "values")]
    return ", ".join(f"{count} {words}" for count, words in parts if count)


def photo_facts(folder: TrialFolder, progress: Progress | None = None) -> list[dict[str, Any]]:
    """Each photo put into the store of photos: digest, size in bytes and px, in the order of the folder's photos."""
    facts, files = [], photo_files()
    for done, photo in enumerate(folder.photos, start=1):
        content = (folder.root / photo.path).read_bytes()
        stored = files.put(iter([content]))
        picture = picture_from_bytes(photo.path, content)
        facts.append({"sha256": stored.sha256, "size_bytes": len(content), "width_px": picture.width, "height_px": picture.height})
        if progress:
            progress(done, len(folder.photos))
    return facts


def table_store(trial: Trial, folder: TrialFolder, field: str, more: Sequence[dict[str, Any]] = ()) -> None:
    """The rows of one table, stored in its order."""
    kind = KINDS[field]
    cells = folder.unknown_cells.get(kind.table.file, ())
    rows = rows_from_nouns(trial, folder.plan, field, getattr(folder, field), cells, more)
    kind.model._base_manager.bulk_create(rows, batch_size=_BATCH)


def strokes_store(trial: Trial, folder: TrialFolder) -> None:
    """Pictures of strokes, put where the photos lie."""
    photos = {photo.path: photo for photo in Photo.objects.filter(trial=trial)} if folder.labels else {}
    files = photo_files()
    for label in folder.labels:
        stored = files.put(iter([(folder.root / label.path).read_bytes()]))
        Stroke.objects.create(trial=trial, photo=photos[label.photo], path=label.path, sha256=stored.sha256)


def documents_store(trial: Trial, root: Path, folder: TrialFolder) -> None:
    """Every file that was read and is no picture, and every other small file at the top, to the byte; not what a kit says of itself."""
    made = made_files(root)
    pictures = {photo.path for photo in folder.photos} | {label.path for label in folder.labels}
    listings = tuple(folder.seal.listings) if folder.seal else ()
    more = [path.name for path in root.iterdir() if path.is_file() and not path.name.startswith(".")]
    aside = measured_files(root)
    for path in dict.fromkeys([*folder.file_digests, *listings, *more, *aside]):
        if path in pictures or path in made:
            continue
        place = root / path
        size = place.stat().st_size
        if path not in {*folder.file_digests, *listings, *aside} and size > TOML_LIMIT_BYTES:
            raise InputError(path, f"{size / 1e6:.0f} MB", f"files that fairtank does not read up to {TOML_LIMIT_BYTES / 1e6:.0f} MB",
                             "Move it out of the trial folder.")
        content = place.read_bytes()
        if path in folder.file_digests and digest_of_bytes(content) != folder.file_digests[path]:
            raise InputError(path, "a file that changed while it was read", "a folder that nobody writes to", "Import it again.")
        Document.objects.create(trial=trial, path=path, content=content, is_table=path in FILE_FIELDS)


def free_slug(title: str) -> str:
    """A word for the address that no other trial has."""
    stem = slugify(title)[:50].strip("-") or "trial"
    taken = set(Trial.everything.filter(slug__startswith=stem).values_list("slug", flat=True))
    return next(word for number in range(1, len(taken) + 3) if (word := stem if number == 1 else f"{stem}-{number}") not in taken)
