"""What of an EXIF block may leave: the fields that say when, with what and how a photo was taken, copied as they stand.

A new block holds nothing but the named fields, so that whatever else a camera wrote is gone: the position (GPS fields), the maker's notes,
comments and titles, serial numbers, owners, embedded thumbnails, and bytes that no field points at. The layout is that of TIFF 6.0 and the
EXIF standard (CIPA DC-008), tag numbers from memory.
"""

from dataclasses import dataclass
from typing import Literal

Order = Literal["little", "big"]
EXIF_START = b"Exif\0\0"
LONGEST_VALUE_BYTES = 256  # what is kept is numbers and short names
_POINTER = 0x8769
_BYTES_PER_TYPE = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 6: 1, 7: 1, 8: 2, 9: 4, 10: 8, 11: 4, 12: 8}
# Size, maker and model, orientation, resolution, program, time, artist, position of colour samples, copyright.
KEPT_OF_PICTURE = frozenset((
    0x0100, 0x0101, 0x010F, 0x0110, 0x0112, 0x011A, 0x011B, 0x0128, 0x0131, 0x0132, 0x013B, 0x0213, 0x8298,
))
KEPT_OF_CAMERA = frozenset((
    # Exposure time, aperture, program, sensitivity.
    0x829A, 0x829D, 0x8822, 0x8827, 0x8830, 0x8831, 0x8832,
    # Version of EXIF, the two times of taking and how far they are ahead of UTC, components.
    0x9000, 0x9003, 0x9004, 0x9010, 0x9011, 0x9012, 0x9101, 0x9102,
    # Shutter, aperture, brightness, bias, metering, light, flash, focal length, parts of a second.
    0x9201, 0x9202, 0x9203, 0x9204, 0x9205, 0x9207, 0x9208, 0x9209, 0x920A, 0x9290, 0x9291, 0x9292,
    # Version, colour space, size, sensor.
    0xA000, 0xA001, 0xA002, 0xA003, 0xA20E, 0xA20F, 0xA210, 0xA215, 0xA217,
    # Exposure and white balance, zoom, focal length on 35 mm film, scene, gain, contrast, distance, lens, gamma.
    0xA402, 0xA403, 0xA404, 0xA405, 0xA406, 0xA407, 0xA408, 0xA409, 0xA40A, 0xA40C, 0xA432, 0xA433, 0xA434, 0xA500,
))


@dataclass(frozen=True)
class _Field:
    """One field of an EXIF block: its number, type, count, and the bytes of its value in the block's own order."""

    tag: int
    kind: int
    count: int
    value: bytes


def kept_exif(block: bytes) -> bytes:
    """The kept fields of an EXIF block, with or without its first six letters, as a new block without them; empty where none is left.

    Fields that point out of the block, are longer than 256 bytes or have no type are left out; a block that is none gives nothing.
    """
    tiff = block.removeprefix(EXIF_START)
    orders: dict[bytes, Order] = {b"II*\0": "little", b"MM\0*": "big"}
    order = orders.get(tiff[:4])
    if order is None:
        return b""
    picture = _fields(tiff, order, int.from_bytes(tiff[4:8], order), KEPT_OF_PICTURE | {_POINTER})
    pointer = picture.pop(_POINTER, None)
    camera: dict[int, _Field] = {}
    if pointer is not None and len(pointer.value) == 4:
        camera = _fields(tiff, order, int.from_bytes(pointer.value, order), KEPT_OF_CAMERA)
    if not (picture or camera):
        return b""
    new = tiff[:4] + (8).to_bytes(4, order)
    if not camera:
        return new + _packed(list(picture.values()), 8, order)
    without = _packed([*picture.values(), _Field(_POINTER, 4, 1, bytes(4))], 8, order)
    start = (8 + len(without)).to_bytes(4, order)
    new += _packed([*picture.values(), _Field(_POINTER, 4, 1, start)], 8, order)
    return new + _packed(list(camera.values()), len(new), order)


def _fields(tiff: bytes, order: Order, place: int, kept: frozenset[int]) -> dict[int, _Field]:
    """The kept fields of the directory at a place; the first of a number counts, as in common readers."""
    found: dict[int, _Field] = {}
    for number in range(int.from_bytes(tiff[place:place + 2], order)):
        entry = tiff[place + 2 + 12 * number:place + 14 + 12 * number]
        if len(entry) < 12:
            break
        tag, kind, count = (int.from_bytes(entry[a:b], order) for a, b in ((0, 2), (2, 4), (4, 8)))
        size = _BYTES_PER_TYPE.get(kind, 0) * count
        if tag not in kept or tag in found or not 0 < size <= LONGEST_VALUE_BYTES:
            continue
        start = int.from_bytes(entry[8:12], order)
        value = entry[8:8 + size] if size <= 4 else tiff[start:start + size]
        if len(value) == size:
            found[tag] = _Field(tag, kind, count, value)
    return found


def _packed(fields: list[_Field], place: int, order: Order) -> bytes:
    """A directory that starts at a place of the block, with the longer values behind it; no further directory follows."""
    fields = sorted(fields, key=lambda field: field.tag)
    directory = len(fields).to_bytes(2, order)
    values, values_start = b"", place + 2 + 12 * len(fields) + 4
    for field in fields:
        directory += b"".join(number.to_bytes(size, order) for number, size in
                              ((field.tag, 2), (field.kind, 2), (field.count, 4)))
        if len(field.value) <= 4:
            directory += field.value.ljust(4, b"\0")
        else:
            directory += (values_start + len(values)).to_bytes(4, order)
            values += field.value + bytes(len(field.value) % 2)
    return directory + bytes(4) + values
