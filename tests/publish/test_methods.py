"""How it was computed, in words."""

from dataclasses import replace

import pytest
from invented_trials import dark_break, finding, one_cover_glass

from fairtank.finding import Natural
from fairtank.publish import methods
from fairtank.publish.phrases import plain_text

PLAN = dark_break(with_photos=False).folder.plan


def test_cover_is_explained_on_its_scale_and_by_tanks():
    text = " ".join(methods.methods_words(finding(), PLAN))
    assert "ln(cover / (100 − cover))" in text
    assert "The tanks are the sample, not the photos: the interval is Welch's t-interval" in text
    assert "of all 20 ways in which the lot could have fallen, 20\u00a0% give a difference at least as large" in text


def test_other_designs_name_their_own_interval():
    assert "one-sample t-interval" in " ".join(methods.methods_words(finding(), replace(PLAN, kind="pairs")))
    assert "lasting difference between the two tanks" in " ".join(methods.methods_words(finding(), replace(PLAN, kind="rounds")))


def test_two_tanks_have_no_interval_and_the_reason_is_given():
    content = one_cover_glass()
    text = " ".join(methods.methods_words(content.findings[0], content.folder.plan))
    assert "No interval is given" in text
    assert "no earlier like tanks were leaned on" in text  # true also where spread.csv lists some


def test_a_missing_margin_is_told():
    assert methods.margin_words(finding(margin=None)).startswith("No smallest difference")
    assert plain_text(methods.margin_words(finding())) == (
        "Smallest difference that matters, fixed beforehand: 0.5 log-odds; from 12 % that is 7.6 % or 18 %.")


@pytest.mark.parametrize(("given", "ending"), [
    ({"natural": Natural(99.2, 99.0, 98.0, 99.5, "%")}, "0.5 log-odds; from 99.2 % that is 98.7 % or 99.5 %."),
    ({"scale": "log", "margin": 0.2, "natural": Natural(14.2, 10.2, 7.8, 13.3, "cm")},
     "0.2 natural logarithms; from 14 cm that is 12 cm or 17 cm."),
    ({"scale": "identity", "margin": 5.0, "unit_of_measure": "g", "natural": Natural(30.0, 42.0, 33.1, 50.9, "g")}, "beforehand: 5 g."),
    ({"natural": None}, "beforehand: 0.5 log-odds."),
    ({"summary": "slope", "margin": 0.02}, "beforehand: 0.02 log-odds per day."),
])
def test_the_margin_is_also_said_in_the_natural_unit(given, ending):
    assert plain_text(methods.margin_words(finding(**given))).endswith(ending)


def test_a_level_of_cover_is_called_a_middle_level():
    text = plain_text(" ".join(methods.methods_words(finding(), PLAN)))
    assert "a level such as “12 %” comes from the mean of the log-odds and is a middle level, not the plain average." in text


def test_a_measure_of_one_day_is_not_called_a_mean_over_a_window():
    text = " ".join(methods.methods_words(finding(window=(0, 42), reading_day=42), PLAN))
    assert "What was compared: algae cover, day 42. " in text
    assert "Each tank gives one number: its value on day 42. A tank without a value on that day has no number." in text
    assert "mean over the window" not in text
    assert "gap" not in text


def test_a_change_names_the_days_of_the_run_in():
    text = " ".join(methods.methods_words(finding(summary="change", window=(14, 42), run_in=(0, 13)), PLAN))
    assert "its time-weighted mean after the change (day 14 to day 42) minus that of its run-in (day 0 to day 13)." in text
    assert "A gap of more than 7 days in the run-in or after it spoils" in text
    one_day = " ".join(methods.methods_words(finding(summary="change", window=(42, 42), run_in=(3, 13), reading_day=42), PLAN))
    assert "its value on day 42 minus the time-weighted mean of its run-in (day 3 to day 13)." in one_day


def test_units_left_out_in_turn_are_told_by_grade():
    left_out = ((f"without C{number}", "differs" if number in (2, 4) else "open") for number in range(1, 6))
    ways = (("on the values as they are", "open"), *left_out)
    text = " ".join(methods.methods_words(finding(alternatives=ways), PLAN))
    assert ("Other ways of analysing, fixed beforehand by the method, and the grade each gives: on the values as they are: open; "
            "without C1, C3 or C5: open; without C2 or C4: differs.") in text


def test_secondary_measures_are_counted_and_cited():
    findings = (finding(), finding(role="secondary", holm_p=0.2), finding(role="secondary", holm_p=0.3))
    assert methods.holm_words(findings).startswith("The 2 secondary measures are judged one at a time")
    assert any(reference.startswith("Holm, S. (1979)") for reference in methods.references(findings, PLAN))
    assert methods.holm_words((finding(),)) == ""
    assert methods.holm_words(findings[:2]).startswith("There is one secondary measure only")


def test_no_interval_for_another_reason_than_few_tanks_is_not_blamed_on_few_tanks():
    spoilt = " ".join(methods.methods_words(finding(grade="spoilt", basis="none", low=None, high=None), PLAN))
    assert "No interval is given: an arm was left without a usable tank." in spoilt
    constant = finding(basis="none", low=None, high=None, tags=("at the limit of the scale",))
    assert "the tanks of an arm show no scatter, or lie at the limit of the scale" in " ".join(methods.methods_words(constant, PLAN))
    assert "so few tanks" not in spoilt


def test_technical_words_that_occur_are_explained_once_and_others_are_not():
    facts = (("standard_error", 0.15),)
    words = methods.methods_words(finding(facts=facts), PLAN)
    assert [text.split(" ")[0].rstrip(":") for text in words[-5:]] == ["Log-odds", "Standard", "Standard", "Degrees", "p"]
    assert methods.glossary(finding(scale="identity", low=None, high=None, p_value=None, shuffle_p=None)) == ()


def test_a_shuffle_that_was_drawn_at_random_is_told_as_such():
    told = methods.methods_words(finding(facts=(("shuffle_draws", 20000.0),), arrangements=2704156), PLAN)
    said = "Shuffle test: of 20000 drawn at random of 2704156 ways in which the lot could have fallen, "
    assert any(text.startswith(said) for text in told)
