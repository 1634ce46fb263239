"""What lies in a trial folder that a stamp covers: every table by its rows, every file of settings and every picture by its digest.

It is looked at file by file, whether or not the folder can be read as a trial: a folder that was tampered with often cannot.
"""

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from fairtank.records.folder.labels import FOLDER as LABELS
from fairtank.records.folder.paths import CSV_LIMIT_BYTES, PICTURE_LIMIT_BYTES, TOML_LIMIT_BYTES, check_path, read_bytes, text_from_bytes
from fairtank.records.folder.problems import Problems, Refusal
from fairtank.records.folder.rows import rows_from_text
from fairtank.records.folder.seal_looked import Looked
from fairtank.records.folder.seal_rows import TableMarks, marks_of_table
from fairtank.records.folder.tables import CLASSES, PHOTOS

DIGEST_LETTERS = 32  # of a picture's SHA-256: half of it, which nobody can hit on purpose
_SEAL_FILE = "seal.json"


@dataclass(frozen=True)
class Contents:
    """A folder's tables (marks of their rows), documents (digest) and pictures (start of the digest), by path; refused: files that are
    there and could not be looked at, with the reason."""

    tables: dict[str, TableMarks] = field(default_factory=dict)
    documents: dict[str, str] = field(default_factory=dict)
    pictures: dict[str, str] = field(default_factory=dict)
    refused: dict[str, str] = field(default_factory=dict)


def contents_of(root: Path, known: Mapping[str, str] | None = None, pictures: Iterable[str] = (), *,
                looked: Looked | None = None) -> Contents:
    """What a stamp covers of a folder as it lies there now.

    Parameters
    ----------
    root : Path
        The trial folder.
    known : mapping from path to digest, optional
        SHA-256 of files that were read already, so that no photo is read twice.
    pictures : iterable of str, optional
        Paths of pictures to look for besides those of photos.csv and labels/.
    looked : Looked, optional
        What was seen before, so that a file that was not touched since is not read again.

    Returns
    -------
    Contents

    References
    ----------
    rfc4180 (keys from sources.py).
    """
    known, found = known or {}, Contents()
    tables = sorted(path.name for path in root.glob("*.csv") if not path.name.startswith("."))
    for file in (*tables, CLASSES.file):
        read = partial(_marks, root, file, found)
        marks = read() if looked is None else looked.marks(root, file, read)
        if marks is not None:
            found.tables[file] = marks
    for file in sorted(path.name for kind in ("*.toml", "*.json") for path in root.glob(kind) if not path.name.startswith(".")):
        content = None if file == _SEAL_FILE else _content(root, file, TOML_LIMIT_BYTES, found)
        if content is not None:
            found.documents[file] = hashlib.sha256(content).hexdigest()
    strokes = sorted(f"{LABELS}/{path.name}" for path in (root / LABELS).glob("*.png") if not path.name.startswith("."))
    for path in dict.fromkeys((*_photos(root), *strokes, *pictures)):
        measured = partial(_digest, root, path, found)
        digest = known.get(path) or (measured() if looked is None else looked.digest(root, path, measured))
        if digest is not None:
            found.pictures[path] = digest[:DIGEST_LETTERS]
    return found


def _photos(root: Path) -> list[str]:
    """The paths that photos.csv names, as far as they lead into the folder."""
    content = _content(root, PHOTOS.file, CSV_LIMIT_BYTES, Contents())
    text, _, _ = text_from_bytes(content) if content else (None, None, None)
    if text is None:
        return []
    return [row.values["photo"] for row in rows_from_text(PHOTOS, text, Problems()).rows if "photo" in row.values]


def _marks(root: Path, file: str, found: Contents) -> TableMarks | None:
    content = _content(root, file, CSV_LIMIT_BYTES, found)
    return None if content is None else marks_of_table(content)


def _digest(root: Path, path: str, found: Contents) -> str | None:
    content = _content(root, path, PICTURE_LIMIT_BYTES, found)
    return None if content is None else hashlib.sha256(content).hexdigest()


def _content(root: Path, path: str, limit_bytes: int, found: Contents) -> bytes | None:
    """The bytes of an ordinary file, none for an empty one; None where there is none, or it was refused."""
    try:
        check_path(path)
        place = root / path
        if not place.is_symlink() and place.is_file() and place.stat().st_size == 0:
            return b""
        return read_bytes(root, path, limit_bytes)
    except Refusal as refusal:
        if (root / path).exists():
            found.refused[path] = refusal.read
        return None
