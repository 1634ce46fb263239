"""The smallest difference that a design finds with a given power, from the spread of like units: two arms, pairs, rounds."""

import math

from fairtank.errors import NotEnoughDataError, OutOfRangeError
from fairtank.inference.foresight.power import USUAL_ALPHA, USUAL_POWER, t_multiplier, welch_multiplier


def arms_difference(sd: float, n_1: int, n_2: int, *, power: float = USUAL_POWER, alpha: float = USUAL_ALPHA) -> float:
    """The smallest difference of two arms that Welch's interval finds; for a swap, sd is that of the halved period difference.

    Parameters
    ----------
    sd : float
        Standard deviation of one unit's z among like units, above 0. [summary scale]
    n_1, n_2 : int
        Units in the arms (for a swap: in the two orders), at least 2 each.
    power, alpha : float
        See `t_multiplier`.

    Returns
    -------
    float
        [summary scale]

    Raises
    ------
    NotEnoughDataError
        If an arm has fewer than 2 units.
    OutOfRangeError
        If an argument lies outside its range.

    References
    ----------
    welch1947 (keys from sources.py).

    Examples
    --------
    >>> 1.0 < arms_difference(0.5, 3, 3) / (0.5 * 3.071) < 1.2
    True
    """
    return _spread(sd) * math.sqrt(1.0 / n_1 + 1.0 / n_2) * welch_multiplier(n_1, n_2, power=power, alpha=alpha)


def pairs_difference(sd_of_pair: float, pairs: int, *, power: float = USUAL_POWER, alpha: float = USUAL_ALPHA) -> float:
    """The smallest difference that neighbours in pairs show, by the one-sample t interval on their differences.

    Parameters
    ----------
    sd_of_pair : float
        Standard deviation of one pair's difference, above 0. [summary scale]
    pairs : int
        At least 2.
    power, alpha : float
        See `t_multiplier`.

    Returns
    -------
    float
        [summary scale]

    Raises
    ------
    NotEnoughDataError
        If there are fewer than 2 pairs.
    OutOfRangeError
        If an argument lies outside its range.

    References
    ----------
    student1908 (keys from sources.py).

    Examples
    --------
    >>> round(pairs_difference(1.0, 3), 2)
    3.26
    """
    if pairs < 2:
        raise NotEnoughDataError(f"There are {pairs} pairs; an interval needs at least 2.")
    return _spread(sd_of_pair) / math.sqrt(pairs) * t_multiplier(pairs - 1, power=power, alpha=alpha)


def rounds_difference(sd_of_round: float, rounds: int, *, power: float = USUAL_POWER, alpha: float = USUAL_ALPHA) -> float:
    """The smallest difference that two tanks show in rounds, when the change alternates between them.

    The effect is the intercept of the round differences on the sign that says which tank was changed; with an odd number of rounds
    the signs do not cancel and cost a little.

    Parameters
    ----------
    sd_of_round : float
        Standard deviation of one round's difference, the lasting difference of the two tanks left out. [summary scale]
    rounds : int
        At least 4.
    power, alpha : float
        See `t_multiplier`.

    Returns
    -------
    float
        [summary scale]

    Raises
    ------
    NotEnoughDataError
        If there are fewer than 4 rounds.
    OutOfRangeError
        If an argument lies outside its range.

    References
    ----------
    student1908 (keys from sources.py).

    Examples
    --------
    >>> round(rounds_difference(1.0, 4), 2)
    2.83
    """
    if rounds < 4:
        raise NotEnoughDataError(f"There are {rounds} rounds; an interval needs at least 4.")
    lost = (rounds % 2) / rounds**2
    return _spread(sd_of_round) / math.sqrt(rounds * (1.0 - lost)) * t_multiplier(rounds - 2, power=power, alpha=alpha)


def _spread(sd: float) -> float:
    if not 0 < sd < math.inf:
        raise OutOfRangeError("sd", sd, "a number above 0")
    return sd
