"""What is told beforehand, in a page: what each design would notice against what it takes, and the forecast of the tanks."""

from fairtank.inference.foresight.showing import Showing
from fairtank.publish.arms import ArmLook, arm_looks
from fairtank.publish.blocks import Table
from fairtank.publish.charts import NARROW_PX, WIDE_PX, Spec
from fairtank.publish.detect_words import NOTHING, design_words, noticed_words, table_rows
from fairtank.publish.forecast_chart import SHOWN, head_lines, panel
from fairtank.publish.forecast_words import CAVEAT
from fairtank.publish.frontier import frontier_spec
from fairtank.publish.numbers import figures, shown, unit_words, with_unit
from fairtank.publish.page_chart import PageChart, with_touch
from fairtank.publish.phrases import capital
from fairtank.simulation.forecast import ArmForecast, Forecast
from fairtank.simulation.tank import MEASURES
from fairtank.trial import Plan

_TABLE_STEP_D = 7


def frontier_page_chart(showing: Showing) -> PageChart:
    """Cost against the smallest difference, with the designs as a table.

    Parameters
    ----------
    showing : Showing
        The frozen result.

    Returns
    -------
    PageChart
        Of the key `frontier`.

    References
    ----------
    common_practice (keys from sources.py).
    """
    wide, narrow = (_touch_designs(frontier_spec(showing, width_px=width), showing) for width in (WIDE_PX, NARROW_PX))
    head, *rows = table_rows(showing)
    noticed = showing.plan.noticed
    what = NOTHING if noticed is None else noticed_words(noticed, showing)
    against = "" if noticed is None or showing.reference is None or showing.is_relative else " instead of " + with_unit(
        figures(showing.reference), showing.unit)
    title = f"{capital(shown(showing.title))}: as planned you would notice {what}{against}"
    caption = "One mark for each design: the farther left, the less it takes; the lower, the smaller the difference that it would notice."
    table = Table("The designs side by side", ("Letter", *map(capital, head[1:])), tuple(map(tuple, rows)), wide=(1,),
                  numeric=tuple(place for place, name in enumerate(head) if name in ("tanks", "last day", "cost")))
    return PageChart("frontier", title, wide["description"], caption, wide, narrow, table)


def _touch_designs(spec: Spec, showing: Showing) -> Spec:
    """Each design's words at its mark; the marks stand in the order of their letters' places."""
    letters = {row["x"]: row["t"] for layer in spec["layer"] if layer["mark"]["type"] == "text"
               for row in layer["data"]["values"] if "x" in row}
    told = {one.letter: f"{one.letter}, {design_words(one)}; {one.tanks} tanks to day {one.days}: "
            f"{NOTHING if one.noticed is None else noticed_words(one.noticed, showing)}" for one in showing.designs}
    marks = [layer["data"]["values"][0] for layer in spec["layer"] if layer["mark"].get("size") == 90]
    return with_touch(spec, [(row["x"], row["y"], told[letters[row["x"]]]) for row in marks if row["x"] in letters], size=400)


def forecast_page_charts(forecast: Forecast, plan: Plan) -> tuple[PageChart, ...]:
    """One small chart for each measure of the forecast, of one width wherever it stands.

    Parameters
    ----------
    forecast : Forecast
        The frozen result.
    plan : Plan
        Of the same trial.

    Returns
    -------
    tuple of PageChart
        In the order of `forecast_chart.SHOWN`.

    References
    ----------
    okabe2008 (keys from sources.py).
    """
    return tuple(_measure_chart(forecast, plan, measure) for measure in SHOWN)


def forecast_caption(forecast: Forecast, plan: Plan) -> str:
    """How all charts of a forecast are read: to stand once above them."""
    return " ".join(head_lines(forecast, plan, 10_000))


def _measure_chart(forecast: Forecast, plan: Plan, measure: str) -> PageChart:
    drawn = _drawn(forecast, plan)
    spec = with_touch(panel(forecast, plan, measure), _told(forecast, plan, measure))
    name, unit = spec["description"].partition(" [")[0], MEASURES[measure][0]
    title = f"{name} on day {forecast.days}: {_ends_told(drawn, measure, forecast.days)}"
    courses = "; ".join(f"{f'arm {letter}' if letter else 'all arms'} from {_band_words(one, measure, 0)} on day 0 to "
                        f"{_band_words(one, measure, forecast.days)}" for one, letter in drawn)
    description = f"{CAVEAT}. {name} over {forecast.days} days, nine in ten of {forecast.members} courses: {courses}."
    heads = [f"{f'Arm {letter}' if letter else 'All arms'}, middle{f' [{unit_words(unit)}]' if unit else ''}" for _, letter in drawn]
    head = ("Day", *(cell for name in heads for cell in (name, "nine in ten")))
    days = [*range(0, forecast.days, _TABLE_STEP_D), forecast.days]
    rows = tuple((str(day), *(cell for one, _ in drawn for cell in _cells(one, measure, day))) for day in days)
    table = Table(f"{name}: the bands, week by week", head, rows, numeric=tuple(range(len(head))))
    return PageChart(f"forecast-{measure.replace('_', '-')}", title, description, "", spec, spec, table)


def _drawn(forecast: Forecast, plan: Plan) -> list[tuple[ArmForecast, str]]:
    """Each arm with its letter; arms that are alike once, without one."""
    if forecast.are_alike:
        return [(forecast.arms[0], "")]
    looks: dict[str, ArmLook] = arm_looks(plan)
    return [(one, looks[one.arm].letter) for key in looks for one in forecast.arms if one.arm == key]


def _ends_told(drawn: list[tuple[ArmForecast, str]], measure: str, day: int) -> str:
    """The band of each arm on a day; once where it is the same in all."""
    bands = [_band_words(one, measure, day) for one, _ in drawn]
    if len(set(bands)) == 1:
        return bands[0] + (" in every arm" if len(bands) > 1 else "")
    return ", ".join(f"{band} in arm {letter}" for band, (_, letter) in zip(bands, drawn, strict=True))


def _cells(one: ArmForecast, measure: str, day: int) -> tuple[str, str]:
    band = one.bands[measure]
    return figures(band.middle[day]), f"{figures(max(band.low[day], 0.0))} to {figures(band.high[day])}"


def _band_words(one: ArmForecast, measure: str, day: int) -> str:
    return with_unit(_cells(one, measure, day)[1], MEASURES[measure][0])


def _told(forecast: Forecast, plan: Plan, measure: str) -> list[tuple[float, float, str]]:
    """The middle with its band on each day, and the keeper's own tests."""
    looks, unit = arm_looks(plan), MEASURES[measure][0]
    told = []
    for one, letter in _drawn(forecast, plan):
        for day, value in enumerate(one.bands[measure].middle):
            middle, band = _cells(one, measure, day)
            told.append((float(day), value, f"{f'arm {letter}, ' if letter else ''}day {day}: {with_unit(middle, unit)} ({band})"))
    for test in forecast.readings:
        if test.measure == measure:
            what = "nothing showed, below " if test.is_below else ""
            told.append((float(test.day), test.value, f"your test in arm {looks[test.arm].letter}, day {test.day}: {what}"
                         + with_unit(figures(test.value), unit)))
    return told
