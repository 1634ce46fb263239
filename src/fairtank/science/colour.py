"""Colour as numbers: sRGB to CIELAB, the CIEDE2000 difference and the indices excess green, excess red and CIVE.

All functions take arrays whose last axis holds the three channels and return the rest of the shape. A photo is only
as good as its white: compare colours of photos that were balanced alike.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fairtank.errors import OutOfRangeError
from fairtank.registry import Input, calculator
from fairtank.science.ranges import Floats, numbers_of, plain
from fairtank.science.srgb import linear_from_srgb

# Linear sRGB to XYZ, as printed in IEC 61966-2-1, and the white D65 of x 0.3127, y 0.3290. The printed matrix is rounded to
# four digits, so that a grey comes out up to 0.008 away from a* = b* = 0.
XYZ_FROM_LINEAR = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
WHITE_XYZ = np.array([0.3127 / 0.3290, 1.0, (1 - 0.3127 - 0.3290) / 0.3290])

# Literature values, from memory: one variant each, meyer2008 and kataoka2003.
EXCESS_RED_WEIGHT = 1.4
CIVE_WEIGHTS, CIVE_OFFSET = np.array([0.441, -0.811, 0.385]), 18.78745

_RGB = Input("rgb", "red, green, blue", "", 0, 255)
# No colour comes near these ends; beyond them the powers of the formula would overflow.
_LAB1 = Input("lab1", "first colour: L*, a*, b*", "", -1000, 1000)
_LAB2 = Input("lab2", "second colour: L*, a*, b*", "", -1000, 1000)


def _channels(declared: Input, value: ArrayLike) -> NDArray[np.float64]:
    """The value as an array of shape (..., 3) inside its range; NaN stays NaN, so that masked pixels pass through."""
    three = f"three numbers per colour: {declared.label.split(': ')[-1]}"
    colours = numbers_of(declared.name, value, three)
    if colours.shape[-1:] != (3,):
        size = colours.shape[-1] if colours.ndim else 1
        raise OutOfRangeError(declared.name, f"{size} number{'s' if size != 1 else ''} per colour", three)
    low, high = declared.low, declared.high
    if low is not None and high is not None and (wrong := colours[(colours < low) | (colours > high)]).size:
        raise OutOfRangeError(declared.name, repr(float(wrong[0])), f"{low:g} to {high:g}")
    return colours


@calculator(title="CIELAB colour of an sRGB pixel", unit="", sources=("iec61966", "cie15"), inputs=(_RGB,))
def lab_from_srgb(rgb: ArrayLike) -> NDArray[np.float64]:
    """Lightness L*, redness a* and yellowness b* of sRGB colours, for white D65 and the 2 degree observer.

    Equal numbers look about equally far apart to the eye, which raw red, green and blue do not.

    Parameters
    ----------
    rgb : array of shape (..., 3)
        Red, green, blue as stored in a photo. [-], 0 to 255. NaN gives NaN.

    Returns
    -------
    array of shape (..., 3)
        L* from 0 to 100, a* and b*. [-]

    Raises
    ------
    InputError
        If a colour is not made of numbers.
    OutOfRangeError
        If the last axis does not hold three numbers, or one lies outside 0 to 255.

    References
    ----------
    iec61966 for the tone curve and the matrix, cie15 for L*a*b* (keys from sources.py).

    Examples
    --------
    >>> lab_from_srgb([34, 139, 34]).round(2).tolist()
    [50.59, -49.59, 45.02]
    """
    ratio = linear_from_srgb(_channels(_RGB, rgb) / 255) @ XYZ_FROM_LINEAR.T / WHITE_XYZ
    root = np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio), ratio / (3 * (6 / 29) ** 2) + 4 / 29)
    x, y, z = root[..., 0], root[..., 1], root[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


@calculator(title="Colour difference CIEDE2000", unit="", sources=("sharma2005",), inputs=(_LAB1, _LAB2))
def delta_e_2000(lab1: ArrayLike, lab2: ArrayLike) -> Floats:
    """How different two colours look, as a CIEDE2000 difference; about 1 is just visible side by side.

    The formula was made for small differences; beyond about 10 it only says "clearly different".

    Parameters
    ----------
    lab1 : array of shape (..., 3)
        First colour: L*, a*, b*. [-], -1000 to 1000. NaN gives NaN.
    lab2 : array of shape (..., 3)
        Second colour: L*, a*, b*. [-], -1000 to 1000. NaN gives NaN.

    Returns
    -------
    float or array of shape (...)
        Difference, 0 for equal colours. [-]

    Raises
    ------
    InputError
        If a colour is not made of numbers.
    OutOfRangeError
        If the last axis does not hold three numbers, or one lies outside -1000 to 1000.

    References
    ----------
    sharma2005, equations 2 to 22 (keys from sources.py).

    Examples
    --------
    >>> round(delta_e_2000([50, 2.6772, -79.7751], [50, 0, -82.7485]), 4)
    2.0425
    """
    first, second = np.broadcast_arrays(_channels(_LAB1, lab1), _channels(_LAB2, lab2))
    light1, light2 = first[..., 0], second[..., 0]
    (chroma1, hue1), (chroma2, hue2) = _chroma_and_hue(first, second)
    d_light, d_chroma = light2 - light1, chroma2 - chroma1  # eq. 8, 9
    d_hue, mean_hue = _hue_difference_and_mean(chroma1, hue1, chroma2, hue2)
    mean_light, mean_chroma = (light1 + light2) / 2, (chroma1 + chroma2) / 2  # eq. 12, 13
    tone = (1 - 0.17 * _cos(mean_hue - 30) + 0.24 * _cos(2 * mean_hue)
            + 0.32 * _cos(3 * mean_hue + 6) - 0.20 * _cos(4 * mean_hue - 63))  # eq. 15
    s_light = 1 + 0.015 * (mean_light - 50) ** 2 / np.sqrt(20 + (mean_light - 50) ** 2)  # eq. 18
    s_chroma, s_hue = 1 + 0.045 * mean_chroma, 1 + 0.015 * mean_chroma * tone  # eq. 19, 20
    turn = 30 * np.exp(-(((mean_hue - 275) / 25) ** 2))  # eq. 16
    rotation = -np.sin(np.radians(2 * turn)) * 2 * _share_of_25(mean_chroma)  # eq. 17, 21
    big_hue = 2 * np.sqrt(chroma1 * chroma2) * np.sin(np.radians(d_hue / 2))  # eq. 11
    light, chroma, hue = d_light / s_light, d_chroma / s_chroma, big_hue / s_hue
    return plain(np.sqrt(np.maximum(light**2 + chroma**2 + hue**2 + rotation * chroma * hue, 0)))  # eq. 22


def _cos(degrees: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.cos(np.radians(degrees))


def _share_of_25(chroma: NDArray[np.float64]) -> NDArray[np.float64]:
    """sqrt(C⁷ / (C⁷ + 25⁷)), which eq. 4 and eq. 17 share."""
    return np.sqrt(chroma**7 / (chroma**7 + 25.0**7))


def _chroma_and_hue(first: NDArray[np.float64], second: NDArray[np.float64]) -> list[tuple[NDArray[np.float64], NDArray[np.float64]]]:
    """C' and h' [degrees, 0 to 360] of both colours, a* stretched for greys (eq. 2 to 7)."""
    mean = (np.hypot(first[..., 1], first[..., 2]) + np.hypot(second[..., 1], second[..., 2])) / 2
    stretch = 1 + 0.5 * (1 - _share_of_25(mean))
    result = []
    for lab in (first, second):
        red, yellow = stretch * lab[..., 1], lab[..., 2]
        result.append((np.hypot(red, yellow), np.degrees(np.arctan2(yellow, red)) % 360))
    return result


def _hue_difference_and_mean(chroma1: NDArray[np.float64], hue1: NDArray[np.float64], chroma2: NDArray[np.float64],
                             hue2: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Hue difference (eq. 10) and mean hue (eq. 14) [degrees], the short way round; a grey has no hue of its own."""
    grey = chroma1 * chroma2 == 0
    apart = hue2 - hue1
    difference = np.where(apart > 180, apart - 360, np.where(apart < -180, apart + 360, apart))
    total = hue1 + hue2
    across = np.where(total < 360, total + 360, total - 360) / 2
    mean = np.where(np.abs(apart) <= 180, total / 2, across)
    return np.where(grey, 0.0, difference), np.where(grey, total, mean)


@calculator(title="Excess green index", unit="", sources=("woebbecke1995",), inputs=(_RGB,))
def excess_green(rgb: ArrayLike) -> Floats:
    """How green a pixel is: 2g - r - b, with r, g, b as shares of their sum; from -1 to 2, 0 for any grey.

    Some programs leave out the division by the sum; their values are not these. A black pixel has no colour and gives 0.
    Red plants are not green: this index alone does not find them.

    Parameters
    ----------
    rgb : array of shape (..., 3)
        Red, green, blue as stored in a photo. [-], 0 to 255. NaN gives NaN.

    Returns
    -------
    float or array of shape (...)
        Excess green. [-]

    Raises
    ------
    InputError
        If a colour is not made of numbers.
    OutOfRangeError
        If the last axis does not hold three numbers, or one lies outside 0 to 255.

    References
    ----------
    woebbecke1995 (keys from sources.py).

    Examples
    --------
    >>> round(excess_green([34, 139, 34]), 4)
    1.0145
    """
    channels = _channels(_RGB, rgb)
    total = channels.sum(axis=-1)
    # 2g - r - b = 3g - (r + g + b), hence 3 g / sum - 1
    return plain(np.where(total == 0, 0.0, 3 * channels[..., 1] / np.where(total == 0, 1.0, total) - 1))


@calculator(title="Excess red index", unit="", sources=("meyer2008",), inputs=(_RGB,))
def excess_red(rgb: ArrayLike) -> Floats:
    """How red against green a pixel is: 1.4 r - g, with r and g as shares of their sum with b; from -1 to 1.4.

    Other texts write 1.3 r - g; their values are not these. A grey gives 0.1333, not 0. A black pixel has no colour and gives 0.

    Parameters
    ----------
    rgb : array of shape (..., 3)
        Red, green, blue as stored in a photo. [-], 0 to 255. NaN gives NaN.

    Returns
    -------
    float or array of shape (...)
        Excess red. [-]

    Raises
    ------
    InputError
        If a colour is not made of numbers.
    OutOfRangeError
        If the last axis does not hold three numbers, or one lies outside 0 to 255.

    References
    ----------
    meyer2008, the variant with 1.4; literature value, from memory (keys from sources.py).

    Examples
    --------
    >>> round(excess_red([200, 40, 60]), 2)
    0.8
    """
    channels = _channels(_RGB, rgb)
    total = channels.sum(axis=-1)
    return plain(np.where(total == 0, 0.0, (EXCESS_RED_WEIGHT * channels[..., 0] - channels[..., 1]) / np.where(total == 0, 1.0, total)))


@calculator(title="Colour index of vegetation (CIVE)", unit="", sources=("kataoka2003",), inputs=(_RGB,))
def cive(rgb: ArrayLike) -> Floats:
    """Colour index of vegetation extraction: 0.441 R - 0.811 G + 0.385 B + 18.78745; the lower, the greener.

    It takes stored values, not shares, so it moves with brightness: compare photos of one exposure only. Some programs write 0.881 for
    0.811, a misprint: the three weights then no longer cancel on a grey.

    Parameters
    ----------
    rgb : array of shape (..., 3)
        Red, green, blue as stored in a photo. [-], 0 to 255. NaN gives NaN.

    Returns
    -------
    float or array of shape (...)
        The index. [-]

    Raises
    ------
    InputError
        If a colour is not made of numbers.
    OutOfRangeError
        If the last axis does not hold three numbers, or one lies outside 0 to 255.

    References
    ----------
    kataoka2003; literature value, from memory (keys from sources.py).

    Examples
    --------
    >>> round(cive([34, 139, 34]), 2)
    -65.86
    """
    return plain(_channels(_RGB, rgb) @ CIVE_WEIGHTS + CIVE_OFFSET)
