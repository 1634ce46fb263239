"""Results of photos kept on disk under (SHA-256 of the photo, version of the method): a rerun skips what is there.

Every result is one small file, written whole or not at all, so a run that was killed goes on where it stopped.
The whole store can be thrown away and is rebuilt by measuring again.
"""

import base64
import dataclasses
import json
import os
from datetime import datetime
from pathlib import Path
from typing import Any

from fairtank.records.writing import text_write
from fairtank.trial import Measured, Photo, PhotoQuality
from fairtank.vision.measure import PhotoResult

FOLDER_NAME = ".fairtank"


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
        except (OSError, ValueError, KeyError, TypeError):
            return None

    def put(self, sha256: str, version: str, result: PhotoResult) -> None:
        """Keep a result: first into a file of its own, then moved into place in one step."""
        _write(self.path(sha256, version), _content(result))

    def cautions_get(self, versions: str) -> tuple[str, ...] | None:
        """What kept values from being taken when photos under these versions were measured; None when that is not known."""
        try:
            return tuple(str(caution) for caution in json.loads(self._cautions_path(versions).read_text(encoding="utf-8"))["cautions"])
        except (OSError, ValueError, KeyError, TypeError):
            return None

    def cautions_put(self, versions: str, cautions: tuple[str, ...]) -> None:
        """Keep the cautions, so that a rerun that opens no photo still tells them."""
        _write(self._cautions_path(versions), {"cautions": list(cautions)})

    def _cautions_path(self, versions: str) -> Path:
        return self.root / "cautions" / f"{versions}.json"


class ReadOnlyStore(Store):
    """A store that gives what is there and keeps nothing: for a folder that cannot be written when no other was named."""

    def put(self, sha256: str, version: str, result: PhotoResult) -> None:
        """Nothing is kept."""

    def cautions_put(self, versions: str, cautions: tuple[str, ...]) -> None:
        """Nothing is kept."""


def store_of(folder: Path, out: Path | None = None) -> Store:
    """The store of a trial folder: inside it when it can be written, else inside the output folder, else one that keeps nothing."""
    inside = folder / FOLDER_NAME
    if os.access(inside if inside.exists() else folder, os.W_OK):
        return Store(inside)
    return Store(out / FOLDER_NAME) if out is not None else ReadOnlyStore(inside)


def _write(place: Path, content: dict[str, Any]) -> None:
    text_write(place, json.dumps(content, ensure_ascii=False))


def _content(result: PhotoResult) -> dict[str, Any]:
    measured = [[row.measure, row.zone, row.value, row.unit_of_measure, row.se] for row in result.measured]
    quality = dataclasses.asdict(result.quality)
    for known in ("photo", "unit", "day", "version"):
        del quality[known]
    return {"measured": measured, "quality": quality, "thumbnail": base64.b64encode(result.thumbnail).decode()}


def _result(photo: Photo, version: str, content: dict[str, Any]) -> PhotoResult:
    kept = dict(content["quality"])
    kept["reasons"] = tuple(kept["reasons"])
    kept["corners"] = tuple(tuple(corner) for corner in kept["corners"]) if kept["corners"] else None
    quality = PhotoQuality(photo=photo.path, unit=photo.unit, day=photo.day, version=version, **kept)
    taken_at: datetime = photo.taken_at
    measured = tuple(
        Measured(photo.path, photo.unit, taken_at, photo.day, measure, zone, value, unit, se, quality.quality, version)
        for measure, zone, value, unit, se in content["measured"]
    )
    return PhotoResult(measured, quality, base64.b64decode(content["thumbnail"]))
