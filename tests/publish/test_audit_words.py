"""An audit in words: errors with their direction, the finding's difference beside that of the errors, and what one-sided eyes could do."""

import re
from types import SimpleNamespace

import pytest

from checking import every
from fairtank.finding import Natural
from fairtank.publish.audit_words import Amounts, audit_sentences, caution_words, needed_words, shared_sentences
from fairtank.vision.audit import Agreement, AuditResult, Checked, arm_audit

COVER = Amounts("%", 100.0)
LABELS = {"R": "eight hours", "C": "dark break"}


def audited(in_right, in_wrong, out_hit, out_right, share, unsure=0, arm="R"):
    rows = [(True, 1.0)] * in_right + [(True, 0.0)] * in_wrong + [(False, 1.0)] * out_hit + [(False, 0.0)] * out_right
    return arm_audit(arm, [Checked("a", *row) for row in rows] + [Checked("a", False, None)] * unsure, {"a": share})


def result(*arms, few=(), measure="algae_cover", **more):
    points = sum(arm.points for arm in arms) + sum(count for _, count in few)
    facts = {"set_aside": 0, "raters": 1, "unsure": sum(arm.unsure for arm in arms), **more}
    return AuditResult(measure, arms, few, ("R", "C"), points=points, **facts)


def finding(reference=12.0, changed=8.3, unit="%"):
    natural = None if reference is None else Natural(reference, changed, None, None, unit)
    return SimpleNamespace(natural=natural, reference_arm="R", changed_arm="C", reference_label="eight hours", changed_label="dark break",
                           measure="algae_cover")  # fmt: skip


GOOD = (audited(40, 2, 1, 157, 0.2), audited(38, 3, 1, 158, 0.21, arm="C"))
SKEWED = (audited(40, 0, 12, 148, 0.2), audited(28, 14, 1, 157, 0.21, arm="C"))


@pytest.mark.as_it_was("the sentences as a keeper reads them, 2026-11-26")
def test_the_keeper_is_told_each_arms_error_with_its_direction_and_their_difference():
    told = audit_sentences(result(*GOOD), LABELS)
    assert told == [
        "Algae: At 400 random points your eye and the map agreed on algae in 98\N{NO-BREAK SPACE}% of them.",
        "The map reads algae 0.4 percentage points too high in “eight hours” (1.9 too low to 2.7 too high) and 1.0 too high in "
        "“dark break” (1.4 too low to 3.6 too high).",
        "These errors differ by 0.6 percentage points (−2.7 to 4.1; “dark break” minus “eight hours”).",
    ]


def test_the_finding_has_its_own_difference_beside_that_of_the_errors():
    told = caution_words(finding(), result(*GOOD), COVER)
    assert told.startswith("At 400 random points an eye that did not know the arms and the map agreed on algae in 98")
    assert "“dark break” minus “eight hours”), beside −3.7 percentage points between the arms themselves." in told
    assert told.endswith("Errors of the map are too small to make up the difference between the arms.")


@pytest.mark.parametrize(("arms", "changed", "closing"), [
    (GOOD, 8.3, "Errors of the map are too small to make up the difference between the arms."),
    (GOOD, 10.0, "As far as these points can tell, errors of the map could make up the whole difference between the arms; more points tell "
                 "more."),
    (SKEWED, 15.0, "Errors of the map like these would make up the whole difference between the arms."),
    (SKEWED, 8.0, "Errors of the map are too small to make up the difference between the arms."),  # the errors go the other way
])  # fmt: skip
def test_the_warning_follows_the_size_and_the_way_of_the_errors(arms, changed, closing):
    assert caution_words(finding(12.0, changed), result(*arms), COVER).endswith(closing)


def test_without_amounts_in_the_measures_unit_nothing_is_set_beside():
    for told in (caution_words(finding(None), result(*GOOD), COVER), caution_words(finding(3.0, 5.0, "d"), result(*GOOD), COVER)):
        assert "beside" not in told
        assert "make up" not in told
        assert told.endswith("“dark break” minus “eight hours”).")


def test_an_area_is_told_in_its_own_unit():
    told = caution_words(finding(400.0, 300.0, "cm2"), result(*GOOD, measure="algae_area"), Amounts("cm²", 3500.0))
    assert "The map reads algae 16 cm² too high in" in told
    assert "beside −100 cm² between the arms themselves" in told


def test_points_at_which_nobody_could_tell_are_bounded():
    arms = (audited(40, 2, 1, 157, 0.2, unsure=4), audited(38, 3, 1, 158, 0.21, unsure=6, arm="C"))
    told = audit_sentences(result(*arms), LABELS)[-1]
    assert told.startswith("At 10 further points the eye could not tell what is there. Depending on what it really is, ")
    assert "could lie anywhere from −" in told


def test_too_few_points_are_told_and_give_no_error():
    few = result(audited(40, 2, 1, 57, 0.4), few=(("C", 12),))
    told = " ".join(audit_sentences(few, LABELS))
    assert "In “dark break” 12 of them were answered, too few to tell how far the map is off there (30 are asked for)." in told
    assert "differ" not in told
    assert "“dark break” 12 of them" in caution_words(finding(), few, COVER)
    assert needed_words({"algae_cover": few}) == ""


def test_more_points_are_asked_for_in_all_arms_alike_until_they_suffice():
    told = needed_words({"algae_cover": result(*GOOD)})
    assert told.startswith("To know each arm's error to ±2 percentage points, about ")
    count = int(told.rsplit(" ", 1)[1])
    assert count % 2 == 0
    assert 50 < count < 400
    sure = tuple(audited(400, 2, 2, 1596, 0.2, arm=arm) for arm in "RC")
    assert needed_words({"algae_cover": result(*sure)}) == "The errors of all arms are known to ±2 percentage points or better."


def test_a_map_that_is_often_wrong_wants_strokes_and_no_thousands_of_points():
    poor = tuple(audited(20, 20, 20, 20, 0.5, arm=arm) for arm in "RC")
    told = needed_words({"algae_cover": result(*poor)})
    assert "paint more strokes first (fairtank strokes FOLDER)" in told
    assert "--points" not in told


@every("in_right", range(30, 46))
def test_the_difference_fits_the_errors_as_they_are_printed_or_has_a_digit_more(in_right):
    arms = (GOOD[0], audited(in_right, 3, 1, 158, 0.21, arm="C"))
    _, parts, difference = audit_sentences(result(*arms), LABELS)
    low, high = re.findall(r"([0-9.]+) (?:percentage points )?(too high|too low|off) in", parts)
    signed = [float(amount) * (-1 if way == "too low" else 1) for amount, way in (low, high)]
    printed = re.search(r"differ by ([−0-9.]+)", difference)[1].replace("−", "-")
    decimals = len(printed.partition(".")[2])
    longest = max(len(amount.partition(".")[2]) for amount, _ in (low, high))
    assert decimals > longest or float(printed) == pytest.approx(signed[1] - signed[0], abs=1e-9)


def test_one_person_and_several_and_answers_set_aside_are_told():
    assert shared_sentences(result(*GOOD))[-1].startswith("All answers come from one person")
    told = shared_sentences(result(*GOOD, raters=2, set_aside=3, agreement=Agreement(50, 0.92, 0.85)))
    assert told[0].startswith("3 answers could not be used")
    assert told[1].startswith("50 points were seen by more than one person, who gave the same answer in 92 % of the pairs "
                              "(Krippendorff's alpha 0.85)")  # fmt: skip
