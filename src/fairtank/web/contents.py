"""The files that may be served: found by walking the folders, looked up by name, never made from an address.

An address is only ever a key of this mapping. Links, hidden files and names that cannot be shown are left out.
"""

import os
import stat
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from django.utils.translation import gettext_lazy as _

MOST_FILES = 20_000
# Ending -> (kind, media type). Whatever is not here is offered for download and never shown in the page.
KINDS = {
    ".jpg": ("photo", "image/jpeg"), ".jpeg": ("photo", "image/jpeg"), ".png": ("photo", "image/png"),
    ".webp": ("photo", "image/webp"), ".heic": ("photo", "image/heic"), ".heif": ("photo", "image/heif"),
    ".csv": ("table", "text/plain; charset=utf-8"),
    ".toml": ("text", "text/plain; charset=utf-8"), ".txt": ("text", "text/plain; charset=utf-8"),
    ".md": ("text", "text/plain; charset=utf-8"), ".json": ("text", "text/plain; charset=utf-8"),
    ".srt": ("text", "text/plain; charset=utf-8"), ".vtt": ("text", "text/plain; charset=utf-8"),
    ".pdf": ("document", "application/pdf"),
}
# Result file -> what its link says, in the order in which they are offered.
RESULTS = {
    "report.html": _("The report, to read here"), "report.pdf": _("The report, to print"), "findings.json": _("The findings, for machines"),
    "one-page.html": _("The report on one page, to read here"), "one-page.pdf": _("The report on one page, to print"),
    "measures.csv": _("All values read from the photos"),
    "photos_quality.csv": _("How good each photo is, and why some were left out"),
}
KIND_WORDS = {"text": _("The plan and other texts"), "table": _("Tables"), "document": _("Documents"),
              "photo": _("Photos"), "other": _("Other files")}


@dataclass(frozen=True)
class Shown:
    """One file that may be served: its name inside the folder (forward slashes), where it lies, and what it is."""

    name: str
    path: Path
    size: int
    changed_ns: int
    kind: str
    media_type: str

    @property
    def address(self) -> str:
        """The name as the last part of an address."""
        return quote(self.name)

    @property
    def size_words(self) -> str:
        """The size for people, such as `1.9 MB`."""
        for unit, step in (("MB", 1e6), ("kB", 1e3)):
            if self.size >= step:
                return f"{self.size / step:.1f} {unit}"
        return f"{self.size} bytes"


def files_in(root: Path, without: Path | None = None) -> dict[str, Shown]:
    """Name -> file, for every plain file below a folder; `without` is a folder that is left out."""
    if not root.is_dir():
        return {}
    left_out = without.resolve() if without else None
    found = {}
    for path in _plain_files(root.resolve(), left_out):
        name = path.relative_to(root.resolve()).as_posix()
        if not name.isprintable():  # also names that are not UTF-8
            continue
        facts = path.lstat()
        if stat.S_ISREG(facts.st_mode):
            kind, media_type = KINDS.get(path.suffix.lower(), ("other", "application/octet-stream"))
            found[name] = Shown(name, path, facts.st_size, facts.st_mtime_ns, kind, media_type)
        if len(found) >= MOST_FILES:
            break
    return dict(sorted(found.items()))


def _plain_files(root: Path, left_out: Path | None) -> Iterator[Path]:
    for folder, folders, files in os.walk(root, followlinks=False):
        here = Path(folder)
        folders[:] = sorted(name for name in folders if not name.startswith(".") and here / name != left_out)
        yield from (here / name for name in sorted(files) if not name.startswith("."))


def still_inside(shown: Shown, root: Path) -> bool:
    """Whether the file is still where it was found: a link put in its place, or above it, may lead elsewhere."""
    return not shown.path.is_symlink() and shown.path.resolve() == shown.path and shown.path.is_relative_to(root.resolve())
