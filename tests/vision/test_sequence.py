"""Measures over photos become rows of the photo they belong to, in the form of every other row."""

from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
from tests.vision.pictures import PHOTO

from fairtank import registry
from fairtank.vision.sequence import Moment, sequence_measures
from fairtank.vision.spots import SpotNote

NOTE = SpotNote(np.array([[5.0, 5.0]], np.float32), np.array([0.1], np.float32), np.ones((40, 60), bool), 600.0)


def moment(number: int, *, area: float = 10.0) -> Moment:
    photo = replace(PHOTO, path=f"photos/{number}.jpg", taken_at=datetime(2026, 3, 1, 18) + timedelta(days=number), day=number)
    return Moment(photo, "usable", f"v{number}", {("plant_area", "fern"): area * 1.1**number, ("plant_area", ""): 200.0}, NOTE)


def test_rows_carry_photo_day_quality_version_and_unit_of_their_moment():
    rows = sequence_measures(tuple(moment(number) for number in range(6)))
    spots = [row for row in rows if row.measure == "algae_spots"]
    assert [(row.photo, row.day, row.version, row.quality) for row in spots][:2] == [
        ("photos/0.jpg", 0, "v0", "usable"), ("photos/1.jpg", 1, "v1", "usable"),
    ]  # fmt: skip
    assert len(spots) == 5
    assert {row.unit_of_measure for row in spots} == {registry.entry("measure", "algae_spots").unit}
    assert all(row.se is None for row in rows)


def test_values_are_rounded_to_six_digits_like_all_others():
    rows = sequence_measures(tuple(moment(number) for number in range(6)))
    assert {row.value for row in rows if row.measure == "algae_spots"} == {0.166667}
    assert {row.value for row in rows if row.measure == "plant_growth_rate"} == {float(f"{np.log(1.1):.6g}")}
    assert {row.zone for row in rows if row.measure == "plant_growth_rate"} == {"fern", ""}


def test_a_unit_without_usable_photos_gives_no_rows():
    assert sequence_measures(()) == ()
    assert {row.measure for row in sequence_measures((moment(0),))} == set()


def test_only_measures_over_a_sequence_are_taken_here():
    keys = {row.measure for row in sequence_measures(tuple(moment(number) for number in range(6)))}
    assert keys == {entry.key for entry in registry.entries("measure") if entry.over == "sequence"}
