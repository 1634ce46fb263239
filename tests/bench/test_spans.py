"""The range that is drawn where nobody asked for one: round the value, in round steps, inside what is accepted."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fairtank import registry
from fairtank.bench.answers import answer_of
from fairtank.bench.asking import asked, read
from fairtank.bench.spans import STEPS, Span, can_range, span_round, usual_along
from fairtank.registry import Input, ReadingError

ABLE = [(entry.key, declared) for entry in registry.entries("calculator") for declared in entry.inputs if can_range(entry, declared)]


@pytest.mark.parametrize(("declared", "value", "error", "texts"), [
    (Input("ph", "pH", "", 5, 9.5), 6.6, ReadingError(0.1), ("6", "7.2", "0.1")),
    (Input("temp_c", "temperature", "°C", 0, 40), 20.0, ReadingError(0.5), ("17", "23", "0.5")),
    (Input("temp_c", "temperature", "°C", 15, 32), 25.0, None, ("20.5", "29.5", "0.5")),
    (Input("rise_c", "how much warmer", "°C", 0, 30), 4.0, None, ("2", "6", "0.2")),
    (Input("length_mm", "length", "mm", 50, 5000), 600.0, ReadingError(2), ("300", "900", "50")),
    (Input("alkalinity_dkh", "KH", "dKH", 0, 20), 4.0, ReadingError(0.5), ("1", "7", "0.5")),
    (Input("share", "share of tap water", "", 0, 1), 0.25, None, ("0", "1", "0.05")),
    (Input("k", "hits", "", 0, 1e9), 12.0, None, ("6", "18", "1")),
    (Input("rock_kg", "rock", "kg", 0, 5000), 0.0, None, ("0", "10", "0.5")),
    (Input("surface", "how it moves", "cm/h", 0.05, 100, choices=("still",)), None, None, ("5", "100", "5")),
])  # fmt: skip
def test_a_range_is_round_and_holds_the_value(declared, value, error, texts):
    assert span_round(declared, value, error).texts == texts


def test_a_range_is_told_in_the_unit_that_was_typed():
    assert span_round(Input("temp_c", "temperature", "°C", 0, 40), 25.0, ReadingError(0.5), "degF").texts == ("71", "83", "1")
    assert span_round(Input("rise_c", "how much warmer", "°C", 0, 30), 5.0, None, "degF").texts == ("4.5", "13.5", "0.5")
    assert span_round(Input("share", "share", "", 0, 1), 0.5, None, "%").texts == ("0", "100", "5")


def test_fewer_steps_may_be_asked_for():
    assert span_round(Input("ph", "pH", "", 5, 9.5), 6.6, ReadingError(0.1), steps=6).texts == ("6", "7.2", "0.2")


def test_a_range_narrower_than_a_step_is_the_accepted_one():
    assert span_round(Input("depth_m", "depth", "m", 2.2, 2.6), 2.4, steps=1) == Span(2.2, 2.6, pytest.approx(0.2))


@settings(max_examples=200, deadline=None, derandomize=True)
@given(data=st.data())
def test_whatever_the_value_the_range_is_accepted_and_not_too_long(data):
    _, declared = data.draw(st.sampled_from(ABLE))
    value = data.draw(st.floats(declared.low, declared.high) | st.none())
    span = span_round(declared, value, declared.error)
    assert declared.low <= span.first < span.last <= declared.high * (1 + 1e-12)
    assert 1 <= (span.last - span.first) / span.step <= STEPS + 2 + 1e-6
    if value is not None and declared.low < value < declared.high:
        assert span.first - span.step <= value <= span.last + span.step
    texts = span.texts
    assert all(math.isfinite(float(text)) for text in texts)


def along(key, texts):
    entry = registry.entry("calculator", key)
    return usual_along(answer_of(asked(read(entry, texts))))


def test_the_picture_runs_along_the_reading_that_causes_most_of_the_widest_interval():
    assert along("carbonate", {"temp_c": "25", "alkalinity_dkh": "4", "ph": "6.6"}).name == "ph"
    assert along("carbonate", {"temp_c": "25", "alkalinity_dkh": "4", "ph": "6.6 exact"}).name == "alkalinity_dkh"
    assert along("panel", {"width_mm": "600", "height_mm": "348", "water_mm": "330", "thickness_mm": "6"}).name == "thickness_mm"


def test_without_readings_it_runs_along_the_first_number_and_without_numbers_along_nothing():
    assert along("salt_gain_mg_l", {"salt": "KNO3", "mass_g": "1", "volume_l": "100"}).name == "mass_g"
    assert along("lab_from_srgb", {"rgb": "40,150,50"}) is None
