"""A drawn start in words: what was found, for which tanks, and what the interval beside it is worth."""

from dataclasses import replace

import pytest

from fairtank.finding import Finding, Natural, UnitSummary
from fairtank.publish.drawn_start_words import amount_words, count_words, summary_words, verdict_words
from fairtank.publish.phrases import plain_text

FACTS = {"starts": 21.0, "smallest_p": 1 / 21, "drawn_day": 22.0, "days_before": 22.0, "days_after": 35.0, "expected": 0.0,
         "at_once_low": 0.29, "at_once_high": 1.11}
UNITS = (UnitSummary("T1", "R", -0.05, 57, None, -2.03), UnitSummary("T2", "C", 1.0, 57, None, -1.02))


def finding(*, facts=(), without=(), **more):
    """A drawn start that found a difference of 1.05 in log-odds, unless said otherwise."""
    known = {name: value for name, value in {**FACTS, **dict(facts)}.items() if name not in without}
    base = Finding(
        measure="algae_cover", title="Algae cover", role="primary", summary="change", scale="logit", window=(0, 56), estimate=1.05,
        low=None, high=None, level=0.95, df=None, p_value=2 / 42, shuffle_p=None, arrangements=42, grade="differs", tags=(),
        basis="own tanks", margin=None, n_reference=1, n_changed=1, tipping_spread=None, units=UNITS,
        natural=Natural(11.6, 27.3, None, None, "%"), cautions=(), reference_label="plain", changed_label="dimmed", unit_of_measure="%",
        design="drawn_start", facts=tuple(known.items()),
    )
    return replace(base, **more)


def words(part, one):
    return plain_text(part(one))


def test_a_difference_is_told_for_its_tank_with_the_draws_the_days_and_for_whom_it_speaks():
    one = finding()
    assert words(verdict_words, one) == "The dimmed gave more algae cover in its tank; how much is still unsure."
    assert words(amount_words, one) == (
        "Algae cover of 12 % under the plain would be 27 % under the dimmed, if both tanks had been equal before. "
        "Of the 42 draws that the lot could have made, 2 look at least as striking: p = 0.048. "
        "If the change worked at once and stayed: 14.9 to 28.5 % (95 % interval); else this misses too often.")
    assert words(count_words, one) == (
        "Judged on one tank in each arm, by 22 days with values before the start and 35 from it on; it speaks of these two tanks only.")


def test_a_test_in_one_direction_says_so_and_what_both_ways_would_give():
    one = finding(p_value=1 / 42, estimate=-1.05, without=("at_once_low",), facts={"expected": -1.0, "p_both_ways": 2 / 42})
    assert ("1 looks at least as striking in the expected direction (less): one-sided p = 0.024; looked at both ways it would be 0.048. If "
            "the change worked at once and stayed: at most 28.5 % (95 % limit, one-sided); else") in words(amount_words, one)
    other_way = words(amount_words, finding(p_value=40 / 42, facts={"expected": -1.0, "p_both_ways": 6 / 42}))
    assert "one-sided p = 0.95." in other_way
    assert "both ways" not in other_way


def test_a_limit_on_the_estimate_itself_is_not_told_to_sixteen_digits():
    one = finding(scale="identity", estimate=10.0, without=("at_once_low",), facts={"at_once_high": 10.000000000000002},
                  natural=Natural(5.0, 15.0, None, None, "cm"))
    assert "a difference of at most 10 cm (95 % limit" in words(amount_words, one)


def test_one_striking_draw_looks_and_several_look():
    assert "1 looks at least as striking" in words(amount_words, finding(p_value=1 / 42))


@pytest.mark.parametrize(("more", "told"), [
    ({"p_value": 0.62}, "Cannot tell: too many other draws of the lot look as striking."),
    ({"p_value": None, "tags": ("not by lot",)},
     "Cannot tell: the tank and the day of the start were not drawn by lot, and without a lot the test means nothing."),
    ({"tags": ("not blinded",)}, "Cannot tell: the scores were not blinded, and such scores decide nothing."),
    ({"p_value": 1.0, "facts": {"expected": -1.0}},
     "Cannot tell: the plan asked whether there would be less, and what was seen goes the other way."),
    ({"p_value": 1 / 16, "arrangements": 16, "facts": {"starts": 8.0, "smallest_p": 1 / 16}},
     "Cannot tell: with 8 possible starts even the most striking picture could not have been told from luck."),
    ({"role": "secondary", "holm_p": 0.095, "family": 2},
     "Cannot tell: taken alone it would stand out, but not when all secondary measures are counted (Holm-adjusted p 0.095)."),
])
def test_an_open_finding_says_why(more, told):
    assert words(verdict_words, finding(grade="open", **more)) == told


def test_nothing_is_said_to_have_moved_the_tanks_where_nothing_was_found():
    told = words(count_words, finding(grade="open", p_value=0.62))
    assert "moved" not in told
    assert told.endswith("it speaks of these two tanks only.")


def test_without_a_lot_no_draws_are_counted_and_nothing_was_judged():
    one = finding(grade="open", p_value=None, arrangements=0, without=("at_once_low", "at_once_high"))
    assert words(amount_words, one) == ("Algae cover of 12 % under the plain would be 27 % under the dimmed, if both tanks had been equal "
                                        "before.")
    assert words(count_words, one).startswith("Seen on one tank in each arm")


@pytest.mark.parametrize(("without", "estimate", "natural", "told"), [
    ("at_once_high", 1.05, 27.3, "If the change worked at once and stayed: at least 15 % (95 % limit, one-sided);"),
    ("at_once_low", -1.05, 4.4, "If the change worked at once and stayed: at most 28 % (95 % limit, one-sided);"),
])
def test_a_test_in_one_direction_bounds_one_side(without, estimate, natural, told):
    one = finding(without=(without,), estimate=estimate, natural=Natural(11.6, natural, None, None, "%"))
    assert told in words(amount_words, one)


def test_an_amount_is_told_as_a_ratio_with_its_interval_as_ratios():
    told = words(amount_words, finding(scale="log", natural=Natural(4.0, 11.43, None, None, "cm2")))
    assert told.startswith("Algae cover under the dimmed was 2.9 times what the tank under the plain lets expect.")
    assert "If the change worked at once and stayed: 1.34 to 3.03 times what was to be expected (95 % interval);" in told


def test_values_as_they_are_are_told_as_a_difference():
    told = words(amount_words, finding(scale="identity", estimate=-1.05, facts={"at_once_low": -1.4, "at_once_high": -0.3},
                                       natural=Natural(5.0, 3.95, None, None, "cm")))
    assert told.startswith("Algae cover under the dimmed was 1.1 cm lower than the tank under the plain lets expect.")
    assert "If the change worked at once and stayed: a difference of −1.40 to −0.30 cm (95 % interval);" in told


@pytest.mark.parametrize(("scale", "told"), [
    ("logit", "each day multiplied the odds of algae cover under the dimmed by 1.05 against the days before"),
    ("log", "each day multiplied algae cover under the dimmed by 1.05 against the days before"),
    ("identity", "each day added 0.050 percentage points more to algae cover under the dimmed than before"),
])
def test_a_slope_is_told_per_day_and_has_no_interval(scale, told):
    one = finding(summary="slope", scale=scale, estimate=0.05, natural=None, without=("at_once_low", "at_once_high"))
    text = words(amount_words, one)
    assert told in text
    assert "beyond what it did under the plain. No interval can be given for it." in text
    assert "at once" not in text


def test_a_level_other_than_95_per_cent_is_named():
    assert "(96.5 % interval)" in words(amount_words, finding(level=0.965))


def test_a_spoilt_trial_is_left_to_the_general_words():
    one = finding(grade="spoilt", estimate=None, p_value=None)
    assert (verdict_words(one), amount_words(one), count_words(one)) == (None, None, None)


def test_the_methods_say_what_was_compared_and_what_spoils_it():
    level, gaps = summary_words(finding())
    assert level.startswith("Each tank's series becomes one number: its mean over the days from the start on minus its mean over the days")
    assert "left out of both" in gaps
    assert "slope of the least-squares line" in summary_words(finding(summary="slope"))[0]


def test_compartments_are_called_compartments():
    assert "these two compartments" in words(count_words, finding(unit_word="compartment"))
