"""The folder that a kit was made of, put together again from the kit, as far as it can be: what a stamp can be held against."""

import os
import shutil
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

from fairtank.publish.kit.facts import LEFT_OUT, MADE, REDUCED, VALUES, WITHOUT_PLACE, KitFile
from fairtank.publish.kit.words import photos_words
from fairtank.records.exporters.kit_carried import OF_PHOTOS
from fairtank.records.folder.kit_files import AS_MEASURED, DIGESTS, KitState, paths_in
from fairtank.records.folder.labels import FOLDER as LABELS
from fairtank.records.folder.seal_contents import DIGEST_LETTERS, Contents
from fairtank.records.folder.tables import SERIES
from fairtank.seal import FileChange

# What a kit lays aside as it was, and nothing else: a plan or a seal in as-measured/ must not pass for the one that is judged.
_LAID_ASIDE = (*OF_PHOTOS, SERIES.file)


@contextmanager
def folder_before(root: Path, kit: KitState) -> Iterator[Path]:
    """The trial's own files, with tables and strokes as they were before photos were made smaller or left out."""
    whats = {one.path: one.what for one in kit.files}
    names = {one.path: one.original_path for one in kit.files if one.original_path}
    with tempfile.TemporaryDirectory(prefix="fairtank-") as there:
        place = Path(there)
        own = sorted(path for path in paths_in(root) if whats.get(path) not in (*MADE, VALUES) and path != DIGESTS)
        for path in sorted(own, key=lambda one: one.startswith(f"{AS_MEASURED}/")):  # what was laid aside comes last, over the rest
            before = path.removeprefix(f"{AS_MEASURED}/")
            if path == before or before in _LAID_ASIDE or before.startswith(f"{LABELS}/"):
                _laid(root / path, place / names.get(path, before))
        yield place


def _laid(source: Path, place: Path) -> None:
    """A file put at another place without copying it, where that can be had; a link to another place stays out."""
    if source.is_symlink() or not source.is_file():
        return
    place.parent.mkdir(parents=True, exist_ok=True)
    place.unlink(missing_ok=True)
    try:
        os.link(source, place)
    except OSError:
        shutil.copyfile(source, place)


def photos_told(files: Sequence[FileChange], stamped: Contents | None, others: Mapping[str, KitFile],
                ) -> tuple[tuple[FileChange, ...], list[str]]:  # fmt: skip
    """The changes without those of photos that the kit itself says it changed or left out, and what is to be said of these.

    The digest before must be the one that was stamped: a photo of which the kit's list says another one stays a change.
    """
    pictures = stamped.pictures if stamped is not None else {}
    rest, counts, strayed = list[FileChange](), dict.fromkeys((REDUCED, LEFT_OUT, WITHOUT_PLACE), 0), 0
    for one in files:
        other = others.get(one.file) if one.is_picture and one.until is None and one.kind != "added" else None
        if other is None or other.what not in counts:
            rest.append(one)
        elif pictures.get(one.file) == other.original_sha256[:DIGEST_LETTERS]:
            counts[other.what] += 1
        else:
            strayed += 1
            rest.append(one)
    return tuple(rest), photos_words(counts[REDUCED], counts[LEFT_OUT], counts[WITHOUT_PLACE], strayed)
