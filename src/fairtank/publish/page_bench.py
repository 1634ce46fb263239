"""A calculator along a range in a page: the picture with its lines as a table."""

import math
from collections.abc import Sequence

from fairtank.publish.blocks import Table
from fairtank.publish.calc_chart import Line, Picture, described, picture_spec
from fairtank.publish.calc_words import printed_unit
from fairtank.publish.charts import NARROW_PX, WIDE_PX
from fairtank.publish.numbers import decimals_of, figures, interval, number, trimmed, with_unit
from fairtank.publish.page_chart import PageChart, with_touch

NO_FIGURE = "no figure"


def bench_page_chart(picture: Picture, *, key: str = "range") -> PageChart:
    """A calculator's answers along a range.

    Parameters
    ----------
    picture : Picture
        What is drawn.
    key : str
        Letters, digits and hyphens; unique on the page.

    Returns
    -------
    PageChart
        With one row of the table for each place along the range.

    References
    ----------
    okabe2008 (keys from sources.py).
    """
    told = [one for line in picture.lines for one in _told(line, picture)]
    wide, narrow = (with_touch(picture_spec(picture, width_px=width), told) for width in (WIDE_PX, NARROW_PX))
    what = f"{picture.title.rstrip('?')}: {picture.quantity}" if picture.quantity else picture.title
    return PageChart(key, f"{what}, {_course(picture)}", described(picture), "", wide, narrow, _table(picture, what))


def _course(picture: Picture) -> str:
    """From where to where; of several lines how many there are."""
    line = picture.lines[0]
    known = [place for place, value in enumerate(line.values) if math.isfinite(value)]
    ends = [_place(line.places[place], picture) for place in (0, -1)]
    if len(picture.lines) > 1:
        return f"one line for each {picture.between}, along {picture.along} from {ends[0]} to {ends[1]}"
    if not known:
        return f"along {picture.along} from {ends[0]} to {ends[1]}"
    first, last = (f"{with_unit(_figure(line, place), printed_unit(picture.unit))} at {picture.along} "
                   f"{_place(line.places[place], picture)}" for place in (known[0], known[-1]))
    return f"from {first} to {last}"


def _place(value: float, picture: Picture) -> str:
    """A place along the range, as exact as it was asked for."""
    return with_unit(trimmed(f"{value:.10g}") if "e" not in f"{value:.10g}" else f"{value:g}", printed_unit(picture.along_unit))


def _figure(line: Line, index: int) -> str:
    """A value in as many decimals as its band supports, else in three figures."""
    value = line.values[index]
    if not math.isfinite(value):
        return NO_FIGURE
    if line.ends is None:
        return figures(value, 3)
    return number(value, decimals_of(value, line.ends[0][index], line.ends[1][index]))


def _band(line: Line, index: int) -> str:
    """The interval beside a value; empty where there is none."""
    if line.ends is None or not all(math.isfinite(end[index]) for end in line.ends):
        return ""
    low, high = line.ends[0][index], line.ends[1][index]
    value = line.values[index] if math.isfinite(line.values[index]) else (low + high) / 2
    return interval(low, high, decimals_of(value, low, high))


def _told(line: Line, picture: Picture) -> list[tuple[float, float, str]]:
    unit = printed_unit(picture.unit)
    who = f"{line.label}, " if line.label else ""
    told = []
    for index, (place, value) in enumerate(zip(line.places, line.values, strict=True)):
        if math.isfinite(value):
            band = _band(line, index)
            told.append((place, value, f"{who}{picture.along} {_place(place, picture)}: {with_unit(_figure(line, index), unit)}"
                         + (f" ({band})" if band else "")))
    return told


def _table(picture: Picture, what: str) -> Table:
    unit = f" [{printed_unit(picture.unit)}]" if picture.unit else ""
    along = f"{picture.along} [{printed_unit(picture.along_unit)}]" if picture.along_unit else picture.along
    places = sorted({place for line in picture.lines for place in line.places})
    head, columns = [along], [[trimmed(f"{place:.10g}") if "e" not in f"{place:.10g}" else f"{place:g}" for place in places]]
    for line in picture.lines:
        head.append(f"{line.label or picture.quantity or picture.title.rstrip('?')}{unit}")
        columns.append(_by_place(line, places, [_figure(line, index) for index in range(len(line.places))]))
        if line.ends is not None:
            head.append("in 19 cases of 20" if picture.condition else "band")
            columns.append(_by_place(line, places, [_band(line, index) for index in range(len(line.places))]))
    return Table(f"{what} along {picture.along}", tuple(head), tuple(zip(*columns, strict=True)), numeric=tuple(range(len(head))))


def _by_place(line: Line, places: Sequence[float], cells: Sequence[str]) -> list[str]:
    known = dict(zip(line.places, cells, strict=True))
    return [known.get(place, "") for place in places]
