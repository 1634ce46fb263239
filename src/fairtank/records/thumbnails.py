"""Small pictures of photos: upright, in sRGB, without EXIF. Each can be thrown away and is made again when it is next asked for.

Those of the shelf's photos lie as files below a folder of derived things, named by the photo's digest; those of a trial folder that is only
looked at are held in memory.
"""

import os
import secrets
import shutil
import threading
from dataclasses import dataclass
from functools import lru_cache
from io import BytesIO
from pathlib import Path

from fairtank.errors import InputError, PhotoError
from fairtank.records.folder.paths import PICTURE_LIMIT_BYTES
from fairtank.vision.load import decoded_photo, photo_bytes

WALL_PX, SCREEN_PX = 320, 1600
LONG_SIDES_PX = (WALL_PX, SCREEN_PX)
# How they are made; a change here makes all of them anew, in a folder of its own.
WAY = "1"
_JPEG_QUALITY = 80
_HELD = 512
# A picture that is no JPEG is unpacked whole, up to 150 MB: not more than two at a time, however many phones ask.
_DECODING = threading.BoundedSemaphore(2)


def small_picture(content: bytes, name: str, long_side_px: int) -> bytes:
    """A JPEG of a photo whose long side is at most that long [px]; a smaller photo keeps its size.

    name is what PhotoError calls a photo that cannot be read.
    """
    from PIL import Image

    with _DECODING:
        picture = Image.fromarray(decoded_photo(content, name, long_side_px=long_side_px).pixels)
        shrinking = max(picture.size) / long_side_px
        if shrinking > 1:
            size = (max(1, round(picture.width / shrinking)), max(1, round(picture.height / shrinking)))
            picture = picture.resize(size, Image.Resampling.LANCZOS, reducing_gap=2.0)
        target = BytesIO()
        picture.save(target, "JPEG", quality=_JPEG_QUALITY)
    return target.getvalue()


def small_picture_of_file(path: Path, long_side_px: int = WALL_PX) -> bytes:
    """The same of a file; the last few hundred are held in memory for as long as their files stay as they are."""
    try:
        facts = path.stat()
    except OSError as error:
        raise PhotoError(f"{path.name} cannot be read.") from error
    if facts.st_size > PICTURE_LIMIT_BYTES:
        raise PhotoError(f"{path.name} has {facts.st_size / 1e6:.0f} MB; accepted: a photo of at most {PICTURE_LIMIT_BYTES / 1e6:.0f} MB.")
    return _held(path, facts.st_size, facts.st_mtime_ns, long_side_px)


@lru_cache(maxsize=_HELD)
def _held(path: Path, size_bytes: int, changed_ns: int, long_side_px: int) -> bytes:
    return small_picture(photo_bytes(path), path.name, long_side_px)


@dataclass(frozen=True)
class SmallPictures:
    """A folder of small pictures of stored photos."""

    root: Path

    def path_of(self, sha256: str, long_side_px: int) -> Path:
        """Where the small picture of a photo lies, whether it is there or not."""
        if long_side_px not in LONG_SIDES_PX:
            raise InputError("the long side of a small picture", long_side_px, " or ".join(f"{side} px" for side in LONG_SIDES_PX))
        return self.root / f"small-{WAY}" / str(long_side_px) / sha256[:2] / f"{sha256}.jpg"

    def of(self, sha256: str, photo: Path, long_side_px: int) -> Path:
        """The small picture of the photo with this digest, which lies at `photo`; made now where it is not there yet.

        Of several that make the same one at a time, each writes its own file and the last one stays.
        """
        path = self.path_of(sha256, long_side_px)
        if _is_there(path):
            return path
        picture = small_picture(photo_bytes(photo), "this photo", long_side_px)
        path.parent.mkdir(parents=True, exist_ok=True)
        draft = path.with_name(f".{path.name}.{secrets.token_hex(8)}")
        try:
            draft.write_bytes(picture)
            os.replace(draft, path)
        finally:
            draft.unlink(missing_ok=True)
        return path

    def forget(self, sha256: str) -> None:
        """Throw away the small pictures of one photo."""
        for long_side_px in LONG_SIDES_PX:
            self.path_of(sha256, long_side_px).unlink(missing_ok=True)

    def clear(self) -> None:
        """Throw away all of them, also those made in earlier ways."""
        for folder in self.root.glob("small-*"):
            if folder.is_dir() and not folder.is_symlink():
                shutil.rmtree(folder)


def _is_there(path: Path) -> bool:
    """Whether a file lies there; one without content was being written when the power went, and counts as none."""
    try:
        return path.stat().st_size > 0
    except OSError:
        return False
