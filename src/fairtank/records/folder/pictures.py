"""What a picture file is: its format by content, its upright size and its time, read from the header without decoding it."""

import io
import re
import warnings
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from fairtank.records.folder.problems import Refusal, shown

MOST_PIXELS = 120_000_000
EXTENSIONS = {"JPEG": (".jpg", ".jpeg"), "PNG": (".png",), "WebP": (".webp",), "HEIC": (".heic", ".heif")}
PHOTO_ACCEPTED = "a JPEG, PNG, WebP or HEIC photo (.jpg .jpeg .png .webp .heic .heif)"
_HEIC_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")
_OTHERS = ((b"GIF8", "a GIF picture"), (b"II*\0", "a TIFF or raw picture"), (b"MM\0*", "a TIFF or raw picture"), (b"BM", "a BMP picture"),
           (b"%PDF", "a PDF document"), (b"PK\x03\x04", "a ZIP archive"), (b"<", "a web page or SVG drawing"),
           (b"version https://git-lfs", "a pointer to a file that was not fetched"))
_ORIENTATION, _EXIF_IFD, _TAKEN_AT = 0x0112, 0x8769, 36867
_TURNED = (5, 6, 7, 8)


@dataclass(frozen=True)
class Picture:
    """The header of a picture: format, size in px once upright, and the time that the camera noted, if any."""

    kind: str
    width: int
    height: int
    taken_at: datetime | None


def kind_of(content: bytes) -> str | None:
    """JPEG, PNG, WebP or HEIC by the first bytes; None for anything else."""
    if content.startswith(b"\xff\xd8\xff"):
        return "JPEG"
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return "PNG"
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return "WebP"
    if content[4:8] == b"ftyp" and content[8:12] in _HEIC_BRANDS:
        return "HEIC"
    return None


def picture_from_bytes(path: str, content: bytes, called: str = "") -> Picture:
    """The header of a photo, refused with the reason when it is no photo, wrongly named, cut off or too large.

    called is what a refusal calls the photo: its path, unless something shorter says it better.
    """
    kind, name = kind_of(content), called or shown(path)
    if kind is None:
        raise Refusal(f"{name} holds {_other_kind(content)}", PHOTO_ACCEPTED)
    if not path.lower().endswith(EXTENSIONS[kind]):
        raise Refusal(f"{name} holds a {kind} picture under another extension",
                      f"{' or '.join(EXTENSIONS[kind])} for a {kind} picture")
    if not is_complete(kind, content):
        raise Refusal(f"{name} is cut off before its end", "a whole photo (copy it again)")
    return _header(name, kind, content)


def is_complete(kind: str, content: bytes) -> bool:
    """Whether the format's own end stands where it should: a cheap test that a copy was not broken off."""
    if kind == "JPEG":
        return _jpeg_has_end(content)
    if kind == "PNG":
        return content.rfind(b"IEND\xae\x42\x60\x82") > 0
    if kind == "WebP":
        return int.from_bytes(content[4:8], "little") + 8 <= len(content)
    return _boxes_fit(content)


def _jpeg_has_end(content: bytes) -> bool:
    """Whether an end marker follows the start of the scan; the one of an embedded thumbnail, further up, does not count."""
    place = 2
    while place + 4 <= len(content) and content[place] == 0xFF:
        marker = content[place + 1]
        if marker == 0xFF:
            place += 1
        elif marker == 0xDA:
            return content.find(b"\xff\xd9", place) > 0
        else:
            place += 2 + int.from_bytes(content[place + 2:place + 4], "big")
    return False


def _boxes_fit(content: bytes) -> bool:
    """Whether the top-level boxes of a HEIC file fill it without running over its end."""
    place = 0
    while place + 8 <= len(content):
        size = int.from_bytes(content[place:place + 4], "big")
        if size == 1:
            size = int.from_bytes(content[place + 8:place + 16], "big")
        if size == 0:
            return True
        if size < 8:
            return False
        place += size
    return place == len(content)


def _header(name: str, kind: str, content: bytes) -> Picture:
    """Size, orientation and time by the picture library; pixels stay packed."""
    from PIL import Image

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # an odd EXIF block or a large size is judged here, not printed
        try:
            with _open(kind, content) as image:
                width, height = image.size
                exif = Image.Exif()
                if image.info.get("exif"):
                    exif.load(image.info["exif"])
                orientation = exif.get(_ORIENTATION, 1)
                taken_at = _time(exif.get_ifd(_EXIF_IFD).get(_TAKEN_AT))
        except Exception as error:  # on broken or hostile bytes the readers raise errors of every kind
            raise Refusal(f"the header of {name} cannot be read", PHOTO_ACCEPTED) from error
    if width * height > MOST_PIXELS:
        megapixels = f"{width} x {height} px ({width * height / 1e6:.0f} megapixels)"
        raise Refusal(f"{name} has {megapixels}", f"at most {MOST_PIXELS / 1e6:.0f} megapixels")
    if width < 8 or height < 8:
        raise Refusal(f"{name} has {width} x {height} px", "a picture of at least 8 x 8 px")
    if kind != "HEIC" and orientation in _TURNED:  # the HEIC reader hands out upright sizes
        width, height = height, width
    return Picture(kind, width, height, taken_at)


def _open(kind: str, content: bytes) -> Any:
    """The reader of exactly this format, so that no other one is ever offered the bytes."""
    file = io.BytesIO(content)
    if kind == "JPEG":
        from PIL.JpegImagePlugin import JpegImageFile

        return JpegImageFile(file)
    if kind == "PNG":
        from PIL.PngImagePlugin import PngImageFile

        return PngImageFile(file)
    if kind == "WebP":
        from PIL.WebPImagePlugin import WebPImageFile

        return WebPImageFile(file)
    from pi_heif import HeifImageFile

    return HeifImageFile(file)


def holds_colour(content: bytes, colours: tuple[tuple[int, int, int], ...]) -> bool:
    """Whether any px of a PNG has exactly one of the colours; decodes the picture.

    A px counts as transparent when at most half of it covers, as it does when strokes are read for measuring.
    """
    import numpy as np
    from PIL.PngImagePlugin import PngImageFile

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with PngImageFile(io.BytesIO(content)) as image:
            pixels = np.asarray(image.convert("RGBA"))
    packed = np.ascontiguousarray(pixels).view("<u4")[..., 0] & 0x00FF_FFFF
    covering = packed[pixels[..., 3] > 127]
    return any(bool((covering == (red | green << 8 | blue << 16)).any()) for red, green, blue in set(colours))


def _time(text: object) -> datetime | None:
    """The time that a camera noted, `2026:03:01 18:30:00`; None when it did not."""
    if not isinstance(text, str) or not re.match(r"[0-9]{4}:[0-9]{2}:[0-9]{2} [0-9]{2}:[0-9]{2}:[0-9]{2}", text):
        return None
    try:
        return datetime.strptime(text[:19], "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return None


def _other_kind(content: bytes) -> str:
    """What a file seems to be that is no photo of a known format."""
    if content[4:8] == b"ftyp":
        return "an AVIF picture" if content[8:12] in (b"avif", b"avis") else "a video"
    return next((name for sign, name in _OTHERS if content.startswith(sign)), "no picture that is known here")
