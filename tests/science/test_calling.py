"""Calling a calculator at many points: at once where that is the same, one by one where it is not."""

from collections import namedtuple
from dataclasses import dataclass

import numpy as np
import pytest

from fairtank import registry
from fairtank.errors import OutOfRangeError
from fairtank.registry import Entry, Input
from fairtank.science.calling import called, is_number, parts_of

Limits = namedtuple("Limits", "low high")


@dataclass(frozen=True)
class Both:
    twice: float
    word: str


def entry_of(function, *names):
    return Entry("calculator", "invented", "Invented", "", (), "", function, inputs=tuple(Input(name, name) for name in names))


def test_points_that_can_be_had_at_once_are():
    seen = called(registry.entry("calculator", "displaced_l"), {"density_kg_l": 2.5}, {"mass_kg": np.array([5.0, 10.0])})
    assert seen.at_once
    assert seen.parts[""].tolist() == [2.0, 4.0]


def test_a_function_that_takes_an_array_as_one_sample_is_called_point_by_point():
    mean = entry_of(lambda size: float(np.mean(size)), "size")
    seen = called(mean, {}, {"size": np.array([1.0, 2.0, 6.0])})
    assert not seen.at_once
    assert seen.parts[""].tolist() == [1.0, 2.0, 6.0]


def test_a_function_that_mixes_its_points_is_called_point_by_point():
    running = entry_of(np.cumsum, "a")
    seen = called(running, {}, {"a": np.array([1.0, 2.0, 6.0])})
    assert not seen.at_once


def test_a_part_that_is_the_same_everywhere_is_spread_over_the_points():
    seen = called(entry_of(lambda size: Limits(3.0, 2 * size), "size"), {}, {"size": np.array([1.0, 2.0])})
    assert seen.at_once
    assert seen.parts["low"].tolist() == [3.0, 3.0]


def test_words_among_the_results_stay_words():
    seen = called(entry_of(lambda size: Both(2 * size, "large" if size > 1 else "small"), "size"), {}, {"size": np.array([1.0, 2.0])})
    assert seen.parts["twice"].dtype == float
    assert seen.parts["word"].tolist() == ["small", "large"]


def test_words_may_change_from_point_to_point():
    entry = registry.entry("calculator", "lux_per_ppfd")
    seen = called(entry, {}, {"source": np.array(["sunlight", "blue_sky"])})
    assert seen.parts[""].tolist() == [entry.function("sunlight"), entry.function("blue_sky")]


def test_a_refused_point_is_raised_or_left_missing():
    entry = registry.entry("calculator", "pore_water_l")
    columns = {"bulk_density_kg_l": np.array([1.0, 3.0, 2.0])}
    given = {"mass_kg": 5.0, "particle_density_kg_l": 2.5}
    with pytest.raises(OutOfRangeError, match=r"particle_density_kg_l is 2\.5 kg/L; accepted: the bulk density or more"):
        called(entry, given, columns)
    seen = called(entry, given, columns, skip=True)
    assert np.isnan(seen.parts[""]).tolist() == [False, True, False]
    assert called(entry, given, columns, skip=True, singly_at_most=0).parts == {}
    assert len(called(entry, given, columns, skip=True, singly_at_most=1).parts[""]) == 1


def test_a_result_is_taken_apart_by_its_names():
    assert parts_of(Both(1.0, "a")) == {"twice": 1.0, "word": "a"}
    assert parts_of(Limits(1, 2)) == {"low": 1, "high": 2}
    assert parts_of({"K": 386.7}) == {"K": 386.7}
    assert parts_of([1, 2]) == {"": [1, 2]}


@pytest.mark.parametrize(("part", "number"), [(1, True), (np.float64(1.5), True), (np.int64(3), True), (False, False), (np.True_, False),
                                              (None, False), ([1.0], False), ("1", False)])
def test_what_counts_as_one_number(part, number):
    assert is_number(part) is number
