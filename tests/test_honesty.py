"""The honesty benchmark: its numbers are those of the judging, its naive ways are what they are called, its page tells what was found."""

import importlib.util
import sys
from functools import cache
from importlib.machinery import SourceFileLoader
from pathlib import Path

import numpy as np
import pytest

from fairtank.inference import judge
from fairtank.inference.intervals.student import quantile
from fairtank.inference.series.windows import time_weighted_mean
from fairtank.simulation.trials import NEW_TANKS, Effect, course_of, series_from, simulated_cover
from fairtank.simulation.trials.plans import run_in_plan, side_by_side_plan, swap_plan

ROOT = Path(__file__).resolve().parent.parent


@cache
def part(name):
    """A file of benchmarks/ as a module."""
    if str(ROOT / "benchmarks") not in sys.path:
        sys.path.append(str(ROOT / "benchmarks"))
    return importlib.import_module(name)


@cache
def generator():
    """The script scripts/honesty as a module."""
    loader = SourceFileLoader("fairtank_honesty_script", str(ROOT / "scripts" / "honesty"))
    module = importlib.util.module_from_spec(importlib.util.spec_from_loader(loader.name, loader))
    loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def trials():
    """Thirty trials of two tanks per arm with the logit of their cover, and who had the change."""
    course = course_of(side_by_side_plan(2, 2))
    values = part("stage_one").logit(simulated_cover(course, NEW_TANKS, Effect(-0.02), reps=30, seed=3))
    return values, course.received.any(axis=0)


def test_a_window_mean_is_that_of_the_judging():
    chance = np.random.default_rng(5)
    values = chance.normal(size=(40, 30))
    values[chance.random(values.shape) < 0.5] = np.nan
    found = part("stage_one").window_means(values, 3, 27)
    for row, mean in zip(values, found, strict=True):
        points = [(day, float(row[day])) for day in range(3, 28) if np.isfinite(row[day])]
        assert mean == pytest.approx(time_weighted_mean(points, (3, 27)), rel=1e-12)


@pytest.mark.parametrize("plan", [side_by_side_plan(2, 2), run_in_plan(2, 2), swap_plan(2, 2), side_by_side_plan(2, 2, summary="slope")],
                         ids=["side_by_side", "run_in", "swap", "slope"])
def test_the_numbers_of_many_tanks_are_those_of_one_at_a_time(plan):
    course, world = course_of(plan), NEW_TANKS
    if plan.measures[0].summary == "slope":
        world = NEW_TANKS.__class__(missed_share=0.0, gap_share=0.0)
    cover = simulated_cover(course, world, Effect(), reps=3, seed=8)
    many = part("honest_trials").unit_numbers(plan, part("stage_one").logit(cover))
    compared = 0
    for values, numbers in zip(cover, many, strict=True):
        finding = judge(plan, series_from(plan, course, values, "algae_cover", digits=9), tank_litres=54.0)[0]
        own = {unit.unit: unit.z for unit in finding.units if unit.z is not None}
        for unit, number in zip(course.units, numbers, strict=True):
            if unit in own:
                compared += 1
                assert own[unit] == pytest.approx(number, abs=1e-8)
    assert compared >= 8


@pytest.mark.published(entry="daily_t", source="scipy_library", where="scipy.stats.ttest_ind")
def test_the_test_over_all_values_is_students(trials):
    from scipy.stats import ttest_ind

    values, changed = trials
    found = part("naive_ways").daily_t(values, changed, (41,))
    for place, one in enumerate(values):
        sides = [one[mask & np.isfinite(one)] for mask in (changed, ~changed)]
        expected = ttest_ind(*sides)
        limits = expected.confidence_interval(0.95)
        assert (found.low[place], found.high[place]) == pytest.approx((limits.low, limits.high), rel=1e-9)
        assert found.is_claim[place] == (expected.pvalue < 0.05)


@pytest.mark.published(entry="last_day", source="scipy_library", where="scipy.stats.ttest_ind")
def test_the_test_on_the_last_day_takes_each_tanks_last_value(trials):
    from scipy.stats import ttest_ind

    values, changed = trials
    found = part("naive_ways").last_day(values, changed, (41,))
    for place, one in enumerate(values):
        last = [row[np.isfinite(row)][-1] for row in one]
        assert found.estimate[place] == pytest.approx((last[2] + last[3] - last[0] - last[1]) / 2)
        assert found.is_claim[place] == (ttest_ind(last[2:], last[:2]).pvalue < 0.05)


def test_the_photo_anova_is_least_squares_with_arm_and_day(trials):
    values, changed = trials
    found = part("naive_ways").photo_anova(values, changed, (41,))
    for place, one in enumerate(values):
        unit, day = np.nonzero(np.isfinite(one))
        design = np.column_stack([changed[unit, day], *(day == number for number in np.unique(day))]).astype(float)
        fitted, rest, rank, _ = np.linalg.lstsq(design, one[unit, day], rcond=None)
        df = len(unit) - rank
        half = quantile(0.025, df) * float(np.sqrt(rest[0] / df * np.linalg.inv(design.T @ design)[0, 0]))
        assert (found.low[place], found.high[place]) == pytest.approx((fitted[0] - half, fitted[0] + half), rel=1e-8)


def test_a_rate_is_told_with_its_limits_and_held_against_the_luck_of_the_simulation():
    rates = part("honest_rates")
    assert rates.Share(24, 1000).words == "2.4\u00a0% (1.6 to 3.5)"
    # 0.05 + 2.58 sqrt(0.05 * 0.95 / 1000) = 0.0678 (arithmetic).
    assert f"{rates.bound(1000):.4f}" == "0.0678"


def row(claims=30, covered=960, design="side by side", arms="3v3", group="main", note=""):
    """A recorded setting of 1000 trials."""
    ours = {"trials": 1000, "intervals": 1000, "covered": covered, "claims": claims, "verdicts": 1000}
    naive = {way: {"trials": 1000, "intervals": 1000, "claims": 400, "covered": 600} for way in ("daily_t", "last_day", "photo_anova")}
    return {"group": group, "design": design, "arms": arms, "spread": "mid", "note": note, "null": {"ours": ours, **naive},
            "effect": {"ours": {**ours, "claims": 500, "covered": 955}, **naive}}


def recorded(rows):
    """A run with these settings."""
    return {"at": "2026-03-01T10:00Z", "commit": "abc1234", "reps": 1000, "computing_s": 600.0, "settings": rows}


def test_the_page_opens_with_the_whole_in_two_numbers():
    text = part("honest_page").page(recorded([row()]), None, None)
    assert ("Of 1000 trials in which nothing differed, fairtank claimed a difference in 30 (21 to 43); counting every day as a tank would "
            "have claimed one in 400 (370 to 431).") in text
    assert "None of the 1 is." in text


def test_a_setting_that_breaks_the_promise_is_named_on_the_page():
    broken, odd = row(claims=69, covered=931), row(group="more", note="odd tanks", covered=930)
    assert part("honest_rates").faults(broken) == ["claims too often", "intervals miss too often where nothing differs"]
    text = part("honest_page").page(recorded([broken]), recorded([odd]), None)
    assert "Broken: side by side, 3 v 3, mid (claims too often, intervals miss too often where nothing differs)." in text
    assert "| side by side | 3 v 3 | odd tanks |" in text
    assert "**no**: intervals miss too often where nothing differs |" in text


def test_just_inside_the_bound_is_not_broken():
    assert part("honest_rates").faults(row(claims=67, covered=933)) == []


@pytest.mark.parametrize("width_px", [320, 680])
def test_the_picture_draws_every_rate_at_its_place_between_nought_and_hundred(width_px):
    rows = [row(claims=50), row(claims=50, design="swap")]
    spec = part("honest_chart").spec(rows, width_px=width_px)
    texts = {text["t"]: text for layer in spec["layer"] for text in layer["data"]["values"] if "t" in text}
    points = [point for layer in spec["layer"] for point in layer["data"]["values"] if "s" in point]
    left, right = texts["0 %"]["x"], texts["100 %"]["x"]
    drawn = [point["x"] for point in points if point["s"] == "circle"][1:]
    assert drawn == pytest.approx([left + 0.05 * (right - left)] * 2)
    assert {point["s"] for point in points} == {"circle", "triangle-up", "diamond", "square"}
    assert all(0 <= point["x"] <= width_px for point in points)
    assert spec["description"].startswith("False claims of a difference, in % of trials in which nothing differs")


def test_every_setting_has_a_name_of_its_own_and_the_main_ones_are_36():
    settings = part("honest_trials").settings()
    assert len({setting.key for setting in settings}) == len(settings)
    assert sum(setting.group == "main" for setting in settings) == 36


def test_a_portion_is_counted_the_same_whenever_it_is_run_and_naive_ways_see_the_same_trials():
    trials = part("honest_trials")
    place = next(place for place, setting in enumerate(trials.settings()) if setting.key == "side by side, 2v2, mid")
    truth = trials.truth_of(trials.settings()[place])
    first, again = (trials.judged(trials.Portion(place, False, 4, 6), truth) for _ in range(2))
    assert first == again
    assert first["ours"]["trials"] == first["daily_t"]["trials"] == 6
    assert sum(count for name, count in first["ours"].items() if name.startswith("basis: ")) == 6


def test_the_truth_is_the_effect_on_the_summary():
    trials = part("honest_trials")
    keys = ("side by side, 3v3, mid", "two changes, 3 each, mid", "ladder, 4 steps, 3 each, mid")
    by_key = {setting.key: trials.truth_of(setting) for setting in trials.settings() if setting.key in keys}
    # 0.03 a day from the fifth day on, in the mean of 42 days: -0.03 * 38 * 39 / 2 / 42 = -0.529; the ceiling takes a little (arithmetic).
    assert by_key["side by side, 3v3, mid"]["R>C"] == pytest.approx(-0.53, abs=0.04)
    two = by_key["two changes, 3 each, mid"]
    assert two["N>F"] == pytest.approx(2 * two["N>S"], rel=0.05)
    assert by_key["ladder, 4 steps, 3 each, mid"]["D0>D3"] == pytest.approx(-0.002 * 20 / 0.03 * 0.53, abs=0.06)


def test_page_and_pictures_are_those_of_the_recorded_runs():
    late = [str(path.relative_to(ROOT)) for path in generator().outdated()]
    assert not late, f"out of date: {', '.join(late)}; run scripts/honesty"
