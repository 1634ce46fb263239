"""Light in the rendered tank: the sRGB curve, how light falls with depth of water, and haze, all in linear light."""

import numpy as np

# Colour of lit clear water seen through its whole length, linear light.
WATER_LINEAR = np.array([0.46, 0.58, 0.62])
HAZE_PER_CM = 0.0048
WATER_LINE_CM = 33.4


def linear_from_srgb(srgb: np.ndarray) -> np.ndarray:
    """Linear light 0..1 from encoded sRGB 0..1 (iec61966)."""
    srgb = np.asarray(srgb, float)
    return np.where(srgb <= 0.04045, srgb / 12.92, ((np.maximum(srgb, 0) + 0.055) / 1.055) ** 2.4)


def srgb_from_linear(linear: np.ndarray) -> np.ndarray:
    """Encoded sRGB 0..1 from linear light 0..1; light beyond the range is held at its ends (iec61966)."""
    linear = np.clip(linear, 0, 1)
    return np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)


def albedo(red: int, green: int, blue: int) -> np.ndarray:
    """A surface colour in linear light from the sRGB value it has under full light."""
    colour: np.ndarray = linear_from_srgb(np.array([red, green, blue]) / 255).astype(np.float32)
    return colour


def lamp_light(x_cm: np.ndarray | float, height_cm: np.ndarray | float, depth_cm: np.ndarray | float = 14.0) -> np.ndarray:
    """Light on a point of the tank, 1 close under the middle of the lamp; falls with depth of water and towards the sides."""
    below = np.clip(WATER_LINE_CM - np.asarray(height_cm), 0, None)
    side = 1 - 0.20 * (np.abs(np.asarray(x_cm) - 22.5) / 22.5) ** 2.2
    front = 1 - 0.10 * np.abs(np.asarray(depth_cm) - 13) / 14
    return 1.08 * np.exp(-0.030 * below) * side * front


def seen_through_water(linear: np.ndarray, depth_cm: np.ndarray | float, height_cm: np.ndarray | float = 14.0) -> np.ndarray:
    """Linear colour after haze: mixed with the water's own light, more with the way through water, brighter near the lamp."""
    mix = (1 - np.exp(-HAZE_PER_CM * np.asarray(depth_cm, float)))[..., None]
    water = WATER_LINEAR * (0.42 + 0.5 * np.clip(np.asarray(height_cm, float) / WATER_LINE_CM, 0, 1))[..., None]
    return linear * (1 - mix) + water * mix


# Encoded bytes for 8192 even steps of linear light: the first steps are a third of a byte apart, fine enough for a rounded byte.
_STEPS = 8192
_BYTES = (srgb_from_linear(np.linspace(0, 1, _STEPS)) * 255 + 0.5).astype(np.uint8)


def bytes_from_linear(linear: np.ndarray) -> np.ndarray:
    """Colours as uint8 sRGB from linear light; large pictures row block by row block, to keep memory low."""
    linear = np.asarray(linear)
    if linear.ndim < 3:
        found: np.ndarray = _BYTES[(np.clip(linear, 0, 1) * (_STEPS - 1) + 0.5).astype(np.intp)]
        return found
    out = np.empty(linear.shape, np.uint8)
    for row in range(0, len(linear), 128):
        block = np.clip(linear[row : row + 128], 0, 1) * np.float32(_STEPS - 1) + np.float32(0.5)
        np.take(_BYTES, block.astype(np.intp), out=out[row : row + 128], mode="clip")
    return out


def bytes_of_lit(colour: np.ndarray, light: np.ndarray) -> np.ndarray:
    """One surface colour (3,) under a map of light (rows, columns), as uint8 sRGB; row block by row block."""
    out = np.empty((*light.shape, 3), np.uint8)
    for row in range(0, len(light), 128):
        out[row : row + 128] = bytes_from_linear(light[row : row + 128, :, None] * colour)
    return out
