"""How a prepared photo's picture is kept: as a fine JPEG, and measured only after it went through it.

A photo that is measured the first time and one that is measured again with other strokes then show the same px, so their values agree to
the last digit. Kept without loss (PNG) a picture took three times the room, and writing it six times as long.
"""

from dataclasses import replace

import numpy as np

from fairtank.vision.prepare import PreparedPhoto

# On rendered tanks cover moved by 0.2 points at most at this quality, and lay no further from the truth than without.
_QUALITY = 95


def kept_picture(picture: np.ndarray) -> bytes:
    """A rectified picture as JPEG bytes, with colour at full detail.

    Parameters
    ----------
    picture : array of shape (h, w, 3), uint8

    Returns
    -------
    bytes

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> kept_picture(np.zeros((16, 16, 3), np.uint8))[:2] == bytes([0xFF, 0xD8])
    True
    """
    import simplejpeg

    return bytes(simplejpeg.encode_jpeg(np.ascontiguousarray(picture), _QUALITY, "RGB", "444", fastdct=False))


def picture_kept(content: bytes) -> np.ndarray:
    """The picture that was kept.

    Parameters
    ----------
    content : bytes
        From `kept_picture`.

    Returns
    -------
    array of shape (h, w, 3), uint8

    Raises
    ------
    ValueError
        If the bytes are cut off or no JPEG.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> picture_kept(kept_picture(np.full((16, 16, 3), 90, np.uint8)))[3, 3].tolist()
    [90, 90, 90]
    """
    import simplejpeg

    return np.asarray(simplejpeg.decode_jpeg(content, "RGB", fastdct=False))


def as_kept(prepared: PreparedPhoto) -> PreparedPhoto:
    """A prepared photo as it is after it was kept: what is measured.

    Parameters
    ----------
    prepared : PreparedPhoto

    Returns
    -------
    PreparedPhoto

    References
    ----------
    arithmetic (keys from sources.py).
    """
    return prepared if prepared.picture is None else replace(prepared, picture=picture_kept(kept_picture(prepared.picture)))
