"""Claim checks in words: the sentences a keeper reads, exactly, and what they must never say."""

import re

import pytest

from fairtank.planning.claiming.claim import MEASURABLE, NOT_MEASURABLE, PERHAPS
from fairtank.planning.claims import carbon_dioxide_claim, light_claim, nutrient_claim, oxygen_claim
from fairtank.publish.claim_words import (
    HEADINGS,
    SCOPE_WORDS,
    claim_text,
    claim_words,
    headline_words,
    reason_words,
    rounded,
    span_words,
)
from fairtank.publish.phrases import plain_text
from fairtank.science.cautions import CAUTIONS, LAST_WORD

MOVING, STILL = (oxygen_claim(50, 20, 0.07, surface) for surface in ("rippled", "still"))
DOUBLED = nutrient_claim("nitrate", 20, 10, times=2)
RISE = carbon_dioxide_claim(60, 0.18, "gentle", 4, 7.5, said_rise_mg_l=5)
SOFT = carbon_dioxide_claim(60, 0.18, "gentle", 0.6, 6.5, said_rise_mg_l=5)
LIGHT = light_claim(10, 50)
ALL = [MOVING, STILL, DOUBLED, RISE, SOFT, LIGHT, oxygen_claim(8, 20, 0.07, "agitated", plants="none"),
       nutrient_claim("iron", 60, 0.1, mass_mg=3, weeks=1), carbon_dioxide_claim(60, 0.18, 2.0, 4, 7.5, source_mg_h=30)]


def test_a_device_under_a_moving_surface_reads_as_a_keeper_would_say_it():
    assert plain_text(headline_words(MOVING)) == (
        "A 50 mA device adds at most 13.4 mg of oxygen an hour. With a rippling surface in 20 L that lifts the oxygen by 0.64 to 4.8 mg/L; "
        "your plants alone swing it by 2 to 17 mg/L a day, and the meter is off by 0.2 mg/L. Its effect on oxygen cannot be measured in "
        "this tank.")
    assert plain_text(reason_words(MOVING)) == (
        "Two single readings can tell a change from 0.56 mg/L up (2.8 × the spread of a reading); 0.64 to 4.8 mg/L is above that. The "
        "effect is 5.5 to 28 % of the most that your plants may do: below half, the tank by itself can make or hide it.")


def test_a_device_under_a_still_surface_reads_as_a_keeper_would_say_it():
    assert plain_text(headline_words(STILL)) == (
        "A 50 mA device adds at most 13.4 mg of oxygen an hour. With a still surface in 20 L that lifts the oxygen by 6.4 to 32 mg/L; your "
        "plants alone swing it by 3.9 to 17 mg/L a day, and the meter is off by 0.2 mg/L. Its effect on oxygen can perhaps be measured in "
        "this tank: it depends on what is only assumed here.")
    assert plain_text(claim_words(STILL).settles[0]) == (
        "From about 66 mA on it could be measured in this tank, wherever in these ranges the truth lies; with no plants 4.4 mA would do.")


def test_a_fertiliser_that_doubles_nitrate_reads_as_a_keeper_would_say_it():
    words = claim_words(DOUBLED)
    assert plain_text(words.headline) == (
        "Twice the nitrate of 10 mg/L is 10 mg/L more; your plants take up 1.1 to 15 mg/L in a week, and the test is off by 3.5 mg/L. This "
        "rise in nitrate can be measured in this tank.")
    assert plain_text(words.reason) == (
        "Two single readings can tell a change from 9.7 mg/L up (2.8 × the spread of a reading); 10 mg/L is above that. The effect is 67 % "
        "of the most that your plants may do: large enough not to be mistaken for it.")
    assert [plain_text(text) for text in words.working] == [
        "Rise: (times − 1) × level = 10 mg/L.",
        "Weekly uptake by the plants: dry mass / water × new growth × content = 1.1 to 15 mg/L.",
        "What livelier plants may take up more in a week: largest less smallest uptake = 13.9 mg/L.",
        "To keep the rise, to be added each week: rise × share of the water changed, where plants take up no more than before = 3 mg/L.",
        "Smallest change that can be seen: 2.8 × √(mean of the squared standard deviations of both readings) = 9.71 mg/L.",
        "Effect beside what the tank does: effect / most that the tank does by itself = 0.667.",
    ]
    assert [plain_text(text) for text in words.settles] == [
        "A rise from about 9.7 mg/L on could be measured in this tank, wherever in these ranges the truth lies.",
        "It takes about 17 mg/L added each week to reach it, because livelier plants may take up 14 mg/L of that; with no plants 3.1 mg/L "
        "would do.",
        "Read all tanks on the same day before the water change, each twice; a photometer or a laboratory reads finer than a card.",
        SCOPE_WORDS,
    ]


def test_a_weekly_fertiliser_tells_what_it_builds_up_to():
    claim = nutrient_claim("nitrate", 60, 10, gain_mg_l=5)
    assert plain_text(headline_words(claim)).startswith("5 mg/L of nitrate a week are 0 to 16 mg/L more in 60 L after 8 weeks; your plants")
    bare = nutrient_claim("iron", 60, 0.1, mass_mg=3, weeks=1, plants="none")
    assert headline_words(bare).endswith(
        "more in 60\xa0L after 1 week; the test is off by 0.059\xa0mg/L. This rise in iron cannot be measured in this tank.")
    assert not any("livelier" in text for text in claim_text(bare))


def test_a_rise_in_carbon_dioxide_tells_what_it_takes_and_how_coarse_the_reading_is():
    assert plain_text(headline_words(RISE)) == (
        "5 mg/L more carbon dioxide is claimed. With a gently moving surface in 60 L it takes 9 to 36 mg/h to keep it up; your plants "
        "alone swing it by 4.7 to 17 mg/L a day, and a reading from pH and hardness at 4.3 to 9.3 mg/L is off by 1.9 mg/L. Such a "
        "rise in carbon dioxide cannot be measured in this tank.")


def test_a_limit_that_rounds_to_the_claim_gets_more_figures():
    assert "a change from 16.47\xa0µmol m⁻² s⁻¹ up" in reason_words(light_claim(16.5, 50))
    assert "a change from 16\xa0µmol m⁻² s⁻¹ up" in reason_words(light_claim(20, 50))


def test_soft_water_is_told_apart():
    assert reason_words(SOFT) == "The readings are so coarse here that no rise could be told from them."
    assert claim_words(SOFT).cautions[0].startswith("Below 1 dKH")
    assert not any(text.startswith("Below 1 dKH") for text in claim_words(RISE).cautions)
    assert not any("could be measured in this tank" in text for text in claim_text(SOFT))


def test_a_source_of_carbon_dioxide_and_a_measured_exchange_are_told():
    claim = carbon_dioxide_claim(60, 0.18, 2.0, 4, 7.5, source_mg_h=30)
    assert plain_text(headline_words(claim)).startswith(
        "30 mg of carbon dioxide an hour lift it by 8.33 mg/L with a gas exchange of 2 cm/h at the surface in 60 L; your plants")


def test_light_is_held_against_lamps_places_and_age():
    assert plain_text(headline_words(LIGHT)) == (
        "10 µmol m⁻² s⁻¹ more light at the bed is claimed, 20 % of what is there; lamps, places and age alone make 3.3 to 12 µmol m⁻² s⁻¹ "
        "between two tanks, and the lux meter is off by 5.5 µmol m⁻² s⁻¹. This rise in light cannot be measured in this tank.")
    assert "A meter with a spread of 6.5\xa0% or less would tell the least of it." in claim_words(LIGHT).settles
    assert "A meter with a spread of 6.5\xa0% or less would tell the least of it." in claim_words(light_claim(10, 50, 0.7)).settles


@pytest.mark.parametrize(("current_ma", "opening"), [
    (8, "An 8 mA"), (11, "An 11 mA"), (18, "An 18 mA"), (80, "An 80 mA"), (8.5, "An 8.5 mA"), (50, "A 50 mA"), (1.8, "A 1.8 mA"),
    (110, "A 110 mA"), (180, "A 180 mA"), (11.5, "An 11.5 mA"),
])
def test_the_article_is_the_spoken_one(current_ma, opening):
    assert plain_text(headline_words(oxygen_claim(current_ma, 20, 0.07, "gentle"))).startswith(f"{opening} device")


@pytest.mark.parametrize("claim", ALL)
def test_the_text_begins_with_the_verdict_and_ends_with_the_cautions(claim):
    text = claim_text(claim)
    said = {MEASURABLE: "can be measured", PERHAPS: "can perhaps be measured", NOT_MEASURABLE: "cannot be measured"}[claim.verdict]
    assert said in text[0]
    sentences = [line for line in text if line and line not in HEADINGS]
    assert all(sentence.endswith(".") for sentence in sentences)
    assert len(set(sentences)) == len(sentences)
    assert f"  {SCOPE_WORDS}" in text
    for key in claim.cautions:
        assert f"  {CAUTIONS[key].title}: {CAUTIONS[key].text}" in text
    assert (text[-1] == f"  {LAST_WORD}") == bool(claim.cautions)
    assert sum(fact.mark in sentence for fact in claim.assumptions for sentence in text) >= len(claim.assumptions)


@pytest.mark.parametrize("claim", ALL)
def test_on_a_terminal_each_part_stands_indented_under_its_heading(claim):
    words, text = claim_words(claim), claim_text(claim)
    assert text[:2] == (words.headline, words.reason)
    parts = dict(zip(HEADINGS, (words.working, words.rests_on, words.settles, words.cautions), strict=True))
    assert [line for line in text if line in HEADINGS] == list(parts)
    for heading, sentences in parts.items():
        place = text.index(heading)
        assert text[place - 1] == ""
        assert text[place + 1:place + 1 + len(sentences)] == tuple(f"  {sentence}" for sentence in sentences)
    assert len(text) == 2 + sum(2 + len(sentences) for sentences in parts.values())


def test_the_terminal_text_reads_like_this():
    text = [plain_text(line) for line in claim_text(LIGHT)]
    assert text[2:6] == ["", "How it was worked out:", "  Rise as a share of the light: rise / light = 0.2.",
                         "  Lamps, places and age together: light × √(sum of the squared differences) = 3.3 to 12 µmol m⁻² s⁻¹."]
    assert text[text.index("What it rests on:") + 1] == "  Rise that is claimed: 10 µmol m⁻² s⁻¹ (given by you)."
    assert text[text.index("Cautions:") + 2].startswith("  Mains near water: ")


@pytest.mark.parametrize("claim", ALL)
def test_no_one_is_accused_and_no_number_is_left_raw(claim):
    text = " ".join(claim_text(claim))
    assert not re.search(r"\b(fraud|lie|lies to|scam|false|fake|nonsense|nan|inf|None)\b", text)
    for whole, part in re.findall(r"(\d+)\.(\d+)", text):
        assert len(f"{whole}{part}".lstrip("0")) <= 4, f"{whole}.{part} has more figures than anybody knows"


def test_without_plants_nothing_is_said_of_them():
    text = claim_text(oxygen_claim(8, 20, 0.07, "agitated", plants="none"))
    assert "plants" not in text[0] + text[1]
    assert not any("with no plants" in sentence for sentence in text)


@pytest.mark.parametrize(("low", "high", "unit", "told"), [
    (0.64, 4.796, "mg/L", "0.64 to 4.8 mg/L"), (10.0, 10.0, "mg/L", "10 mg/L"), (0.0, 16.2, "mg/L", "0 to 16 mg/L"), (0.0, 0.0, "g", "0 g"),
    (0.201, 0.202, "", "0.2"), (65.0, 180.0, "mg", "65 to 180 mg"), (33.333, 33.333, "h", "33.3 h"),
    (1234.0, 56789.0, "mg", "1200 to 57 000 mg"),
])
def test_ranges_read_well(low, high, unit, told):
    assert plain_text(span_words(low, high, unit)) == told


def test_rounding_keeps_figures_and_drops_empty_zeros():
    assert [rounded(value) for value in (453.0, 0.228, 2.0, 0.0, 99.6, 0.00171)] == ["450", "0.23", "2", "0", "100", "0.0017"]
