"""measures.csv and photos_quality.csv as another program reads them."""

import csv
import io
from datetime import datetime

import pytest

from fairtank.records.exporters.measures import MEASURES_COLUMNS, QUALITY_COLUMNS, measures_text, quality_text
from fairtank.trial import Measured, PhotoQuality

TAKEN_AT = datetime(2026, 3, 1, 18, 30, 5)
ROW = Measured("photos/T1, left.jpg", "T1", TAKEN_AT, 0, "plant_cover", "", 12.3456789, "%", 1.25, "usable", "1-ab")
CORNERS = ((1.5, 2.0), (101.25, 2.0), (101.0, 52.0), (1.0, 52.5))
QUALITY = PhotoQuality(
    "photos/T1.jpg", "T1", 3, "doubtful", ("Erstens: a \"b\", c.", "It is dark."), CORNERS, 0.61234567, 0.0, 0.25, None, "1-ab"
)


def rows_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_the_columns_of_measures_csv_are_those_that_are_promised():
    promised = "photo, unit, taken_at, day, measure, zone, value, unit_of_measure, se, quality, version"
    assert measures_text(()) == promised.replace(" ", "") + "\n"
    assert ", ".join(MEASURES_COLUMNS) == promised


def test_a_value_can_be_read_back_to_six_figures_with_its_time_and_error():
    (row,) = rows_of(measures_text((ROW,)))
    assert row == {
        "photo": "photos/T1, left.jpg", "unit": "T1", "taken_at": "2026-03-01T18:30:05", "day": "0", "measure": "plant_cover", "zone": "",
        "value": "12.3457", "unit_of_measure": "%", "se": "1.25", "quality": "usable", "version": "1-ab",
    }  # fmt: skip
    assert datetime.fromisoformat(row["taken_at"]) == TAKEN_AT


@pytest.mark.parametrize(("value", "written"), [(0.0, "0"), (100.0, "100"), (-3.25, "-3.25"), (1e-7, "1e-07"), (1234567.0, "1.23457e+06")])
def test_numbers_are_written_with_a_point_and_read_back_the_same(value, written):
    from dataclasses import replace

    (row,) = rows_of(measures_text((replace(ROW, value=value, se=None),)))
    assert (row["value"], row["se"]) == (written, "")
    assert float(row["value"]) == pytest.approx(value, rel=1e-5)


def test_rows_keep_their_order_and_lines_end_alike_on_every_machine():
    text = measures_text((ROW, ROW))
    assert text.count("\n") == 3
    assert "\r" not in text
    assert rows_of(text)[0] == rows_of(text)[1]


def test_a_photos_quality_tells_its_reasons_and_the_corners_that_were_found():
    (row,) = rows_of(quality_text((QUALITY,)))
    assert list(row) == list(QUALITY_COLUMNS)
    assert (row["quality"], row["reasons"]) == ("doubtful", "Erstens: a \"b\", c. It is dark.")
    assert [float(row[f"{axis}{corner}"]) for corner in (1, 2, 3, 4) for axis in "xy"] == [part for corner in CORNERS for part in corner]
    assert (row["sharpness"], row["clipped_fraction"], row["light_level"], row["uncertain_fraction"]) == ("0.612346", "0", "0.25", "")


def test_a_photo_that_was_not_placed_has_empty_corners_and_numbers():
    lost = PhotoQuality("photos/T1.jpg", "T1", 3, "not usable", ("It is cut off.",), None, None, None, None, None, "1-ab")
    (row,) = rows_of(quality_text((lost,)))
    assert {row[f"{axis}{corner}"] for corner in (1, 2, 3, 4) for axis in "xy"} == {""}
    assert (row["sharpness"], row["clipped_fraction"], row["light_level"]) == ("", "", "")
    assert row["version"] == "1-ab"
