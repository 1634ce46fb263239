"""Choices between two photos: strengths against another program, their properties, and the ranking with its uncertainty."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fairtank.errors import InputError, NotEnoughDataError
from fairtank.inference.eyes.preferences import Choice, ranking, strengths_from_wins, wins_of
from inference.worked.data import JOURNALS, citations


def glm(wins):
    """Strengths, standard errors and deviance by a general binomial regression with the first item held at 0."""
    from statsmodels.genmod.families import Binomial
    from statsmodels.genmod.generalized_linear_model import GLM

    pairs = [(one, other) for one in range(len(wins)) for other in range(one) if wins[one, other] + wins[other, one] > 0]
    design = np.zeros((len(pairs), len(wins)))
    for row, (one, other) in enumerate(pairs):
        design[row, one], design[row, other] = 1, -1
    outcome = [[wins[one, other], wins[other, one]] for one, other in pairs]
    return GLM(np.array(outcome), design[:, 1:], family=Binomial()).fit(tol=1e-14)


def test_the_first_of_the_four_journals_is_held_at_zero_and_nothing_is_borrowed():
    found = strengths_from_wins(JOURNALS, citations())
    assert found.relative_to("Biometrika")[0] == (0.0, 0.0)
    assert (found.df, found.borrowed) == (3, False)


@pytest.mark.parametrize("missing", [(), ((0, 1),), ((0, 1), (2, 3))])
def test_strengths_equal_a_general_regression_also_where_pairs_were_not_compared(missing):
    wins = np.array(citations())
    for one, other in missing:
        wins[one, other] = wins[other, one] = 0
    other = glm(wins)
    found = strengths_from_wins(JOURNALS, wins.tolist())
    strengths, errors = zip(*found.relative_to("Biometrika"), strict=True)
    assert strengths[1:] == pytest.approx(other.params, rel=1e-7)
    assert errors[1:] == pytest.approx(other.bse, rel=1e-6)
    assert found.deviance == pytest.approx(other.deviance, rel=1e-6, abs=1e-9)
    assert found.df == other.df_resid


def test_strengths_with_borrowed_wins_equal_a_regression_on_the_same_table():
    wins = np.array([[0.0, 4, 5], [0, 0, 3], [0, 2, 0]])  # the first unit won all
    found = strengths_from_wins("abc", wins.tolist())
    filled = wins.copy()
    filled[0, 1:] += 0.5
    filled[1:, 0] += 0.5
    assert found.borrowed
    assert [strength for strength, _ in found.relative_to("a")][1:] == pytest.approx(glm(filled).params, rel=1e-7)


def test_two_units_differ_by_the_log_odds():
    found = strengths_from_wins(("a", "b"), [[0, 30], [10, 0]])
    assert found.values == pytest.approx((math.log(3) / 2, -math.log(3) / 2))
    assert found.relative_to("b")[0][1] == pytest.approx(math.sqrt(1 / 30 + 1 / 10))


TABLES = st.integers(2, 5).flatmap(lambda n: st.lists(st.lists(st.integers(1, 9), min_size=n, max_size=n), min_size=n, max_size=n))


@settings(max_examples=40)
@given(TABLES)
def test_at_the_answer_each_unit_wins_as_often_as_its_strength_says(wins):
    found = strengths_from_wins([f"u{index}" for index in range(len(wins))], wins)
    counts, values = np.array(wins, dtype=float), np.array(found.values)
    np.fill_diagonal(counts, 0)
    expected = ((counts + counts.T) / (1 + np.exp(values[None, :] - values[:, None]))).sum(axis=1)
    np.fill_diagonal(counts, 0)
    assert counts.sum(axis=1) == pytest.approx(expected, abs=1e-8)
    assert sum(found.values) == pytest.approx(0, abs=1e-10)


@settings(max_examples=40)
@given(TABLES, st.randoms(use_true_random=False))
def test_the_order_of_the_units_does_not_matter(wins, random):
    units = [f"u{index}" for index in range(len(wins))]
    order = random.sample(range(len(wins)), len(wins))
    there = dict(zip(units, strengths_from_wins(units, wins).values, strict=True))
    mixed = [units[index] for index in order]
    back = strengths_from_wins(mixed, [[wins[one][other] for other in order] for one in order])
    assert dict(zip(mixed, back.values, strict=True)) == there


@settings(max_examples=40)
@given(TABLES)
def test_turning_every_choice_round_turns_the_strengths_round(wins):
    units = [f"u{index}" for index in range(len(wins))]
    there, back = strengths_from_wins(units, wins), strengths_from_wins(units, [list(column) for column in zip(*wins, strict=True)])
    assert back.values == pytest.approx([-value for value in there.values], abs=1e-10)


@settings(max_examples=40)
@given(TABLES, st.integers(2, 5))
def test_more_of_the_same_choices_change_the_certainty_only(wins, times):
    units = [f"u{index}" for index in range(len(wins))]
    once, often = strengths_from_wins(units, wins), strengths_from_wins(units, [[times * count for count in row] for row in wins])
    assert often.values == pytest.approx(once.values, abs=1e-10)
    assert np.array(often.covariance) * times == pytest.approx(np.array(once.covariance), abs=1e-10)


def test_a_chain_in_which_everyone_beat_the_next_is_kept_finite_and_in_order():
    found = strengths_from_wins("abcd", [[0, 2, 0, 0], [0, 0, 2, 0], [0, 0, 0, 2], [0, 0, 0, 0]])
    assert found.borrowed
    assert list(found.values) == sorted(found.values, reverse=True)
    assert found.values[0] - found.values[1] == pytest.approx(math.log(2.5 / 0.5))


def test_two_groups_of_which_one_always_won_borrow_only_between_them():
    inside = [[0, 3, 4, 4], [2, 0, 4, 4], [0, 0, 0, 3], [0, 0, 3, 0]]
    found = strengths_from_wins("abcd", inside)
    assert found.borrowed
    filled = np.array(inside, dtype=float)
    filled[:2, 2:] += 0.5
    filled[2:, :2] += 0.5
    assert [strength for strength, _ in found.relative_to("a")][1:] == pytest.approx(glm(filled).params, rel=1e-7)


@pytest.mark.parametrize(("units", "wins", "error", "message"), [
    (("a",), [[0]], NotEnoughDataError, "at least two units"),
    (("a", "a"), [[0, 1], [1, 0]], InputError, "units is named twice; accepted: each unit once"),
    (("a", "b"), [[0, 1]], InputError, "wins is a table of another size"),
    (("a", "b"), [[0, -1], [1, 0]], InputError, "wins is not made of counts; accepted: numbers from 0 up"),
    (("a", "b"), [[0, float("nan")], [1, 0]], InputError, "not made of counts"),
    (("a", "b"), [[0, 0], [0, 0]], NotEnoughDataError, "never compared"),
    (tuple("abcd"), [[0, 1, 0, 0], [1, 0, 0, 0], [0, 0, 0, 1], [0, 0, 1, 0]], NotEnoughDataError, "never compared with the others"),
])
def test_a_table_that_cannot_be_ordered_is_refused(units, wins, error, message):
    with pytest.raises(error, match=message):
        strengths_from_wins(units, wins)


def answers(people, likelier, *, units="ABCD", times=2, seed=1):
    """Choices of several people between all pairs; each chooses the earlier unit with that chance."""
    generator = np.random.default_rng(seed)
    pairs = [(one, other) for index, one in enumerate(units) for other in units[index + 1:]]
    return [Choice(f"person {who}", one, other, "a" if generator.random() < likelier else "b")
            for who in range(people) for one, other in pairs for _ in range(times)]


def test_the_ranking_names_the_strongest_first_with_the_places_it_may_hold():
    found = ranking(answers(8, 0.85, times=4))
    assert [place.unit for place in found.places] == ["A", "B", "C", "D"]
    assert [place.rank for place in found.places] == [1, 2, 3, 4]
    assert all(place.low < place.strength < place.high and place.rank_low <= place.rank <= place.rank_high for place in found.places)
    assert (found.raters, found.choices, found.same, found.within) == (8, 192, 0, 0)
    assert found.note.startswith("The intervals come from how far the 8 people differ")
    assert found.places[-1].rank_low > 1


def test_with_nothing_to_tell_apart_every_place_stays_open():
    assert all((place.rank_low, place.rank_high) == (1, 4) for place in ranking(answers(3, 0.5)).places)


def test_one_person_gives_an_order_without_an_interval_and_says_so():
    found = ranking(answers(1, 0.9, times=6))
    assert not found.has_interval
    assert {(place.low, place.high, place.rank_low, place.rank_high) for place in found.places} == {(None, None, None, None)}
    assert found.note == "One person chose: nothing shows whether others would choose alike, so there is no interval."


def test_people_who_all_answer_alike_do_not_make_an_order_certain():
    found = ranking([Choice(person, "left", "right", "a") for person in "PQR"])
    left, right = found.places
    assert found.borrowed
    assert left.low < 0 < left.high
    assert (left.rank_low, left.rank_high, right.rank_low, right.rank_high) == (1, 2, 1, 2)


def test_people_who_differ_widen_the_interval_beyond_what_their_many_choices_suggest():
    """Four people of which each always says the same: 40 choices, but four opinions."""
    choices = [Choice(person, "left", "right", "a" if person != "S" else "b") for person in "PQRS" for _ in range(10)]
    left = ranking(choices).places[0]
    alone = strengths_from_wins(("left", "right"), [[0, 30], [10, 0]])
    assert left.strength == pytest.approx(alone.values[0])
    assert left.high - left.strength > 3 * 1.96 * math.sqrt(alone.covariance[0][0])
    assert (left.rank_low, left.rank_high) == (1, 2)


def test_people_who_compared_different_tanks_give_no_interval():
    found = ranking([Choice("P", "A", "B", "a"), Choice("Q", "B", "C", "a"), Choice("Q", "B", "C", "b"), Choice("P", "A", "B", "b")])
    assert not found.has_interval
    assert found.note.startswith("Different people compared different tanks")


def test_same_is_half_a_win_each_way_and_two_photos_of_one_tank_are_not_counted():
    choices = [Choice("P", "A", "B", "same"), Choice("P", "A", "B", "a"), Choice("P", "B", "A", "a"), Choice("P", "A", "A", "a")]
    assert wins_of(choices, ("A", "B")).tolist() == [[0, 1.5], [1.5, 0]]
    found = ranking(choices)
    assert (found.choices, found.same, found.within) == (3, 1, 1)
    assert [(place.strength, place.rank, place.chosen_share, place.comparisons) for place in found.places] == [(0.0, 1, 0.5, 3)] * 2


@settings(max_examples=10, deadline=None)
@given(st.randoms(use_true_random=False))
def test_neither_order_nor_names_of_people_nor_sides_change_the_ranking(random):
    choices = answers(4, 0.7)
    renamed = dict(zip([f"person {who}" for who in range(4)], random.sample("WXYZ", 4), strict=True))
    turned = [
        Choice(renamed[one.rater], one.unit_b, one.unit_a, {"a": "b", "b": "a"}[one.more]) if random.random() < 0.5
        else Choice(renamed[one.rater], one.unit_a, one.unit_b, one.more)
        for one in random.sample(choices, len(choices))
    ]
    assert ranking(turned) == ranking(choices)


def test_intervals_of_simulated_people_hold_the_truth_often_enough():
    truth, held, asked = {"A": 0.6, "B": 0.0, "C": -0.6}, 0, 0
    generator = np.random.default_rng(20261125)
    for _ in range(40):
        choices = []
        for who in range(5):
            own = {unit: strength + generator.normal(scale=0.5) for unit, strength in truth.items()}
            for one, other in (("A", "B"), ("A", "C"), ("B", "C")) * 3:
                chance = 1 / (1 + math.exp(own[other] - own[one]))
                choices.append(Choice(f"P{who}", one, other, "a" if generator.random() < chance else "b"))
        for place in ranking(choices).places:
            asked += 1
            held += place.low <= truth[place.unit] <= place.high
    assert held / asked >= 0.95 - 3 * math.sqrt(0.95 * 0.05 / asked)


@pytest.mark.parametrize(("choices", "error", "message"), [
    ([Choice("P", "A", "B", "left")], InputError, "more is left; accepted: a, b, same"),
    ([], NotEnoughDataError, "No choice was made between photos of two units"),
    ([Choice("P", "A", "A", "a")], NotEnoughDataError, "No choice was made between photos of two units"),
    ([Choice("P", "A", "B", "a"), Choice("P", "C", "D", "a")], NotEnoughDataError, "never compared with the others"),
])
def test_choices_that_make_no_order_are_refused(choices, error, message):
    with pytest.raises(error, match=message):
        ranking(choices)
