"""What is read of an upload before it is accepted: its format by content, its size, time and place, and whether it is whole.

Only the header is read, so that a picture that would fill the memory is refused before anything of it is unpacked; `check_whole` decodes
it, for those who want to be sure. The name of an upload says nothing here, since phones give wrong ones.
"""

from dataclasses import dataclass
from datetime import datetime

from fairtank.errors import PhotoError
from fairtank.records.folder.paths import PICTURE_LIMIT_BYTES
from fairtank.records.folder.pictures import EXTENSIONS, header_from_bytes
from fairtank.records.folder.problems import Refusal, shown
from fairtank.records.gps import MEDIA_TYPES
from fairtank.vision.load import check_claimed_size, decoded_photo


@dataclass(frozen=True)
class PhotoFacts:
    """What the header of an accepted photo says.

    kind: JPEG (also one with several pictures, MPO), PNG, WebP or HEIC. size_bytes: length of the file. width_px, height_px: size once
    upright. orientation: 1 to 8 after EXIF; 1 for HEIC, which its reader turns. taken_at: what the camera's clock showed, without a time
    zone, None where it did not say. offset_minutes: how far that clock is said to be ahead of UTC, None where it did not say. has_gps:
    whether a latitude or longitude stands in EXIF or XMP. has_more_pictures: whether a JPEG holds further pictures behind the first.
    """

    kind: str
    size_bytes: int
    width_px: int
    height_px: int
    orientation: int
    taken_at: datetime | None
    offset_minutes: int | None
    has_gps: bool
    has_more_pictures: bool

    @property
    def media_type(self) -> str:
        """Such as image/jpeg."""
        return MEDIA_TYPES[self.kind]

    @property
    def extension(self) -> str:
        """The ending of a file name for this format, such as .jpg."""
        return EXTENSIONS[self.kind][0]


def facts_of(content: bytes, name: str, *, most_bytes: int = PICTURE_LIMIT_BYTES) -> PhotoFacts:
    """The facts of an upload; PhotoError with the reason when it is no photo that can be taken in.

    name is what the upload is called in an error.
    """
    called = shown(name)
    if not content:
        raise PhotoError(f"{called} is empty (0 bytes). Copy it again from the camera.")
    if len(content) > most_bytes:
        raise PhotoError(f"{called} has {len(content) / 1e6:.0f} MB; accepted: a photo of at most {most_bytes / 1e6:.0f} MB.")
    try:
        header = header_from_bytes(called, content)
    except Refusal as refusal:
        raise PhotoError(f"{refusal.read}; accepted: {refusal.accepted}.") from refusal
    check_claimed_size(called, len(content), (header.stored_width, header.stored_height), is_jpeg=header.kind == "JPEG")
    width_px, height_px = header.upright_size
    return PhotoFacts(header.kind, len(content), width_px, height_px, header.orientation, header.taken_at, header.offset_minutes,
                      header.has_gps, header.has_more_pictures)


def check_whole(content: bytes, name: str) -> None:
    """Decode a photo, as measuring will; PhotoError where it is damaged or cut off."""
    decoded_photo(content, shown(name))
