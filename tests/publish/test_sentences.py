"""One exact sentence for each grade and scale: the wording is settled, and the numbers come from the finding alone."""

import math

import pytest
from invented_trials import finding

from fairtank.publish.sentences import estimate_words, named, plain_text, sentence
from fairtank.trial import Natural, UnitSummary

JUDGED = "Judged on 3 tanks under the dark break and 3 under the 8 h block."
LEVELS = "Algae cover of 12 % under the 8 h block would be 8.3 % (5.2 to 12.9 %) under the dark break."


def said(**given) -> str:
    return plain_text(sentence(finding(**given)))


def test_open_with_a_margin_says_what_both_fits():
    assert said() == f"Cannot tell: both no effect and an effect that matters fit what was seen. {LEVELS} {JUDGED}"


def test_open_without_a_margin_speaks_of_no_effect_only():
    assert said(margin=None) == f"Cannot tell: no effect fits what was seen. {LEVELS} {JUDGED}"


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


def test_differs_says_that_the_size_is_unsure():
    assert said(grade="differs", low=-0.9, high=-0.1).startswith("The dark break gave less algae cover; how much is still unsure. Algae "
                                                                 "cover of 12 %")


def test_spoilt_gives_the_reason_and_no_number():
    assert said(grade="spoilt", estimate=None, low=None, high=None, natural=None, spoilt_reason="the heater of T2 boiled the tank.") == (
        "This trial was spoilt: the heater of T2 boiled the tank. No finding.")


def test_spoilt_without_a_reason_takes_that_of_a_unit():
    units = (UnitSummary("T1", "R", None, 3, "T1 has no photo from day 9 to day 30."),)
    assert said(grade="spoilt", estimate=None, low=None, high=None, natural=None, units=units) == (
        "This trial was spoilt: T1 has no photo from day 9 to day 30. No finding.")


def test_spoilt_by_many_units_names_the_first_and_counts_the_rest():
    reason = "no usable unit in sand: " + " ".join(f"K{place} has no value." for place in range(6))
    assert said(grade="spoilt", estimate=None, low=None, high=None, natural=None, spoilt_reason=reason) == (
        "This trial was spoilt: no usable unit in sand: K0 has no value. The other 5 reasons stand beside the tanks. No finding.")


def test_alone_says_how_alike_tanks_would_have_to_be():
    text = said(grade="alone", low=None, high=None, natural=Natural(12.0, 8.3, None, None, "%"), n_reference=1, n_changed=1,
                tipping_spread=0.148, basis="none")
    assert text == (
        "One tank each: the data alone cannot tell. Algae cover was 12 % under the 8 h block and 8.3 % under the dark break: the tanks "
        "ended 0.41 log-odds apart. "
        "Two tanks treated alike would have to end closer than 0.41 log-odds to each other 19 times in 20 (an SD of 0.15 log-odds per "
        "tank) before this could be "
        "called surprising.")


def test_alone_in_a_swap_speaks_of_half_the_difference_of_the_two_orders():
    text = said(grade="alone", summary="swap", scale="identity", estimate=-4.0, low=None, high=None, natural=None, n_reference=1,
                n_changed=1, tipping_spread=2.9,
                unit_of_measure="g", title="Weight", basis="none")
    assert text == ("One tank each: the data alone cannot tell. Half the difference of the two orders is 4.0 g. Two tanks treated alike "
                    "would have to end closer than "
                    "4.0 g to each other 19 times in 20 (an SD of 2.9 g per tank) before this could be called surprising.")


def test_alone_with_more_than_one_tank_does_not_say_one_tank_each():
    assert said(grade="alone", low=None, high=None, natural=None, n_reference=1, n_changed=2, tipping_spread=None).startswith(
        "Too few tanks: the data alone cannot tell. The tanks ended 0.41 log-odds apart.")


def test_alone_with_two_tanks_against_one_says_how_near_two_like_tanks_would_have_to_be_not_how_far_the_arms_are():
    spread = 0.41 / (1.96 * math.sqrt(1 + 1 / 2))
    text = said(grade="alone", low=None, high=None, natural=None, n_reference=1, n_changed=2, tipping_spread=spread)
    assert f"would have to end closer than {1.96 * math.sqrt(2) * spread:.2f} log-odds to each other" in text
    assert "The tanks ended 0.41 log-odds apart." in text


def test_alone_in_a_change_does_not_say_where_the_tanks_ended():
    text = said(grade="alone", summary="change", low=None, high=None, natural=Natural(12.0, 8.3, None, None, "%"), n_reference=1,
                n_changed=1, tipping_spread=0.148, basis="none")
    assert ("Algae cover would be 12 % under the 8 h block and 8.3 % under the dark break, had all tanks started alike: the tanks moved "
            "0.41 log-odds apart. Two tanks treated alike would have to move less than 0.41 log-odds apart 19 times in 20") in text


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


def test_a_difference_that_may_go_either_way_says_both():
    text = said(scale="identity", title="Weight", measure="weight", estimate=2.0, low=-1.1, high=5.1,
                natural=Natural(30.0, 32.0, 28.9, 35.1, "g"))
    assert "was 2.0 g more than under the 8 h block (1.1 g less to 5.1 g more)." in text


def test_a_slope_is_said_per_day():
    text = said(summary="slope", grade="differs", estimate=-0.03, low=-0.05, high=-0.01, natural=None, margin=None)
    assert text.startswith("The dark break gave a slower rise in algae cover; how much is still unsure. Each day multiplied the odds of "
                           "algae cover under the dark break by "
                           "0.970 beyond what it did under the 8 h block (0.951 to 0.990).")


def test_a_threshold_has_no_number():
    assert said(summary="threshold", grade="differs", estimate=4.0, low=None, high=None, natural=None) == (
        f"The dark break reached the threshold of algae cover later; how much is still unsure. {JUDGED}")


def test_an_interval_at_another_level_says_its_level():
    assert "(5.2 to 12.9 %; 96.5 % interval)" in said(level=0.965)


def test_arms_that_were_not_drawn_are_told_in_the_headline():
    assert said(tags=("not by lot", "fragile")).endswith(
        "The arms were not drawn by lot, so whatever went with that choice may be the cause. Fragile: another way of analysing, fixed "
        "beforehand by the method, gives another grade.")


def test_a_fragile_finding_names_what_would_change_its_grade():
    text = said(tags=("fragile",), alternatives=(("on the values as they are", "differs"), ("without C1", "open")))
    assert text.endswith("Fragile: on the values as they are the grade would be differs. Other ways of analysing are fixed beforehand by "
                         "the method.")


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
    assert plain_text(estimate_words(finding())) == "8.3 (5.2 to 12.9 %) against 12 %"
    assert plain_text(estimate_words(finding(estimate=None, low=None, high=None, natural=None))) == "none"


def test_a_hostile_name_stays_text():
    assert "the <script>alert(1)</script>" in said(changed_label="<script>alert(1)</script>")
