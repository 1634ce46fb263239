"""Spreadsheet files: values as they were saved; what hides more than it shows is refused before it is opened."""

import io
import warnings
import zipfile
from datetime import date, datetime, time

import pytest
from openpyxl import Workbook
from tests.records.importers.trial import FACTS, preview_of, told

from fairtank.errors import InputError
from fairtank.records.importers import sheet_of, template_of


def workbook(*rows, title="Tests", more=()):
    """An XLSX file with these rows."""
    book = Workbook()
    book.active.title = title
    for row in rows:
        book.active.append(row)
    for name in more:
        book.create_sheet(name)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def parts(content, changed):
    """The file with some of its parts replaced or added."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, changed.get(name, old.read(name)))
        for name in changed.keys() - set(old.namelist()):
            new.writestr(name, changed[name])
    return out.getvalue()


SHEET = "xl/worksheets/sheet1.xml"
PLAIN = workbook(["tank", "date", "kh"], ["T1", date(2026, 3, 2), 5.5])
ENTITIES = (b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;">]><worksheet '
            b'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData><row><c t="str"><v>&b;</v></c></row></sheetData>'
            b'</worksheet>')


def test_numbers_dates_and_times_of_a_spreadsheet_are_read_whatever_the_comma():
    content = workbook(["tank", "date", "time", "kh", "haze"], ["T1", date(2026, 3, 2), time(18, 30), 1.234, "7,5"],
                       ["T2", datetime(2026, 3, 2, 6, 0, 1), None, 5, 1.25])
    assert told(preview_of(content, "a.xlsx")) == [("T1", "03-02 18:30", "kh", 1.234, "dKH", False),
                                                   ("T2", "03-02 06:00", "kh", 5.0, "dKH", False)]


def test_the_first_worksheet_that_holds_anything_is_read_and_another_may_be_wanted():
    book = Workbook()
    book.active.title = "Empty"
    for name, value in (("One", 5), ("Two", 6)):
        sheet = book.create_sheet(name)
        sheet.append(["tank", "date", "kh"])
        sheet.append(["T1", date(2026, 3, 3), value])
    out = io.BytesIO()
    book.save(out)
    first = sheet_of(out.getvalue(), "a.xlsx")
    assert (first.table, first.tables, first.said[0]) == ("One", ("Empty", "One", "Two"), "A spreadsheet; of its worksheets One was read.")
    assert sheet_of(out.getvalue(), "a.xlsx", table="Two").rows[1] == ("T1", "2026-03-03", "6")
    with pytest.raises(InputError, match="the worksheet is Three; accepted: Empty, One, Two"):
        sheet_of(out.getvalue(), "a.xlsx", table="Three")


def test_a_formula_gives_its_saved_result_and_is_told_where_there_is_none():
    xml = zipfile.ZipFile(io.BytesIO(PLAIN)).read(SHEET).replace(b"<v>5.5</v>", b"<f>HYPERLINK(&quot;x&quot;)</f><v>6.5</v>")
    assert told(preview_of(parts(PLAIN, {SHEET: xml}), "a.xlsx"))[0][3] == 6.5
    sheet = sheet_of(workbook(["tank", "date", "kh"], ["T1", date(2026, 3, 2), "=1+1"]), "a.xlsx")
    assert sheet.rows[1] == ("T1", "2026-03-02")
    assert sheet.said[1].startswith("1 cell holds a formula without a saved result and counts as empty")


@pytest.mark.parametrize(("changed", "message"), [
    ({SHEET: ENTITIES}, "declares things of its own"), ({"xl/sharedStrings.xml": ENTITIES}, "declares things of its own"),
    ({"xl/workbook.xml": "<?xml version='1.0' encoding='UTF-16'?><a/>".encode("utf-16")}, "declares things of its own"),
    ({SHEET: b"<worksheet><sheetData><row><c"}, "no spreadsheet that can be read"),
    ({"[Content_Types].xml": b"<a/>"}, "no spreadsheet that can be read"),
    ({"xl/media/zeros.bin": b"\0" * 40_000_001}, "larger when unpacked"),
    ({f"xl/media/{number}.bin": b"" for number in range(2001)}, "larger when unpacked"),
])
def test_a_file_with_wrong_parts_is_refused(changed, message):
    with pytest.raises(InputError, match=message):
        sheet_of(parts(PLAIN, changed), "a.xlsx")


def test_a_part_that_stands_twice_is_refused():
    out = io.BytesIO(PLAIN)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with zipfile.ZipFile(out, "a") as archive:
            archive.writestr(SHEET, b"<worksheet/>")
    with pytest.raises(InputError, match="holds a part twice"):
        sheet_of(out.getvalue(), "a.xlsx")


def test_a_file_that_is_a_zip_of_something_else_is_refused():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("mimetype", "application/x-office")
        archive.writestr("content.xml", "<a/>")
    with pytest.raises(InputError, match="a file of another office program"):
        sheet_of(out.getvalue(), "a.ods")
    with pytest.raises(InputError, match="no spreadsheet that can be read"):
        sheet_of(b"PK\x03\x04 and nothing else", "a.xlsx")


def test_a_worksheet_that_claims_to_be_enormous_is_read_by_its_cells_only():
    xml = zipfile.ZipFile(io.BytesIO(PLAIN)).read(SHEET).replace(b'ref="A1:C2"', b'ref="A1:XFD1048576"')
    assert b"XFD1048576" in xml
    assert sheet_of(parts(PLAIN, {SHEET: xml}), "a.xlsx").rows == (("tank", "date", "kh"), ("T1", "2026-03-02", "5.5"))


@pytest.mark.parametrize(("cell", "message"), [(b"XFC2", "columns wide in row 2"), (b"C900000", "longer than 200000 rows")])
def test_a_cell_far_out_is_refused_and_not_filled_up_to(cell, message):
    row = cell.lstrip(b"ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    xml = zipfile.ZipFile(io.BytesIO(PLAIN)).read(SHEET)
    xml = xml.replace(b'<row r="2">', b'<row r="%s">' % row).replace(b'r="C2"', b'r="%s"' % cell)
    for letter in (b"A", b"B"):
        xml = xml.replace(b'r="%s2"' % letter, b'r="%s%s"' % (letter, row))
    with pytest.raises(InputError, match=message):
        sheet_of(parts(PLAIN, {SHEET: xml}), "a.xlsx")


@pytest.mark.parametrize("form", ["csv", "xlsx"])
def test_the_empty_sheet_of_a_trial_is_read_back_as_it_is_meant(form):
    sheet = sheet_of(template_of(FACTS, form), f"readings.{form}")
    assert sheet.headings == ("date", "day", "tank", "nitrate (mg/L NO3)", "kh (dKH)", "temperature (°C)", "method")
    assert [row[:3] for row in sheet.rows[1:6]] == [("2026-03-01", "0", "T1"), ("2026-03-01", "0", "T2"), ("2026-03-01", "0", "T3"),
                                                    ("2026-03-01", "0", "T4"), ("2026-03-08", "7", "T1")]
    filled = "\n".join("\t".join((*row[:3], "12", "5,5", "", "drops")) for row in [*sheet.rows[1:3]])
    preview = preview_of("\t".join(sheet.headings) + "\n" + filled)
    assert told(preview)[:2] == [("T1", "03-01 00:00", "nitrate", 12.0, "mg/L NO3", False), ("T1", "03-01 00:00", "kh", 5.5, "dKH", False)]
    assert {one.method for one in preview.readings} == {"drops"}
