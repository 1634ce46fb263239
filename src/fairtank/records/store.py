"""What was made of photos, kept on disk under (SHA-256 of the photo, version of the method): a rerun skips what is there.

The rooms: `views` (one file per frame), `prepared` (what strokes cannot change of a photo), `photos` (its values), `alike` (photos that are
there twice) and `cautions`. Every file is written whole or not at all, so a run that was killed goes on where it stopped. What the last
two ways of measuring made is kept, what older ones made is deleted. The whole store can be thrown away and is rebuilt by measuring again.
"""

import base64
import dataclasses
import json
import os
import re
import shutil
import zlib
from datetime import datetime
from pathlib import Path
from typing import Any

from fairtank.records.packing import packed, unpacked
from fairtank.records.writing import bytes_write, text_write
from fairtank.trial import Measured, Photo, PhotoQuality
from fairtank.vision.keeping import kept_picture, picture_kept
from fairtank.vision.measure import PhotoResult
from fairtank.vision.prepare import PreparedPhoto
from fairtank.vision.view import View

FOLDER_NAME = ".fairtank"
# Ways of measuring (sets of versions) of which everything is kept: the last one and the one before, should its strokes be put back.
WAYS_KEPT = 2
_ROOMS = ("prepared", "photos", "views", "cautions")
_UNREADABLE = (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError, zlib.error)
# What a stored quality does not hold: it comes from the photo as it is listed now.
_TOLD_OTHERWISE = ("photo", "unit", "day", "version")
# Names of versions: nothing else is ever deleted.
_VERSION = re.compile(r"[0-9]+[a-z]?-[0-9a-f]+|[0-9a-f]{12}")


@dataclasses.dataclass(frozen=True)
class Store:
    """A folder of results."""

    root: Path

    def path(self, sha256: str, version: str) -> Path:
        """Where the result of a photo under a version lies, whether it is there or not."""
        return self.root / "photos" / version / f"{sha256}.json"

    def get(self, photo: Photo, sha256: str, version: str) -> PhotoResult | None:
        """The stored result; None when there is none, or it cannot be read."""
        try:
            content = json.loads(self.path(sha256, version).read_text(encoding="utf-8"))
            return _result(photo, version, content)
        except _UNREADABLE:
            return None

    def put(self, sha256: str, version: str, result: PhotoResult) -> None:
        """Keep a result: first into a file of its own, then moved into place in one step."""
        _write(self.path(sha256, version), _content(result))

    def thumbnail_get(self, sha256: str, version: str) -> bytes | None:
        """The small picture of a stored result, all else of which stays packed; None when there is none, or it cannot be read."""
        try:
            return base64.b64decode(json.loads(self.path(sha256, version).read_text(encoding="utf-8"))["thumbnail"])
        except _UNREADABLE:
            return None

    def prepared_path(self, sha256: str, version: str) -> Path:
        """Where a prepared photo lies, whether it is there or not."""
        return self.root / "prepared" / version / f"{sha256}.photo"

    def prepared_get(self, sha256: str, version: str) -> bytes | None:
        """The stored bytes of a prepared photo (see `prepared_of`); None when there are none."""
        try:
            return self.prepared_path(sha256, version).read_bytes()
        except OSError:
            return None

    def prepared_put(self, sha256: str, version: str, content: bytes) -> None:
        """Keep a prepared photo, as `prepared_bytes` gives it."""
        bytes_write(self.prepared_path(sha256, version), content)

    def view_get(self, version: str) -> View | None:
        """The view that was kept under a version; None when there is none, or it cannot be read."""
        try:
            view = unpacked(json.loads(self._view_path(version).read_text(encoding="utf-8")))
        except _UNREADABLE:
            return None
        return view if isinstance(view, View) else None

    def view_put(self, version: str, view: View) -> None:
        """Keep a view, so that its reference photo need not be opened again."""
        _write(self._view_path(version), packed(view))

    def cautions_get(self, versions: str) -> tuple[str, ...] | None:
        """What kept values from being taken when photos under these versions were measured; None when that is not known."""
        try:
            return tuple(str(caution) for caution in json.loads(self._cautions_path(versions).read_text(encoding="utf-8"))["cautions"])
        except _UNREADABLE:
            return None

    def cautions_put(self, versions: str, cautions: tuple[str, ...]) -> None:
        """Keep the cautions, so that a rerun that opens no photo still tells them."""
        _write(self._cautions_path(versions), {"cautions": list(cautions)})

    def alike_get(self, unit: str) -> dict[str, Any] | None:
        """Which photos of a unit were found to be one photo stored twice, as it was kept; None when it is not known."""
        try:
            found = json.loads(self._alike_path(unit).read_text(encoding="utf-8"))
        except _UNREADABLE:
            return None
        return found if isinstance(found, dict) else None

    def alike_put(self, unit: str, found: dict[str, Any]) -> None:
        """Keep it, so that a rerun opens no photo to find out again."""
        _write(self._alike_path(unit), found)

    def tidy(self, versions: set[str]) -> None:
        """Note with which versions the photos were measured now, and delete what neither they nor the ones before them made."""
        notes, now = self.root / "ways.json", sorted(versions)
        try:
            ways = [[str(version) for version in way] for way in json.loads(notes.read_text(encoding="utf-8"))["ways"]]
        except _UNREADABLE:
            ways = []
        if ways[:1] == [now] or not self.root.is_dir():
            return
        ways = [now, *(way for way in ways if way != now)][:WAYS_KEPT]
        _write(notes, {"ways": ways})
        known = {version for way in ways for version in way}
        for room in _ROOMS:
            # A link in a folder from a stranger may lead to the keeper's own files.
            places = [] if (self.root / room).is_symlink() or self.root.is_symlink() else sorted((self.root / room).glob("*"))
            for place in places:
                name = place.name.removesuffix(".json")
                if name in known or not _VERSION.fullmatch(name):
                    continue
                if place.is_dir() and not place.is_symlink():
                    shutil.rmtree(place, ignore_errors=True)
                else:
                    place.unlink(missing_ok=True)

    def _view_path(self, version: str) -> Path:
        return self.root / "views" / f"{version}.json"

    def _cautions_path(self, versions: str) -> Path:
        return self.root / "cautions" / f"{versions}.json"

    def _alike_path(self, unit: str) -> Path:
        return self.root / "alike" / f"{zlib.crc32(unit.encode()):08x}.json"


@dataclasses.dataclass(frozen=True)
class ReadOnlyStore(Store):
    """A store that gives what is there and writes nothing: for a folder that cannot be written when no other was named.

    Results of this run are held in memory.
    """

    held: dict[tuple[str, str], PhotoResult] = dataclasses.field(default_factory=dict, compare=False)

    def get(self, photo: Photo, sha256: str, version: str) -> PhotoResult | None:
        """The result that lies there, or was made in this run."""
        there = self.held.get((sha256, version))
        return _result(photo, version, _content(there)) if there is not None else super().get(photo, sha256, version)

    def put(self, sha256: str, version: str, result: PhotoResult) -> None:
        """Held in memory only."""
        self.held[sha256, version] = result

    def prepared_put(self, sha256: str, version: str, content: bytes) -> None:
        """Nothing is kept."""

    def view_put(self, version: str, view: View) -> None:
        """Nothing is kept."""

    def cautions_put(self, versions: str, cautions: tuple[str, ...]) -> None:
        """Nothing is kept."""

    def alike_put(self, unit: str, found: dict[str, Any]) -> None:
        """Nothing is kept."""

    def tidy(self, versions: set[str]) -> None:
        """Nothing is deleted."""

    def __reduce__(self) -> tuple[type["ReadOnlyStore"], tuple[Path]]:
        """Another process gets the place without what is held."""
        return type(self), (self.root,)


def store_of(folder: Path, out: Path | None = None) -> Store:
    """The store of a trial folder: inside it when it can be written, else inside the output folder, else one that keeps nothing."""
    inside = folder / FOLDER_NAME
    if os.access(inside if inside.exists() else folder, os.W_OK):
        return Store(inside)
    return Store(out / FOLDER_NAME) if out is not None else ReadOnlyStore(inside)


def prepared_bytes(prepared: PreparedPhoto) -> bytes:
    """A prepared photo as the bytes of one file: a line of facts, then its picture as a JPEG.

    Parameters
    ----------
    prepared : PreparedPhoto

    Returns
    -------
    bytes

    References
    ----------
    arithmetic (keys from sources.py).
    """
    picture = b"" if prepared.picture is None else kept_picture(prepared.picture)
    facts = {"checksum": zlib.crc32(picture), "prepared": packed(dataclasses.replace(prepared, picture=None))}
    return json.dumps(facts, ensure_ascii=False).encode() + b"\n" + picture


def prepared_of(content: bytes) -> PreparedPhoto | None:
    """The prepared photo of such bytes; None when they are damaged or were written by another version.

    Parameters
    ----------
    content : bytes
        From `prepared_bytes`.

    Returns
    -------
    PreparedPhoto or None

    References
    ----------
    arithmetic (keys from sources.py).
    """
    try:
        line, _, picture = content.partition(b"\n")
        facts = json.loads(line)
        if zlib.crc32(picture) != facts["checksum"]:
            return None
        prepared = unpacked(facts["prepared"])
        if not isinstance(prepared, PreparedPhoto):
            return None
        return dataclasses.replace(prepared, picture=picture_kept(picture)) if picture else prepared
    except _UNREADABLE:
        return None


def _write(place: Path, content: dict[str, Any]) -> None:
    text_write(place, json.dumps(content, ensure_ascii=False))


def _content(result: PhotoResult) -> dict[str, Any]:
    measured = [[row.measure, row.zone, row.value, row.unit_of_measure, row.se] for row in result.measured]
    quality = dataclasses.asdict(result.quality)
    for known in _TOLD_OTHERWISE:
        del quality[known]
    thumbnail = base64.b64encode(result.thumbnail).decode()
    return {"measured": measured, "quality": quality, "thumbnail": thumbnail, "spots": packed(result.spots)}


def _result(photo: Photo, version: str, content: dict[str, Any]) -> PhotoResult:
    kept = dict(content["quality"])
    if kept.keys() != {field.name for field in dataclasses.fields(PhotoQuality)}.difference(_TOLD_OTHERWISE):
        raise ValueError("written by another version")
    kept["reasons"] = tuple(kept["reasons"])
    kept["verdicts"] = tuple(kept["verdicts"])
    kept["corners"] = tuple(tuple(corner) for corner in kept["corners"]) if kept["corners"] else None
    quality = PhotoQuality(photo=photo.path, unit=photo.unit, day=photo.day, version=version, **kept)
    taken_at: datetime = photo.taken_at
    measured = tuple(
        Measured(photo.path, photo.unit, taken_at, photo.day, measure, zone, value, unit, se, quality.quality, version)
        for measure, zone, value, unit, se in content["measured"]
    )
    return PhotoResult(measured, quality, base64.b64decode(content["thumbnail"]), unpacked(content["spots"]))
