"""Small pieces of a photo around single points, for a person to say what is there: full detail, nothing that tells which photo it was."""

from pathlib import Path

import numpy as np

from fairtank.errors import PhotoError
from fairtank.lens import Lens
from fairtank.trial import Corners
from fairtank.vision.framing.lens import bent_points, straight_points
from fairtank.vision.load import load_photo
from fairtank.vision.plane import polygon_mask

SIDE_PX = 200
ENLARGED = 2
# Arms of the cross-hair, from the point outwards, in px of the enlarged piece: the gap leaves the point itself free.
GAP_PX, ARM_PX = 16, 62
_GREY = 128
_EDGE_POINTS = 32  # of each bent edge
_JPEG_QUALITY = 88


def whole_photo(path: Path) -> np.ndarray:
    """A photo in full detail, upright, in sRGB.

    Parameters
    ----------
    path : Path
        A JPEG, PNG, WebP or HEIC file that was measured before.

    Returns
    -------
    array of shape (h, w, 3), uint8

    Raises
    ------
    PhotoError
        If the file cannot be read any more.

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
    ...     whole_photo(file).shape
    (30, 40, 3)
    """
    try:
        return load_photo(path, whole=True).pixels
    except PhotoError as error:
        raise PhotoError(f"{error} It could be read when the folder was measured: measure it again.") from error


def point_crop(pixels: np.ndarray, x: float, y: float, corners: Corners, lens: Lens | None = None) -> bytes:
    """The surroundings of one point as a JPEG without any note in it: enlarged, a cross-hair round the point, grey outside the frame.

    What lies outside the frame could tell the tank (its card, its neighbours), so it is not shown. The gap of the cross-hair is
    centred on the point.

    Parameters
    ----------
    pixels : array of shape (h, w, 3), uint8
        The upright photo.
    x, y : float
        The point. [px of the upright photo]
    corners : four (x, y) pairs
        The frame. [px of the upright photo]
    lens : Lens or None
        Of the camera, where it is known: the frame's edges are then bent as it bends them.

    Returns
    -------
    bytes
        A JPEG of 400 x 400 px.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> crop = point_crop(np.zeros((300, 300, 3), np.uint8), 20.0, 150.0, ((0, 0), (300, 0), (300, 300), (0, 300)))
    >>> crop[:2] == bytes([0xFF, 0xD8]), b"Exif" in crop
    (True, False)
    """
    import cv2
    import simplejpeg

    left, top = int(np.floor(x)) - SIDE_PX // 2, int(np.floor(y)) - SIDE_PX // 2
    height, width = pixels.shape[:2]
    piece = np.full((SIDE_PX, SIDE_PX, 3), _GREY, np.uint8)
    from_x, from_y, to_x, to_y = max(left, 0), max(top, 0), min(left + SIDE_PX, width), min(top + SIDE_PX, height)
    piece[from_y - top : to_y - top, from_x - left : to_x - left] = pixels[from_y:to_y, from_x:to_x]
    outline = _outline(np.asarray(corners, float), lens, width, height)
    piece[~polygon_mask(outline - (left, top), SIDE_PX, SIDE_PX)] = _GREY
    side = SIDE_PX * ENLARGED
    large = cv2.resize(piece, (side, side), interpolation=cv2.INTER_CUBIC)
    _cross(large, (x - left) * ENLARGED, (y - top) * ENLARGED)
    return simplejpeg.encode_jpeg(large, quality=_JPEG_QUALITY, colorsubsampling="444")


def _outline(corners: np.ndarray, lens: Lens | None, width_px: int, height_px: int) -> np.ndarray:
    """The frame's edges as points all around."""
    if lens is None:
        return corners
    straight = straight_points(corners, lens, width_px, height_px)
    share = np.linspace(0, 1, _EDGE_POINTS, endpoint=False)[None, :, None]
    edges = (1 - share) * straight[:, None] + share * np.roll(straight, -1, axis=0)[:, None]
    return bent_points(edges.reshape(-1, 2), lens, width_px, height_px)


def _cross(picture: np.ndarray, x: float, y: float) -> None:
    """Four thin arms that stop short of the point: white between dark edges, so that they are seen on any ground."""
    import cv2

    # Positions are continuous; the drawing library counts from the centre of the first px, here in sixteenths.
    for colour, thickness in (((0, 0, 0), 5), ((255, 255, 255), 2)):
        for across, down in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            ends = [(round((x + across * far - 0.5) * 16), round((y + down * far - 0.5) * 16)) for far in (GAP_PX, ARM_PX)]
            cv2.line(picture, ends[0], ends[1], colour, thickness, cv2.LINE_AA, 4)
