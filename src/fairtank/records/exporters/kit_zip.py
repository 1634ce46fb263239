"""A ZIP file with the same bytes each time, written in one pass: each file's digests are reckoned while the one before it is written.

Whatever is packed already, such as a photo, is stored as it is; texts are packed. Threads read ahead and reckon the SHA-256 and the
check sum that the ZIP form asks for, of the very bytes that are written, which needs no turn of the interpreter; the main thread only
writes. A few files are held at a time, however many there are.
"""

import hashlib
import zipfile
import zlib
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import IO

WHEN = (1980, 1, 1, 0, 0, 0)  # no file carries a time of its own: the same content gives the same file
AHEAD, READERS = 3, 2  # files that are read ahead, and threads that do it
_STORED = (".jpg", ".jpeg", ".png", ".webp", ".heic", ".pdf", ".mp4", ".webm", ".zip")
_PIECE_BYTES = 512 << 10  # 5 MB handed to ext4 at once took five times the processor time of ten such pieces
_WHOLE_BYTES = 64_000_000  # a longer file is handed on in pieces


@dataclass(frozen=True)
class Source:
    """One file that goes in: where it stands in the ZIP, and what gives its bytes when its turn comes; `what` is handed back with it."""

    path: str
    content: Callable[[], bytes] | Path
    what: str


@dataclass(frozen=True)
class Written:
    """One file that was written: its source, length and SHA-256."""

    source: Source
    size_bytes: int
    sha256: str


@dataclass(frozen=True)
class _Held:
    """The bytes of a file, with their SHA-256 and check sum; of a file too long to be held, only where it lies."""

    content: bytes | Path
    sha256: str = ""
    crc32: int = 0


class KitZip:
    """A ZIP file that is being written; every name stands below one folder."""

    def __init__(self, target: IO[bytes], folder: str) -> None:
        self._target, self._folder = target, folder
        self._archive = zipfile.ZipFile(target, "w", allowZip64=True)

    def __enter__(self) -> "KitZip":
        return self

    def __exit__(self, *fault: object) -> None:
        self._archive.close()

    def add(self, path: str, content: bytes) -> None:
        """One file whose bytes are at hand."""
        self._archive.writestr(self._entry(path), content)

    def add_all(self, sources: Iterable[Source]) -> Iterator[Written]:
        """Each source written, in order; its digest is known when it is."""
        for source, held in _ahead(sources):
            if isinstance(held.content, Path):
                yield self._add_long(source, held.content)
                continue
            if self._entry(source.path).compress_type == zipfile.ZIP_STORED:
                self._store(source.path, held.content, held.crc32)
            else:
                self.add(source.path, held.content)
            yield Written(source, len(held.content), held.sha256)

    def _store(self, path: str, content: bytes, crc32: int) -> None:
        """A file as it is whose check sum is known: what the ZIP module writes, without reckoning it again and without going back."""
        entry, archive = self._entry(path), self._archive
        entry.file_size = entry.compress_size = len(content)
        entry.CRC, entry.header_offset = crc32, self._target.tell()
        self._target.write(entry.FileHeader(zip64=False))
        whole = memoryview(content)
        for start in range(0, len(content), _PIECE_BYTES):
            self._target.write(whole[start:start + _PIECE_BYTES])
        archive.filelist.append(entry)
        archive.NameToInfo[entry.filename] = entry
        archive.start_dir = self._target.tell()

    def _add_long(self, source: Source, place: Path) -> Written:
        """A file that is too long to be held, piece by piece."""
        whole, size = hashlib.sha256(), 0
        entry = self._entry(source.path)
        entry.file_size = place.stat().st_size
        with place.open("rb") as file, self._archive.open(entry, "w", force_zip64=entry.file_size > zipfile.ZIP64_LIMIT) as there:
            while piece := file.read(_PIECE_BYTES):
                whole.update(piece)
                there.write(piece)
                size += len(piece)
        return Written(source, size, whole.hexdigest())

    def _entry(self, path: str) -> zipfile.ZipInfo:
        entry = zipfile.ZipInfo(f"{self._folder}/{path}", WHEN)
        entry.compress_type = zipfile.ZIP_STORED if path.lower().endswith(_STORED) else zipfile.ZIP_DEFLATED
        entry.external_attr, entry.create_system = 0o644 << 16, 3
        return entry


def _ahead(sources: Iterable[Source]) -> Iterator[tuple[Source, _Held]]:
    """The sources with their bytes and digests, in order, read by threads that are never more than a few files ahead."""
    with ThreadPoolExecutor(READERS) as pool:
        waiting = deque[tuple[Source, Future[_Held]]]()
        try:
            for source in sources:
                waiting.append((source, pool.submit(_held, source)))
                if len(waiting) > AHEAD:
                    yield _next(waiting)
            while waiting:
                yield _next(waiting)
        finally:
            for _, one in waiting:
                one.cancel()


def _next(waiting: deque[tuple[Source, Future[_Held]]]) -> tuple[Source, _Held]:
    source, held = waiting.popleft()
    return source, held.result()


def _held(source: Source) -> _Held:
    """The bytes of a file and what is reckoned from them; of a long one only its place."""
    if isinstance(source.content, Path) and source.content.stat().st_size > _WHOLE_BYTES:
        return _Held(source.content)
    content = source.content.read_bytes() if isinstance(source.content, Path) else source.content()
    return _Held(content, hashlib.sha256(content).hexdigest(), zlib.crc32(content))
