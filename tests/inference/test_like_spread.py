"""Where the spread of like tanks comes from, in which order, and what is said of it."""

import math
from dataclasses import replace

import numpy as np
import pytest

from fairtank.errors import InputError, OutOfRangeError
from fairtank.inference import judge
from fairtank.inference.earlier.classes import tank_class, window_class
from fairtank.inference.earlier.like_tanks import library_of
from fairtank.inference.foresight.layouts import alternatives_to, layout_of, weighing_of
from fairtank.inference.foresight.like_spread import kind_of_layout, like_spread
from fairtank.inference.foresight.spread_parts import NEW_TANKS, SETTLED_TANKS, mean_weighing, unit_sd
from fairtank.trial import Series, SpreadEntry
from inference.trials import measure, plan_of

TANKS = tank_class(54)


def spread_of(plan=None, *, choice=None, scale="logit", **given):
    choice = choice or measure()
    plan = plan or plan_of(choice=choice)
    layout = layout_of(plan, choice)
    if "entries" in given:
        given["library"] = library_of(given.pop("entries"), kind_of_layout(choice, scale, layout, TANKS), own_trial=plan.title)
    return like_spread(plan, choice, layout, scale=scale, **given)


def entries(variances, df=2.0, **change):
    fields = {"measure": "cover", "scale": "logit", "summary": "mean", "window_class": window_class(43), "tank_class": TANKS, **change}
    return [SpreadEntry(variance=variance, df=df, trial=f"trial {number}", **fields) for number, variance in enumerate(variances)]


def run_in_series(levels, days=range(14)):
    return [Series(f"{arm}{number}", "cover", tuple(days), tuple(100 / (1 + math.exp(-level)) for _ in days))
            for (arm, number), level in zip([(arm, number) for arm in "RC" for number in (1, 2, 3)], levels, strict=True)]


def test_without_anything_the_table_stands_in_and_says_so():
    assert (spread_of().origin, spread_of().parts, spread_of().df) == ("table", NEW_TANKS, None)
    assert spread_of(tanks="settled").parts == SETTLED_TANKS
    assert spread_of().high_factor == pytest.approx(1.5)
    assert not spread_of().carries_one_tank


def test_a_stated_spread_comes_first_and_keeps_the_mixture_of_the_table():
    found = spread_of(sd=0.3, entries=entries([0.04] * 6))
    assert (found.origin, found.sd) == ("stated", 0.3)
    assert unit_sd(found.parts, mean_weighing(0, 42)) == pytest.approx(0.3)
    assert found.parts.level_sd / found.parts.day_sd == pytest.approx(NEW_TANKS.level_sd / NEW_TANKS.day_sd)


def test_earlier_trials_are_pooled_by_their_degrees_of_freedom():
    found = spread_of(entries=[*entries([0.04], df=6.0), replace(entries([0.10])[0], trial="another")])
    assert (found.origin, found.df) == ("earlier trials", 8.0)
    assert found.sd == pytest.approx(math.sqrt((6 * 0.04 + 2 * 0.10) / 8))


@pytest.mark.parametrize(("count", "df", "carries"), [(5, 2.0, True), (5, 1.0, False), (4, 4.0, False)])
def test_five_trials_with_eight_degrees_of_freedom_carry_a_trial_of_one_tank_per_arm(count, df, carries):
    assert spread_of(entries=entries([0.04] * count, df=df)).carries_one_tank is carries


def test_the_range_of_a_measured_spread_is_the_chi_square_interval():
    from scipy.stats import chi2

    found = spread_of(entries=entries([0.04] * 5))
    assert found.low_factor == pytest.approx(math.sqrt(10 / chi2.ppf(0.975, 10)))
    assert found.high_factor == pytest.approx(math.sqrt(10 / chi2.ppf(0.025, 10)))


@pytest.mark.parametrize("change", [{"measure": "height"}, {"summary": "change"}, {"scale": "log"}, {"window_class": window_class(21)},
                                    {"tank_class": tank_class(180)}])
def test_entries_of_another_kind_are_left_out_with_the_reason(change):
    found = spread_of(entries=entries([0.04] * 6, **change))
    assert (found.origin, len(found.left_out)) == ("table", 6)
    assert all(reason.startswith(("another ", "other tanks")) for _, reason in found.left_out)


def test_entries_of_a_swap_speak_of_the_whole_difference_of_its_periods():
    plan = plan_of(2, 2, kind="swap", swap_day=21, choice=measure(summary="swap"))
    found = spread_of(plan, choice=plan.measures[0], entries=entries([0.04] * 5, summary="swap", window_class=window_class(21)))
    assert (found.origin, found.sd) == ("earlier trials", pytest.approx(0.1))


@pytest.mark.parametrize(("kind", "summary", "more"), [
    ("side_by_side", "mean", {}), ("side_by_side", "slope", {}), ("run_in", "change", {"run_in_days": 14}),
    ("run_in", "mean", {"run_in_days": 14}), ("swap", "swap", {"swap_day": 21, "washout_days": 3}),
])
def test_entries_of_the_plans_own_kind_are_those_that_judging_takes(kind, summary, more):
    choice = measure(summary=summary)
    plan = plan_of(2, 2, kind=kind, choice=choice, tank_litres=54.0, **more)
    own = kind_of_layout(choice, "logit", layout_of(plan, choice), TANKS)
    earlier = entries([0.04] * 6, measure=own.measure, summary=own.summary, window_class=own.window_class)
    series = [Series(f"{arm}{number}", "cover", tuple(range(43)), tuple(5.0 + number + 0.1 * (day % 7 + number) * day for day in range(43)))
              for arm in "RC" for number in (1, 2)]
    found = judge(plan, series, earlier=earlier)[0].earlier
    assert (found.groups, found.left_out) == (6, ())


def test_other_layouts_have_kinds_of_their_own():
    choice = measure()
    ways = alternatives_to(layout_of(plan_of(2, 2), choice), "less")
    kinds = {key: kind_of_layout(choice, "logit", layout, TANKS) for key, layout in ways}
    assert kinds["tank"] == kinds["plan"] != kinds["weeks"]
    assert (kinds["run_in"].summary, kinds["swap"].summary) == ("change", "swap")


def test_an_entry_without_scatter_is_left_out():
    assert spread_of(entries=entries([0.0, 1e-6])).origin == "table"


def test_the_run_in_tells_how_far_its_tanks_stand_apart():
    choice = measure(summary="change")
    plan = plan_of(kind="run_in", run_in_days=14, days=56, choice=choice)
    levels = [-2.0, -1.5, -2.4, -1.9, -2.2, -1.6]
    found = spread_of(plan, choice=choice, series=run_in_series(levels))
    assert (found.origin, found.df) == ("run-in", 5.0)
    assert unit_sd(found.parts, mean_weighing(0, 13)) == pytest.approx(np.std(levels, ddof=1), rel=1e-6)
    assert found.sd == pytest.approx(unit_sd(found.parts, weighing_of(layout_of(plan, choice))))


def test_days_after_the_run_in_are_not_looked_at():
    choice = measure(summary="change")
    plan = plan_of(kind="run_in", run_in_days=14, days=56, choice=choice)
    assert spread_of(plan, choice=choice, series=run_in_series([-2, -1, -3, -2, -1, -3], days=range(14, 57))).origin == "table"


def test_a_measure_that_is_judged_as_it_is_needs_a_spread_of_its_own():
    with pytest.raises(InputError, match=r"the spread of like tanks is not known; accepted: --sd, or earlier trials in spread\.csv"):
        spread_of(scale="identity")
    assert spread_of(scale="identity", sd=2.0).sd == 2.0


def test_a_wrong_spread_or_table_is_refused():
    with pytest.raises(OutOfRangeError, match=r"sd is -1\.0; accepted: a number above 0"):
        spread_of(sd=-1.0)
    with pytest.raises(InputError, match="tanks is old; accepted: new or settled"):
        spread_of(tanks="old")
