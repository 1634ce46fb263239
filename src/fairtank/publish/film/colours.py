"""Px as a film stores them: light in full detail, colour at half of it, after ITU-R BT.709 in its narrow range."""

from collections.abc import Sequence

import numpy as np

from fairtank.publish.film.items import PAPER

# Left, top, right, bottom [px, even].
Place = tuple[int, int, int, int]
# From this difference on a mixture shows both [of 255], after so much smoothing.
_DOUBLE, _SMOOTH_PX = 14, 1.2

# bt709, literature values, from memory: luma of R, G, B, the scaled colour differences, and the 8-bit levels 16 to 235 and 16 to 240.
_KR, _KG, _KB = 0.2126, 0.7152, 0.0722
_LUMA, _CHROMA = 219 / 255, 224 / 255
_CB, _CR = 1.8556, 1.5748
TO_YUV = np.array([
    [_LUMA * _KR, _LUMA * _KG, _LUMA * _KB, 16.0],
    [-_CHROMA * _KR / _CB, -_CHROMA * _KG / _CB, _CHROMA * (1 - _KB) / _CB, 128.0],
    [_CHROMA * (1 - _KR) / _CR, -_CHROMA * _KG / _CR, -_CHROMA * _KB / _CR, 128.0],
])  # fmt: skip


def yuv_of(picture: np.ndarray) -> np.ndarray:
    """A picture as one frame of a film (yuv420p).

    Parameters
    ----------
    picture : array of shape (h, w, 3), uint8
        sRGB; h and w even.

    Returns
    -------
    array of shape (3 h / 2, w), uint8
        The h rows of luma, then those of Cb and of Cr, each a quarter of the luma's px.

    References
    ----------
    bt709 (keys from sources.py).

    Examples
    --------
    >>> white = yuv_of(np.full((4, 4, 3), 255, np.uint8))
    >>> int(white[:4].max()), int(white[4:].max())
    (235, 128)
    """
    import cv2

    height, width = picture.shape[:2]
    frame = np.empty((height * 3 // 2, width), np.uint8)
    luma, *chroma = planes(frame)
    cv2.transform(picture, TO_YUV[:1], luma)
    small = cv2.resize(picture, (width // 2, height // 2), interpolation=cv2.INTER_AREA)
    for row, plane in zip(TO_YUV[1:], chroma, strict=True):
        cv2.transform(small, row[None], plane)
    return frame


def planes(frame: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Views of the three planes of a frame: (h, w), (h / 2, w / 2), (h / 2, w / 2)."""
    height, width = frame.shape[0] * 2 // 3, frame.shape[1]
    flat, luma, chroma = frame.reshape(-1), height * width, height * width // 4
    return (frame[:height], flat[luma:luma + chroma].reshape(height // 2, width // 2),
            flat[luma + chroma:].reshape(height // 2, width // 2))


def blended(before: np.ndarray, after: np.ndarray, share: float, places: Sequence[Place]) -> np.ndarray:
    """A frame between two frames: in the places it is a mixture, everywhere else it is the first one.

    Parameters
    ----------
    before, after : array of shape (3 h / 2, w), uint8
        Frames, as `yuv_of` makes them.
    share : float
        Of the second one. [0 to 1]
    places : sequence of (left, top, right, bottom)
        [px, even]

    Returns
    -------
    array of shape (3 h / 2, w), uint8
    """
    import cv2

    mixed = before.copy()
    for one, two, out in zip(planes(before), planes(after), planes(mixed), strict=True):
        for place in places:
            here = _part(place, mixed.shape[1] // out.shape[1])
            out[here] = cv2.addWeighted(one[here], 1 - share, two[here], share, 0)
    return mixed


def faded(frame: np.ndarray, share: float) -> np.ndarray:
    """A frame through which the empty paper is seen.

    Parameters
    ----------
    frame : array of shape (3 h / 2, w), uint8
    share : float
        Of the frame; the rest is paper. [0 to 1]

    Returns
    -------
    array of shape (3 h / 2, w), uint8
    """
    import cv2

    empty, mixed = yuv_of(np.full((2, 2, 3), PAPER, np.uint8)), np.empty_like(frame)
    for paper, plane, out in zip(planes(empty), planes(frame), planes(mixed), strict=True):
        cv2.convertScaleAbs(plane, out, share, (1 - share) * float(paper[0, 0]))
    return mixed


def moved_px(before: np.ndarray, after: np.ndarray, places: Sequence[Place]) -> list[np.ndarray]:
    """Where two frames differ so much that a mixture would show two things at one place, such as a fish that swam on.

    Parameters
    ----------
    before, after : array of shape (3 h / 2, w), uint8
    places : sequence of (left, top, right, bottom)

    Returns
    -------
    list of array, uint8
        For each place, 255 where they differ and around it, else 0.
    """
    import cv2

    found = []
    for place in places:
        here = _part(place, 1)
        apart = cv2.GaussianBlur(cv2.absdiff(planes(before)[0][here], planes(after)[0][here]), (0, 0), _SMOOTH_PX)
        found.append(cv2.dilate((apart > _DOUBLE).astype(np.uint8) * 255, np.ones((5, 5), np.uint8)))
    return found


def put(frame: np.ndarray, source: np.ndarray, places: Sequence[Place], masks: Sequence[np.ndarray]) -> None:
    """Put parts of one frame into another: in each place the px of its mask.

    Parameters
    ----------
    frame : array of shape (3 h / 2, w), uint8
        Is changed.
    source : array of shape (3 h / 2, w), uint8
    places : sequence of (left, top, right, bottom)
    masks : sequence of array
        From `moved_px`.
    """
    for plane, own in zip(planes(frame), planes(source), strict=True):
        size = frame.shape[1] // plane.shape[1]
        for place, mask in zip(places, masks, strict=True):
            here = _part(place, size)
            np.copyto(plane[here], own[here], where=mask[::size, ::size] > 0)


def _part(place: Place, size: int) -> tuple[slice, slice]:
    """A place in a plane whose px are so many of the picture's."""
    left, top, right, bottom = place
    return slice(top // size, bottom // size), slice(left // size, right // size)
