"""Charts of pages made from the invented trials of these tests: no photo is measured for them."""

import functools
from dataclasses import replace
from datetime import date

import numpy as np
from tests.publish.invented_trials import dark_break, one_cover_glass
from tests.publish.test_pool_words import SPREAD, story_of

from fairtank.inference.foresight.showing import Prices, show
from fairtank.planning.drift.watching import watch
from fairtank.publish.page_finding import finding_charts
from fairtank.publish.page_foresight import forecast_page_charts, frontier_page_chart
from fairtank.publish.page_pool import pool_page_chart
from fairtank.publish.page_watch import watch_charts
from fairtank.simulation.fit import Observed
from fairtank.simulation.forecast import ArmForecast, Band, Forecast, Safe
from fairtank.simulation.tank import MEASURES
from fairtank.trial import Arm, Plan, Unit
from inference.trials import plan_of
from planning.drifting import folder_of, levels
from planning.drifting import plan_of as drift_plan

KEYS = ("tanks-algae-cover", "curves-algae-cover", "tanks-algae-cover-two", "curves-algae-cover-two", "drift-0", "drift-1", "frontier",
        "forecast-total-ammonia", "forecast-nitrite", "trials-together")
FORECAST_PLAN = Plan("t", date(2026, 3, 1), 42, "side_by_side", (Arm("R", "reference", "seven hours"), Arm("C", "changed", "ten hours")),
                     (Unit("T1", "R"), Unit("T2", "C")), ())


def of_finding():
    """Six tanks with an interval, and two tanks without one."""
    six, two = dark_break(with_photos=False), one_cover_glass()
    charts = finding_charts(six.findings[:1], six.folder.plan, six.series, six.folder.events)
    alone = finding_charts(two.findings[:1], two.folder.plan, two.series)
    return (*charts, *(replace(chart, key=f"{chart.key}-two") for chart in alone))


def drifting():
    """A watch in which the temperature of one arm has left the other; its plan."""
    plan = drift_plan()
    readings = levels(plan, "temperature", 24.0, 0.15, seed=1, moved=lambda unit, day: 1.0 if unit.arm == "C" and day >= 21 else 0.0)
    readings += levels(plan, "kh", 4.0, 0.2, seed=2, days=range(0, 43, 7), step=0.5)
    return watch(folder_of(plan, readings)), plan


def forecast_of(*, are_alike=False):
    """A forecast with rising and falling bands, two tests weighed in."""
    days = np.arange(FORECAST_PLAN.days + 1)
    arms = []
    for key, factor in (("R", 1.0), ("C", 1.3)):
        bands = {}
        for place, measure in enumerate(MEASURES):
            middle = factor * (2.0 + place % 3) * np.exp(-((days - 9.0 - place % 5) ** 2) / 60.0) + 0.3
            bands[measure] = Band(measure, tuple(0.6 * middle), tuple(middle), tuple(1.7 * middle))
        arms.append(ArmForecast(key, bands, Safe(12, 20, 34, 0.0), (0.004, 0.006, 0.011)))
    tests = (Observed("R", 4, "total_ammonia", 1.5), Observed("C", 20, "nitrite", 0.05, True))
    return Forecast(FORECAST_PLAN.days, 200, 1, tuple(arms), are_alike, (), (), (), None, None, tests, ())


@functools.cache
def all_charts():
    """Every kind of chart that a page has."""
    showing = show(plan_of(3, 3, expect="less"), prices=Prices(80, 2))
    forecasts = forecast_page_charts(forecast_of(), FORECAST_PLAN)[:2]
    pooled = pool_page_chart(story_of(SPREAD, margin=0.3))
    return (*of_finding(), *watch_charts(*drifting()), frontier_page_chart(showing), *forecasts, pooled)
