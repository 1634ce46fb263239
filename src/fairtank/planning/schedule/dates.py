"""The days of a trial on which a recurrence rule falls."""

from datetime import date, datetime, timedelta
from functools import lru_cache

MIDNIGHT = datetime.min.time()


@lru_cache(maxsize=2048)  # a schedule asks for the same days when it is checked, listed and written
def rule_days(rule: str, *, start: date, from_day: int, until_day: int) -> tuple[int, ...]:
    """The days on which a rule falls, counted as days of the trial.

    Parameters
    ----------
    rule : str
        A recurrence rule as `recurrence_of` gives it, counted from from_day.
    start : date
        The date of day 0.
    from_day, until_day : int
        First and last day on which it may fall.

    Returns
    -------
    tuple of int
        Ascending; empty where it never falls between the two.

    References
    ----------
    rfc5545, section 3.8.5.3 (keys from sources.py).

    Examples
    --------
    >>> rule_days("FREQ=WEEKLY;BYDAY=SU,WE", start=date(2026, 3, 1), from_day=1, until_day=14)
    (3, 7, 10, 14)
    """
    from dateutil.rrule import rrulestr

    if until_day < from_day:
        return ()
    zero = datetime.combine(start, MIDNIGHT)
    first, last = zero + timedelta(days=from_day), zero + timedelta(days=until_day)
    found = rrulestr(rule, dtstart=first, cache=False).between(first, last, inc=True)
    return tuple((moment - zero).days for moment in found)
