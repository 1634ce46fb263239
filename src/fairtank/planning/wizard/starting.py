"""A start that lies long back: it may be a trial that already ran, or a slip of the year; which of them only the keeper knows."""

from datetime import date

LONG_PAST_DAYS = 30  # until then a plan may well be written down a little late
_DAYS_A_MONTH, _DAYS_A_YEAR = 30.4, 365.25


def long_past_words(start: date, today: date) -> str:
    """What to ask back of a start that lies long back, as a question; empty where it does not.

    Parameters
    ----------
    start, today : date
        Day 0 and the day on which it is planned.

    Returns
    -------
    str

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> long_past_words(date(2020, 3, 1), date(2026, 3, 1))
    'Day 0, 2020-03-01, lies 6 years back. Is this a trial that already ran?'
    >>> long_past_words(date(2026, 2, 20), date(2026, 3, 1))
    ''
    """
    days = (today - start).days
    if days <= LONG_PAST_DAYS:
        return ""
    months, years = round(days / _DAYS_A_MONTH), round(days / _DAYS_A_YEAR)
    ago = f"{days} days" if days < 2 * _DAYS_A_MONTH else f"{months} months" if months < 24 else f"{years} years"
    return f"Day 0, {start.isoformat()}, lies {ago} back. Is this a trial that already ran?"
