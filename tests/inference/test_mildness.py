"""A mild person favours no tank: plain means where everyone scored everything, balanced ones elsewhere."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fairtank.inference.eyes.mildness import photo_numbers


def test_where_everyone_scored_every_photo_a_number_is_the_plain_mean():
    found = photo_numbers({"a": {"P": 1, "Q": 3}, "b": {"P": 4, "Q": 4}})
    assert (found.values, found.state) == ({"a": 2.0, "b": 4.0}, "alike")


def test_a_mild_person_who_scored_one_photo_only_does_not_pull_it_down():
    # Q gives 2 less than P wherever both scored; photo c was scored by Q alone.
    found = photo_numbers({"a": {"P": 5, "Q": 3}, "b": {"P": 7, "Q": 5}, "c": {"Q": 5}})
    assert found.state == "balanced"
    assert found.values == {"a": 4.0, "b": 6.0, "c": 6.0}


def test_people_who_share_no_photo_are_left_as_they_are_and_it_is_said():
    found = photo_numbers({"a": {"P": 5}, "b": {"Q": 3}})
    assert (found.values, found.state) == ({"a": 5.0, "b": 3.0}, "unbalanced")


def test_one_person_alone_needs_no_balance():
    assert photo_numbers({"a": {"": 5}, "b": {"": 3}}).state == "alike"


@given(st.integers(0, 2**32 - 1))
def test_scores_that_are_photo_plus_mildness_are_taken_apart_exactly(seed):
    draw = np.random.default_rng(seed)
    photo, mild = draw.normal(5, 2, 8), draw.normal(0, 1, 3)
    mild -= mild.mean()
    # Everyone scored the first two photos; of the others each photo misses somebody.
    seen = {f"p{index}": {who: float(photo[index] + mild[place]) for place, who in enumerate("PQR") if index < 2 or (index + place) % 3}
            for index in range(8)}
    found = photo_numbers(seen)
    assert found.state == "balanced"
    assert [found.values[f"p{index}"] for index in range(8)] == pytest.approx(list(photo))


def test_it_is_the_least_squares_answer_that_statsmodels_finds():
    import statsmodels.api as sm

    draw = np.random.default_rng(5)
    seen = {f"p{index}": {who: float(draw.integers(0, 11)) for place, who in enumerate("PQRS") if (index + place) % 4}
            for index in range(9)}
    rows = [(index, place, seen[f"p{index}"][who]) for index in range(9) for place, who in enumerate("PQRS") if who in seen[f"p{index}"]]
    table = np.zeros((len(rows), 9 + 3))
    for row, (index, place, _) in enumerate(rows):
        table[row, index] = 1.0
        if place < 3:
            table[row, 9 + place] = 1.0
        else:
            table[row, 9:] = -1.0  # mildness adds up to 0
    fitted = sm.OLS([score for _, _, score in rows], table).fit().params[:9]
    assert [photo_numbers(seen).values[f"p{index}"] for index in range(9)] == pytest.approx(list(fitted))
