"""What a plan could show, in words that a keeper reads aloud."""

import pytest

from fairtank.inference.layouts import Layout
from fairtank.inference.showing import Prices, show
from fairtank.publish.detect_words import (
    DESIGN_WORDS,
    NOTHING,
    headline,
    layout_words,
    look_sentences,
    margin_sentence,
    notes,
    one_tank_sentences,
    spread_sentence,
    table_rows,
)
from inference.test_like_spread import entries
from inference.trials import looks, measure, plan_of


def plain(text):
    return text.replace("\u00a0", " ")


@pytest.mark.parametrize(("expect", "told"), [
    ("more", "you would notice cover by eye at 15 % instead of 10 %, but no smaller difference."),
    ("less", "you would notice cover by eye at 6.7 % instead of 10 %, but no smaller difference."),
    ("either", "you would notice cover by eye at 15 % or 6.7 % instead of 10 %, but no smaller difference."),
])
def test_the_sentence_tells_the_level_that_would_be_noticed(expect, told):
    said = plain(headline(show(plan_of(6, 6, expect=expect), sd=0.2378)))
    assert said.startswith(f"As planned (6 tanks per arm, 42 days), {told} If like tanks differ by a third less or half as much again: ")


def test_the_sentence_never_says_none_or_all():
    said = plain(headline(show(plan_of(2, 2, expect="more"), sd=2.0)))
    assert "at over 99 % instead of 10 %" in said
    assert "at under 0.1 % instead of 10 %" in plain(headline(show(plan_of(2, 2, expect="less"), sd=2.0)))


def test_a_small_difference_is_told_with_as_many_figures_as_set_it_apart():
    assert "at 10.2 % instead of 10 %" in plain(headline(show(plan_of(6, 6, expect="more"), sd=0.0121)))


def test_an_effect_that_builds_up_is_told_with_its_days():
    said = plain(headline(show(plan_of(6, 6, expect="more", choice=measure(summary="slope")))))
    assert "instead of 10 % after 42 days, but no smaller difference" in said


@pytest.mark.parametrize(("scale", "told"), [
    ("log", "at 142 % instead of 100 % (the reference tanks)"),
    ("identity", "you would notice cover by eye up by 0.35 cm, but no smaller"),
])
def test_other_scales_are_told_in_their_own_way(scale, told):
    showing = show(plan_of(6, 6, expect="more", choice=measure(scale, unit="cm")), sd=0.192)
    assert told in plain(headline(showing))


def test_one_tank_each_is_told_what_is_possible_and_what_not():
    showing = show(plan_of(1, 1))
    assert plain(headline(showing)) == ("As planned (1 tank per arm, 42 days), this trial cannot tell by its own tanks: one tank in an arm "
                                        "cannot tell how far like tanks differ.")
    told = one_tank_sentences(showing)
    assert told[0].startswith("Not possible with one tank in an arm: an interval from its own tanks. More days or more photos do not help")
    assert told[1].startswith("Possible with the same two tanks: a drawn start (design H).")
    assert told[2] == "What would settle it: three tanks per arm (design C)."
    assert one_tank_sentences(show(plan_of(2, 2))) == ()
    short = one_tank_sentences(show(plan_of(1, 1, days=21)))
    assert short[1] == "With the same two tanks a drawn start could speak of these two; it needs 29 days or more to look both ways."
    borrowing = one_tank_sentences(show(plan_of(1, 1), entries=entries([0.04] * 6)))
    assert any(one.startswith("Possible: an interval that borrows") for one in borrowing)


def test_the_table_has_costs_only_where_there_are_prices():
    without, priced = table_rows(show(plan_of(1, 1))), table_rows(show(plan_of(1, 1), prices=Prices(80, 2)))
    assert "cost" not in without[0]
    assert "cost" in priced[0]
    assert {len(row) for row in without} == {7}
    assert {len(row) for row in priced} == {8}
    assert priced[1][:6] == ["A", "as planned", "2", "42", "244", NOTHING]


def test_every_way_has_words():
    for plan in (plan_of(1, 1), plan_of(3, 3)):
        assert {one.key for one in show(plan).designs} <= set(DESIGN_WORDS)


@pytest.mark.parametrize(("layout", "told"), [
    (Layout("side_by_side", 1, 1, 0, 42), "1 tank per arm, 42 days"),
    (Layout("side_by_side", 2, 3, 0, 42), "2 reference and 3 changed tanks, 42 days"),
    (Layout("run_in", 3, 3, 14, 56, (0, 13)), "3 tanks per arm, 56 days, the first 14 alike"),
    (Layout("swap", 2, 2, 0, 42, swap_day=21), "2 tanks per arm, 42 days, swapped on day 21"),
    (Layout("pairs", 4, 4, 0, 42), "4 pairs, 42 days"),
    (Layout("rounds", 1, 1, 0, 100, rounds=5), "2 tanks, 5 rounds, 100 days"),
    (Layout("drawn_start", 1, 1, 0, 42, start_window=(14, 27)), "2 tanks, start drawn from day 14 to 27, 42 days"),
])
def test_a_layout_is_told_in_a_few_words(layout, told):
    assert layout_words(layout) == told


@pytest.mark.parametrize(("given", "told"), [
    ({}, "The spread of like tanks is assumed: 0.57 (in log-odds). It is that of invented tanks in a simulation, no source"),
    ({"sd": 0.3}, "The spread of like tanks is the one you stated: a standard deviation of 0.30 (in log-odds)."),
    ({"entries": entries([0.04] * 6)}, "The spread of like tanks comes from 6 earlier trials of yours, 12 degrees of freedom: 0.20"),
    ({"entries": entries([0.04])}, "The spread of like tanks comes from 1 earlier trial of yours, 2 degrees of freedom: 0.20"),
])
def test_it_is_said_where_the_spread_comes_from(given, told):
    assert spread_sentence(show(plan_of(3, 3), **given)).startswith(told)


def test_the_range_of_a_measured_spread_names_its_degrees_of_freedom():
    assert "times as much, which 12 degrees of freedom leave open: " in headline(show(plan_of(3, 3), entries=entries([0.04] * 6)))


@pytest.mark.parametrize(("margin", "told"), [
    (None, ""), (3.0, "What you said matters (69 %"),
    (0.5, "What you said matters (15 % instead of 10 %) is a smaller difference than that"),
])
def test_a_margin_is_held_against_what_would_be_noticed(margin, told):
    said = plain(margin_sentence(show(plan_of(3, 3, expect="more", choice=measure(margin=margin)))))
    assert said.startswith(told)
    assert said.endswith("would be noticed.") == (margin == 3.0)
    assert bool(said) == bool(told)


def test_each_look_is_told_with_its_share_of_false_alarms():
    told = look_sentences(show(plan_of(4, 4, expect="more", looks=looks((14, 42), (0.01, 0.04)))))
    assert plain(told[0]).startswith("Look on day 14 (1 % of false alarms): ")
    assert len(told) == 2


def test_the_notes_name_what_is_assumed():
    told = " ".join(notes(show(plan_of(2, 2, expect="less"))))
    for part in ("found in 80 of 100 trials", "is assumed", "work at once and to stay", "only the drawn start looks one way",
                 "A swap needs a reset", "whether it would move others needs more tanks"):
        assert part in told
    assert "work at once" not in " ".join(notes(show(plan_of(2, 2, choice=measure(summary="slope")))))
