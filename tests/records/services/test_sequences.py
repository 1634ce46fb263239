"""What happened between two photos of a tank, as measures over photos are told."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from tests.vision.pictures import CORNERS, PHOTO

from fairtank.records.services.sequences import sequence_rows
from fairtank.trial import Arm, Event, Frame, PhotoQuality, Plan, TrialFolder, Unit
from fairtank.vision.measure import PhotoResult
from fairtank.vision.spots import SpotNote

NOTE = SpotNote(np.array([[5.0, 5.0]], np.float32), np.array([0.1], np.float32), np.ones((40, 60), bool), 600.0)
START = datetime(2026, 3, 1, 18)
DAYS = (0, 1, 2, 3)


def told(*events: Event, bad: tuple[int, ...] = (), frames: tuple[int, ...] = ()) -> list[int]:
    """The days whose spots were confirmed by the photo after."""
    plan = Plan("t", date(2026, 3, 1), 10, "side_by_side", (Arm("R", "reference"), Arm("C", "changed")), (Unit("T1", "R"),), ())
    photos = tuple(replace(PHOTO, path=f"{day}.jpg", taken_at=START + timedelta(days=day), day=day) for day in DAYS)
    results = {}
    for photo in photos:
        kind = "not usable" if photo.day in bad else "usable"
        quality = PhotoQuality(photo.path, "T1", photo.day, kind, (), None, None, None, None, None, "v")
        results[photo.path] = PhotoResult((), quality, b"", NOTE)
    rows_of_frames = tuple(Frame("T1", f"{day}.jpg", "registered", "front", CORNERS, 70.0, 50.0) for day in frames)
    folder = TrialFolder(Path("t"), plan, "sha256:0", photos=photos, events=events, frames=rows_of_frames)
    rows = sequence_rows(folder, results, lambda photo: results[photo.path])
    return [row.day for kept in rows.values() for row in kept if row.measure == "algae_spots"]


def cleaned(at: datetime, until: datetime | None = None, units: tuple[str, ...] = ("T1",)) -> Event:
    return Event(units, at, until, at.day - 1, (until or at).day - 1, "cleaning", "front glass")


def test_each_photo_is_confirmed_by_the_next_and_a_bad_one_is_passed_over():
    assert told() == [0, 1, 2]
    assert told(bad=(1,)) == [0, 2]


@pytest.mark.parametrize(("event", "left"), [
    (cleaned(datetime(2026, 3, 2, 19)), [0, 2]),  # an hour after the photo of day 1
    (cleaned(datetime(2026, 3, 2, 17)), [1, 2]),  # an hour before it
    (cleaned(datetime(2026, 3, 2)), [2]),  # some time on that day: before or after its photo
    (cleaned(datetime(2026, 3, 1, 19), datetime(2026, 3, 2, 19)), [2]),
    (cleaned(datetime(2026, 3, 2, 19), units=("T2",)), [0, 1, 2]),
    (cleaned(datetime(2026, 3, 2, 19), units=()), [0, 2]),
])  # fmt: skip
def test_nothing_is_confirmed_across_a_cleaning_of_the_glass(event, left):
    assert told(event) == left


def test_a_cleaning_beside_a_bad_photo_still_parts_the_good_ones_around_it():
    assert told(cleaned(datetime(2026, 3, 2, 19)), bad=(1,)) == [2]
    assert told(cleaned(datetime(2026, 3, 2, 17)), bad=(1,)) == [2]


def test_nothing_is_confirmed_across_a_new_frame():
    assert told(frames=(0,)) == [0, 1, 2]
    assert told(frames=(0, 2)) == [0, 2]
