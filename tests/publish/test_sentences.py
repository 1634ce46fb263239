"""One exact sentence for each grade and scale: the wording is settled, and the numbers come from the finding alone."""

import math

import pytest
from invented_trials import finding

from fairtank.finding import Natural, UnitSummary
from fairtank.inference.unfinished import NOT_OVER
from fairtank.publish.amounts import estimate_words
from fairtank.publish.phrases import named, plain_text
from fairtank.publish.sentences import sentence

JUDGED = "Judged on 3 tanks under the dark break and 3 under the 8 h block."
LEVELS = "Algae cover of 12 % under the 8 h block would be 8.3 % (5.2 to 12.9 %) under the dark break."


def said(**given) -> str:
    return plain_text(sentence(finding(**given)))


def test_open_with_a_margin_says_what_both_fits():
    assert said() == f"Cannot tell: both no effect and an effect that matters fit what was seen. {LEVELS} {JUDGED}"


def test_open_without_a_margin_speaks_of_no_effect_only():
    assert said(margin=None) == f"Cannot tell: “no effect” fits what was seen. {LEVELS} {JUDGED}"


def test_open_by_the_shuffle_gate_says_how_often_the_lot_would_do_it():
    text = said(low=-0.81, high=-0.01, shuffle_p=0.0837, shuffle_gate_refused=True)
    assert text.startswith("Cannot tell: the interval leaves out no effect, but re-drawing the lot gives such a difference in 8.4 % of "
                           "cases. Algae cover of 12 %")


def test_open_at_the_limit_of_the_scale_has_no_number():
    text = said(low=None, high=None, natural=None, tags=("at the limit of the scale",), shuffle_p=None)
    assert text == f"Cannot tell: the values lie at the limit of the scale, where no interval can be given. {JUDGED}"


def test_open_because_the_scores_were_not_blinded_says_so():
    text = said(low=-0.9, high=-0.1, tags=("not blinded",))
    assert text.startswith("Cannot tell: the scores were not blinded, and such scores decide nothing, whatever the interval says.")


def test_matters_names_the_arm_and_the_direction():
    assert said(grade="matters", low=-0.9, high=-0.6, estimate=-0.75).startswith("The dark break gave less algae cover, and by enough to "
                                                                                 "matter. ")
    assert said(grade="matters", low=0.6, high=0.9, estimate=0.75).startswith("The dark break gave more algae cover, and by enough to "
                                                                              "matter. ")


def test_alike_says_that_any_difference_is_small():
    assert said(grade="alike", low=-0.2, high=0.1, estimate=-0.05) == f"Any difference is smaller than would matter. {LEVELS} {JUDGED}"


@pytest.mark.parametrize(("low", "high"), [(0.05, 0.3), (-0.3, -0.05)])
def test_alike_that_leaves_out_no_difference_says_that_there_is_one(low, high):
    assert said(grade="alike", low=low, high=high, estimate=(low + high) / 2).startswith(
        "Any difference is smaller than would matter. There is a difference, but a smaller one than would matter. Algae cover of")


def test_differs_says_that_the_size_is_unsure():
    assert said(grade="differs", low=-0.9, high=-0.1).startswith("The dark break gave less algae cover; how much is still unsure. Algae "
                                                                 "cover of 12 %")


def test_spoilt_gives_the_reason_and_no_number():
    assert said(grade="spoilt", estimate=None, low=None, high=None, natural=None, spoilt_reason="the heater of T2 boiled the tank.") == (
        "This trial was spoilt: the heater of T2 boiled the tank. No finding.")


def test_a_running_trial_has_no_finding_yet_and_is_not_called_spoilt():
    running = {"grade": "spoilt", "estimate": None, "low": None, "high": None, "natural": None,
               "spoilt_reason": f"{NOT_OVER}: values reach day 11 of 42."}
    assert said(**running) == "No finding yet: the trial is not over; values reach day 11 of 42."
    assert said(**running, role="secondary") == "Not judged yet: the trial is not over; values reach day 11 of 42."


def test_spoilt_without_a_reason_takes_that_of_a_unit():
    units = (UnitSummary("T1", "R", None, 3, "T1 has no photo from day 9 to day 30."),)
    assert said(grade="spoilt", estimate=None, low=None, high=None, natural=None, units=units) == (
        "This trial was spoilt: T1 has no photo from day 9 to day 30. No finding.")


def test_spoilt_by_many_units_names_the_first_and_counts_the_rest():
    reason = "no usable unit in sand: " + " ".join(f"K{place} has no value." for place in range(6))
    assert said(grade="spoilt", estimate=None, low=None, high=None, natural=None, spoilt_reason=reason) == (
        "This trial was spoilt: no usable tank in sand: K0 has no value. The other 5 reasons stand beside the tanks. No finding.")


SURPRISING = "before this could be called surprising"
LONE = {"grade": "alone", "low": None, "high": None, "natural": Natural(12.0, 8.3, None, None, "%"), "n_reference": 1, "n_changed": 1,
        "tipping_spread": 0.148, "basis": "none"}
SPREAD_1_2 = 0.41 / (1.96 * math.sqrt(1 + 1 / 2))


def test_alone_says_where_the_tanks_ended_and_keeps_the_technical_words_for_the_end():
    assert said(**{**LONE, "natural": Natural(3.0, 2.6, None, None, "%"), "estimate": -0.14, "tipping_spread": 0.0505}) == (
        "One tank each: the data alone cannot tell. Algae cover was 3.0 % under the 8 h block and 2.6 % under the dark break. Two tanks "
        f"treated alike would have to end closer than that to each other 19 times in 20 {SURPRISING} (apart by 0.14 log-odds; an SD of "
        "0.051 log-odds per tank).")


def test_alone_keeps_two_levels_apart_that_would_round_to_the_same_number():
    near = {**LONE, "natural": Natural(16.83, 17.39, None, None, "%"), "estimate": 0.039}
    assert "Algae cover was 16.8 % under the 8 h block and 17.4 % under the dark break." in said(**near)
    assert plain_text(estimate_words(finding(**near))) == "17.4 % against 16.8 %, no interval"


def test_alone_with_no_difference_at_all_speaks_of_no_surprise():
    assert said(**{**LONE, "natural": Natural(12.0, 12.0, None, None, "%"), "estimate": 0.0, "tipping_spread": 0.0}) == (
        "One tank each: the data alone cannot tell. Algae cover was 12 % under the 8 h block and 12 % under the dark break.")


def test_alone_in_a_swap_speaks_of_half_the_difference_of_the_two_orders():
    bare = {**LONE, "summary": "swap", "scale": "identity", "estimate": -4.0, "natural": None, "tipping_spread": 2.9,
            "unit_of_measure": "g", "title": "Weight"}
    assert said(**bare) == (
        "One tank each: the data alone cannot tell. Half the difference of the two orders is 4.0 g. Two tanks treated alike would have "
        f"to end closer than that to each other 19 times in 20 {SURPRISING} (an SD of 2.9 g per tank).")
    assert "(half the difference of the two orders: 0.41 log-odds; an SD of 0.15 log-odds per tank)." in said(**LONE, summary="swap")


def test_alone_with_more_than_one_tank_does_not_say_one_tank_each():
    assert said(**{**LONE, "natural": None, "n_changed": 2, "tipping_spread": None}) == (
        "Too few tanks: the data alone cannot tell. The tanks ended 0.41 log-odds apart.")


def test_alone_with_two_tanks_against_one_says_how_near_two_like_tanks_would_have_to_be_not_how_far_the_arms_are():
    # Two like tanks: 1.96 x sqrt(2) x SD = 0.47 log-odds, which is 1.15 times the 0.41 log-odds that were seen.
    text = said(**{**LONE, "n_changed": 2, "tipping_spread": SPREAD_1_2})
    assert text == (
        "Too few tanks: the data alone cannot tell. Algae cover was 12 % under the 8 h block and 8.3 % under the dark break. Two tanks "
        f"treated alike would have to end closer than 1.2 times that to each other 19 times in 20 {SURPRISING} (apart by 0.41 "
        "log-odds; two like tanks closer than 0.47 log-odds; an SD of 0.17 log-odds per tank).")


def test_alone_in_a_change_does_not_say_where_the_tanks_ended():
    assert said(**LONE, summary="change") == (
        "One tank each: the data alone cannot tell. Algae cover would be 12 % under the 8 h block and 8.3 % under the dark break, had all "
        f"tanks started alike. Two tanks treated alike would have to move apart by less than that 19 times in 20 {SURPRISING} (apart by "
        "0.41 log-odds; an SD of 0.15 log-odds per tank).")
    assert "would have to move apart by less than 1.2 times that 19 times in 20" in said(
        **{**LONE, "n_changed": 2, "tipping_spread": SPREAD_1_2}, summary="change")


def test_alone_on_the_log_scale_is_told_in_the_unit_and_as_a_factor_at_the_end():
    height = {**LONE, "scale": "log", "title": "Canopy height", "estimate": math.log(8.3 / 12), "unit_of_measure": "cm",
              "natural": Natural(12.0, 8.3, None, None, "cm")}
    text = said(**height)
    assert "Canopy height was 12 cm under the 8 h block and 8.3 cm under the dark break. Two tanks treated alike" in text
    assert text.endswith("(apart by a factor of 1.45; an SD of 0.15 in natural logarithms per tank).")
    assert "two like tanks closer than a factor of 1.51;" in said(**{**height, "n_changed": 2})


def test_alone_on_the_values_as_they_are_is_told_in_the_unit_throughout():
    weight = {**LONE, "scale": "identity", "title": "Weight", "estimate": -3.7, "unit_of_measure": "g", "tipping_spread": 1.33,
              "natural": Natural(12.0, 8.3, None, None, "g")}
    assert said(**weight).endswith(f"closer than that to each other 19 times in 20 {SURPRISING} (apart by 3.7 g; an SD of 1.3 g per tank).")
    assert "two like tanks closer than 3.7 g;" in said(**{**weight, "n_changed": 2})


def test_alone_names_the_tanks_that_gave_no_number():
    units = (UnitSummary("T1", "R", -2.0, 40), UnitSummary("T2", "C", -2.4, 40), UnitSummary("T3", "C", None, 3, "T3 has no photo."))
    assert "under the dark break. Without a usable number: T3. Two tanks" in said(**LONE, units=units)


def test_a_difference_of_per_cents_is_told_in_percentage_points():
    text = said(scale="identity", estimate=3.2, low=-1.0, high=7.4, natural=Natural(12.0, 15.2, 11.0, 19.4, "%"))
    assert ("Algae cover under the dark break was 3.2 percentage points more than under the 8 h block (1.0 percentage points less to 7.4 "
            "percentage points more).") in text


def test_a_spoilt_arm_is_named_with_its_article():
    assert said(grade="spoilt", estimate=None, low=None, high=None, natural=None, spoilt_reason=(
        "no usable unit in 8 h block and dark break: T1 has no value.")) == (
        "This trial was spoilt: no usable tank in the 8 h block and the dark break: T1 has no value. No finding.")


def test_where_the_lot_alone_decides_the_table_says_so_instead_of_no_interval():
    facts = (("pairs_later", 0.0), ("pairs_earlier", 24.0), ("pairs_untold", 1.0))
    order = finding(summary="threshold", estimate=-24.0, low=None, high=None, natural=None, facts=facts, shuffle_p=0.008)
    assert plain_text(estimate_words(order)) == "later in 0 of 25 cases, earlier in 24; by the lot p = 0.008"
    drawn = finding(design="drawn_start", summary="change", low=None, high=None, p_value=0.024,
                    natural=Natural(33.0, 11.0, None, None, "%"))
    assert plain_text(estimate_words(drawn)) == "11 % against 33 %; by the lot p = 0.024"


def test_a_change_as_a_ratio_says_what_would_be_had_the_tanks_started_alike():
    text = said(grade="differs", summary="change", scale="log", title="Canopy height", estimate=-0.3285, low=-0.598, high=-0.0619,
                natural=Natural(14.2, 10.2, 7.8, 13.3, "cm"))
    assert ("Canopy height under the dark break would be 0.72 times what it would be under the 8 h block, had all tanks started alike "
            "(0.55 to 0.94 times).") in text


def test_a_change_as_a_difference_says_what_would_be_had_the_tanks_started_alike():
    text = said(grade="differs", summary="change", scale="identity", title="Weight", estimate=12.0, low=3.1, high=20.9,
                natural=Natural(30.0, 42.0, 33.1, 50.9, "g"))
    assert "Weight under the dark break would be 12 g more than under the 8 h block, had all tanks started alike (3 to 21 g more)." in text


def test_a_ratio_that_leaves_out_no_effect_is_not_rounded_onto_it():
    text = said(grade="matters", scale="log", title="Height", estimate=math.log(7.1), low=math.log(1.31), high=math.log(38.2), margin=0.2)
    assert "7 times what it was under the 8 h block (1.3 to 38 times)." in text


def test_a_level_that_leaves_out_no_effect_is_not_rounded_onto_the_reference():
    text = said(grade="differs", estimate=1.494, low=0.158, high=2.83, natural=Natural(0.28, 1.233, 0.328, 4.54, "%"))
    assert "Algae cover of 0.28 % under the 8 h block would be 1.2 % (0.33 to 4.5 %) under the dark break." in text


def test_tanks_without_scatter_far_from_the_limit_are_not_said_to_lie_at_it():
    units = tuple(UnitSummary(f"T{place}", "R", 3.0, 40, None, 3.0, 0) for place in range(3))
    text = said(scale="identity", low=None, high=None, natural=None, tags=("at the limit of the scale",), units=units)
    assert text == f"Cannot tell: the tanks of an arm show no scatter at all, so that no interval can be given. {JUDGED}"


def test_a_secondary_measure_that_was_spoilt_does_not_spoil_the_trial():
    assert said(role="secondary", grade="spoilt", estimate=None, low=None, high=None, natural=None, spoilt_reason="no values.") == (
        "This measure was not judged: no values.")


def test_a_secondary_measure_that_cannot_be_judged_says_why():
    reason = "The summary of algae_cover is slope; this version judges mean in a side_by_side design"
    assert said(role="secondary", grade="spoilt", estimate=None, low=None, high=None, natural=None, spoilt_reason=reason) == (
        "This measure was not judged: the summary of algae_cover is slope; this version judges mean in a side_by_side design.")


def test_a_secondary_measure_at_the_last_look_is_held_against_that_look_s_share():
    text = said(role="secondary", margin=None, low=-0.8, high=-0.1, holm_p=0.04, level=0.965)
    assert text.startswith("Cannot tell: taken alone the interval leaves out no effect, but not when all secondary measures are counted "
                           "(Holm-adjusted p 0.040).")
    assert "it stands" not in text


def test_a_log_measure_is_said_as_a_ratio():
    text = said(grade="differs", scale="log", measure="canopy_height", title="Canopy height", estimate=-0.3285, low=-0.598, high=-0.0619,
                natural=Natural(14.2, 10.2, 7.8, 13.3, "cm"))
    assert text == ("The dark break gave less canopy height; how much is still unsure. Canopy height under the dark break was 0.72 times "
                    "what it was under the 8 h block "
                    f"(0.55 to 0.94 times). {JUDGED}")


def test_a_measure_as_it_is_is_said_as_a_difference():
    text = said(grade="differs", scale="identity", title="Weight", measure="weight", estimate=12.0, low=3.1, high=20.9,
                natural=Natural(30.0, 42.0, 33.1, 50.9, "g"))
    assert "Weight under the dark break was 12 g more than under the 8 h block (3 to 21 g more)." in text


@pytest.mark.parametrize(("unit", "word"), [("b*", "yellowness"), ("a*", "redness"), ("L*", "lightness")])
def test_an_axis_of_colour_is_called_by_its_word(unit, word):
    text = said(scale="identity", title=f"Plant {word}", estimate=0.1, low=-1.0, high=1.2, natural=Natural(20.0, 20.1, 19.0, 21.2, unit))
    assert f"was 0.1 units of {word} ({unit}) more than under the 8 h block (1.0 {unit} less to 1.2 {unit} more)." in text


def test_a_difference_that_may_go_either_way_says_both():
    text = said(scale="identity", title="Weight", measure="weight", estimate=2.0, low=-1.1, high=5.1,
                natural=Natural(30.0, 32.0, 28.9, 35.1, "g"))
    assert "was 2.0 g more than under the 8 h block (1.1 g less to 5.1 g more)." in text


def test_a_slope_is_said_per_day():
    text = said(summary="slope", grade="differs", estimate=-0.03, low=-0.05, high=-0.01, natural=None, margin=None)
    assert text.startswith("The dark break gave a slower rise in algae cover; how much is still unsure. Each day multiplied the odds of "
                           "algae cover under the dark break by "
                           "0.970 beyond what it did under the 8 h block (0.951 to 0.990). Over 37 days that comes to 0.33 times the odds "
                           "(0.16 to 0.69 times), not times the cover.")


def test_a_slope_of_values_as_they_are_is_a_difference_of_rates():
    text = said(summary="slope", scale="identity", title="Weight", estimate=-0.04, low=-0.15, high=0.07, natural=None, margin=None,
                unit_of_measure="g")
    assert "Weight under the dark break rose by 0.04 g per day less than under the 8 h block (0.15 g less to 0.07 g more)." in text


def test_a_threshold_has_no_number():
    assert said(summary="threshold", grade="differs", estimate=4.0, low=None, high=None, natural=None) == (
        f"The dark break reached the threshold of algae cover later; how much later is not told by this test. {JUDGED}")


def test_an_interval_at_another_level_says_its_level():
    assert "(5.2 to 12.9 %; 96.5 % interval)" in said(level=0.965)


def test_arms_that_were_not_drawn_are_told_in_the_headline():
    assert said(tags=("not by lot", "fragile")).endswith(
        "The arms were not drawn by lot, so whatever went with that choice may be the cause. Fragile: another way of analysing, fixed "
        "beforehand by the method, gives another answer.")


def test_a_fragile_finding_names_what_would_change_its_grade():
    text = said(tags=("fragile",), alternatives=(("on the values as they are", "differs"), ("without C1", "open")))
    assert text.endswith(
        "Fragile: reckoned in plain per cent instead of log-odds, the answer would be “there is a difference”.")


def test_a_borrowed_spread_is_told():
    assert "these tanks vary like the earlier ones, at most half as much again" in said(basis="earlier tanks only", n_reference=1,
                                                                                        n_changed=1)


def test_a_secondary_measure_says_whether_it_stands():
    alone = {"role": "secondary", "grade": "differs", "low": -0.8, "high": -0.1, "holm_p": 0.03}
    assert "Counted together with the other secondary measure it stands (Holm-adjusted p 0.030)." in said(**alone, family=2)
    assert "Counted together with the other secondary measures it stands (Holm-adjusted p 0.030)." in said(**alone, family=3)
    assert "secondary" not in said(**alone, family=1)
    assert "Counted together with the other secondary measures it stands (Holm-adjusted p 0.030)." in said(role="secondary",
        grade="differs", low=-0.8, high=-0.1, holm_p=0.03)
    assert said(role="secondary", margin=None, low=-0.8, high=-0.1, holm_p=0.09).startswith(
        "Cannot tell: taken alone the interval leaves out no effect, but not when all secondary measures are counted (Holm-adjusted p "
        "0.090).")


def test_compartments_are_called_so():
    assert "Judged on 3 compartments under the dark break" in said(unit_word="compartment")


@pytest.mark.parametrize(("label", "inside"), [("dark break", "the dark break"), ("The dark break", "The dark break"),
                                               ("half the feeding", "half the feeding"),
                                               ("R", "arm R"), ("", "the other arm"), ("reference", "the reference")])
def test_arm_names_get_an_article_where_they_have_none(label, inside):
    assert named(label) == inside


def test_a_table_shows_the_same_numbers_as_the_sentence():
    assert plain_text(estimate_words(finding())) == "8.3 % (5.2 to 12.9 %) against 12 %"
    assert plain_text(estimate_words(finding(estimate=None, low=None, high=None, natural=None))) == "none"


def test_a_hostile_name_stays_text():
    assert "the <script>alert(1)</script>" in said(changed_label="<script>alert(1)</script>")
