"""The drift watch in a page: one chart for each factor that can be told, with its lines, its band and its days as a table."""

from fairtank.planning.drift.watch import Chart, Watch, WatchedFactor
from fairtank.publish.arms import arm_looks
from fairtank.publish.blocks import Table
from fairtank.publish.numbers import decimals_for, number, shown, unit_words, with_unit
from fairtank.publish.page_chart import PageChart, with_touch
from fairtank.publish.watch_chart import drawn_charts, head_lines, panel
from fairtank.publish.watch_words import STATE_WORDS, now_words, title_of
from fairtank.trial import Plan


def watch_charts(watch: Watch, plan: Plan) -> tuple[PageChart, ...]:
    """One small chart for each factor with at least one line, of one width wherever it stands.

    Parameters
    ----------
    watch : Watch
        The frozen result.
    plan : Plan
        Of the same trial.

    Returns
    -------
    tuple of PageChart
        In the order of the factors; empty where nothing can be told.

    References
    ----------
    okabe2008 (keys from sources.py).
    """
    return tuple(_factor_chart(factor, watch, plan, place) for place, factor in enumerate(watch.factors) if factor.charts)


def watch_caption(plan: Plan) -> str:
    """How all charts of a watch are read: to stand once above them."""
    return " ".join(head_lines(plan, 10_000))


def _factor_chart(factor: WatchedFactor, watch: Watch, plan: Plan, place: int) -> PageChart:
    drawn = with_touch(panel(factor, watch, plan), _told(factor, plan))
    return PageChart(f"drift-{place}", _title(factor, plan), _description(factor, plan), "", drawn, drawn, _table(factor, plan))


def _title(factor: WatchedFactor, plan: Plan) -> str:
    """The state, and how far each arm stands from the reference now."""
    now = [f"{_line_words(chart, plan)} is now {now_words(chart, factor)}" for chart in factor.charts if chart.kind == "arms"]
    return "; ".join([f"{title_of(factor)}: {STATE_WORDS[factor.state]}", *now])


def _description(factor: WatchedFactor, plan: Plan) -> str:
    told = "; ".join(f"{_line_words(chart, plan)}: {_amount(chart.smooth[-1], chart, factor)} on day {chart.watched[-1]}, where the line "
                     f"of like tanks lies within {_amount(chart.limits[-1], chart, factor)}" for chart in drawn_charts(factor))
    return f"Differences in {title_of(factor)} over the days: {STATE_WORDS[factor.state]}. {told}."


def _line_words(chart: Chart, plan: Plan, word: str = "arm ") -> str:
    """What a line shows: one arm less the other, or a tank less the others of its arm; word: before an arm's letter."""
    letters = {key: f"{word}{look.letter}" for key, look in arm_looks(plan).items()}
    if chart.kind == "arms":
        return f"{letters[chart.arm]} less {letters[chart.against]}"
    return f"{shown(chart.unit)} less {shown(chart.other) if chart.other else f'the other tanks of {letters[chart.arm]}'}"


def _amount(value: float, chart: Chart, factor: WatchedFactor) -> str:
    """A difference in as many decimals as the interval of the last one supports."""
    return with_unit(_rounded(value, chart), factor.unit)


def _rounded(value: float, chart: Chart) -> str:
    return number(value, decimals_for((chart.high - chart.low) / 2))


def _told(factor: WatchedFactor, plan: Plan) -> list[tuple[float, float, str]]:
    """What each drawn line says on each day."""
    return [(float(day), value, f"day {day}, {_line_words(chart, plan, '')}: {_amount(value, chart, factor)}")
            for chart in drawn_charts(factor) for day, value in zip(chart.watched, chart.smooth, strict=True)]


def _table(factor: WatchedFactor, plan: Plan) -> Table:
    """One row for each day after the baseline, three columns for each line: the day's own difference, the weighted mean, the band."""
    unit = f" [{unit_words(factor.unit)}]" if factor.unit else ""
    heads, columns = [], []
    for chart in drawn_charts(factor):
        own, smooth = dict(zip(chart.days, chart.values, strict=True)), dict(zip(chart.watched, chart.smooth, strict=True))
        limits = dict(zip(chart.watched, chart.limits, strict=True))
        who = _line_words(chart, plan)
        heads += [f"{who}{unit}", f"weighted mean{unit}", f"like tanks within ±{unit}"]
        columns += [(chart, own), (chart, smooth), (chart, limits)]
    days = sorted({day for chart in drawn_charts(factor) for day in (*chart.days, *chart.watched)})
    rows = tuple((str(day), *("" if day not in values else _rounded(values[day], chart) for chart, values in columns)) for day in days)
    return Table(f"{title_of(factor)}: differences by day", ("Day", *heads), rows, numeric=tuple(range(len(heads) + 1)))
