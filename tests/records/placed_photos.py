"""Photos that carry a place, made here: 1 degree 2' 3" N, 4 degrees 5' 6" W, open sea, and the word SEAMARK wherever a text can stand."""

import io
import struct
import zlib
from functools import cache
from pathlib import Path

import numpy as np

MARK = b"SEAMARK"
TAKEN, OFFSET = "2026:03:05 18:30:00", "+02:00"
XMP = b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><exif:GPSLatitude>1,2.05N</exif:GPSLatitude>SEAMARK</x:xmpmeta>'
# How latitude stands in an EXIF block: three fractions; unlike anything else in these files.
LATITUDE = {order: struct.pack(f"{order}6I", 1, 1, 2, 1, 3, 1) for order in "<>"}
MEDIA = {"JPEG": "image/jpeg", "MPO": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp", "HEIC": "image/heic"}


def pixels(width: int = 64, height: int = 48) -> np.ndarray:
    """A picture with detail, so that lossy packing would show if it were done again."""
    return np.random.default_rng(5).integers(0, 256, (height, width, 3), dtype=np.uint8)


def exif(orientation: int = 6):
    """An EXIF block as a phone writes it, by the picture library."""
    from PIL import Image

    block = Image.Exif()
    block[0x010E], block[0x010F], block[0x0112] = "SEAMARK harbour", "Invented", orientation
    camera, place = block.get_ifd(0x8769), block.get_ifd(0x8825)
    camera[0x9003], camera[0x9011], camera[0xA405], camera[0x829A] = TAKEN, OFFSET, 26, 0.01
    camera[0x927C], camera[0x9286] = b"maker\0" + MARK * 9, b"ASCII\0\0\0" + MARK
    place[1], place[2], place[3], place[4] = "N", (1.0, 2.0, 3.0), "W", (4.0, 5.0, 6.0)
    return block


@cache
def profile() -> bytes:
    """A colour profile; made once, since it carries the time of its making."""
    from PIL import ImageCms

    return ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def placed(kind: str, **more) -> bytes:
    """A photo of that format with a place wherever one can stand."""
    from PIL import Image, PngImagePlugin

    if kind == "HEIC":
        return heic(exif(1).tobytes())
    picture, target = Image.fromarray(pixels()), io.BytesIO()
    options = {"exif": exif(), "icc_profile": profile(), **more}
    if kind == "MPO":
        picture.save(target, "MPO", save_all=True, append_images=[picture.copy()], quality=90, **options)
        return target.getvalue()
    if kind == "JPEG":
        picture.save(target, "JPEG", quality=90, comment=MARK, xmp=XMP, **options)
        whole = target.getvalue()
        iptc = b"Photoshop 3.0\0" + MARK
        return whole[:2] + b"\xff\xed" + struct.pack(">H", len(iptc) + 2) + iptc + whole[2:] + b"film behind it " + MARK
    if kind == "PNG":
        told = PngImagePlugin.PngInfo()
        told.add_text("Location", "SEAMARK")
        told.add_itxt("XML:com.adobe.xmp", XMP.decode())
        told.add_text("Comment", "SEAMARK " * 20, zip=True)
        picture.save(target, "PNG", pnginfo=told, **options)
        return target.getvalue() + MARK
    picture.save(target, "WEBP", quality=90, xmp=XMP, **options)
    return target.getvalue()


def heic(block: bytes, kind: bytes = b"Exif") -> bytes:
    """The small HEIC file of these tests with another EXIF block (or text) in place of its own, put behind the px."""
    content = (Path(__file__).parent / "files" / "small.heic").read_bytes()
    item = (bytes(4) + block.removeprefix(b"Exif\0\0")) if kind == b"Exif" else block
    place = struct.pack(">IHII", 0x233, 1, 0, 0x56)  # where its list of places says that the block lies, and how long it is
    assert content.count(place) == 1
    content = content.replace(place, struct.pack(">IHII", len(content), 1, 0, len(item)))
    content = content.replace(b"\0\2\0\0Exif\0", b"\0\2\0\0" + kind + b"\0")
    start = content.index(b"mdat") - 4
    size = int.from_bytes(content[start:start + 4], "big") + len(item)
    return content[:start] + struct.pack(">I", size) + content[start + 4:] + item


def png_chunk(name: bytes, data: bytes) -> bytes:
    """One chunk of a PNG with its checksum."""
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def box(name: bytes, data: bytes) -> bytes:
    """One box of a HEIC file."""
    return struct.pack(">I", 8 + len(data)) + name + data


def opened(content: bytes):
    """The picture library's reading of a photo, HEIC included."""
    from pi_heif import register_heif_opener
    from PIL import Image

    register_heif_opener()
    return Image.open(io.BytesIO(content))
