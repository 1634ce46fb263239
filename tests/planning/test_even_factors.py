"""The list of factors: each is told in full, cited, on its page, and known from the files that it says."""

import re
from pathlib import Path

import pytest

from checking import every
from fairtank.errors import InputError
from fairtank.lens import Lens
from fairtank.planning.evenness.conversion import clock_h, day_number, in_factor_unit, value_read
from fairtank.registry import entries
from fairtank.sources import SOURCES
from fairtank.trial import Photo, Score
from planning.even_trials import START, check_of, event, plan, readings, told, verdict

FACTORS = [pytest.param(entry, id=entry.key) for entry in entries("factor")]
PAGE = Path(__file__).resolve().parents[2] / "docs" / "reference" / "factors.md"
SIX = plan()


@every("entry", FACTORS)
def test_a_factor_says_how_it_moves_the_measure_what_to_do_and_where_it_is_from(entry):
    assert entry.summary.endswith(".")
    assert entry.moves.endswith(".")
    assert entry.moves[0].isupper()
    assert not entry.remedy.endswith(".")
    assert entry.remedy[0].islower()
    assert entry.sources
    assert set(entry.sources) <= set(SOURCES)
    assert {entry.algae, entry.plants} <= {1, 2, 3}


@every("entry", FACTORS)
def test_a_factor_of_numbers_has_a_tolerance(entry):
    assert entry.unit == "word" or entry.tolerance.absolute > 0 or entry.tolerance.relative > 0


@every("entry", FACTORS)
def test_a_factor_and_its_tolerance_are_on_the_page(entry):
    row = next(line for line in PAGE.read_text(encoding="utf-8").splitlines() if line.startswith(f"| `{entry.key}` |"))
    assert entry.title in row
    assert not entry.tolerance.absolute or f"{entry.tolerance.absolute:g}" in row
    assert not entry.tolerance.relative or f"{100 * entry.tolerance.relative:g} %" in row


@every("entry", FACTORS)
def test_every_factor_can_be_written_down_and_is_then_checked(entry):
    if entry.unit == "word":
        values = ["one kind"] * 3 + ["another kind"] * 3
    else:
        values = [20.0] * 3 + [20.0 + 5 * max(entry.tolerance.absolute, 20 * entry.tolerance.relative)] * 3
    assert verdict(entry.key, SIX, factors=told(entry.key, values)) == "confounded"
    assert verdict(entry.key, SIX, factors=told(entry.key, values[:1] * 6)) == "even"


@pytest.mark.parametrize(("quantity", "key"), [
    ("temp_c", "temperature"), ("EC", "conductivity"), ("PPFD", "light_at_bed"), ("NO3", "nitrate"), ("alkalinity", "kh"), ("DO", "oxygen"),
    ("Room temperature", "room_temperature"), ("flow rate", "flow"),
])
def test_a_quantity_is_known_by_the_names_that_keepers_give_it(quantity, key):
    assert check_of(key, SIX, readings=readings(quantity, [10.0] * 6)).recorded == 6


def test_lux_is_told_as_lux():
    check = check_of("light_at_bed", SIX, readings=readings("light_at_bed", [4000.0] * 3 + [7000.0] * 3, "lux"))
    assert (check.verdict, check.unit) == ("confounded", "lux")


def test_the_camera_is_that_of_lens_csv():
    lenses = (Lens("phone", 1500.0, 0.0, 0.0, 0.1, 6, ("T1", "T2", "T3")), Lens("tablet", 1500.0, 0.0, 0.0, 0.1, 6, ("T4", "T5", "T6")))
    assert verdict("camera", SIX, lens=lenses) == "confounded"


def test_who_scored_is_a_share_of_the_photos_of_each_tank():
    from datetime import datetime

    photos = tuple(Photo(f"photos/T{unit}-{day}.jpg", f"T{unit}", datetime(2026, 3, day, 18), day - 1) for unit in range(1, 7)
                   for day in range(1, 5))
    apart = tuple(Score(photo.path, "algae_cover", "Ama" if photo.unit < "T4" else "Bel", 2.0) for photo in photos)
    alike = tuple(Score(photo.path, "algae_cover", "Ama" if photo.day % 2 else "Bel", 2.0) for photo in photos)
    assert verdict("scorer", SIX, photos=photos, scores=apart) == "confounded"
    assert verdict("scorer", SIX, photos=photos, scores=alike) == "even"
    assert verdict("photos_per_week", SIX, photos=photos) == "even"
    assert verdict("photos_per_week", SIX, photos=tuple(photo for photo in photos if photo.unit < "T4" or photo.day == 1)) == "confounded"


def test_animals_of_events_are_told_by_their_note_and_none_in_the_others():
    check = check_of("fauna", SIX, events=(event("Snails added", 4, "T4", "T5", "T6", note="3 ramshorns"),))
    assert check.verdict == "confounded"
    assert dict(check.values)["T1"] == "none"


@pytest.mark.parametrize(("text", "hours"), [("10:30", 10.5), ("07:15:00", 7.25), ("7 pm", 19.0), ("12:00 am", 0.0), ("soon", None)])
def test_clock_times_are_hours_since_midnight(text, hours):
    assert clock_h(text) == hours


def test_days_are_dates_or_numbers():
    assert [day_number(text, START) for text in ("2026-03-08", "day 7", "7", "later")] == [7.0, 7.0, 7.0, None]


def test_units_of_time_and_rates_are_turned_into_the_factors_own():
    assert in_factor_unit(2, "years", "lamp_age", "months") == pytest.approx(24)
    assert in_factor_unit(14, "days", "filter_age", "weeks") == pytest.approx(2)
    assert in_factor_unit(500, "mL per day", "evaporation", "L a week") == pytest.approx(3.5)
    assert in_factor_unit(1, "mg/L N", "nitrate", "mg/L") == pytest.approx(62.0049 / 14.0067)  # molar masses of nitrate and nitrogen


def test_a_unit_that_cannot_be_turned_is_refused():
    with pytest.raises(InputError, match="months"):
        in_factor_unit(2, "cm", "lamp_age", "months")
    with pytest.raises(InputError, match="a unit of length"):
        in_factor_unit(2, "cm", "temperature", "°C")


def test_a_word_in_place_of_a_number_stays_a_word_and_none_counts_as_nought():
    assert value_read("about ten", "", "co2", "mg/L", START) == "about ten"
    assert verdict("co2", SIX, factors=told("co2", ["none", "none", "none", 20.0, 22.0, 21.0])) == "confounded"


def test_keys_of_factors_are_plain_words():
    assert all(re.fullmatch("[a-z][a-z0-9_]+", entry.key) for entry in entries("factor"))
