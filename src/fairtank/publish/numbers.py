"""Numbers as people read them: rounded to what the interval supports, a true minus sign, unit kept on the same line."""

import math
import re
from collections.abc import Iterable

MINUS = "−"
NO_BREAK = "\u00a0"
_SUPERSCRIPTS = {"cm2": "cm²", "m2": "m²", "degC": "°C", "uS/cm": "μS/cm"}
_OVER, _UNDER = 1_000_000.0, 0.001
# Controls, half surrogates, signs that turn the direction of a text, and the two at the end of each plane that are no signs.
_UNFIT = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff\u202a-\u202e\u2066-\u2069"
                    + "".join(chr(plane << 16 | last) for plane in range(17) for last in (0xFFFE, 0xFFFF)) + "]")


def decimals_for(half_width: float) -> int:
    """Decimals that a number may show when its interval reaches this far to its nearer side.

    At most two figures of that distance are kept (one where they would be 50 to 99). A negative answer means tens, hundreds and so on.

    Parameters
    ----------
    half_width : float
        Distance from the estimate to the nearer end, in the unit that is shown. Zero or not finite: two decimals.

    Returns
    -------
    int
        Decimals; negative for tens and more.

    References
    ----------
    gum2008, 7.2.6: an uncertainty is quoted with at most two figures and the estimate rounded to be consistent with it.

    Examples
    --------
    >>> decimals_for(3.1), decimals_for(9.0), decimals_for(1300.0)
    (1, 0, -2)
    """
    if not math.isfinite(half_width) or half_width <= 0:
        return 2
    return -math.floor(math.log10(half_width / 5.0 * (1 + 1e-12)))


def decimals_of(value: float, low: float, high: float) -> int:
    """Decimals for an estimate and its interval: the nearer end decides.

    >>> decimals_of(8.3, 5.2, 12.9), decimals_of(49.0, 40.0, 58.0)
    (1, 0)
    """
    nearer = min(value - low, high - value)
    return decimals_for(nearer if nearer > 0 and math.isfinite(nearer) else (high - low) / 2)


def number(value: float, decimals: int) -> str:
    """A value rounded to so many decimals, with a true minus sign and thousands set apart by a no-break space.

    >>> number(-0.04, 1), number(-8.25, 2), number(12345.0, -2)
    ('0.0', '−8.25', '12\\xa0300')
    """
    shown = max(decimals, 0)
    rounded = round(value, decimals)
    text = f"{abs(rounded):.{shown}f}"
    whole, _, part = text.partition(".")
    if len(whole) > 4:
        whole = f"{int(whole):,}".replace(",", NO_BREAK)
    text = whole + ("." + part if part else "")
    return (MINUS if rounded < 0 else "") + text


def figures(value: float, count: int = 2) -> str:
    """A value with so many significant figures, for numbers that have no interval.

    >>> figures(0.04123), figures(413.2), figures(0.0), figures(-2.0)
    ('0.041', '413', '0', '−2.0')
    """
    if value == 0 or not math.isfinite(value):
        return "0" if value == 0 else "not known"
    place = math.floor(math.log10(abs(float(f"{value:.{count - 1}e}"))))
    return number(value, max(count - 1 - place, 0))


def end(value: float, decimals: int) -> str:
    """One end of an interval: as many decimals as the interval supports, but never a zero that is not one.

    >>> end(0.21, 0), end(5.2, 1), end(0.0002, 1), end(float("inf"), 1)
    ('0.2', '5.2', 'under 0.001', 'over 1\\xa0000\\xa0000')
    """
    if value > _OVER:
        return f"over {number(_OVER, 0)}"
    if value != 0 and float(f"{value:.{max(decimals, 0)}f}") == 0:
        if abs(value) < _UNDER:
            return f"under {_UNDER}" if value > 0 else "0"
        return figures(value, 1)
    return number(value, decimals)


def interval(low: float, high: float, decimals: int, unit: str = "") -> str:
    """Both ends of an interval with the unit behind the second one; a lopsided interval shows no more figures than its width supports.

    >>> interval(5.2, 12.9, 1, "%"), interval(0.02, 99.0, 2)
    ('5.2 to 12.9\xa0%', '0.02 to 99')
    """
    decimals = min(decimals, decimals_for(high - low) + 1)
    return f"{end(low, decimals)} to {with_unit(end(high, decimals), unit)}"


def unit_words(unit: str) -> str:
    """The unit as it is printed: cm2 becomes cm², degC becomes °C.

    >>> unit_words("per 100 cm2 of open water")
    'per 100 cm² of open water'
    """
    return " ".join(_SUPERSCRIPTS.get(word, word) for word in unit.split())


def with_unit(number_text: str, unit: str) -> str:
    """A number and its unit, held together by a no-break space.

    >>> with_unit("8.3", "%")
    '8.3\\xa0%'
    """
    return f"{number_text}{NO_BREAK}{unit_words(unit)}" if unit else number_text


def trimmed(number_text: str) -> str:
    """The number without zeros that say nothing: 12.0 becomes 12.

    >>> trimmed("12.0"), trimmed("120"), trimmed("0.50")
    ('12', '120', '0.5')
    """
    return number_text.rstrip("0").rstrip(".") if "." in number_text else number_text


def p_words(p_value: float) -> str:
    """A p-value with two figures, three places at most.

    >>> p_words(0.0812), p_words(0.00004), p_words(0.5)
    ('0.081', 'below 0.001', '0.50')
    """
    if p_value < 0.001:
        return "below 0.001"
    return number(p_value, 3 if p_value < 0.0995 else 2)


def plain_number(value: float) -> str:
    """A recorded number with at most four figures and no empty zeros: readings, weights, depths.

    >>> plain_number(6.5), plain_number(12.0), plain_number(1234.56)
    ('6.5', '12', '1235')
    """
    return trimmed(figures(value, 4)) if value else "0"


def shown(text: str) -> str:
    """Somebody's text, fit to be shown: control characters and half surrogates become the replacement sign.

    So do the signs that turn the direction of the text around them. Line breaks and tabs become spaces; nothing else is changed.

    >>> shown("sand\\x07 <b>\\n")
    'sand� <b>'
    """
    if text.isprintable():  # then none of them is in it, as in most texts
        return text.strip()
    spaced = text.replace("\r\n", " ").replace("\n", " ").replace("\t", " ")
    return _UNFIT.sub("\ufffd", spaced).strip()


def shortened(text: str, length: int) -> str:
    """The text cut to a length for a chart, with an ellipsis when something was cut.

    >>> shortened("eight hours in one block", 12)
    'eight hours…'
    """
    clean = shown(text)
    return clean if len(clean) <= length else clean[: length - 1].rstrip() + "…"


def tick_format(ticks: list[float]) -> str:
    """The number format that shows these ticks exactly and alike.

    >>> tick_format([0.0, 0.5, 1.0]), tick_format([0.0, 20.0])
    ('.1f', '.0f')
    """
    decimals = max((len(f"{tick:.10f}".rstrip("0").partition(".")[2]) for tick in ticks), default=0)
    return f".{decimals}f"


def in_a_row(names: Iterable[str]) -> str:
    """One name or more in a row.

    >>> in_a_row(["T2", "T4", "T5"]), in_a_row(["T2"])
    ('T2, T4 and T5', 'T2')
    """
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last
