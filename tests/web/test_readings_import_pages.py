"""A table of readings in the pages: looked at, stored once, taken back at once."""

import re
from io import BytesIO

import pytest
from tests.web.round_site import folder_write
from tests.web.round_trials import NOW

PASTED = "tank\tdate\tKH\tNO3 (mg/L NO3)\nT1\t2026-03-05 18:00\t5,5\t<0,5\nT2\t2026-03-05 18:05\t6\t12\nT9\t2026-03-05 18:05\t6\t12\n"


@pytest.fixture(name="root", scope="module")
def _root(tmp_path_factory):
    return folder_write(tmp_path_factory.mktemp("import") / "t", today=NOW.date())


@pytest.fixture(name="page")
def _page(asked, root):
    """The address at which a table is brought in."""
    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.trail import KEEPER

    return f"/trials/{trial_import(root=root, by=KEEPER).slug}/readings/import/"


def text(answer):
    return " ".join(answer.content.decode().split())


def seen(answer):
    return {"seen": re.search(r'name="seen" value="(\w+)"', answer.content.decode())[1], "do": "store"}


def brought(asked, page, content=PASTED):
    """The address of the look at a pasted table."""
    answer = asked.post(page, {"pasted": content})
    assert answer.status_code == 303, text(answer)
    return answer["Location"]


def count():
    from fairtank.records.models import Reading

    return Reading.objects.count()


def test_whoever_gave_themselves_a_name_looks_at_their_table_and_stores_it(asked, page):
    asked.post("/settings/keep/", {"keeper_name": "Ada of the cellar"})
    look = brought(asked, page)
    answer = asked.get(look)
    assert "Store these 4 readings" in text(answer)
    before = count()
    asked.post(look, seen(answer))
    assert count() == before + 4


def test_nothing_is_stored_before_it_was_looked_at_and_then_all_of_it_with_one_line_of_the_trail(asked, page):
    from fairtank.records.models import Change, Reading

    before, trails = count(), Change.objects.count()
    look = brought(asked, page)
    answer = asked.get(look)
    said = text(answer)
    assert "4 readings of kh, nitrate in 2 tanks" in said
    assert "Store these 4 readings" in said
    assert count() == before
    assert said.count("T9 is not a unit of this trial; accepted: T1, T2.") == 1
    assert "Row 4, tank" in said
    assert "its cells name tanks of this trial" in said
    assert asked.post(look, seen(answer))["Location"] == page.replace("import/", "")
    assert count() == before + 4
    assert Change.objects.count() == trails + 1
    row = Reading.objects.get(quantity="nitrate", unit__key="T1")
    assert (row.value, row.below_detection, row.unit_of_measure, row.day) == (0.5, True, "mg/L NO3", 4)
    told = text(asked.get(page.replace("import/", "")))
    assert "4 readings stored." in told
    assert f'href="{page}#brought-in"' in told


def test_the_same_table_stores_nothing_twice(asked, page):
    before, look = count(), brought(asked, page)
    form = seen(asked.get(look))
    for _ in range(3):
        asked.post(look, form)
    assert count() == before + 4
    assert "stored already" in text(asked.get(page))
    again = text(asked.get(brought(asked, page)))
    assert "4 readings are there already and will not be stored again." in again
    assert "Store th" not in again


def test_one_table_is_taken_back_at_once_and_brought_back(asked, page):
    before, look = count(), brought(asked, page)
    asked.post(look, seen(asked.get(look)))
    assert "Take back these 4 readings" in text(asked.get(page))
    assert asked.post(f"{look}take-back").status_code == 303
    assert count() == before
    assert "Bring 4 readings back" in text(asked.get(page))
    asked.post(f"{look}bring-back")
    assert count() == before + 4
    assert asked.post(f"{page}nothing-of-this/take-back").status_code == 302
    assert count() == before + 4


def test_what_is_stored_is_what_was_looked_at(asked, page):
    before, look = count(), brought(asked, page)
    form = seen(asked.get(look))
    answer = asked.post(look, {**form, "column-2-quantity": "gh", "column-2-unit_of_measure": "dGH"})
    assert answer.status_code == 422
    assert "not what was shown last" in text(answer)
    assert count() == before
    asked.post(look, {**seen(answer), "column-2-quantity": "gh", "column-2-unit_of_measure": "dGH"})
    assert count() == before + 4


def test_what_only_the_keeper_knows_is_asked(asked, page):
    look = brought(asked, page, "tank;date;KH\nT1;03/04/2026;n.d.\n")
    answer = asked.get(look)
    assert "Does the day or the month come first?" in text(answer)
    assert 'value="store"' not in text(answer)
    assert asked.post(look, seen(answer)).status_code == 422
    answer = asked.post(look, {"date_order": "month_first", "column-2-limit": "0.5"})
    assert "1 reading of kh in 1 tank, on 2026-03-04." in text(answer)


def test_a_doubtful_value_is_held_back_until_it_is_meant(asked, page):
    before, look = count(), brought(asked, page, "tank;date;temperature (°C)\nT1;2026-03-05;77\n")
    assert "77 °F would be 25 °C" in text(asked.get(look))
    assert count() == before
    answer = asked.post(look, {"doubtful": ["ask", "keep"]})
    asked.post(look, {**seen(answer), "doubtful": ["ask", "keep"]})
    assert count() == before + 1


def test_the_empty_sheet_comes_back_as_it_is(asked, page):
    from fairtank.records.importers import sheet_of

    for form in ("csv", "xlsx"):
        answer = asked.get(f"{page}empty.{form}")
        assert answer.status_code == 200
        assert answer["Content-Disposition"].startswith("attachment")
        assert sheet_of(answer.content, f"sheet.{form}").headings[:3] == ("date", "day", "tank")
    assert asked.get(f"{page}empty.exe").status_code == 404


def test_a_kept_table_is_nobody_elses_and_is_over_after_an_hour(asked, page, shelf):
    import os
    import time

    from fairtank.records.kept_sheets import sheet_kept
    from fairtank.records.models import Trial
    from fairtank.records.services.trail import KEEPER, By

    key = brought(asked, page).rstrip("/").rpartition("/")[2]
    trial, (place,) = Trial.objects.get(), (shelf / "derived" / "uploads").iterdir()
    assert sheet_kept(trial=trial, by=KEEPER, key=key).content == PASTED
    assert sheet_kept(trial=trial, by=By("phone"), key=key) is None
    assert sheet_kept(trial=Trial(), by=KEEPER, key=key) is None
    assert sheet_kept(trial=trial, by=KEEPER, key=f"../{key[3:]}") is None
    os.utime(place, (time.time() - 3601,) * 2)
    assert sheet_kept(trial=trial, by=KEEPER, key=key) is None
    assert "It is kept for an hour" in text(asked.get(page)) or asked.get(f"{page}{key}/").status_code == 303
    brought(asked, page)
    assert not place.exists()


def test_few_tables_are_kept_at_a_time(asked, page, shelf):
    for _ in range(8):
        brought(asked, page)
    assert len(list((shelf / "derived" / "uploads").iterdir())) == 5


@pytest.mark.parametrize(("content", "name", "said"), [
    (b"\x00\x01\x02" * 50, "a.csv", "no plain text"), (b"PK\x03\x04 not a zip at all", "a.xlsx", "a.xlsx"), (b"   ", "a.csv", "empty"),
    (b"\xd0\xcf\x11\xe0" + b"x" * 99, "a.xls", "older spreadsheet format"), (b"\xff\xfe\x00\xd8" * 9, "../../etc/passwd", "passwd"),
])  # fmt: skip
def test_a_file_that_is_no_table_is_refused_and_not_kept(asked, page, shelf, content, name, said):
    file = BytesIO(content)
    file.name = name
    answer = asked.post(page, {"file": file})
    assert answer.status_code == 422
    assert said in text(answer)
    assert not (shelf / "derived" / "uploads").exists()


def test_what_a_table_says_is_shown_as_text(asked, page):
    look = brought(asked, page, "tank;date;<script>x</script> KH\nT1;2026-03-05;\"<img src=x onerror=y>\"\nT1;2026-03-06;5\n")
    answer = asked.get(look).content.decode()
    assert "<script>x" not in answer
    assert "<img src=x" not in answer
    assert "&lt;script&gt;x" in answer


def test_a_file_beyond_the_limit_is_refused_before_it_is_read(asked, page, monkeypatch):
    import fairtank.web.views.readings_import as views

    monkeypatch.setattr(views, "CSV_LIMIT_BYTES", 10)
    file = BytesIO(PASTED.encode())
    file.name = "large.csv"
    assert asked.post(page, {"file": file}).status_code == 422
    assert count() == 16


def test_a_field_that_no_page_sends_is_refused_in_words(asked, page):
    look = brought(asked, page)
    for sent, said in (({"column-2-role": "oracle"}, "column-2-role is oracle"), ({"unit": "x" * 300}, "300 characters long"),
                       ({"column-1-role": "unit"}, "one column")):
        answer = asked.post(look, sent)
        assert answer.status_code == 422
        assert said in text(answer)
