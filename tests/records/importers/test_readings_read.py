"""From a sheet to readings: dates, decimal marks, units, limits; what is unsure is asked, what is wrong is named, nothing is lost."""

from dataclasses import replace
from datetime import date, datetime

import pytest
from tests.records.importers.trial import FACTS, THERE, preview_of, told

from fairtank.errors import InputError
from fairtank.records.folder import text_of
from fairtank.records.importers import TrialFacts, fields_of, matched, matching_from_fields, rows_of, sheet_of
from fairtank.trial import Reading


def test_a_wide_sheet_with_names_units_and_decimal_commas_of_ones_own_is_understood():
    preview = preview_of("tank\tdate\tKH\tNO3 mg/L NO3\tTemp (°F)\nTank 1\t25.03.2026\t5,5\t<0,5\t77\nT2\t26.03.2026\t6\t\t78,8\n")
    assert told(preview) == [
        ("T1", "03-25 00:00", "kh", 5.5, "dKH", False), ("T1", "03-25 00:00", "nitrate", 0.5, "mg/L NO3", True),
        ("T1", "03-25 00:00", "temperature", 25.0, "°C", False), ("T2", "03-26 00:00", "kh", 6.0, "dKH", False),
        ("T2", "03-26 00:00", "temperature", 26.0, "°C", False),
    ]
    assert (preview.empty, preview.is_ready) == (1, True)
    assert "No unit of measure stands with kh: its values are taken as dKH." in preview.said


def test_readings_csv_of_a_trial_folder_comes_back_as_it_was():
    readings = tuple(Reading(unit, datetime(2026, 3, 2, 18, minute), 1, quantity, value, unit_of_measure, "drops", below)
                     for minute, (unit, quantity, value, unit_of_measure, below) in enumerate([
                         ("T1", "nitrate", 0.1, "mg/L NO3", True), ("T2", "nitrate", 12.25, "mg/L NO3", False),
                         ("T2", "haze", -1e-7, "", False), ("T3", "kh", 1234.0, "dKH", False), ("T4", "kh", 1.234, "dKH", False)]))
    sheet = sheet_of(text_of("readings", readings).encode(), "readings.csv")
    keep = replace(matched(sheet, FACTS), doubtful="keep")
    assert rows_of(sheet, keep, FACTS).readings == readings


@pytest.mark.parametrize(("content", "name", "units"), [
    ("Time,Temp (°C)\n2026-03-02 18:00,24.5\n", "T3.csv", ["T3"]),
    ("# tank T2\nTime,Temp (°C)\n2026-03-02 18:00,24.5\n", "log.csv", ["T2"]),
    ("Time,T1,T2\n2026-03-02 18:00,24.5,24.6\n", "temperature.csv", ["T1", "T2"]),
    ("Time,T1 Temp (°C),T2 Temp (°C)\n2026-03-02 18:00,24.5,24.6\n", "log.csv", ["T1", "T2"]),
    ("Time,where,Temp (°C)\n2026-03-02 18:00,shelf 4,24.5\n", "log.csv", ["T4"]),
])
def test_the_tank_is_told_by_a_column_a_heading_the_file_or_its_preface(content, name, units):
    preview = preview_of(content, name)
    assert [(one.unit, one.quantity, one.unit_of_measure) for one in preview.readings] == [(unit, "temperature", "°C") for unit in units]


def test_what_no_cell_says_is_asked_for_and_the_answer_counts():
    sheet = sheet_of("2026-03-02 18:05\t7.5\n")
    guessed = matched(sheet, FACTS)
    asked = rows_of(sheet, guessed, FACTS)
    assert ([question.field for question in asked.questions], asked.is_ready) == (["unit", "quantity"], False)
    answered = matching_from_fields({**fields_of(guessed), "unit": "T2", "column-1-quantity": "kh"}, guessed)
    assert told(rows_of(sheet, answered, FACTS)) == [("T2", "03-02 18:05", "kh", 7.5, "dKH", False)]
    assert answered.columns[1].reason == "chosen by you"


def test_a_date_that_can_be_read_in_two_ways_is_asked_for():
    sheet = sheet_of("tank\tdate\tkh\nT1\t03/04/2026\t5\nT2\t05/04/2026\t6\nT3\t04/04/2026\t7\n")
    guessed = matched(sheet, FACTS)
    preview = rows_of(sheet, guessed, FACTS)
    assert [question.field for question in preview.questions] == ["date_order"]
    assert preview.refused[0].read == "03/04/2026 can be 3 April or 4 March"
    days = [rows_of(sheet, replace(guessed, date_order=order), FACTS).readings[0].taken_at.date() for order in ("day_first", "month_first")]
    assert days == [date(2026, 4, 3), date(2026, 3, 4)]


@pytest.mark.parametrize(("first", "second", "order", "row"), [("25/03/2026", "03/04/2026", "day_first", 2),
                                                               ("03/04/2026", "03/25/2026", "month_first", 3)])
def test_one_date_that_can_be_read_in_one_way_only_settles_all(first, second, order, row):
    matching = matched(sheet_of(f"tank\tdate\tkh\nT1\t{first}\t5\nT2\t{second}\t6\n"), FACTS)
    assert matching.date_order == order
    assert ("date_order", f"row {row} can only have the {order.split('_')[0]} first") in matching.reasons


# Forms of ISO 8601: from memory.
@pytest.mark.parametrize(("written", "moment"), [
    ("2026-03-02", datetime(2026, 3, 2)), ("2026-03-02T18:30", datetime(2026, 3, 2, 18, 30)),
    ("2026-03-02 18:30:05", datetime(2026, 3, 2, 18, 30, 5)),
    ("2026-03-02T18:30:05.250Z", datetime(2026, 3, 2, 18, 30, 5, 250_000)), ("2026-03-02T18:30+01:00", datetime(2026, 3, 2, 18, 30)),
    ("2026-03-02 6:05", datetime(2026, 3, 2, 6, 5)), ("2026/03/02 6:05 pm", datetime(2026, 3, 2, 18, 5)),
    ("2.3.2026 18.05", datetime(2026, 3, 2, 18, 5)), ("2 Mar 2026", datetime(2026, 3, 2)),
    ("March 2, 2026 12:15 AM", datetime(2026, 3, 2, 0, 15)), ("14.03.26 09:00", datetime(2026, 3, 14, 9)),
])
def test_dates_and_times_are_read_as_people_and_loggers_write_them(written, moment):
    assert preview_of(f"tank\tdate\tkh\nT1\t{written}\t6\n").readings[0].taken_at == moment


@pytest.mark.parametrize(("written", "read"), [
    ("46082.75", "is a count of days or seconds, as programs keep times inside"), ("2026-02-30", "is no day or hour of the calendar"),
    ("31.02.2026", "is no day or hour of the calendar"), ("yesterday", "is not a date or time"), ("2026-03-02 25:00", "is no time of day"),
    ("2019-03-02", "far from the days of the trial"), ("", "the cell is empty"),
])
def test_a_time_that_cannot_be_is_refused_with_its_row(written, read):
    preview = preview_of(f"tank\tdate\tkh\nT1\t2026-03-03\t6\nT1\t2026-03-04\t6\nT1\t{written}\t6\n")
    assert len(preview.rows) == 2
    (refused,) = preview.refused
    assert (refused.row, refused.column, read in refused.read) == (4, "date", True), refused


def test_a_column_of_dates_and_one_of_times_are_read_together_and_a_day_of_the_trial_alone_does():
    assert preview_of("Date\tTime\ttank\tkh\n2026-03-02\t6:30 pm\tT1\t6\n").readings[0].taken_at == datetime(2026, 3, 2, 18, 30)
    assert preview_of("day\ttank\tkh\n3\tT1\t6\n").readings[0].taken_at == datetime(2026, 3, 4)
    (refused,) = preview_of("day\ttank\tkh\n3\tT1\t6\n2.5\tT1\t6\n").refused
    assert (refused.row, refused.accepted) == (3, "a whole number of days since day 0, from -60 to 102")


@pytest.mark.parametrize(("cells", "values"), [
    (("7,2", "7"), [7.2, 7.0]), (("1.234,5", "7"), [1234.5, 7.0]), (("1,234.5", "7"), [1234.5, 7.0]),
    (("7.25", "1,234"), [7.25, 1234.0]), (("7,25", "1.234"), [7.25, 1234.0]), (("-0.5", "1e2"), [-0.5, 100.0]),
    (("\u22120,5", "0,350"), [-0.5, 0.35]), (("1.234", "7"), [1.234, 7.0]),
])
def test_decimal_marks_are_told_by_all_cells_together(cells, values):
    preview = preview_of("tank\tdate\thaze\n" + "".join(f"T1\t2026-03-{3 + day:02}\t{cell}\n" for day, cell in enumerate(cells)))
    assert [one.value for one in preview.readings] == values


def test_a_comma_that_may_part_thousands_is_asked_for():
    sheet = sheet_of("tank\tdate\thaze\nT1\t2026-03-03\t1,234\n")
    guessed = matched(sheet, FACTS)
    preview = rows_of(sheet, guessed, FACTS)
    assert (preview.refused[0].read, preview.questions[0].field) == ('"1,234" can be 1234 or 1.234', "decimal")
    assert [rows_of(sheet, replace(guessed, decimal=mark), FACTS).readings[0].value for mark in ("comma", "point")] == [1.234, 1234.0]


def test_a_mark_for_nothing_seen_needs_the_limit_of_the_test():
    sheet = sheet_of("tank\tdate\tkh\tnitrate (mg/L NO3)\nT1\t2026-03-03\t5\tn.d.\nT2\t2026-03-03\t5\t12\n")
    guessed = matched(sheet, FACTS)
    assert [question.field for question in rows_of(sheet, guessed, FACTS).questions] == ["column-3-limit"]
    answered = matching_from_fields({"column-3-limit": "0,5"}, guessed)
    assert ("T1", "03-03 00:00", "nitrate", 0.5, "mg/L NO3", True) in told(rows_of(sheet, answered, FACTS))


def test_the_checks_of_a_trial_folder_are_called():
    preview = preview_of("tank\tdate\tkh\tph\tnitrate (mg/L NO3)\nT9\t2026-03-03\t5\t7\t1\nT1\t2026-03-03\t-1\t15\t<0\n")
    said = {(one.row, one.column, one.read) for one in preview.refused}
    assert said >= {(2, "tank", "T9 is not a unit of this trial"), (3, "kh", "-1 cannot be a value of kh"),
                    (3, "ph", "15 cannot be a value of ph"), (3, "nitrate (mg/L NO3)", "0 cannot be a limit of detection")}
    assert preview.rows == ()
    assert {one.accepted for one in preview.refused if one.read.startswith("T9")} == {"T1, T2, T3, T4"}


def test_milligrams_of_nobody_knows_what_are_refused_until_the_keeper_says_it():
    sheet = sheet_of("tank\tdate\tnitrate (mg/L)\nT1\t2026-03-03\t5\n")
    guessed = matched(sheet, FACTS)
    assert rows_of(sheet, guessed, FACTS).refused[0].read == 'mg/L cannot be turned into "mg/L NO3", the unit of nitrate'
    said = matching_from_fields({"column-2-unit_of_measure": "mg/L N"}, guessed)
    assert rows_of(sheet, said, FACTS).readings[0].value == pytest.approx(5 * 62.0049 / 14.0067)
    assert preview_of("tank\tdate\tNO3-N (mg/L)\nT1\t2026-03-03\t5\n").readings[0].value == pytest.approx(5 * 62.0049 / 14.0067)


def test_77_under_degrees_celsius_is_held_back_until_the_keeper_keeps_it():
    sheet = sheet_of("tank\tdate\tTemp (°C)\nT1\t2026-03-03\t77\nT2\t2026-03-03\t25\n")
    guessed = matched(sheet, FACTS)
    preview = rows_of(sheet, guessed, FACTS)
    assert [one.why for one in preview.doubtful] == ["77 °C is unusual for temperature, which is 4 to 40 °C in most tanks; 77 °F would "
                                                     "be 25 °C"]
    assert [one.unit for one in preview.readings] == ["T2"]
    assert len(rows_of(sheet, replace(guessed, doubtful="keep"), FACTS).rows) == 2


def test_what_is_there_already_is_not_stored_twice_and_what_differs_is_held_back():
    again = "tank\ttaken at\tkh (dKH)\nT1\t2026-03-02 18:00\t5\nT2\t2026-03-02 18:00\t5\nT2\t2026-03-02 18:00\t5.0\n"
    preview = preview_of(again)
    assert [[one.row for one in rows] for rows in (preview.rows, preview.there_already, preview.twice)] == [[3], [2], [4]]
    (doubtful,) = preview_of(again.replace("18:00\t5\n", "18:00\t6\n", 1)).doubtful
    assert doubtful.why == "there is already a reading of kh in T1 at that time, 5 dKH; this one says 6"


def test_a_reading_that_is_there_in_another_unit_is_the_same_reading():
    facts = TrialFacts(FACTS.plan, (Reading("T1", datetime(2026, 3, 2, 18), 1, "nitrate", 1.0, "mg/L N"),))
    preview = preview_of("tank\tdate\tnitrate (mg/L N)\nT1\t2026-03-02 18:00\t1\nT1\t2026-03-02 18:00\t2\n", facts=facts)
    assert ([one.row for one in preview.there_already], [one.row for one in preview.doubtful]) == ([2], [3])


def test_days_outside_the_trial_are_told_and_taken_and_far_ones_are_refused():
    preview = preview_of("tank\tdate\tkh\nT1\t2026-02-20\t5\nT1\t2026-04-20\t5\nT1\t2026-03-20\t5\nT1\t2027-03-20\t5\n")
    assert ([one.row for one in preview.outside], [one.row for one in preview.refused]) == ([2, 3], [5])
    assert "2 readings are from before day 0 or after the last day; stored, and not judged." in preview.said


def test_a_value_above_what_the_test_can_tell_is_refused_with_what_to_do():
    (refused,) = preview_of("tank\tdate\tkh\nT1\t2026-03-03\t>25\nT1\t2026-03-04\t5\n").refused
    assert (refused.row, "dilute the sample" in refused.accepted) == (2, True)


def test_a_file_of_other_columns_is_read_by_those_that_the_trial_knows():
    matching = matched(sheet_of("no,time,battery V,water temp\n1,2026-03-02 18:00,3.1,24.5\n2,2026-03-02 18:10,3.1,24.6\n"), FACTS)
    assert [use.role for use in matching.columns] == ["ignore", "time", "ignore", "value"]
    assert matching.columns[2].reason == "its heading is no quantity of this trial; choose values to take it in"


def test_the_same_refusal_in_many_rows_is_told_once():
    preview = preview_of("tank\tdate\tkh\n" + "".join(f"T9\t2026-03-{day:02}\t5\n" for day in range(2, 20)))
    assert preview.refusals("my.csv") == ("my.csv, rows 2 to 19, column tank: T9 is not a unit of this trial; accepted: T1, T2, T3, T4.",)


def test_a_matching_goes_through_a_form_and_back_and_a_foreign_word_is_refused():
    sheet = sheet_of("tank\tdate\tkh\nTank 1\t2026-03-03\t5\n")
    guessed = matched(sheet, FACTS)
    assert matching_from_fields(fields_of(guessed), guessed) == guessed
    assert matching_from_fields({"units-0-written": "Tank 1", "units-0-key": "T3"}, guessed).units == (("Tank 1", "T3"),)
    for sent, message in (({"column-2-role": "king"}, "column-2-role is king; accepted: ignore"),
                          ({"date_order": "x"}, "accepted: day_first"), ({"unit": "T" * 201}, "201 characters long"),
                          ({"column-0-role": "time"}, "the column with the date and time")):
        with pytest.raises(InputError, match=message):
            matching_from_fields(sent, guessed)
    with pytest.raises(InputError, match="made for another table"):
        rows_of(sheet_of("5"), guessed, FACTS)
    with pytest.raises(InputError, match="method is a text of"):
        rows_of(sheet, replace(guessed, method="x" * 5000), FACTS)


def test_the_units_in_which_a_quantity_is_told_come_from_plan_readings_and_schedule():
    assert {known.key: known.unit_of_measure for known in FACTS.quantities} == {"nitrate": "mg/L NO3", "kh": "dKH", "temperature": "°C"}
    drops = TrialFacts(FACTS.plan, (replace(THERE, unit_of_measure="drops"),))
    assert preview_of("tank\tdate\tkh\nT2\t2026-03-03\t5 drops\n", facts=drops).readings[0].unit_of_measure == "drops"
