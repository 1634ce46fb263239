"""Whether the controls of a growth test grew fast and evenly enough for the test to count."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fairtank.errors import InputError, NotEnoughDataError
from fairtank.registry import Input, Output, calculator
from fairtank.science.ranges import one_of, within

LEAST_SIZE, MOST_SIZE = 1e-12, 1e12
DATES = Input("days", "days of the observations, rising, separated by commas", "d", 0, 10000)
_BIOMASS = Input("biomass", "sizes, one row per control and one column per day", "", LEAST_SIZE, MOST_SIZE)


@dataclass(frozen=True)
class ControlLimits:
    """What healthy controls do: least mean growth rate [1/d], largest scatter [%] (None: no such rule)."""

    least_rate_per_day: float
    most_section_cv_pct: float | None
    most_rate_cv_pct: float | None


@dataclass(frozen=True)
class ControlHealth:
    """How the controls did: mean growth rate [1/d]; coefficient of variation of the rates from date to date inside a control, mean over
    the controls, and of the rates between controls [%]; whether all limits are kept."""

    rate_per_day: float
    section_cv_pct: float
    rate_cv_pct: float
    is_healthy: bool


# Literature values, from memory: 16-fold in 72 hours and scatter of 35 % and 7 % (10 % for less usual species) in oecd201; doubling
# in less than 2.5 days in oecd221. They hold for laboratory cultures; a tank needs limits of its own.
CONTROL_LIMITS = {
    "oecd201_usual": ControlLimits(float(np.log(16) / 3), 35.0, 7.0),
    "oecd201_other": ControlLimits(float(np.log(16) / 3), 35.0, 10.0),
    "oecd221": ControlLimits(float(np.log(2) / 2.5), None, None),
}
_LIMITS = Input("limits", "what the controls are held against", choices=tuple(CONTROL_LIMITS))


@calculator(title="Health of the controls", sources=("oecd201", "oecd221"), inputs=(DATES, _BIOMASS, _LIMITS),
            outputs=(Output("rate_per_day", "mean growth rate", "1/d"), Output("section_cv_pct", "scatter from date to date", "%"),
                     Output("rate_cv_pct", "scatter between controls", "%"), Output("is_healthy", "within all limits")))
def control_health(days: ArrayLike, biomass: ArrayLike, limits: str) -> ControlHealth:
    """Whether the controls of a growth test grew fast and evenly enough for the test to count.

    The limits (from memory) are made for laboratory cultures: oecd201 for algae over 72 hours, oecd221 for duckweed over 7 days. For
    tanks they are a pattern to think by; fix limits of your own beforehand.

    Parameters
    ----------
    days : array of shape (n,)
        Days of the observations, rising, three or more. [d], 0 to 10000.
    biomass : array of shape (m, n)
        Sizes, one row per control (two or more) and one column per day. [any unit], 1e-12 to 1e+12.
    limits : str
        oecd201_usual, oecd201_other or oecd221. [-]

    Returns
    -------
    ControlHealth
        rate_per_day [1/d], section_cv_pct [%], rate_cv_pct [%] and is_healthy.

    Raises
    ------
    OutOfRangeError
        If a number lies outside its range.
    InputError
        If the rows do not match the days, the days do not rise, or the limits are not known.
    NotEnoughDataError
        If there are fewer than two controls or three days, or the controls did not grow.

    References
    ----------
    oecd201, oecd221; limits from memory (keys from sources.py).

    Examples
    --------
    >>> found = control_health([0, 1, 2, 3], [[1, 3, 8, 24], [1, 2.5, 8, 22]], "oecd201_usual")
    >>> round(found.rate_per_day, 3), found.is_healthy
    (1.045, True)
    """
    word, at, sizes = one_of(_LIMITS, limits), np.atleast_1d(within(DATES, days)), within(_BIOMASS, biomass)
    if sizes.ndim != 2 or at.ndim != 1 or sizes.shape[1] != at.size:
        raise InputError("biomass", "not as wide as there are days", "one row per control, one size for each day")
    if sizes.shape[0] < 2 or at.size < 3:
        raise NotEnoughDataError("The scatter of controls takes two controls or more and three days or more.")
    check_rising(at)
    logs = np.log(sizes)
    sections, whole = np.diff(logs, axis=1) / np.diff(at), (logs[:, -1] - logs[:, 0]) / (at[-1] - at[0])
    section_means = sections.mean(axis=1)
    if (whole <= 0).any() or (section_means <= 0).any():
        raise NotEnoughDataError("A control did not grow from the first to the last day, so its scatter cannot be judged.")
    section_cv = float((100 * sections.std(axis=1, ddof=1) / section_means).mean())
    rate, rate_cv = float(whole.mean()), float(100 * whole.std(ddof=1) / whole.mean())
    allowed = CONTROL_LIMITS[word]
    # Exactly 16-fold is enough; rounding must not say otherwise.
    is_healthy = (rate >= allowed.least_rate_per_day * (1 - 1e-12) and section_cv <= (allowed.most_section_cv_pct or np.inf)
                  and rate_cv <= (allowed.most_rate_cv_pct or np.inf))
    return ControlHealth(rate, section_cv, rate_cv, bool(is_healthy))


def check_rising(days: NDArray[np.float64]) -> None:
    """Refuse days of observations that do not rise."""
    if (np.diff(days) <= 0).any():
        raise InputError("days", "not rising", "days in rising order, each once")
