"""A trial's folder as one ZIP file, made while it is sent: nothing of it is held in memory but one photo.

Photos leave without the place where they were taken unless the keeper wishes otherwise. A photo that had one is another file then: its
digest is no longer the one that a stamp names, and a text beside the folder says so.
"""

import io
import zipfile
from collections.abc import Iterator

from fairtank.errors import FairtankError
from fairtank.records.folder.pictures import kind_of
from fairtank.records.gps import MEDIA_TYPES, without_place
from fairtank.records.models import Photo, Stroke, Trial
from fairtank.records.rows.texts import texts_of
from fairtank.records.shelf_photos import photo_files

TOLD_FILE = "about-the-photos.txt"
_PIECE_BYTES = 1 << 20
_WHEN = (1980, 1, 1, 0, 0, 0)  # the same folder gives the same file


class _Sink(io.RawIOBase):
    """Takes what is written and gives it away again, piece by piece; it cannot be wound back."""

    def __init__(self) -> None:
        self.pieces: list[bytes] = []

    def writable(self) -> bool:
        return True

    def write(self, piece: bytes) -> int:  # type: ignore[override]
        self.pieces.append(bytes(piece))
        return len(piece)

    def taken(self) -> bytes:
        whole, self.pieces = b"".join(self.pieces), []
        return whole


def folder_zip(trial: Trial, *, with_place: bool = False) -> Iterator[bytes]:
    """The folder as `trial_export` writes it, below the trial's word.

    Parameters
    ----------
    trial : Trial
    with_place : bool
        Leave in photos the place where they were taken.

    Returns
    -------
    iterator of bytes
        What belongs to the trial is settled at once; files are read as they are sent.

    References
    ----------
    common_practice (keys from sources.py).
    """
    pictures = [*Photo.objects.filter(trial=trial).values_list("path", "sha256")]
    strokes = [*Stroke.objects.filter(trial=trial).values_list("path", "sha256")]
    return _pieces(trial.slug, texts_of(trial), pictures, strokes, with_place)


def _pieces(name: str, texts: dict[str, bytes], photos: list[tuple[str, str]], strokes: list[tuple[str, str]],
            with_place: bool) -> Iterator[bytes]:
    sink, files, changed, left_out = _Sink(), photo_files(), [], []
    with zipfile.ZipFile(sink, "w") as archive:
        for path, content in texts.items():
            archive.writestr(_entry(f"{name}/{path}", is_packed=True), content)
            yield sink.taken()
        for path, sha256 in strokes:
            archive.writestr(_entry(f"{name}/{path}"), files.path_of(sha256).read_bytes())
            yield sink.taken()
        for path, sha256 in photos:
            content = files.path_of(sha256).read_bytes()
            if not with_place:
                try:
                    cleaned = _cleaned(content)
                except FairtankError:
                    left_out.append(path)
                    continue
                if cleaned != content:
                    changed.append(path)
                content = cleaned
            archive.writestr(_entry(f"{name}/{path}"), content)
            yield sink.taken()
        if changed or left_out:
            archive.writestr(_entry(TOLD_FILE, is_packed=True), _told(changed, left_out).encode())
    yield sink.taken()


def _entry(name: str, *, is_packed: bool = False) -> zipfile.ZipInfo:
    """Texts are packed; photos are packed already."""
    entry = zipfile.ZipInfo(name, _WHEN)
    entry.compress_type = zipfile.ZIP_DEFLATED if is_packed else zipfile.ZIP_STORED
    entry.external_attr = 0o644 << 16
    return entry


def _cleaned(content: bytes) -> bytes:
    return without_place(content, MEDIA_TYPES[str(kind_of(content))]) if kind_of(content) else content


def _told(changed: list[str], left_out: list[str]) -> str:
    """What became of photos that held a place."""
    told = []
    if changed:
        told += ["The place where they were taken was removed from these photos, and not one pixel was changed. As files they are others "
                 "now: they do not match a stamp that was made over the photos before.", "", *changed, ""]
    if left_out:
        told += ["These photos were left out, because the place cannot be removed from them without saving them anew:", "", *left_out, ""]
    return "\n".join(told)
