"""A photo's frame seen straight on, as a picture for people: what two photos side by side are compared by."""

from collections.abc import Sequence

import numpy as np

from fairtank.lens import Lens
from fairtank.vision.framing.lens import straight_points, undistorted

LONG_SIDE_PX = 1000
_JPEG_QUALITY = 85


def framed_jpeg(content: bytes, corners: Sequence[Sequence[float]], size_px: tuple[int, int], size_cm: tuple[float, float],
                lens: Lens | None = None) -> bytes:  # fmt: skip
    """What lies in the frame of a photo, upright and without its perspective.

    Parameters
    ----------
    content : bytes
        The photo, or a smaller picture of it, as a JPEG.
    corners : four (x, y) pairs
        The frame, as the lens bent it. [px of the whole upright photo]
    size_px : two int
        Width and height of the whole upright photo.
    size_cm : two float
        Width and height of the frame. [cm]
    lens : Lens or None
        Of the camera, where it is known.

    Returns
    -------
    bytes
        A JPEG in the frame's own shape, its long side 1000 px.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> import simplejpeg
    >>> grey = simplejpeg.encode_jpeg(np.full((60, 80, 3), 90, np.uint8))
    >>> framed = framed_jpeg(grey, ((8, 6), (72, 6), (72, 54), (8, 54)), (80, 60), (60.0, 45.0))
    >>> simplejpeg.decode_jpeg(framed).shape
    (750, 1000, 3)
    """
    import cv2
    import simplejpeg

    pixels = simplejpeg.decode_jpeg(content, "RGB")
    framed = np.asarray(corners, float) * (pixels.shape[1] / size_px[0])
    if lens is not None:
        framed = straight_points(framed, lens, pixels.shape[1], pixels.shape[0])
        pixels = undistorted(pixels, lens)
    scale = LONG_SIDE_PX / max(size_cm)
    width, height = max(round(size_cm[0] * scale), 1), max(round(size_cm[1] * scale), 1)
    target = np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float32)
    # Positions are continuous; the library counts from the centre of the first px.
    matrix = cv2.getPerspectiveTransform((framed - 0.5).astype(np.float32), target - 0.5)
    straight = cv2.warpPerspective(pixels, matrix, (width, height), flags=cv2.INTER_AREA, borderMode=cv2.BORDER_REPLICATE)
    return bytes(simplejpeg.encode_jpeg(np.ascontiguousarray(straight), _JPEG_QUALITY))
