"""The frozen finding: grades, tags, cautions, back-transform, alone and spoilt trials."""

import math

import pytest

from fairtank.inference import compare
from fairtank.inference.series.scales import Scale
from fairtank.trial import Series, Unit
from inference.trials import event, level, levels, looks, measure, plan_of

LOGIT = Scale("logit")


def cover(*logits):
    """Natural covers from logits."""
    return [LOGIT.back(value) for value in logits]


def finding_of(reference, changed, *, choice=None, events=(), scored=False, days=range(43), **more):
    """The finding for constant series at these logits."""
    choice = choice or measure()
    plan = plan_of(len(reference), len(changed), choice=choice, **more)
    return compare(plan, choice, levels(cover(*reference), cover(*changed), scored=scored, days=days), events)


def test_three_against_three_rest_on_their_own_tanks():
    finding = finding_of([-2.0, -2.1, -1.9], [-1.0, -1.2, -0.8])
    assert (finding.grade, finding.basis, finding.n_reference, finding.n_changed) == ("differs", "own tanks", 3, 3)
    assert finding.estimate == pytest.approx(1.0, rel=1e-10)
    assert finding.low > 0
    assert (finding.level, finding.arrangements, finding.shuffle_p, finding.tipping_spread) == (0.95, 20, None, None)
    assert (finding.reference_label, finding.changed_label, finding.window) == ("plain", "dimmed", (0, 42))
    assert finding.tags == ()


@pytest.mark.parametrize(("margin", "grade"), [(0.2, "matters"), (None, "differs"), (0.9, "differs"), (3.0, "alike")])
def test_the_margin_decides_the_grade_of_the_primary_measure(margin, grade):
    finding = finding_of([-2.0, -2.1, -1.9], [-1.0, -1.2, -0.8], choice=measure(margin=margin))
    assert finding.grade == grade
    assert finding.margin == margin


def test_a_secondary_measure_never_matters_and_is_never_alike():
    for margin in (0.2, 3.0):
        assert finding_of([-2.0, -2.1, -1.9], [-1.0, -1.2, -0.8], choice=measure(role="secondary", margin=margin)).grade == "differs"


def test_two_against_two_is_judged_by_welch_and_nearly_always_open():
    finding = finding_of([-2.0, -2.2], [-1.5, -1.1])
    assert (finding.grade, finding.basis) == ("open", "own tanks")
    assert finding.low < 0 < finding.high


def test_one_against_one_is_alone_with_the_tipping_spread_and_no_interval():
    finding = finding_of([-2.0], [-1.2])
    assert (finding.grade, finding.basis, finding.n_reference, finding.n_changed) == ("alone", "none", 1, 1)
    assert (finding.low, finding.high, finding.p_value, finding.df, finding.shuffle_p) == (None,) * 5
    assert finding.tipping_spread == pytest.approx(0.8 / (1.96 * math.sqrt(2)), rel=1e-10)
    assert finding.natural.low is None
    assert finding.natural.reference == pytest.approx(LOGIT.back(-2.0))


def test_one_against_three_is_alone_too():
    finding = finding_of([-2.0], [-1.2, -1.0, -1.1])
    assert finding.grade == "alone"
    assert finding.tipping_spread == pytest.approx(0.9 / (1.96 * math.sqrt(4 / 3)), rel=1e-10)


def test_the_natural_values_move_the_reference_level_by_the_estimate_and_its_limits():
    finding = finding_of([-2.0, -2.1, -1.9], [-1.0, -1.2, -0.8])
    assert finding.natural.reference == pytest.approx(LOGIT.back(-2.0))
    assert finding.natural.changed == pytest.approx(LOGIT.back(-1.0))
    assert finding.natural.low == pytest.approx(LOGIT.back(-2.0 + finding.low))
    assert finding.natural.high == pytest.approx(LOGIT.back(-2.0 + finding.high))
    assert finding.natural.unit == finding.unit_of_measure == "%"


def test_on_the_log_scale_the_estimate_is_a_ratio():
    choice = measure("log", unit="cm2")
    finding = compare(plan_of(choice=choice), choice, levels([10, 11, 9], [20, 22, 18]))
    assert finding.natural.changed / finding.natural.reference == pytest.approx(2.0, rel=1e-9)


def test_an_arm_without_a_usable_unit_spoils_the_trial():
    events = [event(["C1"], 5, 5, "exclude_unit", "leak"), event(["C2"], 6, 6, "exclude_unit", "leak")]
    finding = finding_of([-2.0, -2.1], [-1.0, -1.2], events=events)
    assert (finding.grade, finding.estimate, finding.natural, finding.basis, finding.arrangements) == ("spoilt", None, None, "none", 0)
    assert finding.spoilt_reason == ("no usable unit in dimmed: C1 was taken out by an event on day 5: leak. "
                                     "C2 was taken out by an event on day 6: leak")


def test_an_arm_left_with_one_unit_is_alone_not_spoilt():
    finding = finding_of([-2.0, -2.1, -1.9], [-1.0, -1.2, -0.8], events=[event(["C1", "C2"], 5, 5, "exclude_unit", "leak")])
    assert (finding.grade, finding.spoilt_reason, finding.n_changed) == ("alone", "", 1)
    assert "with nothing taken out by events" in dict(finding.alternatives)


def test_a_trial_that_was_not_drawn_says_so():
    assert finding_of([-2.0, -2.1, -1.9], [-1.0, -1.2, -0.8], drawn=False).tags == ("not by lot",)


def test_scores_by_people_who_knew_the_arms_settle_nothing():
    for margin in (0.2, None, 3.0):
        finding = finding_of([-2.0, -2.1, -1.9], [-1.0, -1.2, -0.8], choice=measure(margin=margin), scored=True)
        assert (finding.grade, finding.tags) == ("open", ("not blinded",))


def test_blind_scores_count_like_any_other_value():
    finding = finding_of([-2.0, -2.1, -1.9], [-1.0, -1.2, -0.8], scored=True, blinded=True)
    assert (finding.grade, finding.tags) == ("differs", ())


def test_photos_need_no_blinding():
    assert finding_of([-2.0, -2.1, -1.9], [-1.0, -1.2, -0.8], blinded=False).tags == ()


def test_uneven_arms_are_tagged_and_lose_degrees_of_freedom():
    finding = finding_of([-2.0, -2.1, -1.9], [-1.0, -1.2, -0.8, -1.1, -0.9, -1.0])
    assert "uneven arms" in finding.tags
    assert finding.df == 2.0
    assert "uneven arms" not in finding_of([-2.0, -2.1, -1.9], [-1.0, -1.2, -0.8, -1.1]).tags


def test_arms_at_the_limit_of_the_scale_are_open_without_an_interval():
    choice = measure(margin=0.2)
    finding = compare(plan_of(4, 4, choice=choice), choice, levels([0.0, 0.0, 0.1, 0.0], [20, 25, 22, 18]))
    assert (finding.grade, finding.low, finding.df, finding.basis) == ("open", None, None, "none")
    assert "at the limit of the scale" in finding.tags
    assert finding.estimate > 0
    assert finding.shuffle_p == pytest.approx(2 / 70)


def test_an_arm_clipped_on_four_fifths_of_its_days_has_no_interval_even_if_it_scatters():
    def mostly_clean(unit, late):
        return Series(unit, "cover", tuple(range(43)), (0.0,) * 36 + (late,) * 7)

    series = [*(mostly_clean(f"R{number}", late) for number, late in ((1, 1.0), (2, 3.0), (3, 9.0))),
              *(level(f"C{number}", value) for number, value in ((1, 20), (2, 25), (3, 22)))]
    finding = compare(plan_of(), measure(), series)
    assert (finding.grade, finding.low) == ("open", None)
    assert "at the limit of the scale" in finding.tags


def test_more_than_a_fifth_of_clipped_days_is_tagged_and_keeps_its_interval():
    def partly_clean(unit, value):
        return Series(unit, "cover", tuple(range(43)), (0.0,) * 20 + (value,) * 23)

    series = [*(partly_clean(f"R{number}", value) for number, value in ((1, 5.0), (2, 6.0), (3, 9.0))),
              *(level(f"C{number}", value) for number, value in ((1, 20), (2, 25), (3, 22)))]
    finding = compare(plan_of(), measure(), series)
    assert finding.low is not None
    assert finding.tags[-1:] == ("at the limit of the scale",)


def test_a_zero_on_the_log_scale_is_told():
    choice = measure("log", unit="cm2")
    finding = compare(plan_of(choice=choice), choice, levels([0.0, 4.0, 5.0], [20, 22, 18]))
    assert "Values of 0 have no place on the log scale and were taken as 2 cm2, half the smallest amount seen." in finding.cautions


def test_one_reading_day_is_told():
    choice = measure("identity", unit="g")
    finding = compare(plan_of(choice=choice), choice, levels([4.2, 4.5, 4.1], [5.0, 5.2, 5.6], days=[42], ready_made=True))
    assert finding.cautions == ("One reading day (day 42) stands for the whole window (day 0 to day 42).",)
    assert [unit.z for unit in finding.units] == [4.2, 4.5, 4.1, 5.0, 5.2, 5.6]
    assert finding.reading_day == 42


def test_a_window_of_one_day_says_the_reading_day_beforehand_and_needs_no_caution():
    choice = measure("identity", unit="g", window=(42, 42))
    series = levels([4.2, 4.5, 4.1], [5.0, 5.2, 5.6], days=[42], ready_made=True)
    finding = compare(plan_of(choice=choice), choice, series)
    assert (finding.reading_day, finding.cautions) == (42, ())
    whole = measure("identity", unit="g")
    same_day = compare(plan_of(choice=whole, days=0), whole, levels([4, 5, 4.5], [6, 7, 8], days=[0]))
    assert (same_day.reading_day, same_day.cautions, same_day.n_changed) == (0, (), 3)


def test_a_series_of_many_days_has_no_reading_day():
    assert finding_of([-2.0, -2.1, -1.9], [-1.0, -1.2, -0.8]).reading_day is None

def test_the_last_of_three_looks_has_the_level_of_its_own_share():
    finding = finding_of([-2.0, -2.1, -1.9], [-1.0, -1.2, -0.8], looks=looks((14, 28, 42), (0.005, 0.010, 0.035)))
    assert finding.level == 0.965
    assert finding.cautions == ("3 looks were planned; this is the last of them, read at its own share of the 5 % (3.5 %).",)
    assert finding.low < finding_of([-2.0, -2.1, -1.9], [-1.0, -1.2, -0.8]).low


# Two arms of five that Welch tells apart (p = .035) while 14 of the 252 ways to deal them give as much (p = .056).
DOUBTFUL = [-2.9, -1.7, -2.5, -2.6, -1.7], [-1.1, -0.8, -2.5, -0.9, -1.0]


@pytest.mark.parametrize("margin", [None, 0.05])
def test_a_claim_that_the_shuffle_does_not_confirm_is_open(margin):
    finding = finding_of(*DOUBTFUL, choice=measure(margin=margin))
    assert finding.low > (margin or 0)
    assert finding.shuffle_p == pytest.approx(14 / 252)
    assert (finding.grade, finding.shuffle_gate_refused) == ("open", True)


def test_the_shuffle_never_refuses_alike():
    finding = finding_of(*DOUBTFUL, choice=measure(margin=3.0))
    assert (finding.grade, finding.shuffle_gate_refused) == ("alike", False)


def test_the_shuffle_is_shown_at_four_against_four_and_not_asked():
    finding = finding_of([-2.0, -2.1, -1.9, -2.05], [-1.0, -1.2, -0.8, -0.9])
    assert finding.shuffle_p == pytest.approx(2 / 70)
    assert (finding.grade, finding.shuffle_gate_refused, finding.arrangements) == ("differs", False, 70)


def test_too_many_arrangements_to_count_are_drawn_and_told():
    finding = finding_of([-2.0 + 0.01 * step for step in range(11)], [-1.0 + 0.01 * step for step in range(10)], choice=measure())
    assert (finding.shuffle_p, finding.arrangements, finding.grade) == (0.0001, 352716, "differs")
    assert finding.cautions == ("The shuffle test drew 9999 of the 352716 ways in which the lot could have fallen, at random: all of them "
                                "are too many to count.",)
    assert dict(finding.facts)["shuffle_draws"] == 9999


def test_the_drawn_shuffle_takes_a_claim_back_too():
    reference = [-2.15, -2.14, -1.98, -1.96, -2.07, -1.95, -1.92, -1.83, -1.98, -1.96, -2.18, -2.13]
    changed = [-1.5, -1.83, -0.28, -2.22, -0.35, -2.22, -2.03, -0.6, -2.22, -1.89, -1.71, -1.78, -2.22, -1.68]
    finding = finding_of(reference, changed, choice=measure())
    assert finding.low > 0
    assert finding.shuffle_p > 0.05
    assert (finding.grade, finding.shuffle_gate_refused) == ("open", True)


def test_compartments_in_one_tank_count_as_one_tank():
    units = tuple(Unit(f"{tank}{part}", arm, tank=tank, compartment=part) for tank, arm in (("A", "R"), ("B", "C")) for part in "123")
    plan = plan_of(units=units, shared_water=True)
    series = [level(unit.key, value) for unit, value in zip(units, cover(-2.0, -2.1, -1.9, -1.0, -1.2, -0.8), strict=True)]
    finding = compare(plan, measure(), series)
    assert (finding.grade, finding.n_reference, finding.n_changed, finding.unit_word) == ("alone", 1, 1, "tank")
    assert finding.estimate == pytest.approx(1.0, rel=1e-9)
    assert "Compartments that share water were averaged first: each tank counts once." in finding.cautions


def test_arms_that_share_their_water_are_compared_with_a_caution():
    units = tuple(Unit(f"A{part}", arm, tank="A", compartment=str(part)) for part, arm in enumerate("RCRCRC"))
    series = [level(unit.key, value) for unit, value in zip(units, cover(-2.0, -1.0, -2.1, -1.2, -1.9, -0.8), strict=True)]
    finding = compare(plan_of(units=units, shared_water=True), measure(), series)
    assert (finding.grade, finding.unit_word) == ("differs", "compartment")
    assert any(caution.startswith("The arms share their water") for caution in finding.cautions)


def test_every_number_is_rounded_and_the_same_on_every_run():
    one = finding_of([-2.0, -2.1, -1.93], [-1.0, -1.2, -0.8])
    assert one == finding_of([-2.0, -2.1, -1.93], [-1.0, -1.2, -0.8])
    for value in (one.estimate, one.low, one.high, one.p_value, one.df, one.natural.low, one.units[0].z):
        assert value == float(f"{value:.12g}")


def test_the_order_of_units_and_series_changes_no_number():
    choice, values = measure(margin=0.5), {"R1": 10.0, "R2": 12.0, "R3": 9.0, "C1": 17.0, "C2": 15.0, "C3": 20.0}
    series = [level(unit, value) for unit, value in values.items()]
    plan = plan_of(choice=choice)
    turned = plan_of(choice=choice, units=plan.units[::-1])
    one, other = compare(plan, choice, series), compare(turned, choice, series[::-1])
    assert one.units == other.units[::-1]
    for name in ("estimate", "low", "high", "p_value", "natural", "grade", "tags", "alternatives"):
        assert getattr(one, name) == getattr(other, name)


def test_compartments_counted_as_tanks_of_their_own_carry_a_caution():
    units = tuple(Unit(f"{tank}{part}", arm, tank=tank, compartment=part) for tank, arm in (("A", "R"), ("B", "C")) for part in "123")
    series = [level(unit.key, 10 + number + (5 if unit.arm == "C" else 0)) for number, unit in enumerate(units)]
    finding = compare(plan_of(units=units), measure(), series)
    assert any(text.startswith("Compartments of one tank were counted as tanks of their own.") for text in finding.cautions)
