"""Classes of windows and of tanks: which are near enough alike for their spreads to be compared, and which words name the same class."""

import math
import re
from collections.abc import Sequence

from fairtank.errors import OutOfRangeError

# Lower ends of the classes. Common practice, no source: neighbours differ by about half (days) or about twice (litres), and the usual
# lengths and sizes (2, 3, 4, 6, 8, 12 weeks; 20, 30, 54, 112, 180 L) stand well inside a class.
DAYS_FROM = (1, 11, 17, 25, 35, 50, 75, 110, 165)
LITRES_FROM = (0, 10, 25, 45, 80, 150, 300, 600)


def _band(value: float, starts: Sequence[int], unit: str, *, whole: bool) -> str:
    place = max(index for index, start in enumerate(starts) if value >= start)
    if place == len(starts) - 1:
        return f"{starts[place]} {unit} or more"
    end = starts[place + 1]
    return f"{starts[place]} to {end - 1} {unit}" if whole else f"{starts[place]} to under {end} {unit}"


def window_class(days: int, *, run_in_days: int = 0, read_once: bool = False) -> str:
    """The class of windows that are long enough alike for their spreads to be compared.

    The longer a window, the less day-to-day noise is left in a mean, and the farther tanks have grown apart: a change since a run-in, a
    level and a value read on one day have spreads of their own.

    Parameters
    ----------
    days : int
        Days from the first to the last of the treated window, both counted; for a swap those of one period; for a value read on one day
        the days of the trial up to it. [d] 1 or more.
    run_in_days : int
        Days of the run-in where it enters the summary, else 0. [d] 0 or more.
    read_once : bool
        Whether the value was read on one day only.

    Returns
    -------
    str

    Raises
    ------
    OutOfRangeError
        If a number of days lies outside its range.

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> window_class(42), window_class(42, run_in_days=14)
    ('35 to 49 days', '35 to 49 days after 11 to 16 days alike')
    """
    if days < 1:
        raise OutOfRangeError("days", days, "1 or more")
    if run_in_days < 0:
        raise OutOfRangeError("run_in_days", run_in_days, "0 or more")
    said = _band(days, DAYS_FROM, "days", whole=True)
    if read_once:
        said = f"one day within {said}"
    return f"{said} after {_band(run_in_days, DAYS_FROM, 'days', whole=True)} alike" if run_in_days else said


def tank_class(volume_l: float | None, *, unit_word: str = "tank") -> str:
    """The class of tanks that are alike enough in size for their spreads to be compared; empty when the size is not known.

    Parameters
    ----------
    volume_l : float or None
        Water of one unit. [L] Above 0.
    unit_word : str
        `tank` or `compartment`: a part of a tank is not a tank of its own.

    Returns
    -------
    str

    Raises
    ------
    OutOfRangeError
        If volume_l is not above 0.

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> tank_class(54), tank_class(60, unit_word="compartment"), tank_class(None)
    ('tank of 45 to under 80 L', 'compartment of 45 to under 80 L', '')
    """
    if volume_l is None:
        return ""
    if not 0 < volume_l < math.inf:
        raise OutOfRangeError("volume_l", volume_l, "a number above 0")
    return f"{unit_word} of {_band(volume_l, LITRES_FROM, 'L', whole=False)}"


# How people write a class of their own: a number or two, and days or weeks, or litres.
_DAYS = re.compile(r"(\d+)(?:\s*(?:-|–|to)\s*(\d+))?(?:\s*or (more))?\s*(d|days?|w|wk|weeks?)?(?:\s*or (more))?", re.IGNORECASE)
_LITRES = re.compile(r"(\d+(?:\.\d+)?)(?:\s*(?:-|–|to(?: under)?)\s*(\d+(?:\.\d+)?))?\s*(?:l|litres?|liters?)(?:\s*or (more))?",
                     re.IGNORECASE)

Band = tuple[float, float]


def days_said(words: str) -> Band | None:
    """The shortest and longest window that a class of windows names, in days; None where it cannot be read.

    Days alike before the change and the words `one day within` are not looked at.

    >>> days_said("35 to 49 days"), days_said("42"), days_said("6 weeks"), days_said("165 days or more"), days_said("long")
    ((35.0, 49.0), (42.0, 42.0), (42.0, 42.0), (165.0, inf), None)
    """
    text = words.strip().removeprefix("one day within ").split(" after ")[0]
    found = _DAYS.fullmatch(text)
    if found is None:
        return None
    low, high, more, unit, more_too = found.groups()
    times = 7.0 if unit and unit.lower().startswith("w") else 1.0
    end = math.inf if more or more_too else float(high or low) * times
    return float(low) * times, end


def litres_said(words: str) -> Band | None:
    """The smallest and largest water volume that a class of tanks names, in litres; None where it cannot be read.

    >>> litres_said("tank of 45 to under 80 L"), litres_said("45 L"), litres_said("600 L or more"), litres_said("nano")
    ((45.0, 80.0), (45.0, 45.0), (600.0, inf), None)
    """
    text = words.strip()
    for word in ("tank of ", "compartment of "):
        text = text.removeprefix(word)
    found = _LITRES.fullmatch(text)
    if found is None:
        return None
    low, high, more = found.groups()
    return float(low), math.inf if more else float(high or low)


def one_in_the_other(first: Band, second: Band) -> bool:
    """Whether one of two bands lies inside the other, ends included.

    >>> one_in_the_other((42, 42), (35, 49)), one_in_the_other((28, 42), (35, 49))
    (True, False)
    """
    return (first[0] >= second[0] and first[1] <= second[1]) or (second[0] >= first[0] and second[1] <= first[1])
