"""Which row of frames.csv holds for a photo."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fairtank.records.services.epochs import frame_of, unit_epochs
from fairtank.trial import Frame, Photo

START = datetime(2026, 3, 1, 9)
CORNERS = ((1.0, 1.0), (9.0, 1.0), (9.0, 6.0), (1.0, 6.0))


@dataclass
class Kept:
    """The two fields of a trial folder that tell which frame holds when."""

    photos: tuple[Photo, ...]
    frames: tuple[Frame, ...]


def photo(day: int, unit: str = "T1") -> Photo:
    return Photo(f"photos/{unit}-{day}.jpg", unit, START + timedelta(days=day), day)


def frame(day: int, unit: str = "T1", mode: str = "registered") -> Frame:
    return Frame(unit, photo(day, unit).path, mode, "front", CORNERS, 60, 36)


def kept(days: range, frames: tuple[Frame, ...]) -> Kept:
    return Kept(tuple(photo(day, unit) for day in days for unit in ("T1", "T2")), frames)


def test_a_single_row_holds_for_every_photo_also_for_those_before_its_own():
    folder = kept(range(10), (frame(4),))
    epochs = unit_epochs(folder)
    assert epochs.keys() == {"T1"}
    assert {frame_of(photo(day), epochs["T1"]) for day in range(10)} == {frame(4)}


@pytest.mark.parametrize("mode", ["registered", "fixed"])
def test_a_further_row_holds_from_its_reference_photo_on(mode):
    rows = (frame(14, mode=mode), frame(2, mode=mode), frame(7, mode=mode), frame(3, "T2"))
    epochs = unit_epochs(kept(range(20), rows))
    held = [frame_of(photo(day), epochs["T1"]).reference_photo for day in (0, 2, 6, 7, 13, 14, 19)]
    assert held == [photo(day).path for day in (2, 2, 2, 7, 7, 14, 14)]
    assert [epoch.frame for epoch in epochs["T2"]] == [frame(3, "T2")]


def test_by_hand_the_first_row_sets_the_size_and_there_is_one_epoch():
    epochs = unit_epochs(kept(range(5), tuple(frame(day, mode="by_hand") for day in (3, 0, 1))))
    assert [epoch.frame for epoch in epochs["T1"]] == [frame(3, mode="by_hand")]


@given(st.lists(st.integers(0, 40), min_size=1, max_size=5, unique=True))
def test_every_photo_has_one_frame_and_time_never_runs_back_through_the_rows(days):
    epochs = unit_epochs(kept(range(41), tuple(frame(day) for day in days)))["T1"]
    held = [frame_of(photo(day), epochs) for day in range(41)]
    places = [[epoch.frame for epoch in epochs].index(one) for one in held]
    assert all(later - earlier in (0, 1) for earlier, later in pairwise(places))
    assert set(held) == {frame(day) for day in days}
