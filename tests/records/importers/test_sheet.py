"""Pasted cells and files as a sheet: encodings, marks between cells, comment lines, and where the table begins."""

import pytest
from tests.records.importers.trial import preview_of

from fairtank.errors import InputError
from fairtank.records.importers import sheet_of

TEXT = "tank;date;kh;note\nT1;2026-03-02;5,5;Kübel µ\n"


@pytest.mark.parametrize(("content", "said"), [
    (TEXT.encode(), "UTF-8"), (b"\xef\xbb\xbf" + TEXT.encode(), "UTF-8"), (TEXT.encode("utf-16"), "UTF-16"),
    (TEXT.encode("utf-16-le"), "UTF-16"), (TEXT.encode("utf-16-be"), "UTF-16"), (TEXT.encode("cp1252"), "Windows-1252"),
])
def test_every_usual_encoding_gives_the_same_cells_and_is_told(content, said):
    sheet = sheet_of(content, "tests.csv")
    assert sheet.rows == (("tank", "date", "kh", "note"), ("T1", "2026-03-02", "5,5", "Kübel µ"))
    assert said in sheet.said[0]


@pytest.mark.parametrize(("mark", "said"), [("\t", "tabs"), (";", "semicolons"), (",", "commas"), ("|", "upright strokes")])
def test_the_mark_between_cells_is_found_and_told(mark, said):
    sheet = sheet_of(f"tank{mark}date{mark}kh\nT1{mark}2026-03-02{mark}5.5\n")
    assert sheet.headings == ("tank", "date", "kh")
    assert sheet.said[0] == f"Pasted cells, columns parted by {said}."


def test_decimal_commas_between_semicolons_do_not_part_cells():
    assert sheet_of("date;kh;gh\n2026-03-02;5,5;7,1\n2026-03-03;5,6;7,0\n").rows[1] == ("2026-03-02", "5,5", "7,1")


# Read in a copy of the text of RFC 4180.
@pytest.mark.published(entry="sheet_of", source="rfc4180", where="section 2, rules 1 to 5")
@pytest.mark.parametrize(("content", "rows"), [
    ("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", (("aaa", "bbb", "ccc"), ("zzz", "yyy", "xxx"))),
    ("aaa,bbb,ccc\r\nzzz,yyy,xxx", (("aaa", "bbb", "ccc"), ("zzz", "yyy", "xxx"))),
    ('"aaa","bbb","ccc"\r\nzzz,yyy,xxx', (("aaa", "bbb", "ccc"), ("zzz", "yyy", "xxx"))),
    ('"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx', (("aaa", "b\r\nbb", "ccc"), ("zzz", "yyy", "xxx"))),
    ('"aaa","b""bb","ccc"', (("aaa", 'b"bb', "ccc"),)),
])
def test_quoted_cells_and_line_ends_follow_the_published_rules(content, rows):
    assert sheet_of(content.encode(), "a.csv").rows == rows


def test_an_inch_mark_in_pasted_cells_is_no_quotation():
    assert sheet_of('tank\tnote\tkh\nT1\t"5 inch\t5\n').rows[1] == ("T1", '"5 inch', "5")


def test_an_unclosed_quotation_in_a_file_is_refused_with_what_to_do():
    with pytest.raises(InputError, match=r"the file a\.csv is not parted into cells as CSV is .* Close each quotation mark"):
        sheet_of(b'a,b,c\n1,2,3\n4,"5,6\n7,8,9\n', "a.csv")


def test_comment_lines_above_the_header_are_passed_over_and_row_numbers_stay_those_of_the_file():
    sheet = sheet_of("# logger 77\n# began 2026-03-01\n\nTime,Temp\n2026-03-02 18:00,24.5\n# pause\n2026-03-02 18:10,24.6\n")
    assert (sheet.header, sheet.headings) == (3, ("Time", "Temp"))
    assert [number for number, _ in sheet.data] == [5, 7]
    assert "logger 77" in sheet.preface


def test_a_loggers_own_lines_with_numbers_and_dates_are_not_taken_for_readings():
    sheet = sheet_of("Serial,12345\nBegan,2026-03-02 18:00\nInterval,600\n\nTime,Temp\n2026-03-02 18:00,24.5\n2026-03-02 18:10,24.6\n")
    assert (sheet.headings, [number for number, _ in sheet.data]) == (("Time", "Temp"), [6, 7])


def test_a_first_row_unlike_the_others_is_no_lines_above_the_header():
    sheet = sheet_of("tank\tdate\tkh\nT1\t2026-03-02\tlow\nT2\tsoon\t5\nT3\t2026-03-02\t5\nT4\t2026-03-02\t5\n")
    assert (sheet.header, [number for number, _ in sheet.data]) == (0, [2, 3, 4, 5])


def test_a_header_that_is_itself_a_comment_counts():
    assert sheet_of("#time,temp,kh\n2026-03-02 18:00,24.5,5\n").headings == ("time", "temp", "kh")


def test_a_row_of_units_below_the_headings_is_not_taken_for_them():
    sheet = sheet_of("Time,Temp,Cond\n-,°C,µS/cm\n2026-03-02 18:00,24.5,310\n")
    assert (sheet.headings, [number for number, _ in sheet.data]) == (("Time", "Temp", "Cond"), [3])


def test_a_table_without_headings_has_numbered_columns():
    sheet = sheet_of("T1\t2026-03-02\t5.5\nT2\t2026-03-02\t6\n")
    assert (sheet.header, sheet.headings) == (None, ("column 1", "column 2", "column 3"))
    assert "No row holds headings." in sheet.said


def test_decimal_commas_between_commas_are_refused_and_never_cut_off():
    preview = preview_of(b"date,kh\n2026-03-02,7,2\n2026-03-03,7,4\n", "T1.csv")
    assert preview.rows == ()
    assert str(preview.refused[0]) == ("Row 2: the row has 3 cells; accepted: 2 cells, as there are headings (does a number have a decimal "
                                       "comma?). Correct the row, or save the file with semicolons between cells.")


@pytest.mark.parametrize(("content", "message"), [
    (b"", "the file x is empty"), (b" \n\t\n", "is empty"), (b"\x89PNG\r\n\x1a\n\0\0", "the control character number"),
    (b"\xd0\xcf\x11\xe0" + b"\0" * 40, "in an older spreadsheet format, or locked with a password"),
    (b"%PDF-1.4\n\0\0\0", "control character"), (b"\xff\xfe", "the file x is empty"),
    (b"a,\x81\xff\n", "is no text: byte number 3"), (b"1," * 300 + b"\n" + b"1," * 300, "301 columns wide"),
    (b"a" * 20_000_001, "is 20 MB long; accepted: at most 20 MB"), (b"1,2\n" * 200_001, "200001 rows long"),
])
def test_what_is_no_table_is_refused_in_a_sentence(content, message):
    with pytest.raises(InputError, match=message):
        sheet_of(content, "x")
