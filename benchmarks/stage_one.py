"""Numbers of thousands of simulated tanks at once: what the judging makes of one tank at a time. The benchmark holds the two together."""

import numpy as np

LOWEST_PCT, HIGHEST_PCT = 0.2, 99.8


def logit(cover_pct: np.ndarray) -> np.ndarray:
    """Log-odds of cover, clipped as the judging clips it; NaN stays."""
    clipped = np.clip(cover_pct, LOWEST_PCT, HIGHEST_PCT)
    return np.log(clipped / (100.0 - clipped))


def drawn_through(values: np.ndarray) -> np.ndarray:
    """Missing days filled by the straight line between their neighbours, the first and last value held to the edges; last axis is days."""
    days = np.arange(values.shape[-1])
    there = np.isfinite(values)
    before = np.maximum.accumulate(np.where(there, days, -1), axis=-1)
    after = np.flip(np.minimum.accumulate(np.flip(np.where(there, days, days.size), axis=-1), axis=-1), axis=-1)
    low, high = np.where(before < 0, after, before), np.where(after == days.size, before, after)
    low, high = np.clip(low, 0, days.size - 1), np.clip(high, 0, days.size - 1)
    first, last = np.take_along_axis(values, low, -1), np.take_along_axis(values, high, -1)
    return first + (last - first) * (days - low) / np.maximum(high - low, 1)


def window_means(values: np.ndarray, first: int, last: int) -> np.ndarray:
    """The time-weighted mean of each unit from day first to day last, both counted."""
    return np.trapezoid(drawn_through(values[..., first:last + 1]), axis=-1) / (last - first)
