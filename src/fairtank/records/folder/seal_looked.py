"""What was seen of a folder's files when they were last looked at, so that a file that nobody has touched since is not read again.

A file counts as untouched while its size, its number on the disk and both of its times are the same: the time of its last change cannot be
set by hand. Who trusts no clock verifies a folder that was taken away as a ZIP file, of which every byte is read.
"""

import base64
import hashlib
import json
import os
import stat
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from fairtank import __version__
from fairtank.records.folder.seal_rows import TableMarks, table_marks
from fairtank.records.writing import bytes_write

_WHOLE_BYTES = hashlib.sha256().digest_size


@dataclass
class Looked:
    """Digests of pictures and marks of tables by path, each with what told that its file was untouched.

    file: where they are kept; they are read from it when they are first asked for. left: those of the last look. fresh: those of this one.
    """

    file: Path
    left: dict[str, Any] | None = None
    fresh: dict[str, Any] = field(default_factory=dict)
    has_new: bool = False

    def digest(self, root: Path, path: str, made: Callable[[], str | None]) -> str | None:
        """The digest of a picture; `made` works it out where its file is new or was touched."""
        found = self._found(root, path, made)
        return found if isinstance(found, str) else None

    def marks(self, root: Path, path: str, made: Callable[[], TableMarks | None]) -> TableMarks | None:
        """The marks of a table, in the same way."""
        held: list[TableMarks | None] = []

        def told() -> dict[str, Any] | None:
            held.append(made())
            return None if held[0] is None else _told(held[0])

        found = self._found(root, path, told)
        return held[0] if held else _marks(found)

    def keep(self) -> None:
        """Write what was seen, where something of it is new."""
        if self.has_new or set(self.left or ()) != set(self.fresh):
            bytes_write(self.file, json.dumps({"software": __version__, "files": self.fresh}, separators=(",", ":")).encode())

    def _found(self, root: Path, path: str, made: Callable[[], Any]) -> Any:
        if self.left is None:
            self.left = _read(self.file)
        seen = _seen(root / path)
        before = self.left.get(path)
        if seen is None or before is None or before[0] != seen:
            value = made()
            if seen is None or value is None or _seen(root / path) != seen:
                return value
            before, self.has_new = [seen, value], True
        self.fresh[path] = before
        return before[1]


def _read(file: Path) -> dict[str, Any]:
    try:
        kept = json.loads(file.read_bytes())
        return dict(kept["files"]) if kept["software"] == __version__ else {}
    except (OSError, ValueError, KeyError, TypeError):
        return {}


def _seen(place: Path) -> list[int] | None:
    """What changes when a file is touched; None where it is no ordinary file."""
    try:
        found = os.stat(place, follow_symlinks=False)
    except (OSError, ValueError):
        return None
    return [found.st_size, found.st_ino, found.st_mtime_ns, found.st_ctime_ns] if stat.S_ISREG(found.st_mode) else None


def _told(marks: TableMarks) -> dict[str, Any]:
    usual = _usual(len(marks.numbers))
    return {"columns": marks.columns, "wholes": base64.b64encode(b"".join(marks.wholes)).decode(), "file_digest": marks.file_digest,
            "numbers": None if marks.numbers == usual else marks.numbers, "days": ",".join(marks.days)}


def _marks(told: dict[str, Any] | None) -> TableMarks | None:
    if told is None:
        return None
    joined = base64.b64decode(told["wholes"])
    wholes = [joined[start : start + _WHOLE_BYTES] for start in range(0, len(joined), _WHOLE_BYTES)]
    numbers: Sequence[int] = _usual(len(wholes)) if told["numbers"] is None else told["numbers"]
    return table_marks(told["columns"], wholes, told["file_digest"], numbers, told["days"].split(",") if wholes else ())


def _usual(rows: int) -> tuple[int, ...]:
    """The numbers of rows behind one line of names, where none is empty."""
    return tuple(range(2, rows + 2))
