"""Rows of tables by their marks: what was added, changed, removed or moved between then and now, and nothing mistaken for another."""

import random
from dataclasses import replace
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fairtank.records.folder.seal_rows import (
    marks_of_table,
    marks_of_text,
    table_change,
    table_change_unlisted,
    text_of_marks,
)

SINCE = datetime(2026, 3, 10, 8, 0, tzinfo=UTC)
HEADER = "unit,taken_at,value"
ROWS = [f"T{place % 3},2026-03-0{place + 1}T18:30,{place * 1.5}" for place in range(8)]


def table(rows, header=HEADER, end="\n"):
    return (end.join([header, *rows]) + end).encode()


def change(now, then=None):
    return table_change("readings.csv", marks_of_table(then or table(ROWS)), None if now is None else marks_of_table(now), SINCE)


def test_a_table_that_is_the_same_to_the_byte_is_left_out():
    assert change(table(ROWS)) is None


def test_rows_at_the_end_and_in_between_are_additions_with_their_numbers():
    found = change(table([*ROWS[:3], "T9,2026-03-11,1", *ROWS[3:], "T9,2026-03-12,2"]))
    assert (found.added, found.changed, found.removed, found.moved, found.is_harm) == ((5, 11), (), (), 0, False)


def test_added_rows_with_a_day_before_the_stamp_are_counted():
    assert change(table([*ROWS, "T9,2026-03-09,1", "T9,2026-03-10,1"])).early == 1


def test_a_changed_cell_is_told_with_the_row_then_and_now():
    assert change(table([*ROWS[:4], "T1,2026-03-05T18:30,6.1", *ROWS[5:]])).changed == ((6, 6),)
    found = change(table(["T9,2026-02-01,0", *ROWS[:4], "T1,2026-03-05T18:30,6.1", *ROWS[5:]]))
    assert (found.added, found.changed, found.is_harm) == ((2,), ((6, 7),), True)


def test_a_removed_row_is_told_with_its_old_number():
    found = change(table([*ROWS[:4], *ROWS[5:]]))
    assert (found.removed, found.changed, found.is_harm) == ((6,), (), True)


def test_another_order_is_told_as_that_and_as_no_loss():
    found = change(table(ROWS[::-1]))
    assert (found.moved, found.added, found.changed, found.removed, found.is_harm) == (7, (), (), (), False)
    found = change(table([ROWS[-1], *ROWS[:-1]]))
    assert (found.moved, found.is_harm) == (1, False)


def test_a_change_in_another_order_is_found_in_both():
    rows = [*ROWS[4:], *ROWS[:4]]
    rows[0] = "T1,2026-03-05T18:30,99"
    found = change(table(rows))
    assert found.is_harm
    assert len(found.changed) + len(found.removed) == 1


@pytest.mark.parametrize("now", [
    table(ROWS, end="\r\n"), b"\xef\xbb\xbf" + table(ROWS), table([row.replace("T0", '"T0"') for row in ROWS]), table([*ROWS, ",,", ""]),
    table([f"{row.rpartition(',')[2]},{row.rpartition(',')[0]}" for row in ROWS], "value,unit,taken_at"),
    table([row.replace("1.5", "1.50").replace("3.0", "3") for row in ROWS]), table([row.replace(",", ", ") for row in ROWS]),
    table([f"{row}," for row in ROWS], f"{HEADER},note"),
], ids=["line ends", "mark", "quotation marks", "empty rows", "columns", "zeros", "blanks", "empty column"])
def test_a_table_that_was_saved_anew_is_told_as_that(now):
    found = change(now)
    assert (found.is_rewritten, found.is_harm) == (True, False)


@pytest.mark.parametrize(("old", "new"), [("T0", "T00"), ("1.5", "15"), ("4.5", "4.05"), ("2026-03-01T18:30", "2026-03-01T18:31")])
def test_another_value_is_never_told_as_saved_anew(old, new):
    found = change(table([row.replace(old, new) for row in ROWS]))
    assert (found.is_rewritten, found.is_harm) == (False, True)


def test_numbers_with_zeros_before_them_are_text():
    then = table(["T1,2026-03-01,007"])
    assert change(table(["T1,2026-03-01,7"]), then).changed == ((2, 2),)


def test_a_file_that_is_gone_or_empty_is_told():
    assert change(None).is_missing
    assert change(b"").removed == tuple(range(2, 10))


def test_a_column_that_is_gone_is_named():
    found = change(table([row.rpartition(",")[0] for row in ROWS], "unit,taken_at"))
    assert (found.columns_gone, found.is_harm) == (("value",), True)


def test_a_row_with_the_short_mark_of_another_is_found_by_the_whole_digest():
    then, now = marks_of_table(table(ROWS)), marks_of_table(table([*ROWS[:-1], "T1,2026-03-08T18:30,99"]))
    found = table_change("readings.csv", then, replace(now, marks=then.marks), SINCE)
    assert (found.is_unplaced, found.is_rewritten, found.is_harm) == (True, False, True)


def test_marks_go_through_text():
    marks = marks_of_table(table(ROWS)).marks
    assert marks_of_text(text_of_marks(marks)) == marks
    assert len(text_of_marks(marks)) == 8 * len(marks)
    with pytest.raises(ValueError):
        marks_of_text("AAAA")


def test_without_the_list_of_rows_additions_are_told_and_everything_else_is_harm():
    then = marks_of_table(table(ROWS))
    now = marks_of_table(table([*ROWS, "T9,2026-03-09,1"]))
    found = table_change_unlisted("readings.csv", 8, then.digest, now, SINCE)
    assert (found.added, found.early, found.is_harm) == ((10,), 1, False)
    assert table_change_unlisted("readings.csv", 8, then.digest, then, SINCE) is None
    for rows in (ROWS[:-1], ROWS[::-1], ["x,y,z", *ROWS[1:]]):
        assert table_change_unlisted("readings.csv", 8, then.digest, marks_of_table(table(rows)), SINCE).is_unplaced
    assert table_change_unlisted("readings.csv", 8, then.digest, None, SINCE).is_missing


CELLS = st.sampled_from(["", "a", "b", "1", "1.0", "2.5"])


@given(st.lists(st.tuples(CELLS, CELLS), max_size=8), st.lists(st.tuples(CELLS, CELLS), max_size=8))
def test_rows_are_counted_once_whatever_was_done_to_them(then, now):
    """Those that stand now are those that stood then, less what was removed, and what was added."""
    before, after = (marks_of_table(table([",".join(row) for row in rows], "p,q")) for rows in (then, now))
    found = table_change("x.csv", before, after, SINCE)
    if found is not None:
        assert len(before.marks) - len(found.removed) + len(found.added) == len(after.marks)
        assert found.is_harm == bool(set(before.marks) - set(after.marks) or any(
            before.marks.count(mark) > after.marks.count(mark) for mark in before.marks))
        assert found.is_harm or found.added or found.moved or found.is_rewritten


def test_many_rows_take_little_time():
    chance = random.Random(1)
    rows = [f"T{place},2026-03-01,{chance.random():.6f}" for place in range(5000)]
    then = marks_of_table(table(rows))
    chance.shuffle(rows)
    found = table_change("x.csv", then, marks_of_table(table(rows)), SINCE)
    assert not found.is_harm
    assert found.moved > 4000
