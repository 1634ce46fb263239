"""How long work may still take, from how fast it went lately; and how long ago something was."""

from collections.abc import Sequence
from statistics import median

from django.utils.translation import gettext, ngettext

FEWEST_LOOKS = 5  # the first ones tell of the start, not of the work
MOST_LOOKS = 30  # at one a second: what went on before half a minute says little about what comes
_NEAR = 5  # looks apart: farther apart many pairs would span one pause
_MINUTE_S, _HOUR_S, _DAY_S = 60, 3600, 86400


def seconds_left(looks: Sequence[tuple[float, int]], total: int) -> int | None:
    """The time that is left, were the work to go on as it went between the looks.

    The pace is the median over pairs of looks that are close to each other, so that one pause, however long, does not move it.

    Parameters
    ----------
    looks : sequence of (time, count)
        When it was looked, by any clock that goes evenly [s], and how much was done then; in the order of time.
    total : int
        How much there is in all.

    Returns
    -------
    int or None
        [s]; None where there are too few looks, or nothing was done between them.

    References
    ----------
    common_practice (keys from sources.py).
    """
    near = [pair for step in range(1, _NEAR + 1) for pair in zip(looks, looks[step:], strict=False)]
    paces = [(later - sooner) / (then - now) for (now, sooner), (then, later) in near if then > now]
    if len(looks) < FEWEST_LOOKS or not paces:
        return None
    pace = median(paces)
    return round(max(total - looks[-1][1], 0) / pace) if pace > 0 else None


def left_words(seconds: float) -> str:
    """A time that is left, as exact as such a guess is.

    Parameters
    ----------
    seconds : float
        [s]

    Returns
    -------
    str
        A short phrase.
    """
    if seconds < _MINUTE_S:
        return gettext("less than a minute left")
    if seconds < 1.5 * _HOUR_S:
        minutes = max(1, round(seconds / _MINUTE_S))
        return ngettext("about %(count)d minute left", "about %(count)d minutes left", minutes) % {"count": minutes}
    hours = round(seconds / _HOUR_S)
    return ngettext("about %(count)d hour left", "about %(count)d hours left", hours) % {"count": hours}


def ago_words(seconds: float) -> str:
    """How long ago something was, as people say it: clocks of servers and browsers may stand in different time zones.

    Parameters
    ----------
    seconds : float
        [s]

    Returns
    -------
    str
        A short phrase.
    """
    if seconds < _MINUTE_S:
        return gettext("just now")
    if seconds < _HOUR_S:
        minutes = int(seconds // _MINUTE_S)
        return ngettext("%(count)d minute ago", "%(count)d minutes ago", minutes) % {"count": minutes}
    if seconds < 2 * _DAY_S:
        hours = int(seconds // _HOUR_S)
        return ngettext("%(count)d hour ago", "%(count)d hours ago", hours) % {"count": hours}
    days = int(seconds // _DAY_S)
    return ngettext("%(count)d day ago", "%(count)d days ago", days) % {"count": days}
