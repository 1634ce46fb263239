"""Small pictures for the wall of photos, made in memory and never stored."""

from functools import lru_cache
from io import BytesIO
from pathlib import Path

from fairtank.errors import PhotoError
from fairtank.web.contents import Shown

LONGEST_PX = 320
MOST_PIXELS = 120_000_000
FORMATS = ("JPEG", "PNG", "WEBP", "HEIF")  # a JPEG with several pictures (MPO) comes through JPEG


def thumbnail(file: Shown) -> bytes:
    """A small JPEG of a photo, upright and without its EXIF; refuses what cannot be read as a photo."""
    return _thumbnail(file.path, file.size, file.changed_ns)


@lru_cache(maxsize=512)
def _thumbnail(path: Path, size: int, changed_ns: int) -> bytes:
    from pi_heif import register_heif_opener
    from PIL import Image, ImageOps

    register_heif_opener()
    try:
        with Image.open(path, formats=FORMATS) as photo:
            if photo.width * photo.height > MOST_PIXELS:
                raise PhotoError(f"{path.name} has more than {MOST_PIXELS // 1_000_000} million pixels.")
            photo.draft("RGB", (LONGEST_PX, LONGEST_PX))
            small = ImageOps.exif_transpose(photo)
            small.thumbnail((LONGEST_PX, LONGEST_PX))
            target = BytesIO()
            small.convert("RGB").save(target, "JPEG", quality=80)
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError) as error:
        raise PhotoError(f"{path.name} cannot be read as a photo.") from error
    return target.getvalue()
