"""Random texture for surfaces: cloud-like noise, ridges, and maps that say in which order a film takes a surface."""

import numpy as np


def clouds(chance: np.random.Generator, shape: tuple[int, int], grain_px: float, *, octaves: int = 4, stretch: float = 1.0) -> np.ndarray:
    """Smooth noise of mean 0 and standard deviation about 1: octaves of interpolated random grids.

    Parameters
    ----------
    chance : numpy.random.Generator
        Where the numbers come from.
    shape : (int, int)
        Rows and columns. [px]
    grain_px : float
        Size of the largest features. [px], above 1
    octaves : int
        How many halvings of the feature size are added.
    stretch : float
        How much longer features are across than down.

    Returns
    -------
    array of shape (rows, columns), float32
        The noise.
    """
    import cv2

    total, weight = np.zeros(shape, np.float32), 1.0
    for _ in range(octaves):
        if grain_px < 1.5:
            break
        cells = (max(2, int(shape[1] / grain_px / stretch) + 3), max(2, int(shape[0] / grain_px) + 3))
        grid = chance.standard_normal((cells[1], cells[0]), dtype=np.float32)
        total += weight * cv2.resize(grid, (shape[1], shape[0]), interpolation=cv2.INTER_CUBIC)
        weight, grain_px = weight * 0.55, grain_px / 2
    return total / max(float(total.std()), 1e-6)


def order_of_cover(field: np.ndarray, region: np.ndarray) -> np.ndarray:
    """In which order the pixels of a region are taken: uint8 levels, 255 first, 0 last or outside.

    Levels are spaced evenly on the logit of the share of the region, so that a cover of 0.2 % is still told from 0.3 %.
    `level_of_share` gives the level above which a wanted share of the region lies.
    """
    low, high = float(field.min()), float(field.max())
    bins = ((field - low) * (8191 / max(high - low, 1e-9))).astype(np.uint16)
    counts = np.bincount(bins[region], minlength=8192)
    share = 1 - (np.cumsum(counts) - counts / 2) / max(int(counts.sum()), 1)
    share = np.clip(share, 1e-3, 1 - 1e-3)
    level = np.clip(128 - np.log(share / (1 - share)) * (120 / 6.91), 1, 255).astype(np.uint8)
    return np.where(region, level[bins], np.uint8(0))


def level_of_share(share: float) -> float:
    """The level of `order_of_cover` above which this share (0 to 1) of the region lies."""
    share = min(max(share, 1e-4), 1 - 1e-4)
    return 128 - float(np.log(share / (1 - share))) * (120 / 6.91)


def steps(level: float, softness: float) -> np.ndarray:
    """Look-up table of 256 opacities (0..1 float32) that rises smoothly around a level."""
    ramp = np.clip((np.arange(256) - level) / softness + 0.5, 0, 1).astype(np.float32)
    table: np.ndarray = ramp * ramp * (3 - 2 * ramp)
    table[0] = 0
    return table
