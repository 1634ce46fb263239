"""The photos of the shelf: one file per photo, named by its SHA-256, so that the same photo is kept once and damage shows.

A photo with the digest `abcd...` lies at `ab/cd/abcd...` below the root. It is written under a hidden name in the root, brought to the
disk, and only then linked to its name in one step: what has a photo's name is whole, whatever kills the writer. Stored files are
read-only, since a trial folder made from the shelf may share them by a hard link.
"""

import hashlib
import os
import re
import secrets
import stat
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from fairtank.errors import InputError
from fairtank.records.folder.paths import PICTURE_LIMIT_BYTES

_CHUNK_BYTES = 1 << 20
_DIGEST = re.compile(r"[0-9a-f]{64}")
_DRAFT = re.compile(r"\.coming-[0-9]+-[0-9a-f]{16}")
# A writer touches its file with every chunk; one that did not for this long is dead [s].
DRAFT_IS_DEAD_AFTER_S = 3600.0


@dataclass(frozen=True)
class StoredPhoto:
    """A photo that was kept.

    sha256: its digest, in hexadecimal. size_bytes: how long it is [bytes]. path: where it lies. is_new: False where the very same photo lay
    there already; of several writers of one photo exactly one is told True, where the disk knows hard links.
    """

    sha256: str
    size_bytes: int
    path: Path
    is_new: bool


@dataclass(frozen=True)
class CheckedPhotos:
    """What a check of all photos found.

    n_whole: how many photos are as they were kept. damaged: digests of photos whose bytes are others now, or cannot be read. strays: files,
    links and folders that are no photo in its place. unfinished: what killed writers left, or what is being written at this moment.
    """

    n_whole: int
    damaged: tuple[str, ...]
    strays: tuple[Path, ...]
    unfinished: tuple[Path, ...]

    @property
    def is_clean(self) -> bool:
        """Whether every photo is whole and nothing lies beside them; what a killed writer left does no harm."""
        return not (self.damaged or self.strays)


@dataclass(frozen=True)
class PhotoFiles:
    """A folder of photos."""

    root: Path

    def put(self, content: BinaryIO | Iterable[bytes], *, called: str = "the photo", most_bytes: int = PICTURE_LIMIT_BYTES) -> StoredPhoto:
        """Keep a photo byte for byte as it comes; when this returns, it is on the disk.

        content is an open file or anything that hands out bytes, read once and never held as a whole. called is what an error calls the
        photo. A damaged file of the same digest is replaced. Raises InputError when the photo is empty or longer than most_bytes, OSError
        when the disk does not take it; either way nothing is left behind.
        """
        self.root.mkdir(parents=True, exist_ok=True)
        draft = self.root / f".coming-{os.getpid()}-{secrets.token_hex(8)}"
        try:
            sha256, size_bytes = _written(draft, _chunks(content), called, most_bytes)
            path = self.path_of(sha256)
            path.parent.mkdir(parents=True, exist_ok=True)
            is_new = self._settled(draft, path, sha256)
        finally:
            _remove(draft)
        return StoredPhoto(sha256, size_bytes, path, is_new)

    def path_of(self, sha256: str) -> Path:
        """Where the photo of a digest lies, whether it is there or not."""
        if not _DIGEST.fullmatch(sha256):
            raise InputError("the digest of a photo", repr(sha256[:80]), "64 digits and letters from a to f, as SHA-256 is written")
        return self.root / sha256[:2] / sha256[2:4] / sha256

    def has(self, sha256: str) -> bool:
        """Whether there is a photo of that digest; its bytes are not looked at (see `check`)."""
        return _is_file(self.path_of(sha256))

    def iterate(self) -> Iterator[str]:
        """The digests of all photos, ascending."""
        return (place.name for place, is_photo in self._places() if is_photo)

    def check(self, progress: Callable[[int], None] | None = None) -> CheckedPhotos:
        """Read every photo again and compare it with its name; nothing is changed. progress is told after each how many were read."""
        damaged: list[str] = []
        strays: list[Path] = []
        unfinished: list[Path] = []
        n_whole = 0
        for place, is_photo in self._places():
            if not is_photo:
                (unfinished if _is_draft(place, self.root) else strays).append(place)
                continue
            if _is_whole(place, place.name):
                n_whole += 1
            else:
                damaged.append(place.name)
            if progress is not None:
                progress(n_whole + len(damaged))
        return CheckedPhotos(n_whole, tuple(damaged), tuple(strays), tuple(unfinished))

    def tidy(self, older_than_s: float = DRAFT_IS_DEAD_AFTER_S) -> tuple[Path, ...]:
        """Delete what killed writers left, and nothing else; returns what was deleted. A younger one may still be written to."""
        before = time.time() - older_than_s
        dead = [place for place in _listed(self.root) if _is_draft(place, self.root) and _changed_s(place) <= before]
        for place in dead:
            _remove(place)
        return tuple(dead)

    def discard(self, sha256: str, *, idle_s: float = 0.0) -> bool:
        """Delete a photo; False where there is none, or where it was put within the last idle_s seconds.

        Whoever calls it makes sure that no row names the photo. A photo put again counts as put now, so that idle_s keeps an upload whose
        row is about to be written.
        """
        path = self.path_of(sha256)
        if not _is_file(path) or (idle_s > 0 and _changed_s(path) > time.time() - idle_s):
            return False
        _remove(path)
        _to_disk(path.parent)
        return True

    def _settled(self, draft: Path, path: Path, sha256: str) -> bool:
        """Give the finished draft its name, unless the photo is there already; True where it was not."""
        is_new = True
        if _is_whole(path, sha256):
            is_new = False
            os.utime(path)
        elif not _linked(draft, path):
            is_new = not _is_whole(path, sha256)  # another writer may have been faster
            if is_new:
                os.replace(draft, path)  # a damaged file is in the way, or the disk knows no hard links
        for folder in (path.parent, path.parent.parent, self.root):
            _to_disk(folder)
        return is_new

    def _places(self) -> Iterator[tuple[Path, bool]]:
        """(place, whether it is a photo where it belongs) for whatever lies below the root; links are not followed."""
        for outer in _listed(self.root):
            if not _is_folder(outer) or not re.fullmatch("[0-9a-f]{2}", outer.name):
                yield outer, False
                continue
            for inner in _listed(outer):
                if not _is_folder(inner) or not re.fullmatch("[0-9a-f]{2}", inner.name):
                    yield inner, False
                    continue
                for place in _listed(inner):
                    fits = _DIGEST.fullmatch(place.name) and place.name.startswith(outer.name + inner.name)
                    yield place, bool(fits) and _is_file(place)


def _chunks(content: BinaryIO | Iterable[bytes]) -> Iterable[bytes]:
    """The content in pieces of moderate size."""
    read = getattr(content, "read", None)
    return content if read is None else iter(lambda: read(_CHUNK_BYTES), b"")


def _written(draft: Path, chunks: Iterable[bytes], called: str, most_bytes: int) -> tuple[str, int]:
    """Write a draft and bring it to the disk; returns the digest and the size of what was written."""
    digest, size_bytes = hashlib.sha256(), 0
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    with open(os.open(draft, flags, 0o444), "wb", buffering=0) as file:
        for chunk in chunks:
            size_bytes += len(chunk)
            if size_bytes > most_bytes:
                raise InputError(called, f"longer than {most_bytes / 1e6:.0f} MB", f"a photo of at most {most_bytes / 1e6:.0f} MB",
                                 "Send the photo alone, not a film or an archive.")
            digest.update(chunk)
            rest = memoryview(chunk)
            while rest:
                rest = rest[file.write(rest):]
        if size_bytes == 0:
            raise InputError(called, "empty (0 bytes)", "a whole photo", "Copy it again from the camera.")
        os.fsync(file.fileno())
    return digest.hexdigest(), size_bytes


def _linked(draft: Path, path: Path) -> bool:
    """Give a file its second name; False where the name is taken, or the disk knows no hard links."""
    try:
        os.link(draft, path)
    except OSError:
        return False
    return True


def _is_whole(path: Path, sha256: str) -> bool:
    """Whether a plain file lies there and its bytes have that digest."""
    if not _is_file(path):
        return False
    digest = hashlib.sha256()
    try:
        with path.open("rb") as file:
            for chunk in iter(lambda: file.read(_CHUNK_BYTES), b""):
                digest.update(chunk)
    except OSError:
        return False
    return digest.hexdigest() == sha256


def _listed(folder: Path) -> list[Path]:
    """What lies in a folder, by name; nothing where there is none."""
    try:
        return sorted(folder.iterdir())
    except FileNotFoundError:
        return []


def _is_file(path: Path) -> bool:
    return path.is_file() and not path.is_symlink()


def _is_folder(path: Path) -> bool:
    return path.is_dir() and not path.is_symlink()


def _is_draft(place: Path, root: Path) -> bool:
    return place.parent == root and bool(_DRAFT.fullmatch(place.name)) and _is_file(place)


def _changed_s(path: Path) -> float:
    """When a file was last changed [s since 1970]; now, where it has just gone."""
    try:
        return path.stat().st_mtime
    except FileNotFoundError:
        return time.time()


def _remove(path: Path) -> None:
    """Delete a file, also a read-only one where the system asks for leave to write."""
    try:
        path.unlink(missing_ok=True)
    except PermissionError:
        path.chmod(stat.S_IRUSR | stat.S_IWUSR)
        path.unlink(missing_ok=True)


def _to_disk(folder: Path) -> None:
    """Bring the names in a folder to the disk, where the system can do that."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    opened = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)
