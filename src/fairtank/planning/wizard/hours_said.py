"""Hours of light a day, where the words of a plan say them in one plain number: “7 h of light”, “ten hours of light a day”."""

import re

_WORDS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen", "fourteen",
          "fifteen", "sixteen")
_HOURS = re.compile(rf"\b(\d{{1,2}}(?:[.,]\d{{1,2}})?|{'|'.join(_WORDS)})[ -]?(?:h|hours?)\b")
_LIGHT = re.compile(r"light|lamp|photoperiod")
# Beside these a number tells a difference, a pause or another thing, and not how long the light is on.
_OTHER = re.compile(r"\b(more|less|longer|shorter|fewer|extra|another|later|earlier|dark\w*|break|off|pause|half|twice|co2|carbon|pump|"
                    r"filter|after|before|minutes?|min)\b")
HOURS_OF_A_DAY = 24.0


def hours_said(text: str) -> float | None:
    """Hours of light a day that a text says; None where it says none, several, or a difference.

    Parameters
    ----------
    text : str
        The change or the reference, as the keeper typed it.

    Returns
    -------
    float or None
        [h]

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> hours_said("7 h of light"), hours_said("ten hours of light a day"), hours_said("2 h more light")
    (7.0, 10.0, None)
    >>> hours_said("4 h light, 3 h dark, 4 h light"), hours_said("CO2 for 8 h")
    (None, None)
    """
    words = text.casefold()
    found = _HOURS.findall(words)
    if len(found) != 1 or _OTHER.search(words) or not (_LIGHT.search(words) or _HOURS.fullmatch(words.strip())):
        return None
    hours = float(_WORDS.index(found[0]) + 1) if found[0] in _WORDS else float(found[0].replace(",", "."))
    return hours if 0 < hours <= HOURS_OF_A_DAY else None
