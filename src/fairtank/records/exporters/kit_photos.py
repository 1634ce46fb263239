"""What becomes of a photo on its way into a kit: as it is, without its place, or smaller."""

from collections.abc import Sequence
from io import BytesIO
from pathlib import Path

from fairtank.errors import InputError, PhotoError
from fairtank.publish.kit.facts import REDUCED_PX
from fairtank.records.folder.paths import PICTURE_LIMIT_BYTES, read_bytes
from fairtank.records.folder.pictures import kind_of, picture_from_bytes
from fairtank.records.folder.problems import Refusal, shown
from fairtank.records.gps import MEDIA_TYPES, without_place
from fairtank.records.thumbnails import small_picture


def photo_content(root: Path, path: str) -> bytes:
    """The bytes of a photo as it lies in the folder."""
    try:
        return read_bytes(root, path, PICTURE_LIMIT_BYTES)
    except Refusal as refusal:
        raise PhotoError(f"{refusal.read[:1].upper()}{refusal.read[1:]}, and was there a moment ago. Nothing was written.") from None


def placeless(content: bytes, path: str) -> bytes:
    """The photo without the place where it was taken; the very same bytes where it carries none."""
    kind = kind_of(content)
    if kind is None:
        return content
    try:
        return without_place(content, MEDIA_TYPES[kind])
    except PhotoError as error:
        raise InputError("a photo of the kit", f"{shown(path)}, from which the place cannot be taken without saving it anew",
                         "photos whose place can be taken out", "Choose reduced photos, which are saved anew, or a kit with places. "
                                                                "Nothing "
                         "was written.") from error


def reduced(content: bytes, path: str) -> bytes:
    """The photo, upright, with at most REDUCED_PX along its longer side, without anything but its px."""
    return small_picture(content, path, REDUCED_PX)


def size_px(content: bytes, path: str) -> tuple[int, int]:
    """Width and height of the upright photo."""
    picture = picture_from_bytes(path, content)
    return picture.width, picture.height


def strokes_reduced(content: bytes, size: tuple[int, int], colours: Sequence[tuple[int, int, int]]) -> bytes:
    """Strokes for a smaller photo, in the very same colours: a px is painted where a stroke crosses what it stands for.

    A thin stroke must not get lost: of the px that become one, a painted one wins.
    """
    import numpy as np
    from PIL import Image

    with Image.open(BytesIO(content), formats=["PNG"]) as picture:
        painted = np.asarray(picture.convert("RGBA"))
    height, width = painted.shape[:2]
    small = np.zeros((size[1], size[0], 4), np.uint8)
    for colour in colours:
        rows, columns = np.nonzero((painted[..., :3] == colour).all(axis=2) & (painted[..., 3] > 0))
        small[rows * size[1] // height, columns * size[0] // width] = (*colour, 255)
    out = BytesIO()
    Image.fromarray(small, "RGBA").save(out, "PNG")
    return out.getvalue()
