"""The parts of which a photo's file is made, told apart without decoding: segments of a JPEG, chunks of a PNG or a WebP.

The layouts are those of ITU-T T.81 annex B (JPEG), the PNG specification and the WebP container specification, from memory. What cannot
be told apart raises PartsError: a reader that is more forgiving might find something there that is not seen here.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from fairtank.records.photo_scan import next_marker

PNG_START = b"\x89PNG\r\n\x1a\n"
START_OF_SCAN, END_OF_IMAGE = 0xDA, 0xD9
_START_OF_IMAGE = 0xD8
_ALONE = (0x01, *range(0xD0, 0xD8))  # markers without a length
MOST_PARTS = 100_000  # a file of 60 MB has a few thousand; one of nothing but tiny parts is made to keep a reader busy


class PartsError(ValueError):
    """The parts of a file cannot be told apart."""


@dataclass(frozen=True)
class Part:
    """One part of a file: its name (a marker's number, or four letters), where it starts and ends, and where its own content starts."""

    name: int | bytes
    start: int
    content_start: int
    end: int


def jpeg_parts(content: bytes) -> Iterator[Part]:
    """The segments of a JPEG after its start marker, up to and with the end marker; a scan's packed px belong to its segment."""
    if content[:2] != b"\xff\xd8":
        raise PartsError("no start")
    place = 2
    for _ in range(MOST_PARTS):
        start = place
        while content[place:place + 2] == b"\xff\xff":
            place += 1
        if place + 2 > len(content) or content[place] != 0xFF or content[place + 1] in (0, _START_OF_IMAGE):
            raise PartsError("no marker where one should be")
        marker = content[place + 1]
        if marker == END_OF_IMAGE or marker in _ALONE:
            yield Part(marker, start, place + 2, place + 2)
            if marker == END_OF_IMAGE:
                return
            place += 2
            continue
        length = int.from_bytes(content[place + 2:place + 4], "big")
        end = place + 2 + length
        if length < 2 or end > len(content):
            raise PartsError("a segment runs over the end")
        if marker == START_OF_SCAN:
            end = next_marker(content, end)
            if end < 0:
                raise PartsError("no end")
        yield Part(marker, start, place + 4, end)
        place = end
    raise PartsError("too many segments")


def png_chunks(content: bytes) -> Iterator[Part]:
    """The chunks of a PNG, up to and with IEND; end includes the checksum."""
    if not content.startswith(PNG_START):
        raise PartsError("no start")
    place = len(PNG_START)
    for _ in range(MOST_PARTS):
        length, name = int.from_bytes(content[place:place + 4], "big"), content[place + 4:place + 8]
        end = place + 12 + length
        if len(name) < 4 or end > len(content):
            raise PartsError("a chunk runs over the end")
        yield Part(name, place, place + 8, end)
        if name == b"IEND":
            return
        place = end
    raise PartsError("too many chunks")


def webp_chunks(content: bytes) -> Iterator[Part]:
    """The chunks inside the RIFF of a WebP; end includes the byte that makes the length even."""
    if content[:4] != b"RIFF" or content[8:12] != b"WEBP":
        raise PartsError("no start")
    place, whole = 12, 8 + int.from_bytes(content[4:8], "little")
    if whole > len(content):
        raise PartsError("the end is missing")
    for _ in range(MOST_PARTS):
        if place >= whole:
            return
        length = int.from_bytes(content[place + 4:place + 8], "little")
        end = place + 8 + length
        if place + 8 > whole or end > whole:
            raise PartsError("a chunk runs over the end")
        yield Part(content[place:place + 4], place, place + 8, end + length % 2)
        place = end + length % 2
    raise PartsError("too many chunks")
