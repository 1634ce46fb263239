"""Tables as CSV and XLSX: read back by other readers they say the same, and no text becomes a formula."""

import csv
import io
import math
from datetime import date, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from fairtank.errors import InputError
from fairtank.records.exporters.sheets import csv_text, guarded, sheet_bytes, unguarded
from fairtank.records.importers import sheet_of

COLUMNS = ("unit", "taken_at", "value", "note")
ROWS = (("T1", datetime(2026, 3, 2, 18, 30), -0.5, '=HYPERLINK("x")'), ("T2", date(2026, 3, 3), 12.0, "+1 drop, \"two\"\nlines"),
        ("@T3", None, 3, "-0.5"))


# Read in a copy of the text of RFC 4180.
@pytest.mark.published(entry="csv_text", source="rfc4180", where="section 2, rules 1, 3, 5, 6 and 7")
def test_lines_end_and_cells_are_quoted_as_the_standard_says():
    assert csv_text(("aaa", "bbb", "ccc"), [("zzz", "b\r\nbb", 'b"bb')]) == 'aaa,bbb,ccc\r\nzzz,"b\r\nbb","b""bb"\r\n'


def test_csv_is_read_back_and_texts_like_formulas_have_an_apostrophe():
    content = sheet_bytes(COLUMNS, ROWS, "csv")
    assert content.startswith(b"\xef\xbb\xbf")
    rows = list(csv.reader(io.StringIO(content.decode("utf-8-sig"), newline="")))
    assert rows == [list(COLUMNS), ["T1", "2026-03-02T18:30:00", "-0.5", "'=HYPERLINK(\"x\")"],
                    ["T2", "2026-03-03", "12", "'+1 drop, \"two\"\nlines"], ["'@T3", "", "3", "-0.5"]]


def test_a_spreadsheet_holds_numbers_dates_and_texts_and_no_formula():
    sheet = load_workbook(io.BytesIO(sheet_bytes(COLUMNS, ROWS, "xlsx", title="read/ings [1]"))).active
    assert [[cell.value for cell in row] for row in sheet.iter_rows(min_row=2)] == [
        ["T1", datetime(2026, 3, 2, 18, 30), -0.5, '=HYPERLINK("x")'], ["T2", datetime(2026, 3, 3), 12, "+1 drop, \"two\"\nlines"],
        ["@T3", None, 3, "-0.5"]]
    assert {cell.data_type for row in sheet.iter_rows() for cell in row} <= {"s", "n", "d"}


@pytest.mark.parametrize("form", ["csv", "xlsx"])
def test_what_was_guarded_comes_back_as_it_was(form):
    sheet = sheet_of(sheet_bytes(COLUMNS, ROWS, form), f"a.{form}")
    assert [row[-1] for row in sheet.rows[1:]] == ['=HYPERLINK("x")', "+1 drop, \"two\"\nlines", "-0.5"]
    assert sheet.rows[3][0] == "@T3"


@settings(max_examples=150, deadline=None, derandomize=True, database=None)
@given(st.text(alphabet="'=+-@|\t\r\n .,1eaé\u00a0\uff1d", max_size=6))
def test_guarding_is_undone_exactly_and_never_leaves_a_formula(text):
    assert unguarded(guarded(text)) == text
    first = guarded(text)[:1]
    assert first not in ("=", "@", "\t", "\r")
    assert first not in ("+", "-") or math.isfinite(float(text))


def test_characters_that_no_spreadsheet_can_hold_are_replaced_and_another_form_is_refused():
    content = sheet_bytes(("a\x00b",), [("x\x1by" + "z" * 40_000,)], "xlsx")
    value = load_workbook(io.BytesIO(content)).active["A2"].value
    assert (value[:4], len(value)) == ("x\N{REPLACEMENT CHARACTER}yz", 32_767)
    with pytest.raises(InputError, match="the form of the file is ods; accepted: csv, xlsx"):
        sheet_bytes(("a",), [], "ods")
