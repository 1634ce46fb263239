"""Ordinal scales for what is judged by eye: cover classes with their limits, and the thickness of algal films.

Classes roughly double the error of a percent estimate (dengler2023): where percent can be had, take percent. Scales of one name differ
between books; each variant has its own word here, and a name that could mean several is refused.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from fairtank.errors import InputError, OutOfRangeError
from fairtank.registry import Input, Output, calculator
from fairtank.science.ranges import one_of, within


@dataclass(frozen=True)
class CoverScale:
    """One cover scale: names of its classes from the lowest up, and the limits of each [%]. source: key of the bibliography."""

    names: tuple[str, ...]
    limits_pct: tuple[tuple[float, float], ...]
    source: str

    @property
    def middles_pct(self) -> tuple[float, ...]:
        """The middle of each class [%]."""
        return tuple((low + high) / 2 for low, high in self.limits_pct)


_UPPER = ((5.0, 25.0), (25.0, 50.0), (50.0, 75.0), (75.0, 95.0), (95.0, 100.0))
_QUARTERS = ((25.0, 50.0), (50.0, 75.0), (75.0, 100.0))
# Braun-Blanquet's r (a single plant) and + (few) have no percent in the book: 0 to 0.1 and 0 to 1 % are literature values, from memory,
# as is the whole of the variant with 5 to 25 %.
_SINGLE_AND_FEW = ((0.0, 0.1), (0.0, 1.0))
COVER_SCALES = {
    "daubenmire": CoverScale(("1", "2", "3", "4", "5", "6"), ((0.0, 5.0), *_UPPER), "daubenmire1959"),
    "daubenmire_modified": CoverScale(("0", "T", "1", "2", "3", "4", "5", "6"), ((0.0, 0.0), (0.0, 1.0), (1.0, 5.0), *_UPPER),
                                      "daubenmire_modified"),
    "braun_blanquet_10_25": CoverScale(("r", "+", "1", "2", "3", "4", "5"), (*_SINGLE_AND_FEW, (0.0, 10.0), (10.0, 25.0), *_QUARTERS),
                                       "braunblanquet1964"),
    "braun_blanquet_5_25": CoverScale(("r", "+", "1", "2", "3", "4", "5"), (*_SINGLE_AND_FEW, (0.0, 5.0), (5.0, 25.0), *_QUARTERS),
                                      "braunblanquet_later"),
}
# Literature values, from memory (barbour1999, rapid periphyton survey).
PERIPHYTON_RANKS = {
    0.0: "rough and clean", 0.5: "slimy, no film to be seen", 1.0: "thin film", 2.0: "0.5 to 1 mm", 3.0: "1 to 5 mm", 4.0: "5 to 20 mm",
    5.0: "more than 20 mm",
}

_SCALE = Input("scale", "cover scale and its variant", choices=tuple(COVER_SCALES))
_COUNTS = Input("counts", "plots in each class of the scale, lowest class first, separated by commas", "", 0, 1e9)
_RANKS = Input("ranks", "thickness rank at each point, separated by commas", "", 0, 5)


@dataclass(frozen=True)
class ClassCover:
    """Mean cover of plots scored in classes: with each plot at the middle, at the lower and at the upper limit of its class [%]."""

    mean_pct: float
    low_pct: float
    high_pct: float


@calculator(title="Mean cover from counts of cover classes",
            sources=("daubenmire1959", "daubenmire_modified", "braunblanquet1964", "braunblanquet_later", "dengler2023"),
            inputs=(_SCALE, _COUNTS),
            outputs=(Output("mean_pct", "mean cover, plots at the middle of their class", "%"),
                     Output("low_pct", "all plots at the lower limit", "%"), Output("high_pct", "all plots at the upper limit", "%")))
def class_cover_pct(scale: str, counts: ArrayLike) -> ClassCover:
    """Mean cover of plots that were scored in the classes of a scale, and how far the classes leave it open.

    Classes, lowest first. daubenmire: 1 to 6. daubenmire_modified: 0, T (under 1 %), 1 (1 to 5 %), 2 to 6. Both braun_blanquet: r, +, 1
    to 5; class 2 begins at 10 % in one and at 5 % in the other, so the variant must be named.

    Parameters
    ----------
    scale : str
        daubenmire, daubenmire_modified, braun_blanquet_10_25 or braun_blanquet_5_25. [-]
    counts : array of shape (n,)
        Plots in each class of the scale, lowest class first. [-], 0 to 1e+09.

    Returns
    -------
    ClassCover
        mean_pct, low_pct and high_pct. [%]

    Raises
    ------
    InputError
        If the scale or its variant is not known, or there are not as many counts as classes.
    OutOfRangeError
        If a count is not a whole number from 0 up, or no plot was scored.

    References
    ----------
    daubenmire1959, daubenmire_modified, braunblanquet1964, braunblanquet_later (limits from memory); dengler2023 for the error of
    classes (keys from sources.py).

    Examples
    --------
    >>> class_cover_pct("daubenmire", [1, 2, 0, 1, 0, 0])
    ClassCover(mean_pct=23.75, low_pct=15.0, high_pct=32.5)
    """
    if isinstance(scale, str) and scale == "braun_blanquet":
        raise InputError("scale", "braun_blanquet", "braun_blanquet_10_25 or braun_blanquet_5_25",
                         "Books differ on where class 2 begins; name the variant that was scored by.")
    found, plots = COVER_SCALES[one_of(_SCALE, scale)], np.atleast_1d(within(_COUNTS, counts))
    if plots.shape != (len(found.names),):
        raise InputError("counts", f"a list of {plots.size}", f"{len(found.names)} numbers, for the classes {', '.join(found.names)}")
    if (wrong := plots[plots != np.round(plots)]).size:
        raise OutOfRangeError("counts", repr(float(wrong[0])), "whole numbers of plots")
    if plots.sum() == 0:
        raise OutOfRangeError("counts", "0 in sum", "one plot or more")
    weight = plots / plots.sum()
    low, high = np.array(found.limits_pct).T
    return ClassCover(float(weight @ np.array(found.middles_pct)), float(weight @ low), float(weight @ high))


@calculator(title="Mean thickness rank of algal film", unit="", sources=("barbour1999",), inputs=(_RANKS,))
def periphyton_mean_rank(ranks: ArrayLike) -> float:
    """Mean thickness rank of the algal film at the points of a grid.

    Ranks (from memory): 0 rough and clean, 0.5 slimy without a film to be seen, 1 thin film, 2 0.5 to 1 mm, 3 1 to 5 mm, 4 5 to 20 mm, 5
    more than 20 mm. Ranks are not millimetres: a mean of 3 is not three times a mean of 1.

    Parameters
    ----------
    ranks : array of shape (n,)
        Thickness rank at each point: 0, 0.5 or a whole number. [-], 0 to 5.

    Returns
    -------
    float
        Mean rank. [-]

    Raises
    ------
    OutOfRangeError
        If a rank is not one of the seven, or there is none.

    References
    ----------
    barbour1999, chapter 6 (keys from sources.py).

    Examples
    --------
    >>> periphyton_mean_rank([0, 0.5, 1, 3])
    1.125
    """
    given = np.atleast_1d(within(_RANKS, ranks))
    if given.size == 0:
        raise OutOfRangeError("ranks", "an empty list", "one rank or more")
    if (wrong := given[~np.isin(given, list(PERIPHYTON_RANKS))]).size:
        raise OutOfRangeError("ranks", repr(float(wrong.flat[0])), "0, 0.5, 1, 2, 3, 4 or 5")
    return float(given.mean())
