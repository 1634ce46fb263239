"""Whatever stands in a file: it is read or refused in a sentence, and every cell is accounted for."""

import time
from datetime import datetime, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.records.importers.trial import FACTS, preview_of

from fairtank.errors import InputError
from fairtank.records.importers import fields_of, matched, matching_from_fields, rows_of, sheet_of
from fairtank.records.importers.matching import ROLES

CHEAP = settings(max_examples=35, deadline=None, derandomize=True, database=None, suppress_health_check=[HealthCheck.too_slow])
ODD = "aZ09 .,;:-+='\"\t\r\n/()[]<>#%@°µ٣é\u00a0\u202e\ufeff\U0001f420"  # a short list: all of Unicode takes hypothesis seconds to load
CELL = st.one_of(st.sampled_from(["", "T1", "T2", "tank", "date", "kh", "2026-03-02", "03/04/2026", "18:30", "7,2", "1.234", "<0.5", "n.d.",
                                  "nan", "inf", "1e999", "=1+1", "@x", "°C", "mg/L", "true", "#", "-", '"', "٣", "9" * 70, "(" * 200]),
                 st.text(ODD, max_size=12), st.floats().map(str))
TABLE = st.lists(st.lists(CELL, min_size=1, max_size=4), min_size=1, max_size=6)


def looked_at(content, name):
    """The preview of some content; None where it was refused."""
    try:
        return preview_of(content, name)
    except InputError as error:
        told = str(error)
    assert "accepted:" in told
    return None


@CHEAP
@given(st.binary(max_size=200), st.sampled_from([b"", b"PK\x03\x04", b"\xff\xfe", b"tank,date,kh\n"]))
def test_any_bytes_are_read_or_refused(content, start):
    preview = looked_at(start + content, "a.csv")
    assert preview is None or preview.said


@CHEAP
@given(TABLE, st.sampled_from("\t;,|"))
def test_any_table_is_read_or_refused_and_every_reading_is_finite(table, mark):
    preview = looked_at("\n".join(mark.join(row) for row in table), "")
    for reading in preview.readings if preview else ():
        assert abs(reading.value) < float("inf")
        assert reading.unit in FACTS.units
        assert abs(reading.day) < 200


@CHEAP
@given(st.lists(st.tuples(st.sampled_from(["T1", "Tank 2", "T9", ""]), st.sampled_from(["2026-03-02", "02.03.2026", "2031-01-01", "soon"]),
                          st.sampled_from(["5", "5,5", "-1", "<1", "n.d.", ">3", "x"]), st.sampled_from(["", "77", "25", "7e400"])),
                min_size=1, max_size=12))
def test_no_value_gets_lost(rows):
    text = "tank\tdate\tkh\tTemp (°C)\n" + "".join("\t".join(row) + "\n" for row in rows)
    sheet = sheet_of(text)
    matching = matched(sheet, FACTS)
    preview = rows_of(sheet, matching, FACTS)
    if preview.rows or preview.refused:
        values = {use.column for use in matching.values}
        held = {number for number, cells in sheet.data if any(place < len(cells) and cells[place] for place in values)}
        told = (*preview.rows, *preview.doubtful, *preview.there_already, *preview.twice, *preview.refused)
        assert {one.row for one in told} == held


@CHEAP
@given(st.dictionaries(st.sampled_from(["column-0-role", "column-1-role", "column-2-role", "column-2-limit", "unit", "quantity",
                                        "date_order", "decimal", "doubtful", "units-0-written", "units-0-key", "unit_of_measure"]),
                       st.one_of(st.sampled_from([*ROLES, "T1", "day_first", "comma", "keep", "mg/L"]), st.text(ODD, max_size=20))))
def test_any_form_is_taken_or_refused(sent):
    sheet = sheet_of("tank\tdate\tkh\nT1\t2026-03-03\tn.d.\nT2\t2026-03-03\t5\n")
    guessed = matched(sheet, FACTS)
    try:
        said = rows_of(sheet, matching_from_fields({**fields_of(guessed), **sent}, guessed), FACTS).said
    except InputError as error:
        said = (str(error),)
        assert "accepted:" in said[0]
    assert all(said)


@pytest.mark.parametrize("content", [
    "(" * 130_000 + ",b\n2026-03-02,1\n", "a,b\n2026-03-02," + "1" * 130_000 + "\n", "a,b\n" + ("," * 199 + "\n") * 3000,
    "a,b\n" + "1." * 60_000 + ",2\n",
], ids=["heading", "number", "empty", "points"])
def test_long_cells_and_many_empty_ones_take_no_long_time(content):
    began = time.process_time()
    looked_at(content, "a.csv")
    assert time.process_time() - began < 2


def test_thousands_of_rows_of_a_logger_are_read_row_by_row():
    began = datetime(2026, 3, 1)
    lines = [f"{began + timedelta(minutes=5 * number)},{24 + number % 97 / 50:.2f}" for number in range(4_000)]
    preview = preview_of("# logger\nTime,Temp (°C)\n" + "\n".join(lines), "T2.csv")
    assert (len(preview.rows), preview.refused) == (4_000, ())
    assert (preview.rows[-1].row, preview.rows[-1].reading.taken_at) == (4_002, began + timedelta(minutes=5 * 3_999))
    assert preview.said[0] == "4000 readings of temperature in 1 tank, from 2026-03-01 to 2026-03-14."
