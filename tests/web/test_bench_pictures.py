"""The picture on a calculator's page: along which input, from where to where, and what is said where it cannot be drawn."""

import re

import pytest
from tests.web.bench_pages import CARBONATE, OXYGEN_CLAIM, VOLUME

from fairtank.web import drawing

PAINTED = drawing._svg


def pictures(page):
    """What the pictures of a page say of themselves."""
    return re.findall(r'<svg[^>]*aria-label="([^"]*)"', page.page)


def test_the_picture_is_drawn_along_the_reading_that_causes_most_and_marks_the_answer(sheet):
    page = sheet("carbonate", CARBONATE)
    wide, narrow = pictures(page)
    assert wide == narrow
    assert "free carbon dioxide along pH from 6 to 7.2" in wide
    assert "A ring marks the value that was asked for, 6.6." in wide
    assert page.value("range-along") == "ph"
    assert [page.fields[f"range-{name}"]["placeholder"] for name in ("from", "to", "step")] == ["6", "7.2", "0.1"]
    assert page.fields["range-along"]["form"] == "ask"


def test_a_range_of_ones_own_is_drawn_and_stands_in_a_table(sheet):
    asked = {**CARBONATE, "range-along": "alkalinity_dkh", "range-from": "2", "range-to": "10", "range-step": "2",
             "range-part": "dic_mmol_l"}
    page = sheet("carbonate", asked)
    assert "all dissolved inorganic carbon along KH from 2 dKH to 10 dKH" in pictures(page)[0]
    rows = re.findall(r'<tr><th scope="row">(\d+)</th>', page.page)
    assert rows == ["2", "4", "6", "8", "10"]
    assert page.commands[1].endswith("--alkalinity-dkh 2:10:2 --ph 6.6 --plot picture.svg --part dic_mmol_l")
    assert [page.value(name) for name in asked] == list(asked.values())


def test_a_range_follows_the_unit_and_the_error_that_were_typed(sheet):
    page = sheet("oxygen_saturation_mg_l", {"temp_c": "78 degF", "error-temp_c": "0.9 degF"})
    assert "along water temperature from 7" in pictures(page)[0]
    assert "°F" in page.labels["range-from"]
    assert "if water temperature is right to ±0.5 °C" in pictures(page)[0]
    own = sheet("oxygen_saturation_mg_l", {"temp_c": "78 degF", "range-from": "60", "range-to": "80", "range-step": "5"})
    assert "from 60 °F to 80 °F" in pictures(own)[0]


def test_a_unit_behind_one_number_of_a_range_holds_for_all_three(sheet):
    page = sheet("oxygen_saturation_mg_l", {"temp_c": "20", "range-step": "2 degF"})
    assert "from 62 °F to 74 °F" in pictures(page)[0]
    assert "A ring marks the value that was asked for, 68 °F." in pictures(page)[0]
    page = sheet("blend", {"share": "0.25", "tap": "14", "pure": "2", "range-to": "50 %", "range-step": "10"})
    assert "from 0 % to 50 %" in pictures(page)[0]


def test_the_usual_range_ends_where_the_calculator_answers_no_longer(sheet):
    page = sheet("panel", {"width_mm": "600", "height_mm": "348", "water_mm": "330", "thickness_mm": "6", "range-along": "height_mm"})
    assert page.refusals == []
    assert "along height of the pane from 340 mm" in pictures(page)[0]


@pytest.mark.parametrize(("asked", "told"), [
    ({"range-from": "8", "range-to": "6", "range-step": "0.1"}, "pH is 8:6:0.1; accepted: from:to:step. It goes from the smaller"),
    ({"range-step": "0.001"}, "pH is 1201 values; accepted: at most 60 on a page. Take a larger step"),
    ({"range-step": "1e-9"}, "pH is 6:7.2:1e-9; accepted: at most 10000 values. Take a larger step."),
    ({"range-from": "low"}, "pH is low:7.2:0.1; accepted: a number."),
    ({"range-to": "9.8", "range-from": "9"}, "pH is 9.6; accepted: 5 to 9.5."),
    ({"range-step": "1 dKH"}, "It takes a plain number: leave the unit out."),
])  # fmt: skip
def test_a_range_that_cannot_be_had_is_said_beside_the_answer_that_stays(sheet, asked, told):
    page = sheet("carbonate", {**CARBONATE, **asked})
    (refusal,) = page.refusals
    assert told in refusal
    assert "34 mg/L (26 to 45)" in page.words
    assert page.fields["range-step"]["aria-describedby"] == "refusal-range"
    assert pictures(page) == []
    assert all(page.value(name) == text for name, text in asked.items())


@pytest.mark.parametrize("asked", [{"range-along": "nothing"}, {"range-part": "nothing"}, {"range-along": "hardness_dgh"}])
def test_an_input_or_part_that_is_not_there_falls_back_to_the_usual_one(sheet, asked):
    page = sheet("carbonate", {**CARBONATE, **asked})
    assert page.refusals == []
    assert "free carbon dioxide along " in pictures(page)[0]


def test_a_result_that_comes_as_a_band_is_drawn_as_one(sheet):
    page = sheet("tds_range_mg_l")
    assert pictures(page)[0].startswith("Dissolved salts behind a conductivity, dissolved salts along conductivity")
    assert "The band shows the result from its low to its high end." in pictures(page)[0]


def test_a_claim_check_shows_its_own_picture_and_says_what_would_settle_it(sheet):
    page = sheet("oxygen_claim", OXYGEN_CLAIM)
    assert pictures(page)[0].startswith("Ranges of oxygen. what is claimed: 0.64 to 4.8")
    assert "This says what can be measured here, not whether the claim is true." in page.words
    assert "range-along" not in page.fields
    assert page.page.index('class="caution"') < page.page.index("<form")


def test_the_same_picture_is_painted_once(sheet, monkeypatch):
    monkeypatch.setattr(drawing, "_svg", PAINTED)
    PAINTED.cache_clear()
    for _ in range(2):
        assert sheet("gross_volume_l", VOLUME).page.count("<svg") == 2
    assert (PAINTED.cache_info().misses, PAINTED.cache_info().hits) == (2, 2)


def test_a_slow_answer_is_asked_for_a_few_times_only(sheet, monkeypatch):
    monkeypatch.setattr("fairtank.web.sheet._SLOW_S", 0.0)
    salt = {"salt": "KNO3", "mass_g": "1", "volume_l": "100"}
    usual = sheet("salt_gain_mg_l", salt)
    assert re.findall(r'<tr><th scope="row">([\d.]+)</th>', usual.page) == ["0.4", "0.6", "0.8", "1.0", "1.2", "1.4", "1.6"]
    page = sheet("salt_gain_mg_l", {**salt, "range-step": "0.05"})
    (refusal,) = page.refusals
    assert refusal.startswith("mass of the salt is 25 values; accepted: at most 12 on a page. Take a larger step")
