"""The standing cautions: whole sentences with known sources, and where they have to stand."""

import re

import pytest

from fairtank import registry
from fairtank.science import co2
from fairtank.science.cautions import CAUTIONS, LAST_WORD
from fairtank.sources import SOURCES

CALCULATORS = registry.entries("calculator")


@pytest.mark.parametrize("caution", CAUTIONS.values(), ids=CAUTIONS)
def test_a_caution_has_a_title_whole_sentences_and_known_sources(caution):
    assert caution.title
    assert re.fullmatch(r"[A-Z][^\n]*[.]", caution.text)
    assert caution.sources
    assert set(caution.sources) <= set(SOURCES)


def test_every_caution_that_a_calculator_names_is_in_the_list_and_none_is_named_twice():
    for entry in CALCULATORS:
        assert set(entry.cautions) <= set(CAUTIONS), entry.key
        assert len(set(entry.cautions)) == len(entry.cautions), entry.key


def test_whoever_is_told_a_level_of_co2_is_told_when_it_harms_animals_and_what_to_do():
    keys = {"carbonate", "trade_table_co2_mg_l", "trade_table_check", "co2_after_ph_drop", "indicator_colour", "indicator_limits",
            "carbon_dioxide_claim"}
    assert keys == {entry.key for entry in CALCULATORS if "co2_animals" in entry.cautions}
    text = CAUTIONS["co2_animals"].text
    for needed in ("from 30 mg/L on", "at 40 mg/L", "gasps", "shut the gas off", "air the water"):
        assert needed in text
    assert CAUTIONS["co2_animals"].sources == ("common_practice",)
    assert "licensed people" in LAST_WORD


def test_green_is_not_told_as_safe_for_animals():
    """Reference water of 4 dKH stays green to the line at which keepers stop the gas."""
    limits = co2.indicator_limits(25, 4)
    assert limits.green_to_mg_l == pytest.approx(40, rel=0.02)
    text = " ".join(co2.indicator_limits.__doc__.split())
    assert "Green does not mean that animals bear it" in text
    assert "about right" not in text
