"""A plan in words: both scales of a smallest difference, what a design shows, and what it cannot."""

import io
from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from fairtank.inference.foresight.showing import show
from fairtank.planning.wizard.designs import proposals
from fairtank.planning.wizard.making import plan_of
from fairtank.planning.wizard.margins import margin_of
from fairtank.planning.wizard.step import Told
from fairtank.publish.cover_sheet import cover_sheet
from fairtank.publish.plan_words import (
    CANNOT_SHOW,
    DRAWN_SHOWS,
    HUGE,
    UNKNOWN,
    design_shows,
    margin_words,
    plan_sentences,
    showing_sentences,
)


def told(**answers):
    return Told({"change": "x", "question": "Does it?", "primary": "algae_cover", "weeks": 6, "tanks": 2, "expect": "less", "level": 10.0,
                 "margin": 5.0, "others": ("plant_cover",), "start": date(2026, 3, 1), **answers})  # fmt: skip


def plain(text):
    return text.replace("\xa0", " ")


@pytest.mark.parametrize(("expect", "said"), [
    ("less", "from 10 % to 5 %. On the scale of judging that is 0.75; the same step upwards leads to 19 %."),
    ("more", "from 10 % to 15 %. On the scale of judging that is 0.46; the same step downwards leads to 6.5 %."),
    ("either", "from 10 % to 15 %, or to 6.5 %. On the scale of judging both are 0.46."),
])
def test_a_smallest_difference_is_told_on_both_scales(expect, said):
    margin = margin_of("logit", 10.0, 5.0, expect)
    assert plain(margin_words(margin, scale="logit", level=10.0, unit="%", expect=expect)).endswith(said)


def test_a_measure_judged_as_it_is_has_one_scale():
    margin = margin_of("identity", 0.0, 3.0, "more")
    assert plain(margin_words(margin, scale="identity", level=0.0, unit="a*", expect="more")) == "Smallest difference that matters: 3.0 a*."


@pytest.mark.parametrize("tanks", [2, 4, 6])
def test_every_design_is_told_what_it_shows_and_what_not(tanks):
    one = told(tanks=tanks)
    for proposal in proposals(one):
        showing = show(plan_of(one, proposal), reference=10.0)
        words = " ".join(showing_sentences(showing))
        if proposal.kind == "drawn_start":
            assert DRAWN_SHOWS in words
            assert "would notice" in words
        elif tanks == 2:
            assert CANNOT_SHOW in words
            assert design_shows(showing) == "nothing by itself"
        else:
            assert "would notice" in words
            assert plain(design_shows(showing)).endswith("instead of 10 %")
        assert ("carry an interval, but a wide one" in words) == (tanks == 4 and proposal.kind != "pairs")


def test_a_step_that_no_change_makes_is_told_as_nothing_in_practice():
    one = told(primary="canopy_height", level=15.0, margin=3.0, tanks=4, others=())
    showing = show(plan_of(one, proposals(one)[0]), reference=15.0)
    assert design_shows(showing) == HUGE
    words = " ".join(showing_sentences(showing))
    assert "in practice nothing" in words
    assert "cm or under" not in words


def test_letters_of_another_table_are_left_out():
    one = told(expect="either")
    assert "(design" not in " ".join(showing_sentences(show(plan_of(one, proposals(one)[0]), reference=10.0)))


def test_what_is_not_known_is_said_to_be_not_known():
    assert design_shows(None) == UNKNOWN
    assert "detect --sd" in showing_sentences(None)[0]


@pytest.mark.parametrize(("design", "said"), [
    ("side_by_side_6", "6 tanks: 3 with the change, 3 without."), ("run_in_6", "the first 14 days all alike."),
    ("swap_6", "on day 21 they change places."), ("pairs_6", "in pairs of neighbours."),
])
def test_the_plan_says_how_it_is_laid_out_and_when(design, said):
    sentences = plan_sentences(plan_of(told(tanks=6, design=design)), "")
    assert said in sentences[0]
    assert sentences[0].endswith("Day 0 is 2026-03-01, day 42, the last, 2026-04-12.")
    assert sentences[1] == "Algae cover decides; expected: less of it with the change. Beside it: plant cover."


def test_shared_water_is_told_with_what_follows():
    plan = replace(plan_of(told()), shared_water=True)
    assert "will be missed" in plan_sentences(plan, "")[-1]


def test_a_sheet_has_two_columns_and_a_label_below_each_picture():
    from PIL import Image

    pictures = [(np.full((90, 160, 3), shade, np.uint8), f"{shade} %") for shade in (0, 80, 160)]
    with Image.open(io.BytesIO(cover_sheet("A title", pictures))) as sheet:
        assert sheet.size[0] == 2 * 160 + 3 * 16
        assert sheet.size[1] > 2 * 90
        assert sheet.getpixel((16 + 80, 56 + 45))[0] < 10
