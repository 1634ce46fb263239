"""How it was computed, in words."""

from dataclasses import replace

from invented_trials import dark_break, finding, one_cover_glass

from fairtank.publish import methods

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
    assert methods.margin_words(finding()) == "Smallest difference that matters, fixed beforehand: 0.5\u00a0log-odds."


def test_secondary_measures_are_counted_and_cited():
    findings = (finding(), finding(role="secondary", holm_p=0.2), finding(role="secondary", holm_p=0.3))
    assert methods.holm_words(findings).startswith("The 2 secondary measures are judged one at a time")
    assert any(reference.startswith("Holm, S. (1979)") for reference in methods.references(findings, PLAN))
    assert methods.holm_words((finding(),)) == ""


def test_no_interval_for_another_reason_than_few_tanks_is_not_blamed_on_few_tanks():
    spoilt = " ".join(methods.methods_words(finding(grade="spoilt", basis="none", low=None, high=None), PLAN))
    assert "No interval is given: an arm was left without a usable tank." in spoilt
    constant = finding(basis="none", low=None, high=None, tags=("at the limit of the scale",))
    assert "the tanks of an arm show no scatter, or lie at the limit of the scale" in " ".join(methods.methods_words(constant, PLAN))
    assert "so few tanks" not in spoilt
