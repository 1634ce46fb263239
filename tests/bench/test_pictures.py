"""What of a result is drawn along a range: single parts, and bands whose two ends and middle belong together."""

import numpy as np
import pytest

from fairtank import registry
from fairtank.bench.asking import asked, read
from fairtank.bench.pictures import drawable, picture_of
from fairtank.bench.tables import columns_of, remarks_of, table_of
from fairtank.errors import InputError


def table(key, **texts):
    return table_of(asked(read(registry.entry("calculator", key), texts)))


FORECAST = {"temp_c": "20:30:5"}


def test_the_ends_of_a_band_and_its_middle_are_one_thing_to_draw():
    drawn = drawable(table("cycle_forecast", **FORECAST))
    assert [one.key for one in drawn] == ["done_day", "ammonia_peak_day", "ammonia_peak_mg_l", "nitrite_peak_day", "nitrite_peak_mg_l",
                                          "start_mg_l"]
    assert drawn[0].ends == ("done_low_day", "done_high_day")
    assert drawn[0].label == "day from which both stay below 0.25 mg/L N"


@pytest.mark.parametrize("part", ["", "done_day", "done_low_day", "done_high_day"])
def test_a_band_is_drawn_whole_whichever_part_was_asked_for(part):
    made = table("cycle_forecast", **FORECAST)
    picture = picture_of(made, part)
    (line,) = picture.lines
    assert line.values == tuple(made.parts["done_day"])
    assert line.ends == (tuple(made.parts["done_low_day"]), tuple(made.parts["done_high_day"]))
    assert (picture.band, picture.condition) == ("from its low to its high end", "")


@pytest.mark.parametrize(("key", "texts", "line", "ends", "label"), [
    ("wilson", {"k": "5:45:20", "n": "50"}, None, ("low", "high"), ""),
    ("audited_cover", {"map_share": "0.2:0.4:0.1", "hits_in": "38", "n_in": "40", "hits_out": "3", "n_out": "60"}, "share",
     ("low", "high"), "share"),
    ("heater_w", {"loss_w": "40:80:20"}, None, ("low_w", "high_w"), ""),
    ("tds_range_mg_l", {"conductivity_us_cm": "200:400:100"}, None, ("low_mg_l", "high_mg_l"), "dissolved salts"),
])  # fmt: skip
def test_bands_are_found_by_the_names_of_their_ends(key, texts, line, ends, label):
    one = drawable(table(key, **texts))[0]
    assert (one.line, one.ends, one.label) == (line, ends, label)
    picture = picture_of(table(key, **texts), "")
    assert np.isnan(picture.lines[0].values).all() == (line is None)


def test_parts_that_are_no_band_are_drawn_one_by_one():
    made = table("carbonate", temp_c="25", alkalinity_dkh="4", ph="6:7:0.5")
    assert [(one.key, one.ends) for one in drawable(made)] == [("co2_mg_l", None), ("dic_mmol_l", None), ("bicarbonate_mmol_l", None)]
    assert "if pH is right to ±0.1" in picture_of(made, "dic_mmol_l").condition or "pH to ±0.1" in picture_of(made, "dic_mmol_l").condition


def test_lines_beside_each_other_show_one_part_without_a_band():
    picture = picture_of(table("wilson", k="0:20:5", n="50:90:20"), "")
    assert [line.label for line in picture.lines] == ["50", "70", "90"]
    assert all(line.ends is None for line in picture.lines)
    assert picture.band == ""
    assert picture.quantity == "low"


def test_what_cannot_be_drawn_is_refused():
    claim = table("oxygen_claim", current_ma="10:50:20", volume_l="20", surface_m2="0.07", surface="still")
    with pytest.raises(InputError, match="plot is given with a range; accepted: single values for a claim check"):
        picture_of(claim, "")
    with pytest.raises(InputError, match="part is oxygen; accepted: co2_mg_l, dic_mmol_l, bicarbonate_mmol_l"):
        picture_of(table("carbonate", temp_c="25", alkalinity_dkh="4", ph="6:7:0.5"), "oxygen")
    changes = table("after_changes_mg_l", dose_mg_l="1:3:1", change_fraction="0.5", periods="4")
    assert drawable(changes) == ()
    with pytest.raises(InputError, match="plot is given; accepted: a calculator whose results are numbers"):
        picture_of(changes, "")


def test_columns_tell_the_range_the_results_and_their_intervals():
    columns = columns_of(table("oxygen_saturation_mg_l", temp_c="50:86:18 degF"))
    assert [(column.label, column.unit, column.kind) for column in columns] == [
        ("water temperature", "°F", "input"), ("value", "mg/L", "result"), ("in 19 cases of 20", "", "interval")]
    assert columns[0].cells == ("50", "68", "86")
    assert {len(column.cells) for column in columns} == {3}


def test_what_is_alike_in_all_rows_is_told_once():
    claim = table("oxygen_claim", current_ma="10:50:20", volume_l="20", surface_m2="0.07", surface="still")
    assert remarks_of(claim)[0].startswith("In all rows kind of claim: oxygen")
    assert "kind of claim" not in [column.label for column in columns_of(claim)]
