"""Cleaning a HEIC file where it stands: what may carry a place is written over, and no byte before or behind it moves.

The px of a HEIC file are found by their place in the file, and packing them again would change them. So the EXIF block is replaced by one
of the same length that holds only what is kept, then nothing but zeros; XMP and other texts become an empty packet and spaces; boxes
that are not needed to show the picture (films behind it, notes of makers) become free space. The layout is that of ISO/IEC 14496-12
and 23008-12, from memory.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from fairtank.records.photo_exif import kept_exif
from fairtank.records.photo_parts import MOST_PARTS, Part, PartsError

_NEEDED = (b"ftyp", b"meta", b"mdat", b"free", b"skip", b"wide")
_NEEDED_IN_META = (b"hdlr", b"pitm", b"iloc", b"iinf", b"iprp", b"iref", b"idat", b"dinf", b"grpl", b"free", b"skip")
_TOLD_IN_PROPERTIES = (b"udes", b"uuid")
_NO_XMP = b'<x:xmpmeta xmlns:x="adobe:ns:meta/"/>'
_NO_EXIF = bytes(4) + b"MM\0*\0\0\0\x08" + bytes(6)


@dataclass(frozen=True)
class _Item:
    """Where the bytes of an item lie: (start, end) in the file, in order."""

    number: int
    spans: tuple[tuple[int, int], ...]


def clean_heif(content: bytes) -> bytes:
    """The same file, as long as before, without what may carry a place; raises PartsError when its parts cannot be told apart."""
    new = bytearray(content)
    metas = 0
    for box in heif_boxes(content, 0, len(content)):
        if box.name == b"meta":
            metas += 1
            _clean_meta(content, new, box)
        elif box.name not in _NEEDED:
            _blank(new, box)
    if metas != 1:
        raise PartsError("not exactly one list of items")
    return bytes(new)


def heif_boxes(content: bytes, start: int, end: int) -> Iterator[Part]:
    """The boxes between two places; they fill the space between them."""
    place = start
    for _ in range(MOST_PARTS):
        if place >= end:
            return
        size, name, content_start = int.from_bytes(content[place:place + 4], "big"), content[place + 4:place + 8], place + 8
        if size == 1:
            size, content_start = int.from_bytes(content[place + 8:place + 16], "big"), place + 16
        elif size == 0:
            size = end - place
        if place + size > end or content_start > place + size:
            raise PartsError("a box runs over the end")
        yield Part(name, place, content_start, place + size)
        place += size
    raise PartsError("too many boxes")


def _clean_meta(content: bytes, new: bytearray, meta: Part) -> None:
    """Write over the EXIF block, the texts and the boxes that are not needed, of one list of items."""
    boxes = list(heif_boxes(content, meta.content_start + 4, meta.end))
    kinds, idat = _kinds(content, boxes), next((box for box in boxes if box.name == b"idat"), None)
    items = {item.number: item for box in boxes if box.name == b"iloc" for item in _items(content, box, idat, kinds)}
    for number, kind in kinds.items():
        if number not in items:
            continue
        spans = items[number].spans
        old = b"".join(content[start:end] for start, end in spans)
        _write_over(new, spans, _clean_exif(old) if kind == b"Exif" else _no_text(len(old)))
    for box in boxes:
        if box.name not in _NEEDED_IN_META:
            _blank(new, box)
        if box.name == b"iprp":
            for inner in heif_boxes(content, box.content_start, box.end):
                told = heif_boxes(content, inner.content_start, inner.end) if inner.name == b"ipco" else ()
                for one in told:
                    if one.name in _TOLD_IN_PROPERTIES:
                        _blank(new, one)


def _kinds(content: bytes, boxes: list[Part]) -> dict[int, bytes]:
    """Number of an item -> its kind, for the items that are no picture: EXIF blocks and texts."""
    found = {}
    for listing in (box for box in boxes if box.name == b"iinf"):
        start = listing.content_start + (6 if content[listing.content_start] == 0 else 8)
        for entry in heif_boxes(content, start, listing.end):
            version, place = content[entry.content_start], entry.content_start + 4
            if version < 2:
                raise PartsError("an old list of items")
            width = 2 if version == 2 else 4
            kind = content[place + width + 2:place + width + 6]
            if kind in (b"Exif", b"mime", b"uri "):
                found[int.from_bytes(content[place:place + width], "big")] = kind
    return found


def _items(content: bytes, iloc: Part, idat: Part | None, wanted: dict[int, bytes]) -> Iterator[_Item]:
    """The wanted items of a list of places."""
    place, end = iloc.content_start, iloc.end

    def number(width: int) -> int:
        nonlocal place
        if place + width > end:
            raise PartsError("a list of places runs over its end")
        place += width
        return int.from_bytes(content[place - width:place], "big")

    version = number(1)
    number(3)
    sizes = number(2)
    offset_width, length_width, base_width, index_width = (sizes >> 12, sizes >> 8 & 15, sizes >> 4 & 15, sizes & 15 if version else 0)
    n_spans = 0
    for _ in range(number(4 if version == 2 else 2)):
        own = number(4 if version == 2 else 2)
        method = number(2) & 15 if version else 0
        number(2)
        base = number(base_width)
        spans, n_own = [], number(2)
        n_spans += n_own
        if n_spans > MOST_PARTS:
            raise PartsError("too many places")
        for _ in range(n_own):
            number(index_width)
            start = base + number(offset_width)
            spans.append((start, start + number(length_width)))
        if own in wanted:
            yield _Item(own, tuple(_in_file(span, method, idat, len(content)) for span in spans))


def _in_file(span: tuple[int, int], method: int, idat: Part | None, length: int) -> tuple[int, int]:
    """A span as places in the file; refused where it lies elsewhere or has no end."""
    shift, end = (0, length) if method == 0 else (0, 0)
    if method == 1 and idat is not None:
        shift, end = idat.content_start, idat.end
    start, stop = span[0] + shift, span[1] + shift
    if not shift <= start < stop <= end:
        raise PartsError("an item lies where it cannot be reached")
    return start, stop


def _clean_exif(old: bytes) -> bytes:
    """An EXIF item of the same length that holds only what is kept, then zeros."""
    kept = kept_exif(old[4 + int.from_bytes(old[:4], "big"):])
    if kept and 4 + len(kept) <= len(old):
        return (bytes(4) + kept).ljust(len(old), b"\0")
    return _NO_EXIF.ljust(len(old), b"\0") if len(old) >= len(_NO_EXIF) else bytes(len(old))


def _no_text(length: int) -> bytes:
    return _NO_XMP.ljust(length) if length >= len(_NO_XMP) else b" " * length


def _write_over(new: bytearray, spans: tuple[tuple[int, int], ...], content: bytes) -> None:
    done = 0
    for start, end in spans:
        new[start:end] = content[done:done + end - start]
        done += end - start


def _blank(new: bytearray, box: Part) -> None:
    """Make a box free space."""
    new[box.start + 4:box.start + 8] = b"free"
    new[box.content_start:box.end] = bytes(box.end - box.content_start)
