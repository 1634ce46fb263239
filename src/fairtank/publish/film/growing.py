"""The curve of the primary measure that grows along with the days: one thin line for each tank."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from fairtank.finding import Finding
from fairtank.publish.arms import ArmLook
from fairtank.publish.charts import value_ticks
from fairtank.publish.curves import change_day, points_of, stretches, taken_out
from fairtank.publish.film import lettering
from fairtank.publish.film.items import INK, LINE, SOFT, Dot, Item, Rect, Stroke, Words, rgb_of
from fairtank.publish.numbers import number, tick_format, unit_words
from fairtank.publish.phrases import title_words
from fairtank.trial import Event, Plan, Series

# Day and value -> place [px].
At = Callable[[float, float], tuple[float, float]]

_ROOM_ABOVE = 0.12
_PLAIN = ArmLook("", "", "", "#5a5850", (1, 0), "circle", "", "")


@dataclass(frozen=True)
class GrowingCurve:
    """The points of every tank, in the measure's own unit. title: the measure and its unit. low, high: the axis. start: of the
    change; start_words: what is written there."""

    title: str
    points: tuple[tuple[str, tuple[tuple[int, float], ...]], ...]
    low: float
    high: float
    last_day: int
    start: int | None
    start_words: str = ""

    def ticks(self, most: int) -> list[float]:
        """About so many round values along the axis."""
        return value_ticks(self.low, self.high, most)


def growing_curve(plan: Plan, series: Sequence[Series], findings: Sequence[Finding], events: Sequence[Event], units: Sequence[str]
                  ) -> GrowingCurve | None:
    """The curve of the primary measure; None where fewer than two days have a value.

    Parameters
    ----------
    plan : Plan
    series : sequence of Series
        Of all measures.
    findings : sequence of Finding
        Of the primary measure.
    events : sequence of Event
        Days that they take out of the analysis are left out.
    units : sequence of str
        Keys of the tanks that are shown.

    Returns
    -------
    GrowingCurve or None
    """
    if not findings:
        return None
    finding = findings[0]
    own = points_of(plan, [one for one in series if one.measure == finding.measure and one.unit in units])
    points = {unit: tuple(point for point in found if point not in taken_out(unit, found, events)) for unit, found in own.items()}
    values = [value for found in points.values() for _, value in found]
    if len({day for found in points.values() for day, _ in found}) < 2:
        return None
    unit = finding.unit_of_measure or (finding.natural.unit if finding.natural else "")
    low, high = min(values), max(values)
    room = (high - low or abs(high) or 1.0) * _ROOM_ABOVE
    low = 0.0 if unit == "%" or 0 <= low < 0.5 * high else low - room
    title = f"{title_words(finding)}{f' [{unit_words(unit)}]' if unit else ''}"
    return GrowingCurve(title, tuple((key, points[key]) for key in units if key in points), low, high + room, plan.days, change_day(plan),
                        "places change" if plan.kind == "swap" else "the change starts")


def curve_items(curve: GrowingCurve, place: Rect, small_px: int, until: int, looks: dict[str, ArmLook], arm_of: dict[str, str]
                ) -> list[Item]:
    """The curve up to a day.

    Parameters
    ----------
    curve : GrowingCurve
    place : Rect
        Room for it.
    small_px : int
        Size of its letters.
    until : int
        The last day that is drawn.
    looks : dict
        How arms are drawn, by key.
    arm_of : dict
        Unit -> key of its arm; units whose arm is hidden are missing and are drawn alike.

    Returns
    -------
    list of Item
    """
    ticks = curve.ticks(min(max(place.height // (3 * small_px) - 1, 2), 5))
    shape = tick_format(ticks)
    texts = [number(tick, int(shape[1])) for tick in ticks]
    left = place.x + max(lettering.width_px(text, small_px) for text in texts) + small_px // 2
    plot = Rect(left, place.y + round(1.9 * small_px), place.right - left - small_px // 2, 0)
    plot = Rect(plot.x, plot.y, plot.width, place.bottom - round(1.7 * small_px) - plot.y)

    def at(day: float, value: float) -> tuple[float, float]:
        share = (value - curve.low) / (curve.high - curve.low)
        return plot.x + plot.width * day / max(curve.last_day, 1), plot.bottom - plot.height * share

    items: list[Item] = [Words(lettering.fitted(curve.title, place.width, small_px), place.x, place.y, small_px, SOFT)]
    items += _axes(curve, plot, small_px, ticks, texts, at)
    thin = max(round(small_px / 9), 1)
    ends: list[Item] = []
    for unit, points in curve.points:
        look = looks[arm_of[unit]] if unit in arm_of else _PLAIN
        colour, dash = rgb_of(look.colour), tuple(round(part * thin * 0.9) for part in look.dash)
        seen = [point for point in points if point[0] <= until]
        items += [Stroke(tuple(at(*point) for point in part), colour, thin, dash) for part in stretches(seen) if len(part) > 1]
        ends += [Dot(*at(*seen[-1]), 1.7 * thin, colour)] if seen else []
    return items + ends


def _axes(curve: GrowingCurve, plot: Rect, small_px: int, ticks: Sequence[float], texts: Sequence[str], at: At) -> list[Item]:
    items: list[Item] = []
    hair = max(round(small_px / 20), 1)
    for tick, text in zip(ticks, texts, strict=True):
        y = at(0, tick)[1]
        items.append(Stroke(((plot.x, y), (plot.right, y)), LINE, hair))
        items.append(Words(text, plot.x - small_px // 3, round(y - 0.62 * small_px), small_px, SOFT, anchor="right"))
    step = next((step for step in (1, 2, 7, 14, 28, 56, 112, 364)
                 if plot.width / max(curve.last_day / step, 1) > 4.5 * small_px), 364)
    for day in range(0, curve.last_day + 1, step):
        items.append(Words(str(day), round(at(day, 0)[0]), plot.bottom + small_px // 3, small_px, SOFT, anchor="middle"))
    items.append(Stroke(((plot.x, plot.bottom), (plot.right, plot.bottom)), SOFT, hair))
    if curve.start is not None and curve.start <= curve.last_day:
        x = at(curve.start - 0.5, 0)[0]
        items.append(Stroke(((x, plot.y), (x, plot.bottom)), INK, hair))
        word = round(0.9 * small_px)
        if plot.right - x > lettering.width_px(curve.start_words, word) + word:
            items.append(Words(curve.start_words, round(x + 0.4 * word), plot.y, word, SOFT))
    return items
