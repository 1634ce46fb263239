"""Spoilt photo files, each a pure function of a seed and a number: for the fuzz of the loader and its short form in the tests."""

import io
import struct
import zlib
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path

import numpy as np

HEIC = Path(__file__).resolve().parent.parent / "tests" / "vision" / "small.heic"


@lru_cache(maxsize=1)
def good_files() -> dict[str, bytes]:
    """One small good file of every kind, by name."""
    from PIL import Image, ImageCms

    rng = np.random.default_rng(7)
    grid = np.add.outer(np.arange(48), np.arange(64))[..., None] * np.array([2, 1, 3])
    pixels = ((grid + rng.integers(0, 30, (48, 64, 3))) % 256).astype(np.uint8)
    picture = Image.fromarray(pixels)
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes().replace(b"s\x00R\x00G\x00B", b"t\x00e\x00s\x00t")
    exif = Image.Exif()
    exif[0x0112] = 6
    exif.get_ifd(0x8769)[0x9003] = "2026:03:01 09:00:00"
    made: dict[str, bytes] = {}

    def keep(name: str, image: Image.Image, kind: str, **options: object) -> None:
        out = io.BytesIO()
        image.save(out, kind, **options)
        made[name] = out.getvalue()

    keep("baseline.jpg", picture, "JPEG", quality=88, exif=exif.tobytes(), icc_profile=profile)
    keep("progressive.jpg", picture, "JPEG", quality=88, progressive=True, restart_marker_rows=1)
    keep("cmyk.jpg", picture.convert("CMYK"), "JPEG")
    keep("grey.jpg", picture.convert("L"), "JPEG")
    keep("colour.png", picture, "PNG", exif=exif.tobytes(), icc_profile=profile)
    keep("alpha.png", picture.convert("RGBA"), "PNG")
    keep("palette.png", picture.convert("P"), "PNG")
    keep("deep.png", Image.fromarray(pixels[..., 0].astype(np.uint16) * 257), "PNG")
    keep("lossy.webp", picture, "WEBP", quality=80, exif=exif.tobytes(), icc_profile=profile)
    keep("lossless.webp", picture.convert("RGBA"), "WEBP", lossless=True)
    made["photo.heic"] = HEIC.read_bytes()
    return made


def case(seed: int, number: int) -> tuple[str, bytes]:
    """The name and the bytes of one spoilt file."""
    rng = np.random.default_rng([seed, number])
    names = tuple(good_files())
    name = names[number % len(names)]
    content = good_files()[name]
    ways = tuple(WAYS)
    used = []
    for _ in range(1 + int(rng.random() < 0.35)):
        way = ways[int(rng.integers(len(ways)))]
        used.append(way)
        content = WAYS[way](content, rng)
    return f"{name}-{'-'.join(used)}", content


def _cut(content: bytes, rng: np.random.Generator) -> bytes:
    return content[: int(rng.integers(0, len(content) + 1))]


def _flipped(content: bytes, rng: np.random.Generator) -> bytes:
    spoilt = bytearray(content)
    for place in rng.integers(0, max(len(content), 1), int(rng.integers(1, 12))):
        if place < len(spoilt):
            spoilt[place] ^= 1 << int(rng.integers(8))
    return bytes(spoilt)


def _overwritten(content: bytes, rng: np.random.Generator) -> bytes:
    spoilt = bytearray(content)
    if spoilt:
        place, length = int(rng.integers(len(spoilt))), int(rng.integers(1, 200))
        fill = [bytes(length), b"\xff" * length, rng.bytes(length)][int(rng.integers(3))]
        spoilt[place : place + length] = fill
    return bytes(spoilt)


def _head_spoilt(content: bytes, rng: np.random.Generator) -> bytes:
    spoilt = bytearray(content)
    for place in rng.integers(0, min(len(content), 400) or 1, int(rng.integers(1, 8))):
        if place < len(spoilt):
            spoilt[place] = int(rng.integers(256))
    return bytes(spoilt)


def _wrong_length(content: bytes, rng: np.random.Generator) -> bytes:
    """A two- or four-byte number somewhere becomes an extreme one."""
    spoilt = bytearray(content)
    if len(spoilt) > 12:
        place, width = int(rng.integers(2, len(spoilt) - 5)), int(rng.choice([2, 4]))
        value = int(rng.choice([0, 1, 2**15 - 1, 2**16 - 1] if width == 2 else [0, 1, 2**31 - 1, 2**32 - 1, 10**8]))
        spoilt[place : place + width] = value.to_bytes(width, str(rng.choice(["big", "little"])))  # type: ignore[arg-type]
    return bytes(spoilt)


def _huge(content: bytes, rng: np.random.Generator) -> bytes:
    """The picture claims a size it has not, its checksum in order."""
    width, height = (int(rng.choice([0, 1, 3000, 7000, 12000, 30000, 65500])) for _ in "wh")
    spoilt = bytearray(content)
    if content[:4] == b"\x89PNG" and len(content) > 40:
        spoilt[16:24] = struct.pack(">II", width, height)
        if rng.random() < 0.5:
            spoilt[24:26] = bytes([int(rng.choice([1, 8, 16])), int(rng.choice([0, 2, 3, 6]))])
        spoilt[29:33] = struct.pack(">I", zlib.crc32(bytes(spoilt[12:29])))
    elif content[:2] == b"\xff\xd8":
        place = next((at for at in range(2, len(content) - 9) if content[at] == 0xFF and content[at + 1] in (0xC0, 0xC1, 0xC2)), None)
        if place is not None:
            spoilt[place + 5 : place + 9] = struct.pack(">HH", min(height, 65535), min(width, 65535))
    elif content[8:12] == b"WEBP" and len(content) > 30:
        spoilt[24:30] = struct.pack("<I", max(width, 1) - 1)[:3] + struct.pack("<I", max(height, 1) - 1)[:3]
    elif (place := content.find(b"ispe")) > 0:
        spoilt[place + 8 : place + 16] = struct.pack(">II", width, height)
    return bytes(spoilt)


def _shuffled(content: bytes, rng: np.random.Generator) -> bytes:
    """A block is moved, doubled or taken out."""
    if len(content) < 20:
        return content
    start, length = int(rng.integers(len(content))), int(rng.integers(1, 400))
    block, rest = content[start : start + length], content[:start] + content[start + length :]
    place = int(rng.integers(len(rest) + 1))
    many = content[:place] + block * int(rng.integers(2, 30)) + content[place:]
    return [rest, rest[:place] + block + rest[place:], many][int(rng.integers(3))]


def _exif_bomb(content: bytes, rng: np.random.Generator) -> bytes:
    """An EXIF block that points to itself, or claims billions of entries."""
    count = int(rng.choice([1, 200, 65535]))
    entry = struct.pack("<HHII", int(rng.choice([0x0112, 0x8769, 0x8825, 0x927C])), int(rng.choice([1, 2, 3, 4, 5, 7, 12])),
                        int(rng.choice([1, 2**31, 2**32 - 1])), int(rng.choice([8, 0, 2**31, 26])))  # fmt: skip
    body = b"Exif\x00\x00II*\x00\x08\x00\x00\x00" + struct.pack("<H", count) + entry * min(count, 3000) + struct.pack("<I", 8)
    body = body[:65000]
    if content[:2] == b"\xff\xd8":
        return content[:2] + b"\xff\xe1" + struct.pack(">H", len(body) + 2) + body + content[2:]
    if content[:4] == b"\x89PNG" and len(content) > 33:
        return content[:33] + _chunk(b"eXIf", body[6:]) + content[33:]
    return content.replace(b"Exif\x00\x00", body[:40], 1) if b"Exif\x00\x00" in content else content + body


def _profile_spoilt(content: bytes, rng: np.random.Generator) -> bytes:
    """A colour profile of nonsense, or one that was whole with bytes changed."""
    junk = rng.bytes(int(rng.integers(0, 3000)))
    if content[:2] == b"\xff\xd8":
        if (place := content.find(b"ICC_PROFILE")) > 0 and rng.random() < 0.6:
            spoilt = bytearray(content)
            for at in rng.integers(place + 14, min(place + 600, len(content)), 6):
                spoilt[at] = int(rng.integers(256))
            return bytes(spoilt)
        body = b"ICC_PROFILE\x00" + bytes([int(rng.integers(3)), int(rng.integers(3))]) + junk
        return content[:2] + b"\xff\xe2" + struct.pack(">H", len(body) + 2) + body + content[2:]
    if content[:4] == b"\x89PNG" and len(content) > 33:
        packed = zlib.compress(b"\x00" * int(rng.choice([10, 10_000_000])) if rng.random() < 0.5 else junk)
        return content[:33] + _chunk(b"iCCP", b"x\x00\x00" + packed) + content[33:]
    return _overwritten(content, rng)


def _text_bomb(content: bytes, rng: np.random.Generator) -> bytes:
    """A packed text that unpacks to very much, or very many small ones."""
    if content[:4] != b"\x89PNG" or len(content) < 34:
        return content + rng.bytes(20)
    if rng.random() < 0.5:
        return content[:33] + _chunk(b"zTXt", b"a\x00\x00" + zlib.compress(bytes(40_000_000))) + content[33:]
    return content[:33] + _chunk(b"tEXt", b"a\x00b") * 5000 + content[33:]


def _glued(content: bytes, rng: np.random.Generator) -> bytes:
    """Another kind of file before or after the photo: an archive, a page, another photo."""
    others = (b"PK\x03\x04" + bytes(26), b"<html><script>", b"GIF89a" + bytes(20), b"%PDF-1.7\n", *good_files().values())
    other = others[int(rng.integers(len(others)))]
    return other + content if rng.random() < 0.5 else content + other


def _chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


WAYS: dict[str, Callable[[bytes, np.random.Generator], bytes]] = {
    "cut": _cut, "flipped": _flipped, "overwritten": _overwritten, "head": _head_spoilt, "length": _wrong_length, "huge": _huge,
    "shuffled": _shuffled, "exif": _exif_bomb, "profile": _profile_spoilt, "text": _text_bomb, "glued": _glued,
}  # fmt: skip
