"""From the scale on which tanks are judged back to the unit in which people think."""

import math


def natural_value(z: float, scale: str) -> float:
    """The value in the measure's natural unit of a value on the summary scale.

    Parameters
    ----------
    z : float
        Value on the scale. [logit: log-odds; log: natural logarithm; identity: the unit itself]
    scale : str
        `logit`, `log` or `identity`.

    Returns
    -------
    float
        [logit: %; log and identity: the measure's unit]

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> round(natural_value(scale_value(12.0, "logit") - 0.41, "logit"), 1)
    8.3
    """
    if scale == "logit":
        return 100.0 / (1.0 + math.exp(-max(min(z, 700.0), -700.0)))
    if scale == "log":
        return math.exp(min(z, 700.0))
    return z


def scale_value(value: float, scale: str) -> float:
    """The value on the summary scale of a value in the natural unit; the inverse of `natural_value`.

    Cover is held between 0.001 and 99.999 %, positive quantities above 1e-12, so that the answer is always finite.

    Parameters
    ----------
    value : float
        [logit: %; log and identity: the measure's unit]
    scale : str
        `logit`, `log` or `identity`.

    Returns
    -------
    float
        Value on the scale.

    Examples
    --------
    >>> scale_value(50.0, "logit")
    0.0
    """
    if scale == "logit":
        share = min(max(value, 0.001), 99.999) / 100.0
        return math.log(share / (1.0 - share))
    if scale == "log":
        return math.log(max(value, 1e-12))
    return value
