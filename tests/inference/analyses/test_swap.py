"""A swap: each tank is compared with itself, and what all tanks did from one period to the next drops out."""

import math

import pytest

from checking import agrees
from fairtank.errors import DesignError
from fairtank.inference import compare
from fairtank.inference.series.scales import Scale
from fairtank.trial import Series, Unit
from inference.trials import event, measure, plan_of, table

LOGIT = Scale("logit")


def moved(unit, first, second, *, swap_day=21, days=43, gone=(), **more):
    """A series that stands at one value in the first period and at another from the swap on."""
    kept = tuple(day for day in range(days) if day not in gone)
    return Series(unit, "cover", kept, tuple(first if day < swap_day else second for day in kept), **more)


def trial(n_reference=3, n_changed=3, *, choice=None, units=None, **more):
    return plan_of(n_reference, n_changed, kind="swap", choice=choice, units=units, **{"swap_day": 21, "washout_days": 3, **more})


SWAP = measure("identity", summary="swap", unit="L/min")


def patients():
    """The printed peak flows as tanks: salbutamol is the reference, formoterol the change."""
    units, series = [], []
    for row in table("senn2002_peak_flow.csv"):
        key = f"P{row['patient']}"
        units.append(Unit(key, "C" if row["first"] == "formoterol" else "R"))
        series.append(moved(key, float(row["period_1"]), float(row["period_2"])))
    return tuple(units), series


@pytest.mark.as_it_was("data and results recalled from Senn, Cross-over Trials in Clinical Research, chapter 3", "2026-11-25")
def test_the_swap_of_thirteen_patients_gives_the_recalled_effect_error_and_interval():
    units, series = patients()
    finding = compare(trial(choice=SWAP, units=units), SWAP, series)
    assert agrees(finding.estimate, "46.607")
    forgotten = sum(one.values[0] - one.values[-1] if unit.arm == "C" else one.values[-1] - one.values[0]
                    for unit, one in zip(units, series, strict=True)) / 13
    assert agrees(forgotten, "45.385")  # what a plain mean of the differences gives: the period leaks into it
    assert (finding.n_reference, finding.n_changed, finding.grade) == (6, 7, "differs")


@pytest.mark.published(entry="swap", source="scipy_library", where="stats.ttest_ind, equal_var=False, on first minus second period, halved")
def test_the_interval_of_a_swap_is_half_of_scipys_on_the_period_differences():
    from scipy.stats import ttest_ind

    units, series = patients()
    orders = {"R": [], "C": []}
    for unit, one in zip(units, series, strict=True):
        orders[unit.arm].append(one.values[0] - one.values[-1])
    other = ttest_ind(orders["C"], orders["R"], equal_var=False)
    limits = other.confidence_interval()
    finding = compare(trial(choice=SWAP, units=units), SWAP, series)
    assert (finding.low, finding.high) == pytest.approx((limits.low / 2, limits.high / 2), rel=1e-9)
    assert (finding.df, finding.p_value) == pytest.approx((other.df, other.pvalue), rel=1e-9)
    pooled = ttest_ind(orders["C"], orders["R"]).confidence_interval()
    assert agrees(pooled.low / 2, "22.888")  # the recalled interval is the pooled one on 11 degrees of freedom
    assert agrees(pooled.high / 2, "70.326")
    assert agrees((pooled.high - pooled.low) / 4 / 2.2009852, "10.777")
    assert agrees(ttest_ind(orders["C"], orders["R"]).statistic, "4.3249")


def orders(effect=0.8, period=0.5, shift=(-2.0, -1.5, -2.4), wobble=(0.05, -0.04, 0.02)):
    """Six tanks on the logit scale: each with a level of its own, the same rise from period to period, and an effect under the change."""
    series = []
    for number, (own, slip) in enumerate(zip(shift, wobble, strict=True), start=1):
        series.append(moved(f"R{number}", LOGIT.back(own), LOGIT.back(own + period + effect + slip)))
        series.append(moved(f"C{number}", LOGIT.back(own + effect - slip), LOGIT.back(own + period)))
    return series


def test_own_levels_and_the_rise_from_period_to_period_drop_out():
    choice = measure(summary="swap")
    for period in (0.0, 0.5, -1.0):
        finding = compare(trial(choice=choice), choice, orders(period=period))
        assert finding.estimate == pytest.approx(0.8, rel=1e-9)
        assert finding.grade == "differs"
        assert dict(finding.facts)["half_period_change"] == pytest.approx(period / 2 + math.fsum((0.05, -0.04, 0.02)) / 6, rel=1e-6)


def test_half_the_period_change_is_the_mean_over_the_orders_of_second_minus_first_halved():
    choice = measure(summary="swap")
    facts = dict(compare(trial(choice=choice), choice, orders(wobble=(0.0, 0.1, 0.2), period=-0.3)).facts)
    second_less_first = ((-0.3 + 0.8 + 0.1) + (-0.3 - 0.8 + 0.1)) / 2
    assert facts["half_period_change"] == pytest.approx(second_less_first / 2, rel=1e-9)
    assert facts["second_period_level"] - facts["first_period_level"] == pytest.approx(second_less_first, rel=1e-9)


def test_the_level_of_the_reference_is_that_of_all_tanks_under_the_reference():
    choice = measure(summary="swap")
    finding = compare(trial(choice=choice), choice, orders())
    level = sum((-2.0, -1.5, -2.4)) / 3 + 0.25
    assert finding.natural.reference == pytest.approx(LOGIT.back(level), rel=1e-9)
    assert finding.natural.changed == pytest.approx(LOGIT.back(level + 0.8), rel=1e-9)
    assert finding.window == (0, 42)


def test_the_wash_out_belongs_to_neither_period():
    choice = measure(summary="swap")
    wild = [Series(one.unit, "cover", one.days, tuple(99.0 if 21 <= day < 24 else value for day, value in
                                                       zip(one.days, one.values, strict=True))) for one in orders()]
    assert compare(trial(choice=choice), choice, wild).estimate == pytest.approx(0.8, rel=1e-9)
    assert compare(trial(choice=choice, washout_days=0), choice, wild).estimate != pytest.approx(0.8, rel=1e-3)


def test_first_arm_says_the_order_whatever_the_arm_is_called():
    choice = measure(summary="swap")
    units = tuple(Unit(f"{arm}{number}", "R", first_arm=arm) for arm in "RC" for number in (1, 2, 3))
    finding = compare(trial(choice=choice, units=units), choice, orders())
    assert finding.estimate == pytest.approx(0.8, rel=1e-9)
    assert [unit.arm for unit in finding.units] == ["R"] * 3 + ["C"] * 3


def test_turning_the_order_round_turns_the_effect_round():
    choice = measure(summary="swap")
    units = tuple(Unit(f"{arm}{number}", "C" if arm == "R" else "R") for arm in "RC" for number in (1, 2, 3))
    there, back = (compare(trial(choice=choice, units=own), choice, orders()) for own in (None, units))
    assert (back.estimate, back.low, back.high) == pytest.approx((-there.estimate, -there.high, -there.low), rel=1e-9)


def test_a_gap_in_either_period_spoils_the_tank():
    choice = measure(summary="swap")
    holes = {"R1": range(2, 12), "R2": range(26, 36)}
    series = [Series(one.unit, "cover", *zip(*((day, value) for day, value in zip(one.days, one.values, strict=True)
                                               if day not in holes.get(one.unit, ())), strict=True)) for one in orders()]
    finding = compare(trial(choice=choice), choice, series)
    assert [unit.spoilt for unit in finding.units[:2]] == [
        "R1 has no value between day 1 and day 12, a gap of 11 days; more than 7 spoil it (first period).",
        "R2 has no value between day 25 and day 36, a gap of 11 days; more than 7 spoil it (second period)."]
    assert finding.grade == "alone"
    assert finding.tipping_spread == pytest.approx(2 * abs(finding.estimate) / (1.96 * math.sqrt(1 + 1 / 3)), rel=1e-9)
    assert "gaps" in finding.tags


def test_one_reading_at_the_end_of_each_period_is_enough_when_the_values_are_ready_made():
    choice = measure("identity", summary="swap", unit="g")
    units = tuple(Unit(key, key[0]) for key in ("R1", "R2", "R3", "C1", "C2", "C3"))
    values = {"R1": (10, 14), "R2": (12, 15), "R3": (9, 14), "C1": (15, 11), "C2": (13, 10), "C3": (14, 9.5)}
    series = [Series(key, "cover", (20, 42), pair, ready_made=True) for key, pair in values.items()]
    finding = compare(trial(choice=choice, units=units), choice, series)
    assert finding.estimate == pytest.approx(((4 + 3 + 4.5) / 3 + (4 + 3 + 5) / 3) / 2, rel=1e-9)
    assert [text for text in finding.cautions if "reading day" in text] == [
        "One reading day (day 20) stands for the whole window (day 0 to day 20).",
        "One reading day (day 42) stands for the whole window (day 24 to day 42)."]


def test_a_period_that_is_still_running_is_not_called_spoilt():
    choice = measure(summary="swap")
    early = [Series(one.unit, "cover", one.days[:26], one.values[:26]) for one in orders()]
    assert compare(trial(choice=choice), choice, early).spoilt_reason == "The trial is not over: values reach day 25 of 42."


def test_an_event_in_the_first_period_that_took_days_out_is_an_alternative():
    choice = measure(summary="swap")
    finding = compare(trial(choice=choice), choice, orders(), [event(["R1"], 3, 4, "exclude_window")])
    assert "with nothing taken out by events" in dict(finding.alternatives)


@pytest.mark.parametrize(("summary", "said"), [("mean", "mean"), ("slope", "slope"), ("threshold", "threshold"), ("change", "change")])
def test_a_swap_is_judged_by_the_summary_swap_only(summary, said):
    with pytest.raises(DesignError, match=f"The summary of cover is {said}; this version judges swap in a swap design"):
        compare(trial(), measure(summary=summary), orders())


@pytest.mark.parametrize("window", [(0, 20), (21, 42), (22, 30), (0, 23)])
def test_a_window_without_a_day_in_both_periods_is_refused(window):
    choice = measure(summary="swap", window=window)
    with pytest.raises(DesignError, match="each of the two periods needs at least one day inside the window"):
        compare(trial(choice=choice), choice, orders())


def test_a_swap_in_which_all_tanks_had_the_same_arm_first_is_refused():
    units = tuple(Unit(f"T{number}", "C") for number in range(4))
    with pytest.raises(DesignError, match="No unit is allotted to the arm R"):
        compare(trial(units=units), measure(summary="swap"), ())


def test_a_first_arm_that_is_not_in_the_plan_is_refused():
    with pytest.raises(DesignError, match=r"Unit T1 has the first_arm X, which is not in the plan\. Give it one of R, C\."):
        compare(trial(units=(Unit("T1", "R", first_arm="X"),)), measure(summary="swap"), ())
