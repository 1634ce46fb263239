"""A sealed plan in words: every field that can change has words of its own, and a change reads like one."""

from dataclasses import fields
from datetime import UTC, datetime

import pytest

from fairtank.publish.seal_words import (
    change_words,
    code_sentence,
    data_words,
    day_words,
    late_words,
    margin_words,
    sealed_words,
    subject,
    time_words,
)
from fairtank.records.folder.seal_changes import SealChange, SealedMargin
from fairtank.records.folder.seal_parts import ARM, DESIGN, LOOKS, MEASURE, UNIT
from fairtank.seal import Seal, Sealing
from fairtank.trial import Arm, Looks, MeasureChoice, Plan, Unit

MARCH, MAY = datetime(2026, 3, 1, 18, 30, tzinfo=UTC), datetime(2026, 5, 1, 7, 5, tzinfo=UTC)
TITLES = {"algae_cover": "Algae cover"}
# What a plan says and a seal does not hold: words about the trial, and tables that are sealed as sections of their own.
UNSEALED = {
    Plan: {"title", "question", "change", "reference", "rationale", "keeper", "place", "disclosure", "repeats", "arms", "units",
           "measures", "looks"},
    Arm: {"key"}, Unit: {"key", "position"}, MeasureChoice: {"key", "title", "unit_of_measure"}, Looks: set(),
}


def change(section, key, name, was, now, **more):
    return SealChange(section, key, name, was, now, MARCH, **more)


def sealing(rows=0, photos=0):
    return Sealing(MARCH, {}, "00" * 32, "AAAAA-AAAAA", rows, photos, "")


@pytest.mark.parametrize(("noun", "sealed"), [(Plan, DESIGN), (Arm, ARM), (Unit, UNIT), (MeasureChoice, MEASURE), (Looks, LOOKS)],
                         ids=lambda one: getattr(one, "__name__", ""))
def test_every_part_of_a_plan_is_sealed_or_known_not_to_be(noun, sealed):
    assert {one.name for one in fields(noun)} - UNSEALED[noun] == set(sealed)


@pytest.mark.parametrize(("section", "names"), [("design", DESIGN), ("arm", ARM), ("unit", UNIT), ("measure", MEASURE), ("looks", LOOKS)])
def test_every_sealed_field_has_words_of_its_own(section, names):
    told = [subject(change(section, "C", name, 1, 2), {}) for name in names]
    assert len(set(told)) == len(names)
    assert not any(text.startswith("field ") or "_" in text for text in told)


SEALED = "when the plan was sealed on 2026-03-01"


@pytest.mark.parametrize(("made", "told"), [
    (change("measure", "algae_cover", "margin", 0.5, 0.3),
     f"The smallest difference that matters for algae cover was 0.5 {SEALED} and is 0.3 now: changed after the seal."),
    (change("measure", "algae_cover", "window", [0, 42], None),
     f"The window of algae cover was 0 to 42 {SEALED} and is not set now: changed after the seal."),
    (change("unit", "T1", "arm", "R", "C"), f"The arm of tank T1 was R {SEALED} and is C now: changed after the seal."),
    (change("looks", "", "days", [14, 28, 42], []),
     f"The list of planned looks was 14, 28, 42 {SEALED} and is empty now: changed after the seal."),
    (change("unit", "T9", "", None, None, kind="added"),
     "Tank T9 was not in the plan that was sealed on 2026-03-01 and is now: changed after the seal."),
    (change("arm", "D", "", None, None, kind="left out"),
     "Arm D was in the plan that was sealed on 2026-03-01 and is not now: changed after the seal."),
    (change("design", "", "blinded", True, False, amended_at=MAY, reason="nobody had time"),
     f"The word on whether people were kept from knowing the arms was yes {SEALED} and is no in the amendment of 2026-05-01: changed after "
     "the seal, when there was data already (reason given: “nobody had time”)."),
])
def test_a_change_in_words(made, told):
    assert change_words(made, TITLES) == told


def test_signs_that_would_turn_a_text_round_do_not_get_into_a_sentence():
    assert "\u202e" not in change_words(change("arm", "C", "name", "plain\u202e", "other\x07"), TITLES)


@pytest.mark.parametrize(("made", "told"), [
    (SealedMargin("algae_cover", 0.5, 0.3, "changed"),
     "Judged by the smallest difference that matters for algae cover that was sealed, 0.5."),
    (SealedMargin("algae_cover", None, 0.3, "added"),
     "None was sealed as the smallest difference that matters for algae cover, so that of 0.3 does not count: none is used."),
    (SealedMargin("algae_cover", None, 0.3, "rescaled"),
     "The smallest difference that matters for algae cover that was sealed belongs to another summary or scale, and one that came after "
     "the seal does not count: none is used."),
])
def test_which_smallest_difference_counts(made, told):
    assert margin_words(made, TITLES) == told


def test_what_was_there_already():
    assert [data_words(sealing(*counts)) for counts in ((), (1,), (90, 1), (0, 12))] == [
        "nothing was recorded yet", "1 value was there already", "90 values and 1 photo were there already", "12 photos were there already"]
    assert late_words(Seal((sealing(),), {})) == []
    assert late_words(Seal((sealing(1),), {}))[0].startswith("When the plan was sealed on 2026-03-01, 1 value was there already")


def test_times_are_told_in_utc():
    assert (day_words(MAY), time_words(MAY)) == ("2026-05-01", "2026-05-01 07:05 UTC")


def test_what_a_seal_is_worth_is_said_with_its_code():
    assert code_sentence("AAAAA-BBBBB").startswith("The code is AAAAA-BBBBB. Show it in a video or post it before the start")


def test_the_report_tells_the_seal_with_its_code_and_each_amendment():
    amended = Sealing(MAY, {}, "11" * 32, "BBBBB-BBBBB", 3, 0, "", "a leak")
    assert sealed_words(Seal((sealing(), amended), {})) == (
        "2026-03-01 18:30 UTC, code AAAAA-AAAAA, nothing was recorded yet; amended 2026-05-01 07:05 UTC, code BBBBB-BBBBB, 3 values were "
        "there already (reason given: “a leak”)")
