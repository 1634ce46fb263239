"""A photo card read from a photo: which card it is, how large a millimetre is there, and what became of its fields."""

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, eq=False)
class CardReading:
    """One card as a photo shows it.

    card: its number. markers_read: how many of its four markers were read. corners: array (4, 2), of the card's paper, top-left
    first, clockwise [normalised px]. px_per_mm: normalised px per mm, mean over the card. patches: array (12, 3), mean sRGB of each
    field in the order of `fairtank.card.PATCHES` [0 to 255]. clipped: array (12,), bool: the field is too dark or too light for its
    colour to be told.
    """

    card: int
    markers_read: int
    corners: np.ndarray
    px_per_mm: float
    patches: np.ndarray
    clipped: np.ndarray
