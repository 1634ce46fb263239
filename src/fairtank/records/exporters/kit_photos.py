"""What becomes of a photo on its way into a kit: as it is, without its place, or smaller."""

from collections.abc import Collection, Sequence
from io import BytesIO
from pathlib import Path

from fairtank.errors import InputError, PhotoError
from fairtank.publish.kit.facts import REDUCED_PX
from fairtank.records.folder.paths import PICTURE_LIMIT_BYTES, read_bytes
from fairtank.records.folder.pictures import EXTENSIONS, kind_of, picture_from_bytes
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


def name_by_content(path: str, taken: Collection[str]) -> str:
    """What a photo is called once it is a JPEG: as before where its name says so, else with another ending, and free among those taken.

    taken: paths in small letters, since some disks do not tell capitals from them.

    >>> name_by_content("photos/T1.heic", ()), name_by_content("photos/T1.heic", ("photos/t1.jpg",)), name_by_content("T1.JPG", ())
    ('photos/T1.jpg', 'photos/T1.jpeg', 'T1.JPG')
    """
    ends = EXTENSIONS["JPEG"]
    if path.lower().endswith(ends):
        return path
    stem = path.rpartition(".")[0]
    names = (*(f"{stem}{end}" for end in ends), *(f"{stem}-{number}{ends[0]}" for number in range(2, len(taken) + 3)))
    return next(name for name in names if name.lower() not in taken)


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
