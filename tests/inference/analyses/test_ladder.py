"""A ladder of doses: a line through the units, its step from the reference's dose to the highest, and what is told beside it."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fairtank.errors import DesignError, InputError, NotEnoughDataError
from fairtank.inference import compare, judge
from fairtank.inference.designs.ladder import WIDENING, fit_line, slope_interval
from fairtank.inference.intervals.student import quantile
from fairtank.trial import Arm, Unit
from inference.several import PLAIN, STEPS, judged, trial
from inference.trials import measure

RISING = ([1.0, 2.0], [2.0, 3.5], [3.0, 4.0], [4.2, 5.5])
DOSES = [0, 0, 10, 10, 20, 20, 30, 30]
VALUES = [value for own in RISING for value in own]


@pytest.mark.published(entry="ladder", source="statsmodels_library", where="OLS.fit, its params and HC2_se")
def test_the_slope_and_its_standard_error_are_statsmodels():
    import statsmodels.api as sm

    line = fit_line(DOSES, VALUES)
    other = sm.OLS(VALUES, sm.add_constant(np.array(DOSES, float))).fit()
    assert line.slope == pytest.approx(other.params[1], rel=1e-9)
    assert line.at(0) == pytest.approx(other.params[0], rel=1e-9)
    assert line.error == pytest.approx(other.HC2_se[1], rel=1e-9)
    assert line.spread**2 == pytest.approx(other.mse_resid, rel=1e-9)


@pytest.mark.published(entry="ladder", source="statsmodels_library", where="stats.anova.anova_lm of the line within the means of the doses")
def test_the_bend_is_statsmodels_lack_of_fit():
    import statsmodels.api as sm
    from statsmodels.stats.anova import anova_lm

    x, y = np.array(DOSES, float), np.array([1, 2, 5, 5.5, 5.2, 6.1, 6, 6.2])
    straight = sm.OLS(y, sm.add_constant(x)).fit()
    means = sm.OLS(y, np.column_stack([x == dose for dose in np.unique(x)]).astype(float)).fit()
    table = anova_lm(straight, means)
    line = fit_line(DOSES, y)
    assert line.bend_f == pytest.approx(table["F"].iloc[1], rel=1e-9)
    assert line.bend_p == pytest.approx(table["Pr(>F)"].iloc[1], rel=1e-9)
    assert line.bend_df == (2.0, 4.0)


def test_the_finding_is_the_step_from_the_references_dose_to_the_highest():
    finding, = judged("ladder", STEPS, RISING, dose_unit="mg/L")
    facts = dict(finding.facts)
    line = fit_line(DOSES, VALUES)
    assert finding.estimate == pytest.approx(30 * line.slope)
    assert (finding.n_reference, finding.n_changed, finding.reference_arm, finding.changed_arm) == (2, 6, "R", "C")
    assert (finding.reference_label, finding.changed_label, finding.dose_unit) == ("a dose of 0 mg/L", "a dose of 30 mg/L", "mg/L")
    assert (facts["slope"], facts["slope_low"], facts["slope_high"]) == pytest.approx(
        (finding.estimate / 30, finding.low / 30, finding.high / 30))
    assert (facts["reference_dose"], facts["top_dose"], facts["doses"]) == (0, 30, 4)
    assert facts["standard_error"] * facts["multiplier"] == pytest.approx(finding.high - finding.estimate)
    assert finding.natural.reference == pytest.approx(line.at(0))
    assert finding.natural.changed == pytest.approx(line.at(30))
    assert (finding.grade, finding.tags) == ("differs", ())
    assert len(finding.units) == 8


def test_the_margin_is_held_against_the_whole_step():
    small, = judged("ladder", STEPS, RISING, choice=replace(PLAIN, margin=0.9))
    large, = judged("ladder", STEPS, RISING, choice=replace(PLAIN, margin=9.0))
    assert (small.grade, large.grade) == ("matters", "alike")


@pytest.mark.parametrize(("own", "step"), [(0.0, 30.0), (10.0, 20.0), (30.0, -30.0)])
def test_the_reference_may_stand_anywhere_on_the_ladder(own, step):
    arms = tuple(replace(arm, dose=own if arm.key == "R" else 0.0 if arm.dose == own else arm.dose) for arm in STEPS)
    by_dose = dict(zip((0.0, 10.0, 20.0, 30.0), RISING, strict=True))
    finding, = judged("ladder", arms, tuple(by_dose[arm.dose] for arm in arms))
    assert finding.changed_arm == "C"  # the highest dose; where the reference has that, the lowest
    assert finding.estimate == pytest.approx(step * fit_line(DOSES, VALUES).slope)


def test_another_unit_of_dose_changes_the_slope_and_nothing_else():
    plain, = judged("ladder", STEPS, RISING)
    finer, = judged("ladder", tuple(replace(arm, dose=1000 * arm.dose) for arm in STEPS), RISING)
    assert (finer.estimate, finer.low, finer.p_value, finer.df) == pytest.approx((plain.estimate, plain.low, plain.p_value, plain.df))
    assert dict(finer.facts)["slope"] == pytest.approx(dict(plain.facts)["slope"] / 1000)


def test_steps_of_uneven_size_are_told():
    finding, = judged("ladder", STEPS, ([1.0, 1.2], [6.0, 6.1], [6.2, 6.0], [6.1, 6.3]))
    assert dict(finding.facts)["bend_p"] < 0.001
    assert any(text.startswith("The steps from dose to dose are not of one size") for text in finding.cautions)
    straight, = judged("ladder", STEPS, RISING)
    assert straight.cautions == ()


def test_one_unit_per_dose_cannot_show_a_bend():
    arms = tuple(Arm(f"D{dose}", "changed" if dose else "reference", dose=float(dose)) for dose in range(6))
    finding, = judged("ladder", arms, tuple([value] for value in (1.0, 2.2, 2.9, 4.1, 5.0, 6.1)))
    assert finding.grade == "differs"
    assert "Each dose has one unit only: whether the steps from dose to dose are of one size cannot be seen." in finding.cautions
    assert "bend_p" not in dict(finding.facts)


@pytest.mark.parametrize(("arms", "values"), [(STEPS, ([1.0], [2.0], [3.0], [4.0])), (STEPS[:3], ([1.0, 2.0], [3.0], [4.0]))])
def test_fewer_than_five_units_are_alone(arms, values):
    finding, = judged("ladder", arms, values)
    assert (finding.grade, finding.low, finding.basis) == ("alone", None, "none")
    assert finding.tipping_spread > 0
    assert finding.natural.reference == pytest.approx(sum(values[0]) / len(values[0]))


def test_a_dose_that_is_lost_leaves_the_others_and_its_loss_of_a_third_makes_them_alone():
    finding, = judged("ladder", STEPS, RISING, gone=("C1", "C2"))
    assert (finding.n_changed, dict(finding.facts)["top_dose"]) == (4, 20)
    alone, = judged("ladder", STEPS, RISING, gone=("C1", "C2", "B1", "B2"))
    assert alone.grade == "alone"
    spoilt, = judged("ladder", STEPS, RISING, gone=("R1", "R2"))
    assert spoilt.grade == "spoilt"
    assert spoilt.spoilt_reason.startswith("no usable unit in R: R1 has no value")


@pytest.mark.parametrize("scale", ["logit", "log", "identity"])
def test_all_equal_gives_no_interval_and_no_claim(scale):
    finding, = judged("ladder", STEPS, ([5.0, 5.0],) * 4, choice=measure(scale))
    assert (finding.grade, finding.estimate, finding.low) == ("open", pytest.approx(0.0, abs=1e-12), None)
    assert "at the limit of the scale" in finding.tags


def test_a_slope_over_days_and_a_change_since_the_run_in_go_through_the_same_line():
    plan, series = trial("ladder", STEPS, RISING, choice=replace(PLAIN, summary="slope"))
    rising = tuple(replace(one, values=tuple(value * day for day, value in zip(one.days, one.values, strict=True))) for one in series)
    plain, = judged("ladder", STEPS, RISING)
    finding = compare(plan, replace(PLAIN, summary="slope"), rising)
    assert (finding.estimate, finding.low, finding.df) == pytest.approx((plain.estimate, plain.low, plain.df), rel=1e-6)
    choice = replace(PLAIN, summary="change")
    plan, series = trial("ladder", STEPS, RISING, choice=choice, run_in_days=14)
    later = tuple(replace(one, values=tuple(50 + value * (day >= 14) for day, value in zip(one.days, one.values, strict=True)))
                  for one in series)
    finding = compare(plan, choice, later)
    assert (finding.estimate, finding.low, finding.run_in) == (pytest.approx(plain.estimate), pytest.approx(plain.low), (0, 13))


REFUSED = [
    (lambda arms: (arms[0], replace(arms[1], dose=None), *arms[2:]), "The arm A has no dose; in a ladder each arm needs its dose"),
    (lambda arms: (arms[0], replace(arms[1], dose=-1.0), *arms[2:]), r"The arm A has the dose -1.0; in a ladder each arm needs"),
    (lambda arms: (arms[0], replace(arms[1], dose=float("nan")), *arms[2:]), "The arm A has the dose nan"),
    (lambda arms: (arms[0], replace(arms[1], dose=20.0), *arms[2:]), "The arms A and B both have the dose 20; in a ladder each arm has"),
    (lambda arms: arms[:2], "The ladder has 2 different doses; a trend needs at least 3"),
    (lambda arms: (arms[0], replace(arms[1], role="reference"), *arms[2:]), "A ladder needs exactly one arm with the role reference"),
]


@pytest.mark.parametrize(("changed", "message"), REFUSED)
def test_a_ladder_without_its_doses_is_refused(changed, message):
    arms = changed(STEPS)
    with pytest.raises(DesignError, match=message):
        judged("ladder", arms, RISING[: len(arms)])


def test_other_summaries_unallotted_units_and_values_that_are_no_number_are_refused():
    with pytest.raises(DesignError, match="The summary of cover is threshold; this version judges mean, change and slope in a ladder"):
        judged("ladder", STEPS, RISING, choice=replace(PLAIN, summary="threshold", threshold=2.0))
    plan, series = trial("ladder", STEPS, RISING)
    with pytest.raises(DesignError, match="Unit X has no arm yet"):
        judge(replace(plan, units=(*plan.units, Unit("X", ""))), series)
    with pytest.raises(InputError, match="is nan; accepted: a finite number"):
        judge(plan, (replace(series[0], values=(float("nan"),) * 43), *series[1:]))
    with pytest.raises(NotEnoughDataError, match="The ladder has 3 units on 3 doses"):
        fit_line([0, 1, 2], [1, 2, 3])
    with pytest.raises(NotEnoughDataError, match=r"The dose 1e\+09 lies so far from all others, and has one unit only"):
        fit_line([0, 0, 1, 1, 1e9], [1, 2, 2, 3, 4])


LADDERS = st.integers(3, 6).flatmap(lambda count: st.lists(
    st.lists(st.integers(0, 200).map(lambda value: value / 10), min_size=2, max_size=4), min_size=count, max_size=count))


@settings(deadline=None, max_examples=60)
@given(LADDERS)
def test_p_and_interval_agree_and_shifting_all_changes_nothing(groups):
    doses = [dose for dose, own in enumerate(groups) for _ in own]
    values = [value for own in groups for value in own]
    line = fit_line(doses, values)
    interval = slope_interval(line, max(doses), alpha=0.05)
    assert line.df >= 1
    if interval.low is None:
        return
    if abs(interval.p_value - 0.05) > 1e-9:
        assert (interval.p_value <= 0.05) == (not interval.low <= 0 <= interval.high)
    moved = slope_interval(fit_line(doses, [value + 1000 for value in values]), max(doses), alpha=0.05)
    assert (moved.estimate, moved.low) == pytest.approx((interval.estimate, interval.low), abs=1e-7)


def test_two_groups_far_apart_in_dose_have_the_pooled_degrees_of_freedom():
    # With the middle dose exactly in the middle and alone it carries no slope; two even ends are then two groups of equal size.
    line = fit_line([0, 0, 0, 0, 2, 2, 2, 2, 1], [1, 2, 3, 4, 3, 5, 4, 6, 3.5])
    assert line.df == pytest.approx(6, rel=0.12)
    half = slope_interval(line, 2.0, alpha=0.05)
    assert half.high - half.estimate == pytest.approx(WIDENING * quantile(0.025, line.df) * line.error * 2, rel=1e-9)


LOSING = (Arm("R", "reference", dose=0.0), Arm("A", "changed", dose=5.0), Arm("B", "changed", dose=10.0), Arm("C", "changed", dose=20.0))
GENTLE = ([10.0, 10.02, 9.98], [10.26, 10.24, 10.25], [10.5, 10.52, 10.48], [11.0, 11.01, 10.99])
LOST_TOP = "The highest dose has no usable tank; the step told is to 10 mg/L, for which no margin was fixed."


def test_a_lost_top_dose_takes_the_margin_with_it():
    choice = measure("identity", unit="g", margin=1.0)
    whole, = judged("ladder", LOSING, GENTLE, choice=choice, dose_unit="mg/L")
    assert whole.grade == "open" or whole.estimate == pytest.approx(1.0, abs=0.05)
    lost, = judged("ladder", LOSING, GENTLE, choice=choice, dose_unit="mg/L", gone=("C1", "C2", "C3"))
    assert lost.estimate == pytest.approx(0.5, abs=0.01)
    assert (lost.grade, lost.margin, lost.changed_arm, lost.changed_label) == ("differs", None, "B", "a dose of 10 mg/L")
    assert LOST_TOP in lost.cautions
    assert (whole.margin, whole.changed_arm, LOST_TOP in whole.cautions) == (1.0, "C", False)


def test_with_the_top_dose_lost_and_too_few_left_the_step_is_told_to_the_next_dose():
    lost, = judged("ladder", LOSING, GENTLE, choice=measure("identity", unit="g", margin=1.0), dose_unit="mg/L",
                   gone=("C1", "C2", "C3", "B2", "B3", "A2", "A3", "R2", "R3"))
    assert (lost.grade, lost.margin, lost.changed_label, LOST_TOP in lost.cautions) == ("alone", None, "a dose of 10 mg/L", True)


def test_where_the_reference_has_the_highest_dose_the_lowest_is_the_one_that_can_be_lost():
    down = (Arm("R", "reference", dose=20.0), *LOSING[1:3], Arm("C", "changed", dose=0.0))
    lost, = judged("ladder", down, GENTLE, dose_unit="mg/L", gone=("C1", "C2", "C3"))
    assert lost.cautions[0] == "The lowest dose has no usable tank; the step told is to 5 mg/L, for which no margin was fixed."
