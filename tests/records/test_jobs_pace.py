"""How long work may still take."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fairtank.records.jobs.pace import FEWEST_LOOKS, ago_words, left_words, seconds_left


@pytest.fixture(scope="module", autouse=True)
def _words():
    """Texts in words can be asked for."""
    import django

    django.setup()


@given(pace=st.integers(1, 50), looks=st.integers(FEWEST_LOOKS, 30), left=st.integers(0, 10_000))
def test_even_work_takes_as_long_as_its_pace_says(pace, looks, left):
    told = [(float(second), pace * second) for second in range(looks)]
    assert seconds_left(told, told[-1][1] + left) == round(left / pace)


def test_a_pause_of_a_few_seconds_does_not_move_it():
    steady = [(float(second), 2 * second) for second in range(10)]
    with_pause = [*steady, (30.0, 19), *((30.0 + second, 19 + 2 * second) for second in range(1, 10))]
    assert seconds_left(with_pause, with_pause[-1][1] + 100) == pytest.approx(50, abs=5)


@pytest.mark.parametrize("looks", [
    [], [(0.0, 0), (1.0, 5)], [(float(second), 3) for second in range(9)], [(1.0, number) for number in range(9)],
])
def test_too_few_looks_and_work_that_stands_still_tell_nothing(looks):
    assert seconds_left(looks, 100) is None


def test_work_that_was_there_before_is_not_taken_for_haste():
    assert seconds_left([(float(second), 900 + second) for second in range(6)], 1000) == 95


@pytest.mark.parametrize(("seconds", "words"), [
    (0, "less than a minute left"), (59, "less than a minute left"), (60, "about 1 minute left"), (150, "about 2 minutes left"),
    (3600, "about 60 minutes left"), (5400, "about 2 hours left"), (90_000, "about 25 hours left"),
])
def test_a_time_is_told_as_exactly_as_such_a_guess_is(seconds, words):
    assert left_words(seconds) == words


@pytest.mark.parametrize(("seconds", "words"), [
    (-3, "just now"), (59, "just now"), (60, "1 minute ago"), (3599, "59 minutes ago"), (3600, "1 hour ago"), (172_799, "47 hours ago"),
    (172_800, "2 days ago"), (40 * 86_400, "40 days ago"),
])
def test_how_long_ago_is_told_in_words(seconds, words):
    assert ago_words(seconds) == words
