"""From readings.csv to what the forecast weighs in: arm, day, quantity by its usual names, and value in the model's unit."""

from collections import defaultdict
from statistics import median

from fairtank.errors import OutOfRangeError
from fairtank.planning.evenness.wording import flat
from fairtank.science.co2 import carbonate
from fairtank.simulation.fit import Observed
from fairtank.trial import Reading, TrialFolder

# Usual names of the quantities, without blanks and marks; those in N_NAMES are told as nitrogen. Common practice, no source.
_NAMES = {
    "total_ammonia": ("tan", "totalammonia", "ammonia", "ammonium", "nh3", "nh4", "nh3nh4", "nh4nh3", "nh4n", "nh3n", "ammonian",
                      "ammoniumn"),
    "nitrite": ("no2", "nitrite", "no2n", "nitriten"), "nitrate": ("no3", "nitrate", "no3n", "nitraten", "nitrates"),
    "phosphate": ("po4", "phosphate", "phosphates"), "kh": ("kh", "dkh", "carbonatehardness"),
}
_N_SHARE = {"total_ammonia": 14.007 / 18.038, "nitrite": 14.007 / 46.005, "nitrate": 14.007 / 62.004}  # of the ion's mass
_AS_N = ("tan", "nh4n", "nh3n", "no2n", "no3n", "ammonian", "ammoniumn", "nitriten", "nitraten")


def observed_of(folder: TrialFolder, *, last_day: int) -> tuple[tuple[Observed, ...], int]:
    """Readings that the forecast can weigh in, one per arm, day and quantity (the median of its tanks), and how many rows they came from.

    pH is not weighed in: with KH it tells how much CO2 there is, see `co2_read_mg_l`. Ammonia counts as the ion NH4 and nitrite as NO2
    unless name or unit says nitrogen; the model's own unit is nitrogen. Rows of quantities that the model does not have, and of days
    after the last one, are left out.

    Parameters
    ----------
    folder : TrialFolder
        Read and in order.
    last_day : int
        The last day of the forecast. [d]

    Returns
    -------
    readings, rows : tuple of Observed, int
        In the order of days.

    References
    ----------
    arithmetic, common_practice (keys from sources.py).
    """
    arms = {unit.key: unit.arm for unit in folder.plan.units}
    found: dict[tuple[str, int, str], list[tuple[float, bool]]] = defaultdict(list)
    rows = 0
    for reading in folder.readings:
        measure = measure_of(reading.quantity)
        if measure and reading.unit in arms and 0 <= reading.day <= last_day:
            found[arms[reading.unit], reading.day, measure].append((_value(reading, measure), reading.below_detection))
            rows += 1
    told = [Observed(arm, day, measure, median(value for value, _ in values), all(is_below for _, is_below in values))
            for (arm, day, measure), values in found.items()]
    return tuple(sorted(told, key=lambda one: (one.day, one.arm, one.measure))), rows


def co2_read_mg_l(folder: TrialFolder, arm: str, temp_c: float) -> float | None:
    """Free CO2 that pH and KH of an arm speak for, by the medians of both; None where one is missing or lies outside the formula's range.

    Parameters
    ----------
    folder : TrialFolder
        Read and in order.
    arm : str
        Its key.
    temp_c : float
        Water temperature. [°C]

    Returns
    -------
    float or None
        [mg/L]

    References
    ----------
    As in `fairtank.science.co2.carbonate`.
    """
    units = {unit.key for unit in folder.plan.units if unit.arm == arm}
    found: dict[str, list[float]] = {"ph": [], "kh": []}
    for reading in folder.readings:
        word = flat(reading.quantity)
        if reading.unit in units and not reading.below_detection:
            for key, names in (("ph", ("ph", "phvalue")), ("kh", _NAMES["kh"])):
                if word in names:
                    found[key].append(reading.value)
    if not found["ph"] or not found["kh"]:
        return None
    try:
        return float(carbonate(temp_c, median(found["kh"]), median(found["ph"])).co2_mg_l)
    except OutOfRangeError:
        return None


def read_at_start(folder: TrialFolder, measure: str) -> float | None:
    """What the tests of the first day read in all tanks together: their median, as the model tells that measure; None without tests.

    Parameters
    ----------
    folder : TrialFolder
        Read and in order.
    measure : str
        A key of the model.

    Returns
    -------
    float or None

    References
    ----------
    common_practice (keys from sources.py).
    """
    found = [_value(one, measure) for one in folder.readings
             if one.day <= 0 and not one.below_detection and measure_of(one.quantity) == measure]
    return float(median(found)) if found else None


def measure_of(quantity: str) -> str:
    """The model's key of a quantity; empty where it has none.

    >>> measure_of("NO3"), measure_of("NH4-N"), measure_of("iron")
    ('nitrate', 'total_ammonia', '')
    """
    word = flat(quantity)
    return next((key for key, names in _NAMES.items() if word in names), "")


def _value(reading: Reading, measure: str) -> float:
    share = _N_SHARE.get(measure)
    if share is None:
        return reading.value
    is_nitrogen = flat(reading.quantity) in _AS_N or flat(reading.unit_of_measure).endswith("n")
    if measure == "nitrate":  # the model tells it as NO3
        return reading.value / share if is_nitrogen else reading.value
    return reading.value if is_nitrogen else reading.value * share
