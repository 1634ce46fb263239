"""Seeded chance: the same words always give the same numbers, whatever was drawn before."""

import zlib

import numpy as np


def generator(seed: int, *words: object) -> np.random.Generator:
    """A random generator that belongs to a seed and a few words (a tank, a day, a plant) and to nothing else.

    Parameters
    ----------
    seed : int
        The scenario's seed. [none], 0 or more.
    *words : object
        What the numbers are for; compared as text.

    Returns
    -------
    numpy.random.Generator
        A fresh generator; the global random state is not touched.

    References
    ----------
    arithmetic.

    Examples
    --------
    >>> bool(generator(3, "T1", 5).integers(1000) == generator(3, "T1", 5).integers(1000))
    True
    """
    return np.random.default_rng([seed, *(zlib.crc32(str(word).encode()) for word in words)])


def normal(seed: int, *words: object) -> float:
    """One standard normal number that belongs to a seed and a few words.

    >>> normal(3, "T1") == normal(3, "T1")
    True
    """
    return float(generator(seed, *words).standard_normal())
