"""The one loader: any photo becomes upright sRGB pixels at the scale at which photos are measured.

A JPEG is decoded at 1/2, 1/4 ... of its size as long as its long side keeps `LONG_SIDE_PX`: most of the time a photo
costs is its decoding, and measuring needs no more detail than that.
"""

import warnings
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from fairtank.errors import PhotoError, plain_reason

if TYPE_CHECKING:
    from PIL import Image

LONG_SIDE_PX = 1400
FORMATS = ("JPEG", "PNG", "WEBP", "HEIF")  # a phone's multi-picture JPEG opens as JPEG, then calls itself MPO
HEIC_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1", b"heif")
# A JPEG is never decoded whole when it is large; the other formats have no reduced decode, so they get a lower limit.
JPEG_LIMIT_PX = 120_000_000
OTHER_LIMIT_PX = 50_000_000
# A JPEG has at least this many bits for each px (a plain grey one about 0.05): what claims more px is cut off, and is not decoded.
_FEWEST_BITS_PER_PX, _SMALL_PX = 0.02, 1_000_000
_LONGEST_CAUSE = 90
_EXIF_ORIENTATION, _EXIF_PART, _EXIF_FOCAL_35MM = 0x0112, 0x8769, 0xA405
_FOCAL_35MM = (8.0, 800.0)  # what a lens can have [mm]; what lies outside is a slip of the camera's program


@dataclass(frozen=True, eq=False)
class LoadedPhoto:
    """An upright photo at analysis scale.

    pixels: array of shape (h, w, 3), uint8, sRGB. full_width_px, full_height_px: size of the upright original. focal_35mm: focal length
    that would show the same on 35 mm film [mm], as the camera noted it; None where it did not.
    """

    pixels: np.ndarray
    full_width_px: int
    full_height_px: int
    focal_35mm: float | None = None

    @property
    def scale(self) -> float:
        """Analysis px per px of the original."""
        return float(self.pixels.shape[1] / self.full_width_px)


def load_photo(path: Path, *, whole: bool = False) -> LoadedPhoto:
    """The upright sRGB pixels of a photo at analysis scale.

    Parameters
    ----------
    path : Path
        A JPEG, PNG, WebP or HEIC file. The content counts, not the file's name.
    whole : bool
        Keep every px of the original instead.

    Returns
    -------
    LoadedPhoto
        EXIF orientation applied, colours brought from the embedded profile to sRGB.

    Raises
    ------
    PhotoError
        If the file cannot be read, is cut off, is no photo, or is larger than the limits above.

    References
    ----------
    iec61966 (keys from sources.py).

    Examples
    --------
    >>> import tempfile
    >>> from PIL import Image
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = Path(folder) / "grey.png"
    ...     Image.new("RGB", (40, 30), (90, 90, 90)).save(file)
    ...     load_photo(file).pixels.shape
    (30, 40, 3)
    """
    return decoded_photo(photo_bytes(path), path.name, whole=whole)


def photo_bytes(path: Path) -> bytes:
    """The bytes of a photo's file.

    Parameters
    ----------
    path : Path

    Returns
    -------
    bytes

    Raises
    ------
    PhotoError
        If it cannot be read.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    try:
        return path.read_bytes()
    except OSError as error:
        raise PhotoError(f"{path.name} cannot be read: {plain_reason(error)}.") from error


def decoded_photo(content: bytes, name: str, *, whole: bool = False, long_side_px: int = LONG_SIDE_PX) -> LoadedPhoto:
    """The same as `load_photo`, from the bytes of a file.

    Parameters
    ----------
    content : bytes
        The whole file.
    name : str
        What to call the photo in an error.
    whole : bool
        As in `load_photo`.
    long_side_px : int
        The long side that decoding must keep [px]; the analysis scale unless something smaller is to be shown.

    Returns
    -------
    LoadedPhoto
        Upright sRGB pixels at analysis scale.

    Raises
    ------
    PhotoError
        As in `load_photo`.

    References
    ----------
    iec61966 (keys from sources.py).

    Examples
    --------
    >>> decoded_photo(b"", "empty.jpg")
    Traceback (most recent call last):
    fairtank.errors.PhotoError: empty.jpg is empty (0 bytes). Take the photo again or remove its row.
    """
    if not content:
        raise PhotoError(f"{name} is empty (0 bytes). Take the photo again or remove its row.")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # about tags of no account; what spoils the px is an error
        return _decoded(content, name, whole, long_side_px)


def _decoded(content: bytes, name: str, whole: bool, long_side_px: int) -> LoadedPhoto:
    picture = _opened(content, name)
    orientation = 1 if picture.format == "HEIF" else _orientation(picture)  # the HEIC reader has turned it already
    focal_35mm, profile = _focal_35mm(picture), picture.info.get("icc_profile")
    stored_width_px, stored_height_px = picture.size
    turned = orientation >= 5
    try:
        if picture.format == "PNG":
            _check_sums(_opened(content, name))
        is_plain_jpeg = picture.format in ("JPEG", "MPO") and picture.mode in ("RGB", "L")
        divisor = 1 if whole else _divisor(picture.size, long_side_px)
        pixels = _jpeg_pixels(content, picture, divisor) if is_plain_jpeg else _other_pixels(picture, divisor)
        pixels = _in_srgb(pixels, profile)
    except Exception as error:  # on broken bytes decoders raise errors of every kind
        raise PhotoError(f"{name} is damaged or cut off and cannot be decoded{_cause(error)}. Copy it again from the camera.") from error
    width_px, height_px = (stored_height_px, stored_width_px) if turned else (stored_width_px, stored_height_px)
    return LoadedPhoto(np.ascontiguousarray(_upright(pixels, orientation)), width_px, height_px, focal_35mm)


def _opened(content: bytes, name: str) -> "Image.Image":
    """The picture's header, checked against the limits; nothing is decoded yet."""
    from PIL import Image, JpegImagePlugin, PngImagePlugin, WebPImagePlugin  # noqa: F401

    formats: tuple[str, ...] = FORMATS[:-1]
    if content[4:8] == b"ftyp" and content[8:12] in HEIC_BRANDS:
        import pi_heif

        pi_heif.register_heif_opener()
        formats = FORMATS
    limit, Image.MAX_IMAGE_PIXELS = Image.MAX_IMAGE_PIXELS, None  # the limits below say it in a sentence
    try:
        picture = Image.open(BytesIO(content), formats=formats)
    except Exception as error:  # on broken bytes decoders raise errors of every kind
        raise PhotoError(f"{name} is no readable JPEG, PNG, WebP or HEIC photo. Export it again as JPEG.") from error
    finally:
        Image.MAX_IMAGE_PIXELS = limit
    check_claimed_size(name, len(content), picture.size, is_jpeg=picture.format in ("JPEG", "MPO"))
    return picture


def check_claimed_size(name: str, size_bytes: int, size: tuple[int, int], *, is_jpeg: bool) -> None:
    """Refuse, before anything is decoded, a photo of more px than is accepted, or than its bytes can hold.

    Parameters
    ----------
    name : str
        What to call the photo in an error.
    size_bytes : int
        The length of its file [bytes].
    size : tuple of int
        Width and height as its header has them [px].
    is_jpeg : bool
        JPEG files have a limit of their own.

    Raises
    ------
    PhotoError
        If it is too large, or shorter than that many px can be.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    size_px = size[0] * size[1]
    limit_px = JPEG_LIMIT_PX if is_jpeg else OTHER_LIMIT_PX
    if size_px > limit_px:
        raise PhotoError(f"{name} has {size_px / 1e6:.0f} megapixels; accepted: up to {limit_px / 1e6:.0f}. Save it smaller.")
    if is_jpeg and size_px > _SMALL_PX and 8 * size_bytes < _FEWEST_BITS_PER_PX * size_px:
        short = f"{size_bytes / 1000:.0f} kB for {size_px / 1e6:.0f} megapixels"
        raise PhotoError(f"{name} is damaged or cut off and cannot be decoded ({short}). Copy it again from the camera.")


def _cause(error: Exception) -> str:
    """What a decoder said, in brackets; nothing where it speaks of its own insides."""
    said = "it needs too much memory" if isinstance(error, MemoryError) else " ".join(str(error).split()).strip(" .")
    return f" ({said})" if said and len(said) <= _LONGEST_CAUSE and "<" not in said and "_" not in said else ""


def _check_sums(picture: "Image.Image") -> None:
    """Refuse a PNG whose checksums do not fit its content: Pillow decodes such pixels without a word."""
    try:
        picture.verify()
    except SyntaxError as error:
        raise ValueError("a checksum in it is wrong") from error


def _orientation(picture: "Image.Image") -> int:
    """EXIF orientation 1..8; 1 where it is missing or nonsense."""
    try:
        value = picture.getexif().get(_EXIF_ORIENTATION, 1)
    except Exception:  # on broken bytes readers raise errors of every kind
        return 1  # a damaged EXIF block does not spoil the pixels
    return value if isinstance(value, int) and 1 <= value <= 8 else 1


def _focal_35mm(picture: "Image.Image") -> float | None:
    """EXIF focal length for 35 mm film; None where it is missing or nonsense (0 means unknown)."""
    try:
        value = float(picture.getexif().get_ifd(_EXIF_PART).get(_EXIF_FOCAL_35MM, 0))
    except Exception:  # on broken bytes readers raise errors of every kind
        return None
    return value if _FOCAL_35MM[0] <= value <= _FOCAL_35MM[1] else None


def _jpeg_pixels(content: bytes, picture: "Image.Image", divisor: int) -> np.ndarray:
    """Decode a JPEG at 1, 1/2, 1/4 or 1/8 of its size."""
    import simplejpeg

    # The decoder takes the smallest size not below these; -1 keeps its eighths on a power of two.
    width_px, height_px = (-(-side // divisor) for side in picture.size)
    return simplejpeg.decode_jpeg(content, "RGB", fastdct=True, fastupsample=True, min_width=width_px, min_height=height_px, min_factor=1)


def _divisor(size: tuple[int, int], long_side_px: int) -> int:
    """The largest of 8, 4, 2, 1 that leaves the long side its px."""
    return next((divisor for divisor in (8, 4, 2) if max(size) / divisor >= long_side_px), 1)


def _other_pixels(picture: "Image.Image", divisor: int) -> np.ndarray:
    """Decode any other picture whole and shrink it by a whole factor (area mean)."""
    from PIL import Image

    if picture.format in ("JPEG", "MPO"):  # of another colour model: its decoder can leave out detail, too
        whole_px = picture.size[0]
        picture.draft(None, (-(-picture.size[0] // divisor), -(-picture.size[1] // divisor)))
        divisor = max(1, round(divisor * picture.size[0] / whole_px))  # what is left to do
    if picture.mode.startswith("I;16"):  # 16 bits per grey value: Pillow's own conversion would clip, not scale
        grey = (np.asarray(picture).astype(np.uint16) >> 8).astype(np.uint8)
        picture = Image.fromarray(grey)
    if picture.mode != "RGB":
        picture = picture.convert("RGB")
    return np.asarray(picture.reduce(divisor) if divisor > 1 else picture)


def _in_srgb(pixels: np.ndarray, profile: bytes | None) -> np.ndarray:
    """Bring pixels from their embedded colour profile to sRGB; without a profile they count as sRGB."""
    if not profile:
        return pixels
    from PIL import Image, ImageCms

    try:
        embedded = ImageCms.ImageCmsProfile(BytesIO(profile))
        if embedded.profile.xcolor_space != "RGB " or "sRGB" in (embedded.profile.profile_description or ""):
            return pixels
        converted = ImageCms.profileToProfile(Image.fromarray(pixels), embedded, ImageCms.createProfile("sRGB"), outputMode="RGB")
    except (ImageCms.PyCMSError, OSError) as error:
        raise ValueError("its colour profile is damaged") from error
    return np.asarray(converted)


def _upright(pixels: np.ndarray, orientation: int) -> np.ndarray:
    """Turn stored pixels upright after the eight EXIF orientations."""
    if orientation >= 5:
        pixels = pixels.transpose(1, 0, 2)
    mirrored_rows = orientation in (3, 4, 7, 8)
    mirrored_columns = orientation in (2, 3, 6, 7)
    return pixels[:: -1 if mirrored_rows else 1, :: -1 if mirrored_columns else 1]
