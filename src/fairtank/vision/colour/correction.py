"""What makes two photos comparable in colour: a curve per channel and a small mixing of channels, in linear light."""

from dataclasses import dataclass, replace

import numpy as np

from fairtank.card import COLOURS, GREYS, PATCHES
from fairtank.science.colour import delta_e_2000, lab_from_srgb
from fairtank.science.srgb import linear_from_srgb, srgb_from_linear

_LEVELS = linear_from_srgb(np.arange(256) / 255)
_GREYS = np.array([PATCHES.index(patch) for patch in GREYS])
_COLOURS = np.array([PATCHES.index(patch) for patch in COLOURS])
# A field with a mean stored value outside these has px that were cut off at black or white.
DARKEST, LIGHTEST = 8.0, 245.0
# A curve needs this many greys; a gain this many fields of any kind.
FEWEST_GREYS, FEWEST_FIELDS = 5, 2
# A patch or a card that asks for more than this was not what it seemed: a hand, a shadow, another thing in its place.
_MOST_GAIN = 12.0
# Pull of the mixing towards none, in units of what the six colours say: a card in the dark shows colours that hardly differ, and what the
# camera's noise and JPEG add to them is not to be mixed into the photo.
_RIDGE = 0.4
# Mixing is used when colours are predicted better with it (each without having been used) than without it: two photos of one phone
# seldom need it, and it would only add noise.
_WORTH_MIXING = 0.95
# A curve's pull towards a plain gain (no slope, less so no bend), and the stored value about which it turns.
_POWERS, _CURVE_RIDGE, _CENTRE = np.arange(3), np.diag([0.0, 0.02, 0.5]), 60.0
_PLACES = np.log(np.maximum(np.arange(256), 1) / _CENTRE)
_FEWEST_COLOURS = 4
_OTHERS = np.array([[1, 2], [0, 2], [0, 1]])


@dataclass(frozen=True, eq=False)
class Correction:
    """How a photo's colours become those of the trial.

    basis: `card`, `patch` or `none`. tables: array (3, 256), float32: linear light for each stored value of red, green and blue.
    matrix: array (3, 3), float32, applied to linear light after the tables. gains: how much brighter than the target the camera
    made red, green and blue, where that is known. residual_delta_e: mean CIEDE2000 of the fields that were held out, None without any.
    """

    basis: str
    tables: np.ndarray
    matrix: np.ndarray
    gains: tuple[float, float, float] | None = None
    residual_delta_e: float | None = None


def uncorrected(scale: np.ndarray | None = None) -> Correction:
    """Colours as the camera stored them.

    Parameters
    ----------
    scale : array of shape (3,) or None
        A fixed factor on the linear light of red, green and blue, the same for all photos of a unit. None for 1.

    Returns
    -------
    Correction

    References
    ----------
    iec61966 (keys from sources.py).

    Examples
    --------
    >>> uncorrected().basis
    'none'
    """
    factor = np.ones(3) if scale is None else np.asarray(scale, float)
    return Correction("none", (factor[:, None] * _LEVELS).astype(np.float32), np.eye(3, dtype=np.float32))


def told_fields(patches: np.ndarray, clipped: np.ndarray) -> np.ndarray:
    """Which fields of a card tell a colour: not marked as cut off, and no channel near black or white.

    Parameters
    ----------
    patches : array of shape (n, 3)
        Mean stored sRGB of each field. [0 to 255]
    clipped : array of shape (n,), bool

    Returns
    -------
    array of shape (n,), bool

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> told_fields(np.array([[90, 90, 90], [250, 90, 90], [90, 90, 3]]), np.zeros(3, bool)).tolist()
    [True, False, False]
    """
    return ~np.asarray(clipped, bool) & (patches >= DARKEST).all(axis=1) & (patches <= LIGHTEST).all(axis=1)


def card_correction(patches: np.ndarray, clipped: np.ndarray, target: np.ndarray) -> Correction:
    """A photo's correction from the fields of its card: a rising curve per channel from the greys, then a small mixing from the colours.

    With fewer greys than the curve needs it is a gain per channel, and with next to nothing to go by the colours stay as they are.
    Greys stay grey: the mixing only moves colour differences. Each colour is also predicted without itself; what those predictions
    miss is the residual. It is the only thing that tells of a phone that brightens one part of a photo and not another.

    Parameters
    ----------
    patches : array of shape (12, 3)
        Mean stored sRGB of each field in the order of `fairtank.card.PATCHES`. [0 to 255]
    clipped : array of shape (12,), bool
        The field is too dark or too light for its colour to be told.
    target : array of shape (12, 3)
        What the fields shall be, in linear light; NaN in a field that is not known. [0 to about 1]

    Returns
    -------
    Correction

    References
    ----------
    iec61966, sharma2005 (keys from sources.py).

    Examples
    --------
    >>> fields = np.array([patch.srgb for patch in PATCHES], float)
    >>> found = card_correction(fields, np.zeros(12, bool), 0.5 * linear_from_srgb(fields / 255))
    >>> found.basis, [round(gain, 3) for gain in found.gains], round(found.residual_delta_e, 3)
    ('card', [2.0, 2.0, 2.0], 0.0)
    """
    told = told_fields(patches, clipped) & np.isfinite(target).all(axis=1) & (np.nan_to_num(target) > 0).all(axis=1)
    greys, colours = _GREYS[told[_GREYS]], _COLOURS[told[_COLOURS]]
    light = linear_from_srgb(patches / 255)
    if len(greys) < FEWEST_GREYS:
        known = greys if len(greys) >= FEWEST_FIELDS else np.flatnonzero(told)
        if len(known) < FEWEST_FIELDS:
            return uncorrected()
        return _by_gain("card", light[known].sum(axis=0) / target[known].sum(axis=0))
    gains = light[greys].sum(axis=0) / target[greys].sum(axis=0)
    if not _is_believable(gains):
        return uncorrected()
    tables = _curves(patches[greys], target[greys])
    straight = _looked_up(patches[colours], tables)
    matrix, predicted = _mixing(straight, target[colours])
    residual = None
    if len(colours) >= _FEWEST_COLOURS:
        mixed, unmixed = _difference(np.stack([predicted, straight]), target[colours]).mean(axis=1)
        if mixed > _WORTH_MIXING * unmixed:
            matrix, mixed = np.eye(3), unmixed
        residual = float(mixed)
    red, green, blue = (float(gain) for gain in gains)
    return Correction("card", tables.astype(np.float32), matrix.astype(np.float32), (red, green, blue), residual)


def patch_correction(mean_rgb: np.ndarray, target: np.ndarray) -> Correction:
    """A gain per channel from one flat thing of constant colour that every photo shows; nothing where it is cut off or not believable.

    Parameters
    ----------
    mean_rgb : array of shape (3,)
        Mean stored sRGB of the patch in this photo. [0 to 255]
    target : array of shape (3,)
        What it shall be, in linear light. [0 to about 1]

    Returns
    -------
    Correction

    References
    ----------
    iec61966 (keys from sources.py).

    Examples
    --------
    >>> patch_correction(np.array([200, 180, 160]), np.array([0.5, 0.5, 0.5])).basis
    'patch'
    """
    if not told_fields(np.asarray(mean_rgb, float)[None], np.zeros(1, bool)).all() or not (np.asarray(target) > 0).all():
        return uncorrected()
    return _by_gain("patch", linear_from_srgb(np.asarray(mean_rgb) / 255) / target)


def corrected(rgb: np.ndarray, correction: Correction) -> np.ndarray:
    """Single colours after a correction; whole photos are corrected while they are rectified.

    Parameters
    ----------
    rgb : array of shape (..., 3)
        Stored sRGB, whole numbers or means. [0 to 255]
    correction : Correction

    Returns
    -------
    array of shape (..., 3)
        Stored sRGB in the colours of the trial. [0 to 255]

    References
    ----------
    iec61966 (keys from sources.py).

    Examples
    --------
    >>> corrected(np.array([90, 120, 30]), uncorrected()).round(3).tolist()
    [90.0, 120.0, 30.0]
    """
    return 255 * srgb_from_linear(_looked_up(np.asarray(rgb, float), correction.tables) @ correction.matrix.T.astype(float))


def _looked_up(rgb: np.ndarray, tables: np.ndarray) -> np.ndarray:
    """Linear light of stored values that need not be whole numbers; the last axis holds the channels."""
    below = np.minimum(rgb.astype(int), 254)
    share, channel = rgb - below, np.arange(3)
    return np.asarray((1 - share) * tables[channel, below] + share * tables[channel, below + 1])


def _by_gain(basis: str, gains: np.ndarray) -> Correction:
    if not _is_believable(gains):
        return uncorrected()
    red, green, blue = (float(gain) for gain in gains)
    return replace(uncorrected(1 / gains), basis=basis, gains=(red, green, blue))


def _is_believable(gains: np.ndarray) -> bool:
    return bool(np.isfinite(gains).all() and (gains > 1 / _MOST_GAIN).all() and (gains < _MOST_GAIN).all())


def _curves(stored: np.ndarray, target: np.ndarray) -> np.ndarray:
    """Linear light of all 256 stored values of each channel, rising, from what the greys shall be; arrays (n, 3) give (3, 256).

    What is fitted is the logarithm of the factor between the light as stored and the light as it shall be, over the logarithm of the stored
    value: a plain change of gain is a constant there and a change of gamma a straight line, so that what lies beyond the greys is continued
    as such. A card in a dark room is darker than much of the tank.
    """
    design = np.log(stored / _CENTRE).T[:, :, None] ** _POWERS
    factors = np.log(target / linear_from_srgb(stored / 255)).T
    turned = design.transpose(0, 2, 1)
    shares = np.linalg.solve(turned @ design + _CURVE_RIDGE, turned @ factors[:, :, None])
    constant, slope, bend = shares[:, :, 0].T[:, :, None]
    ends = np.log(stored.min(axis=0)[:, None] / _CENTRE), np.log(stored.max(axis=0)[:, None] / _CENTRE)
    inner = np.clip(_PLACES, *ends)
    factor = constant + inner * (slope + inner * bend) + (_PLACES - inner) * (slope + 2 * bend * inner)
    return np.asarray(np.maximum.accumulate(_LEVELS * np.exp(factor), axis=1))


def _mixing(light: np.ndarray, target: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The mixing of channels that brings colours to their target, and each colour as it would come out had it not been used."""
    if len(light) < _FEWEST_COLOURS:
        return np.eye(3), light
    weights = 1 / (target.mean(axis=1) + 0.02)
    differences = light[:, _OTHERS].transpose(1, 0, 2) - light.T[:, :, None]  # by channel, colour, other channel
    design = differences * weights[:, None]
    missing = ((target - light) * weights[:, None]).T
    turned = design.transpose(0, 2, 1)
    inner = turned @ design + _RIDGE * len(light) * np.eye(2)
    outer = (turned @ missing[:, :, None])[:, :, 0]
    without = inner[:, None] - design[..., :, None] * design[..., None, :]
    held = np.linalg.solve(without, (outer[:, None] - design * missing[..., None])[..., None])[..., 0]
    shares = np.linalg.solve(inner, outer[..., None])[..., 0]
    matrix = np.diag(1 - shares.sum(axis=1))
    np.put_along_axis(matrix, _OTHERS, shares, axis=1)
    return matrix, light + (held * differences).sum(axis=2).T


def _difference(light: np.ndarray, target: np.ndarray) -> np.ndarray:
    """CIEDE2000 of several sets of colours, array (sets, n, 3), against one target, array (n, 3), all in linear light; array (sets, n)."""
    lab = lab_from_srgb(255 * srgb_from_linear(np.concatenate([light, target[None]])))
    return np.asarray(delta_e_2000(lab[:-1], lab[-1]))
