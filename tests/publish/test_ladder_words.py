"""A ladder in words: the step, what one unit of dose does, and on what it rests."""

from dataclasses import replace

import pytest

from fairtank.finding import Finding, Natural
from fairtank.publish.ladder_words import amount_words, count_words, verdict_words
from fairtank.publish.phrases import plain_text

FACTS = (("slope", 0.108), ("slope_low", 0.0314), ("slope_high", 0.1846), ("reference_dose", 0.0), ("top_dose", 30.0), ("doses", 4.0))
FINDING = Finding(
    measure="mass", title="Plant mass", role="primary", summary="mean", scale="identity", window=(0, 42), estimate=3.24, low=0.943,
    high=5.537, level=0.95, df=3.6, p_value=0.02, shuffle_p=None, arrangements=0, grade="differs", tags=(), basis="own tanks", margin=1.0,
    n_reference=2, n_changed=6, tipping_spread=None, units=(), natural=Natural(1.53, 4.77, 2.473, 7.067, "g"), cautions=(),
    reference_label="a dose of 0 mg/L", changed_label="a dose of 30 mg/L", design="ladder", facts=FACTS, dose_unit="mg/L",
)
STEP = "oing from a dose of 0 mg/L to a dose of 30 mg/L"


@pytest.mark.parametrize(("grade", "text"), [
    ("matters", f"G{STEP} gave more plant mass, and by enough to matter."),
    ("differs", f"G{STEP} gave more plant mass; how much is still unsure."),
])
def test_the_verdict_is_about_the_whole_step(grade, text):
    assert verdict_words(replace(FINDING, grade=grade)) == text


def test_alike_is_about_the_whole_step_and_open_is_said_as_everywhere():
    alike = replace(FINDING, grade="alike", estimate=0.0, low=-0.4, high=0.4)
    assert verdict_words(alike) == f"G{STEP}, any difference is smaller than would matter."
    assert verdict_words(replace(FINDING, grade="open", low=-1.0)) is None


def test_too_few_units_say_what_a_ladder_needs():
    alone = replace(FINDING, grade="alone", low=None, high=None, tipping_spread=1.1, n_reference=1, n_changed=3)
    assert verdict_words(alone).startswith("Too few tanks: a ladder needs at least 5 on 3 different doses.")
    assert amount_words(alone) is None
    assert count_words(alone) is None


def test_the_amount_is_the_step_and_then_one_unit_of_dose():
    assert plain_text(amount_words(FINDING)) == (
        "Plant mass under a dose of 30 mg/L was 3.2 g more than under a dose of 0 mg/L (0.9 to 5.5 g more). "
        "Each 1 mg/L more adds 0.11 g (0.03 to 0.18 g).")


def test_a_dose_that_lowers_takes_away():
    lower = replace(FINDING, estimate=-3.24, low=-5.537, high=-0.943, facts=(
        ("slope", -0.108), ("slope_low", -0.1846), ("slope_high", -0.0314), *FACTS[3:]))
    assert "Each 1 mg/L more takes away 0.11 g (0.03 to 0.18 g)." in plain_text(amount_words(lower))
    unsure = replace(lower, high=0.943, facts=(("slope", -0.108), ("slope_low", -0.25), ("slope_high", 0.0314), *FACTS[3:]))
    assert "takes away 0.11 g (0.25 g less to 0.03 g more)." in plain_text(amount_words(unsure))


def test_on_the_log_scale_one_unit_of_dose_multiplies():
    finding = replace(FINDING, scale="log", estimate=0.66, low=0.18, high=1.13, facts=(
        ("slope", 0.022), ("slope_low", 0.006), ("slope_high", 0.0377), *FACTS[3:]))
    assert "Each 1 mg/L more multiplies it by 1.022 (1.006 to 1.038)." in plain_text(amount_words(finding))


def test_without_a_unit_of_dose_it_is_a_step_and_log_odds_are_left_to_the_levels():
    assert "Each 1 step of dose more adds 0.11 g" in plain_text(amount_words(replace(FINDING, dose_unit="")))
    cover = replace(FINDING, scale="logit", natural=Natural(4.7, 15.0, 5.5, 35.0, "%"))
    assert "Each 1" not in amount_words(cover)


def test_the_count_names_tanks_and_doses():
    assert plain_text(count_words(FINDING)) == (
        "Judged on 8 tanks at 4 doses by a straight line through them; the numbers are those of the line from 0 mg/L to 30 mg/L.")
