"""What a picture file is: its format by content, its upright size and its time, read from the header without decoding it."""

import io
import re
import warnings
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from fairtank.records.folder.problems import Refusal, shown
from fairtank.vision.load import HEIC_BRANDS

MOST_PIXELS = 120_000_000
EXTENSIONS = {"JPEG": (".jpg", ".jpeg"), "PNG": (".png",), "WebP": (".webp",), "HEIC": (".heic", ".heif")}
PHOTO_ACCEPTED = "a JPEG, PNG, WebP or HEIC photo (.jpg .jpeg .png .webp .heic .heif)"
_OTHERS = ((b"GIF8", "a GIF picture"), (b"II*\0", "a TIFF or raw picture"), (b"MM\0*", "a TIFF or raw picture"), (b"BM", "a BMP picture"),
           (b"%PDF", "a PDF document"), (b"PK\x03\x04", "a ZIP archive"), (b"<", "a web page or SVG drawing"),
           (b"version https://git-lfs", "a pointer to a file that was not fetched"))
_ORIENTATION, _EXIF_IFD, _TAKEN_AT, _OFFSET, _GPS_IFD, _LATITUDE, _LONGITUDE = 0x0112, 0x8769, 0x9003, 0x9011, 0x8825, 2, 4
_PLACE_IN_XMP = re.compile(rb"GPSL(?:at|ong)itude")
_TURNED = (5, 6, 7, 8)
_FEW_COLOURS = 256


@dataclass(frozen=True)
class Picture:
    """The header of a picture: format, size in px once upright, and the time that the camera noted, if any."""

    kind: str
    width: int
    height: int
    taken_at: datetime | None


@dataclass(frozen=True)
class Header:
    """What stands before the pixels.

    kind: JPEG, PNG, WebP or HEIC. stored_width, stored_height: size as stored [px]; the HEIC reader hands out upright sizes. orientation:
    1 to 8 after EXIF, 1 where it is missing or nonsense. taken_at: what the camera's clock showed, None where it was not noted.
    offset_minutes: how far that clock is said to be ahead of UTC, None where it was not noted. has_gps: whether a latitude or a longitude
    stands in EXIF or XMP. has_more_pictures: whether a JPEG says that further pictures follow (a multi-picture object, MPO).
    """

    kind: str
    stored_width: int
    stored_height: int
    orientation: int
    taken_at: datetime | None
    offset_minutes: int | None
    has_gps: bool
    has_more_pictures: bool

    @property
    def upright_size(self) -> tuple[int, int]:
        """Width and height once upright [px]."""
        size = (self.stored_width, self.stored_height)
        return size[::-1] if self.orientation in _TURNED else size


def kind_of(content: bytes) -> str | None:
    """JPEG, PNG, WebP or HEIC by the first bytes; None for anything else."""
    if content.startswith(b"\xff\xd8\xff"):
        return "JPEG"
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return "PNG"
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return "WebP"
    if content[4:8] == b"ftyp" and content[8:12] in HEIC_BRANDS:
        return "HEIC"
    return None


def picture_from_bytes(path: str, content: bytes, called: str = "") -> Picture:
    """The header of a photo, refused with the reason when it is no photo, wrongly named, cut off or too large.

    called is what a refusal calls the photo: its path, unless something shorter says it better.
    """
    name = called or shown(path)
    kind = _kind(name, content)
    if not path.lower().endswith(EXTENSIONS[kind]):
        raise Refusal(f"{name} holds a {kind} picture under another extension",
                      f"{' or '.join(EXTENSIONS[kind])} for a {kind} picture")
    header = header_from_bytes(name, content)
    width, height = header.upright_size
    return Picture(kind, width, height, header.taken_at)


def header_from_bytes(name: str, content: bytes) -> Header:
    """The header of a photo whatever its file is called, refused with the reason when it is no photo, cut off or too large."""
    kind = _kind(name, content)
    if not is_complete(kind, content):
        raise Refusal(f"{name} is cut off before its end", "a whole photo (copy it again)")
    return header_of(name, kind, content)


def _kind(name: str, content: bytes) -> str:
    kind = kind_of(content)
    if kind is None:
        raise Refusal(f"{name} holds {_other_kind(content)}", PHOTO_ACCEPTED)
    return kind


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
            return content.rfind(b"\xff\xd9", place) > 0  # from behind, where it mostly stands
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


def header_of(name: str, kind: str, content: bytes) -> Header:
    """Size, orientation, time and place by the picture library; pixels stay packed. A damaged EXIF block counts as none."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # an odd EXIF block or a large size is judged here, not printed
        try:
            with _open(kind, content) as image:
                width, height = image.size
                exif_block, parts = image.info.get("exif"), getattr(image, "applist", ())
        except Exception as error:  # on broken or hostile bytes the readers raise errors of every kind
            raise Refusal(f"the header of {name} cannot be read", PHOTO_ACCEPTED) from error
        main, camera, place = _exif_directories(exif_block or b"")
    _check_size(name, width, height)
    orientation = main.get(_ORIENTATION, 1)
    is_turned = kind != "HEIC" and isinstance(orientation, int) and 1 <= orientation <= 8  # the HEIC reader has turned it already
    has_gps = _LATITUDE in place or _LONGITUDE in place or _PLACE_IN_XMP.search(content) is not None
    return Header(kind, width, height, orientation if is_turned else 1, _time(camera.get(_TAKEN_AT)), _offset(camera.get(_OFFSET)),
                  has_gps, any(data.startswith(b"MPF\0") for _, data in parts))


def _exif_directories(block: bytes) -> tuple[Any, Any, Any]:
    """The fields of the picture, of the camera and of the place; none where they cannot be read: the pixels are none the worse for it."""
    from PIL import Image

    exif = Image.Exif()
    try:
        exif.load(block)
        main = dict(exif)
    except Exception:  # on broken or hostile bytes the readers raise errors of every kind
        return {}, {}, {}
    found: list[Any] = []
    for pointer in (_EXIF_IFD, _GPS_IFD):
        try:
            found.append(dict(exif.get_ifd(pointer)))
        except Exception:  # the same
            found.append({})
    return main, found[0], found[1]


def _check_size(name: str, width: int, height: int) -> None:
    if width * height > MOST_PIXELS:
        megapixels = f"{width} x {height} px ({width * height / 1e6:.0f} megapixels)"
        raise Refusal(f"{name} has {megapixels}", f"at most {MOST_PIXELS / 1e6:.0f} megapixels")
    if width < 8 or height < 8:
        raise Refusal(f"{name} has {width} x {height} px", "a picture of at least 8 x 8 px")


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
    """Whether any px of a PNG has exactly one of the colours; decodes the picture, whose oddities the decoder may warn of.

    A px counts as transparent when at most half of it covers, as it does when strokes are read for measuring.
    """
    import numpy as np
    from PIL.PngImagePlugin import PngImageFile

    with PngImageFile(io.BytesIO(content)) as image:
        covered = image if image.mode == "RGB" and "transparency" not in image.info else image.convert("RGBA")
        counted = covered.getcolors(_FEW_COLOURS)
    if counted is not None:  # strokes on a plain ground, as they mostly are: told without an array of the whole picture
        return any(seen[:3] in colours and min(seen[3:], default=255) > 127 for _, seen in counted if isinstance(seen, tuple))
    pixels = np.asarray(covered.convert("RGBA"))
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


def _offset(text: object) -> int | None:
    """How far ahead of UTC a camera's clock is said to be, `+02:00` [minutes]; None when it did not say."""
    found = re.match(r"([+-])([01][0-9]):([0-5][0-9])", text) if isinstance(text, str) else None
    return None if found is None else (-1 if found[1] == "-" else 1) * (60 * int(found[2]) + int(found[3]))


def _other_kind(content: bytes) -> str:
    """What a file seems to be that is no photo of a known format."""
    if content[4:8] == b"ftyp":
        return "an AVIF picture" if content[8:12] in (b"avif", b"avis") else "a video"
    return next((name for sign, name in _OTHERS if content.startswith(sign)), "no picture that is known here")
