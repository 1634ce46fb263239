"""What a plan could show, in words that a keeper reads aloud."""

import math
from dataclasses import replace

import pytest

from fairtank.inference.foresight.layouts import Layout
from fairtank.inference.foresight.showing import Prices, show
from fairtank.planning.wizard.designs import proposals
from fairtank.planning.wizard.making import plan_of as planned_of
from fairtank.planning.wizard.step import Told
from fairtank.publish.detect_words import (
    DESIGN_WORDS,
    HUGE_CELL,
    HUGE_SENTENCE,
    HUGE_TIMES,
    NOTHING,
    earlier_sentences,
    headline,
    layout_words,
    look_sentences,
    margin_sentence,
    notes,
    one_tank_sentences,
    opening,
    settling_sentence,
    spread_sentence,
    table_rows,
)
from fairtank.publish.frontier import frontier_chart, points_of
from fairtank.trial import Arm, Unit
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
    assert said.startswith(f"As planned (6 tanks per arm, day 0 to 42), {told} If like tanks differ by a third less, at ")
    assert "; if by half as much again, at " in said


def test_the_sentence_never_says_none_or_all():
    said = plain(headline(show(plan_of(2, 2, expect="more"), sd=2.0)))
    assert "at over 99 % instead of 10 %" in said
    assert "at under 0.1 % instead of 10 %" in plain(headline(show(plan_of(2, 2, expect="less"), sd=2.0)))


def test_a_small_difference_is_told_with_as_many_figures_as_set_it_apart():
    assert "at 10.2 % instead of 10 %" in plain(headline(show(plan_of(6, 6, expect="more"), sd=0.0121)))


@pytest.mark.parametrize(("expect", "told"), [("less", "at 10.7 cm instead of 12 cm"), ("more", "at 13.3 cm instead of 12 cm"),
                                              ("either", "at 13.3 cm or 10.7 cm instead of 12 cm")])
def test_rounding_does_not_swallow_a_difference_that_is_small_beside_its_level(expect, told):
    showing = show(plan_of(4, 4, expect=expect, choice=measure("identity", unit="cm")), sd=0.5, reference=12.0)
    assert told in plain(headline(showing))


def test_an_effect_that_builds_up_is_told_with_its_days():
    said = plain(headline(show(plan_of(6, 6, expect="more", choice=measure(summary="slope")))))
    assert "instead of 10 % after 42 days, but no smaller difference" in said


@pytest.mark.parametrize(("scale", "told"), [
    ("log", "you would notice cover by eye at 142 % of what the reference tanks show, but no smaller difference"),
    ("identity", "you would notice cover by eye up by 0.35 cm, but no smaller"),
])
def test_other_scales_are_told_in_their_own_way(scale, told):
    showing = show(plan_of(6, 6, expect="more", choice=measure(scale, unit="cm")), sd=0.192)
    assert told in plain(headline(showing))


def test_a_difference_of_per_cents_as_they_are_is_told_in_percentage_points():
    showing = show(plan_of(6, 6, expect="more", choice=measure("identity", unit="%")), sd=0.192)
    assert "up by 0.35 percentage points, but no smaller" in plain(headline(showing))


def test_nothing_by_itself_is_given_its_reason_with_one_tank_in_an_arm_only():
    reason = "“nothing by itself”: with one tank in an arm nothing shows how far like tanks end up apart"
    assert any(text.startswith(reason) for text in notes(show(plan_of(1, 1))))
    assert not any(text.startswith(reason) for text in notes(show(plan_of(3, 3))))


def test_one_tank_each_is_told_what_is_possible_and_what_not():
    showing = show(plan_of(1, 1))
    assert plain(headline(showing)) == ("As planned (1 tank per arm, day 0 to 42), this trial cannot tell by its own tanks: one tank in an "
                                        "arm "
                                        "cannot tell how far like tanks differ.")
    told = one_tank_sentences(showing)
    assert told[0].startswith("Not possible with one tank in an arm: an interval from its own tanks. More days or more photos do not help")
    assert told[1].startswith("Possible with the same two tanks: a drawn start (design H).")
    assert settling_sentence(showing) == "What would settle it: three tanks per arm (design C)."
    assert (one_tank_sentences(show(plan_of(2, 2))), settling_sentence(show(plan_of(3, 3)))) == ((), "")
    short = one_tank_sentences(show(plan_of(1, 1, days=21)))
    assert short[1] == "With the same two tanks a drawn start could speak of these two; it needs 29 days or more to look both ways."


def test_it_is_told_what_earlier_trials_do_or_would_do():
    borrowing = earlier_sentences(show(plan_of(1, 1), entries=entries([0.04] * 6), tank_litres=54.0))
    assert borrowing == ("Possible: an interval that borrows its spread from your earlier trials. It holds only if these tanks vary "
                         "like those, at most half as much again.",)
    wanting = [plain(one) for one in earlier_sentences(show(plan_of(1, 1, expect="more"), sd=0.2))]
    assert wanting == ["Possible with earlier trials: spread.csv holds none of this kind. With five, of two tanks per arm each, you "
                       "would notice it at 31 % instead of 10 %."]
    other = earlier_sentences(show(plan_of(2, 2), entries=entries([0.04] * 5, tank_class="tank of 150 to under 300 L"), tank_litres=54.0))
    assert other[1] == ("Left out of spread.csv: trial 0, trial 1, trial 2 and 2 more: other tanks (tank of 150 to under 300 L, not tank "
                        "of 45 to under 80 L).")
    assert earlier_sentences(show(plan_of(2, 2, earlier_tanks=False))) == ("The plan does not let earlier tanks help (earlier_tanks = "
                                                                          "false).",)
    assert earlier_sentences(show(plan_of(3, 3))) == ()


def test_where_more_scatter_would_set_the_earlier_tanks_aside_it_is_said_that_nothing_is_found():
    showing = show(plan_of(1, 3, expect="less"), entries=entries([0.04, 0.05, 0.03, 0.06, 0.04, 0.05]), tank_litres=54.0)
    said = plain(headline(showing))
    assert said.startswith("As planned (1 reference tank and 3 changed tanks, day 0 to 42), you would notice cover by eye at 3.4 % "
                           "instead of")
    assert said.endswith("if 1.7 times as much, nothing at all (12 degrees of freedom leave both open).")
    assert table_rows(showing)[1][-1] == NOTHING
    assert "Possible with two of these tanks: a drawn start" in one_tank_sentences(showing)[1]
    plan = next(point for point in points_of(showing) if point.letter == "A")
    assert plan.high == math.inf
    assert "<svg" in frontier_chart(showing, width_px=360)


def test_what_is_taken_on_trust_of_earlier_trials_is_told():
    told = earlier_sentences(show(plan_of(1, 1), entries=entries([0.04] * 6)))
    assert told[-1].endswith("is taken on trust.")


ARMS_OF = {"several": ("side_by_side", None), "ladder": ("ladder", (0.0, 5.0, 10.0)), "two changes": ("two_changes", None)}


def with_arms(word, sizes, **more):
    """A plan with as many arms as there are sizes."""
    kind, doses = ARMS_OF[word]
    keys = "RABC"[: len(sizes)]
    arms = tuple(Arm(key, "changed" if key != "R" else "reference", dose=None if doses is None else doses[place])
                 for place, key in enumerate(keys))
    units = tuple(Unit(f"{key}{number}", key) for key, size in zip(keys, sizes, strict=True) for number in range(size))
    return replace(plan_of(units=units, kind=kind, **more), arms=arms)


@pytest.mark.parametrize(("word", "sizes", "laid_out", "told", "note"), [
    ("several", (4, 4, 4), "3 arms with 4 tanks each", "in one of the arms instead of 10 %", "share one promise"),
    ("several", (4, 3, 4), "3 arms with 4, 3 and 4 tanks", "in one of the arms instead of 10 %", "share one promise"),
    ("ladder", (3, 3, 3), "3 doses with 3 tanks each", "at the highest dose instead of 10 %", "along a straight line"),
    ("two changes", (2, 2, 2, 2), "4 combinations of two changes with 2 tanks each", "with either change instead of 10 %",
     "all without it"),
])
def test_plans_with_more_than_two_arms_are_told_in_their_own_way(word, sizes, laid_out, told, note):
    showing = show(with_arms(word, sizes, expect="more"), sd=0.3)
    said = plain(headline(showing))
    assert said.startswith(f"As planned ({laid_out}, day 0 to 42), you would notice cover by eye at ")
    assert told in said
    assert note in " ".join(notes(showing))
    assert {one.key for one in showing.designs} <= set(DESIGN_WORDS)


def test_all_pairs_are_told_as_such():
    assert "between two of the arms instead of 10 %" in plain(headline(show(with_arms("several", (4, 4, 4), compare="all"), sd=0.3)))


def test_every_sentence_above_the_table_is_there_and_none_is_empty():
    assert opening(show(plan_of(3, 3)))[0].startswith("As planned")
    told = opening(show(plan_of(1, 1)))
    assert all(told)
    assert told[-1].startswith("What would settle it")



def test_the_table_has_costs_only_where_there_are_prices():
    without, priced = table_rows(show(plan_of(1, 1))), table_rows(show(plan_of(1, 1), prices=Prices(80, 2)))
    assert "cost" not in without[0]
    assert "cost" in priced[0]
    assert {len(row) for row in without} == {7}
    assert {len(row) for row in priced} == {8}
    assert priced[1][:6] == ["A", "as planned", "2", "42", "244", NOTHING]


def test_more_tanks_are_called_what_they_are_in_the_design():
    units = tuple(Unit(f"{arm}{number}", arm, pair=str(number)) for number in range(4) for arm in "RC")
    told = [row[1] for row in table_rows(show(plan_of(kind="pairs", units=units)))]
    assert "one more pair" in told
    assert "a pair more and two weeks alike" in told
    assert "one more tank on each dose" in [row[1] for row in table_rows(show(with_arms("ladder", (2, 2, 2))))]


def test_the_notes_of_pairs_and_rounds_say_what_is_not_counted():
    pairs = tuple(Unit(f"{arm}{number}", arm, pair=str(number)) for number in range(4) for arm in "RC")
    assert "share a place" in " ".join(notes(show(plan_of(kind="pairs", units=pairs))))
    rounds = tuple(Unit(f"{arm}{number}", arm, tank=arm, round=str(number)) for number in range(4) for arm in "RC")
    assert "stays with the two tanks" in " ".join(notes(show(plan_of(kind="rounds", units=rounds, days=111, round_days=28))))


def test_every_way_has_words():
    for plan in (plan_of(1, 1), plan_of(3, 3)):
        assert {one.key for one in show(plan).designs} <= set(DESIGN_WORDS)


@pytest.mark.parametrize(("layout", "told"), [
    (Layout("side_by_side", 1, 1, 0, 42), "1 tank per arm, day 0 to 42"),
    (Layout("side_by_side", 2, 3, 0, 42), "2 reference tanks and 3 changed tanks, day 0 to 42"),
    (Layout("run_in", 3, 3, 14, 56, (0, 13)), "3 tanks per arm, day 0 to 56, the first 14 alike"),
    (Layout("swap", 2, 2, 0, 42, swap_day=21), "2 tanks per arm, day 0 to 42, swapped on day 21"),
    (Layout("pairs", 4, 4, 0, 42), "4 pairs, day 0 to 42"),
    (Layout("rounds", 1, 1, 0, 20, rounds=5, round_days=21), "2 tanks, 5 rounds of 21 days"),
    (Layout("ladder", 1, 1, 0, 42, arms=(1, 1, 1), doses=(0.0, 1.0, 2.0)), "3 doses with 1 tank each, day 0 to 42"),
    (Layout("drawn_start", 1, 1, 0, 42, start_window=(14, 27)), "2 tanks, start drawn from day 14 to 27, day 0 to 42"),
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
    assert spread_sentence(show(plan_of(3, 3), tank_litres=54.0, **given)).startswith(told)


def test_the_range_of_a_measured_spread_names_its_degrees_of_freedom():
    said = plain(headline(show(plan_of(3, 3), entries=entries([0.04] * 6), tank_litres=54.0)))
    assert "If like tanks differ 0.72 times as much, at " in said
    assert said.endswith("(12 degrees of freedom leave both open).")


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


def test_a_step_that_no_change_makes_is_told_without_a_number():
    told = Told({"primary": "canopy_height", "level": 15.0, "margin": 3.0, "tanks": 4, "weeks": 6, "change": "x"})
    showing = show(planned_of(told, proposals(told)[0]), reference=15.0)
    assert headline(showing) == HUGE_SENTENCE
    cells = [row[4] for row in table_rows(showing)[1:]]
    assert HUGE_CELL in cells
    assert cells[0] == HUGE_CELL
    assert "A" not in [point.letter for point in points_of(showing)]
    assert f"as planned: {HUGE_CELL}" in frontier_chart(showing)
    assert not any(float(word) > HUGE_TIMES * 15.0 for row in table_rows(showing)[1:] for cell in row[4:]
                   for word in cell.replace("\xa0", " ").split() if word.replace(".", "").isdecimal())
    own = show(planned_of(told, proposals(told)[0]), reference=15.0, sd=showing.spread.sd)
    assert HUGE_CELL not in headline(own)
