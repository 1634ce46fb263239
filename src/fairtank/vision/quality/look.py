"""What a photo looks like as a photo, in a few thousand numbers: enough to tell it from its unit's reference photo without its px."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fairtank.science.colour import lab_from_srgb
from fairtank.science.srgb import linear_from_srgb, srgb_from_linear

# The rectified picture is looked at in this many cells across, each cell in 12 x 12 px of a reduced copy.
CELLS_ACROSS, CELL_PX = 30, 12
_BARS_LEFT_OUT = 2  # of the 12 upright bars in which lines across the frame are looked for
# Strips across the glass edges: half width, step [normalised px: as if the photo's long side had 2016], groups of rows, rows a group.
_EDGE_HALF, _EDGE_STEP, _EDGE_GROUPS, _EDGE_ROWS = 14.0, 0.5, 10, 4
_NORMAL_LONG_SIDE_PX = 2016.0
_EDGE_LOWEST_CONTRAST = 12.0  # stored values between the two sides of an edge, below which it is not looked at
_LIGHT = linear_from_srgb(np.arange(256) / 255).astype(np.float32)
_THREE_LIGHTS = np.stack([_LIGHT] * 3, axis=-1)[None]


@dataclass(frozen=True, eq=False)
class Look:
    """One photo's look; cells run over the frame, row by row.

    steepness: array (4,), how fast lightness changes across the glass edges, as a share of their contrast per normalised px, NaN where an
    edge has none. level: the light that nine tenths of the frame stay under, as the camera stored it [0 to 1]. surround: median
    light around the frame, as stored; None when the photo shows none. clipped_fraction: share of px at 254 or 255 in a channel, as stored.
    high: array (12 rows, 12 columns), detail finer than three quarters of a cell, and variance: array (rows, columns), its variance in
    each cell. light: array (rows, columns, 3), mean linear light. darkest: array (rows, columns), mean light of each px's darkest channel.
    lines: array (12 rows - 1,), change of lightness from row to row that is common to the whole width. used: array (rows, columns), bool:
    what counts and does not touch the edge of the frame.
    """

    steepness: np.ndarray
    level: float
    surround: float | None
    clipped_fraction: float
    high: np.ndarray
    variance: np.ndarray
    light: np.ndarray
    darkest: np.ndarray
    lines: np.ndarray
    used: np.ndarray

    @cached_property
    def lab(self) -> np.ndarray:
        """CIELAB of each cell's light: array (rows, columns, 3)."""
        return lab_of(self.light)


def lab_of(light: np.ndarray) -> np.ndarray:
    """CIELAB of cells' linear light.

    Parameters
    ----------
    light : array of shape (..., 3)
        Linear light; what is above 1 counts as 1.

    Returns
    -------
    array of shape (..., 3)

    References
    ----------
    iec61966 (keys from sources.py).

    Examples
    --------
    >>> lab_of(np.ones((1, 1, 3), np.float32)).round(1).tolist()[0][0][0]
    100.0
    """
    return lab_from_srgb(255 * srgb_from_linear(np.clip(light, 0, 1)))


def look_of(pixels: np.ndarray, corners: np.ndarray, picture: np.ndarray, counted: np.ndarray) -> Look:
    """The look of a photo.

    Parameters
    ----------
    pixels : array of shape (h, w, 3), uint8
        The photo at analysis scale, as the camera stored it.
    corners : array of shape (4, 2)
        The frame in it, in parts of its long side.
    picture : array of shape (height, width, 3), uint8
        The frame as an upright rectangle, in the colours of the trial.
    counted : array of shape (height, width), bool
        The px of `picture` that count.

    Returns
    -------
    Look

    References
    ----------
    iec61966 (keys from sources.py).
    """
    import cv2

    rows = max(4, round(CELLS_ACROSS * picture.shape[0] / picture.shape[1]))
    small = cv2.resize(picture, (CELLS_ACROSS * CELL_PX, rows * CELL_PX), interpolation=cv2.INTER_AREA)
    red, middle, blue = cv2.split(small)
    green = middle.astype(np.float32)
    high = green - cv2.blur(green, (9, 9))
    dark = cv2.min(cv2.min(red, blue), middle)
    half = cv2.resize(small, (CELLS_ACROSS * CELL_PX // 2, rows * CELL_PX // 2), interpolation=cv2.INTER_AREA)
    bars = cv2.resize(green, (CELL_PX, rows * CELL_PX), interpolation=cv2.INTER_AREA)
    used = _cells(counted.view(np.uint8)) > 0
    used[0], used[-1], used[:, 0], used[:, -1] = False, False, False, False
    stored = _sampled(pixels, corners, (CELLS_ACROSS * 5, rows * 5))
    inside = cv2.resize(counted.view(np.uint8), stored.shape[1::-1], interpolation=cv2.INTER_NEAREST).astype(bool)
    channels = cv2.split(stored)
    clipped = np.asarray(cv2.max(cv2.max(channels[0], channels[1]), channels[2])) >= 254
    return Look(
        _steepness(pixels, corners), _bright(stored[..., 1][inside]),
        _surround(pixels, corners), float(np.count_nonzero(clipped & inside)) / max(float(np.count_nonzero(inside)), 1.0),
        high, _cells(high * high), _cells(cv2.LUT(half, _THREE_LIGHTS)), _cells(cv2.LUT(dark, _LIGHT)),
        _common_change(np.diff(bars, axis=0)), used,
    )  # fmt: skip


def cells_of(values: np.ndarray) -> np.ndarray:
    """Mean of a reduced picture's values in each cell.

    Parameters
    ----------
    values : array of shape (12 rows, 12 columns), float32

    Returns
    -------
    array of shape (rows, columns)

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> cells_of(np.full((48, 360), 7, np.float32)).shape
    (4, 30)
    """
    return _cells(values)


def _cells(values: np.ndarray) -> np.ndarray:
    import cv2

    rows = max(4, round(CELLS_ACROSS * values.shape[0] / values.shape[1]))
    return cv2.resize(values, (CELLS_ACROSS, rows), interpolation=cv2.INTER_AREA)


def _light_of(stored: float | np.floating) -> float:
    """Linear light of a stored value, 0 to 255."""
    return float(np.interp(stored, np.arange(256), _LIGHT))


def _bright(stored: np.ndarray) -> float:
    """The light that nine tenths of some stored values stay under."""
    place = int(0.9 * stored.size)
    return _light_of(np.partition(stored, place)[place]) if stored.size else 0.0


def _sampled(pixels: np.ndarray, corners: np.ndarray, size: tuple[int, int]) -> np.ndarray:
    """Single px of the photo, as stored, evenly over the frame."""
    import cv2

    source = (corners * max(pixels.shape[:2]) - 0.5).astype(np.float32)
    target = np.array([[0, 0], [size[0], 0], size, [0, size[1]]], np.float32) - 0.5
    matrix = cv2.getPerspectiveTransform(target, source)
    flags = cv2.INTER_NEAREST | cv2.WARP_INVERSE_MAP
    return cv2.warpPerspective(pixels, matrix, size, flags=flags, borderMode=cv2.BORDER_REPLICATE)


def _surround(pixels: np.ndarray, corners: np.ndarray) -> float | None:
    """Median light around the frame; None when less than a hundredth of the photo lies there."""
    import cv2

    coarse = pixels[::16, ::16, 1]
    outside = np.ones(coarse.shape, np.uint8)
    middle = corners.mean(axis=0)
    wider = (middle + 1.04 * (corners - middle)) * max(pixels.shape[:2]) / 16
    cv2.fillConvexPoly(outside, np.round(wider).astype(np.int32), 0)
    there = coarse[outside > 0]
    return _light_of(np.median(there)) if there.size >= 0.01 * coarse.size else None


def _common_change(changes: np.ndarray) -> np.ndarray:
    """Of each row's changes in the bars of the frame that which all but two of them reach: plants of one height do not fill the width."""
    ordered = np.sort(changes, axis=1)
    return np.maximum(ordered[:, _BARS_LEFT_OUT], 0) + np.minimum(ordered[:, -1 - _BARS_LEFT_OUT], 0)


def _steepness(pixels: np.ndarray, corners: np.ndarray) -> np.ndarray:
    """Steepest change across each glass edge as a share of its contrast, per normalised px; rows beside each other are averaged."""
    import cv2

    across = np.arange(-_EDGE_HALF, _EDGE_HALF + _EDGE_STEP / 2, _EDGE_STEP, dtype=np.float32)
    share = np.linspace(0.06, 0.94, _EDGE_GROUPS * _EDGE_ROWS, dtype=np.float32)[:, None]
    corners = corners.astype(np.float32)
    scale = max(pixels.shape[:2])
    maps = []
    for begin, end in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        along = (end - begin) / max(np.hypot(*(end - begin)), 1e-9)
        normal = np.array([-along[1], along[0]]) / _NORMAL_LONG_SIDE_PX
        maps.append((begin + share * (end - begin))[:, None] + across[None, :, None] * normal)
    places = (np.concatenate(maps) * scale - 0.5).astype(np.float32)
    blended = cv2.remap(pixels, places[..., 0], places[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    samples = blended[..., 1].astype(np.float32)
    strips = samples.reshape(4, _EDGE_GROUPS, _EDGE_ROWS, across.size).mean(axis=2)
    step = round(1 / _EDGE_STEP)
    steepest = np.abs(strips[..., step:] - strips[..., :-step]).max(axis=2)
    contrast = np.ptp(strips, axis=2)
    clear = contrast > _EDGE_LOWEST_CONTRAST
    share = np.where(clear, steepest / np.maximum(contrast, 1.0), np.nan)
    return np.array([np.median(own[mask]) if mask.sum() >= 3 else np.nan for own, mask in zip(share, clear, strict=True)])
