"""Water tests as series: one unit of measure for a whole measure, whatever each row was written in."""

from fairtank.errors import InputError
from fairtank.registry import entries
from fairtank.trial import MeasureChoice, Series, TrialFolder
from fairtank.units import in_unit


def is_convertible(written: str, wanted: str) -> bool:
    """Whether a row written in one unit can be told in another.

    >>> is_convertible("ug/L", "mg/L"), is_convertible("mg/L N", "mg/L")
    (True, False)
    """
    try:
        in_unit(1.0, written, wanted)
    except InputError:
        return False
    return True


def unit_of(choice: MeasureChoice) -> str:
    """The unit in which a measure is told: the plan's, else that of fairtank's own measure, else none."""
    return choice.unit_of_measure or next((entry.unit for entry in entries("measure") if entry.key == choice.key), "")


def reading_series(folder: TrialFolder, choice: MeasureChoice) -> tuple[Series, ...]:
    """The water tests whose quantity is the measure's key, as one series per unit.

    Parameters
    ----------
    folder : TrialFolder
        A checked folder: every row's unit can be turned into the measure's.
    choice : MeasureChoice
        The measure.

    Returns
    -------
    tuple of Series
        Several tests of a day stay several values. A test below its limit carries the limit, and `below` says so.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    wanted = unit_of(choice)
    found = []
    for unit in folder.plan.units:
        own = sorted((reading for reading in folder.readings if (reading.unit, reading.quantity) == (unit.key, choice.key)),
                     key=lambda reading: reading.taken_at)
        if own:
            values = tuple(in_unit(reading.value, reading.unit_of_measure, wanted) for reading in own)
            found.append(Series(unit.key, choice.key, tuple(reading.day for reading in own), values, (None,) * len(own), ready_made=True,
                                below=tuple(reading.below_detection for reading in own)))
    return tuple(found)
