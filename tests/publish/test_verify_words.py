"""What became of a sealed folder, in words: each change has a sentence of its own, short lists stay short."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from checking import every
from fairtank.publish.verify_words import fault_words, files_words, rows_words, table_words, verified_words
from fairtank.seal import FileChange, SealFault, TableChange, Verification

MARCH, MAY = datetime(2026, 3, 1, 18, 30, tzinfo=UTC), datetime(2026, 5, 1, 7, 5, tzinfo=UTC)
SINCE = "Since the stamp of 2026-03-01 18:30 UTC"
TITLES = {"algae_cover": "Algae cover"}


def table(**more):
    return TableChange("readings.csv", MARCH, 90, **more)


@pytest.mark.parametrize(("rows", "told"), [
    ([7], "row 7"), ([3, 2], "rows 2 and 3"), ([2, 3, 4], "rows 2 to 4"), ([2, 4, 5, 6, 9], "rows 2, 4 to 6 and 9"),
    (list(range(2, 40, 2)), "rows 2, 4, 6, 8, 10, 12 and 13 more"),
])
def test_rows_are_told_in_spans(rows, told):
    assert rows_words(rows) == told


@pytest.mark.parametrize(("change", "told"), [
    (table(changed=((5, 5),)), f"{SINCE}, in readings.csv: row 5 was changed."),
    (table(changed=((5, 6), (6, 7)), added=(2,)),
     f"{SINCE}, in readings.csv: rows 5 and 6 (now rows 6 and 7) were changed; row 2 was added."),
    (table(removed=(4, 5, 6)), f"{SINCE}, in readings.csv: rows 4 to 6 were removed (numbered as stamped)."),
    (table(added=(91, 92, 93), early=1), f"{SINCE}, in readings.csv: rows 91 to 93 were added, 1 of them with a day before the stamp."),
    (table(moved=3), f"{SINCE}, in readings.csv: 3 rows stand in another place, none of them changed."),
    (table(is_missing=True), f"{SINCE}, in readings.csv: the file is gone, with 90 rows."),
    (table(is_unplaced=True), f"{SINCE}, in readings.csv: rows were changed or removed, and which ones cannot be told."),
    (table(columns_gone=("value",), changed=((2, 2),)), f"{SINCE}, in readings.csv: a column is gone (value); row 2 was changed."),
    (table(removed=(4,), until=MAY, reason="a slip"), "Between the stamps of 2026-03-01 18:30 UTC and 2026-05-01 07:05 UTC (reason given: "
                                                      "“a slip”), in readings.csv: row 4 was removed (numbered as stamped)."),
])
def test_each_thing_that_can_happen_to_a_table_has_its_sentence(change, told):
    assert table_words(change) == told


def test_files_of_one_fate_are_told_together_and_long_lists_are_cut():
    files = [FileChange(f"photos/{place}.png", "missing", MARCH, is_picture=True) for place in range(9)]
    assert files_words([*files, FileChange("setup.toml", "changed", MARCH)]) == [
        f"{SINCE}, 9 pictures were removed (photos/0.png, photos/1.png, photos/2.png, photos/3.png, photos/4.png, photos/5.png and 3 "
        "more).",
        f"{SINCE}, a file of settings was changed (setup.toml)."]


def test_files_that_may_change_say_so_and_are_no_harm():
    schedule = FileChange("schedule.toml", "changed", MARCH, is_living=True)
    assert files_words([schedule]) == [f"{SINCE}, schedule.toml was edited: a schedule may be planned anew while a trial runs."]
    assert not schedule.is_harm
    assert replace(schedule, kind="missing", is_living=False).is_harm


@every("what", ["digest", "code", "order", "signature", "unsigned", "listing", "gone", "unreadable", "content"])
@every(("which", "number", "called"), [("seal", 0, "the seal"), ("amendment", 2, "amendment 2"), ("stamp", 1, "stamp 1")])
def test_each_fault_is_a_sentence_about_its_part(what, which, number, called):
    told = fault_words(SealFault(which, number, what), TITLES)
    assert called in told[:1].lower() + told[1:]
    assert told.endswith(".")
    assert "None" not in told


def test_a_field_that_a_later_version_may_add_still_has_words():
    assert fault_words(SealFault("seal", 0, "content", ("plan", "moon", "", "phase"), 1), {}) == (
        "In the seal itself, the plan was changed after it was written: 1 stands there now.")
    assert "the field tide was" in fault_words(SealFault("seal", 0, "content", ("tide",), 1), {})


def test_a_draw_that_the_plan_does_not_follow_is_told_and_one_that_it_does_too():
    verified = Verification(True, draw=("The lot gave unit T2 arm C, and trial.toml says R.",))
    assert not verified.is_in_order
    assert verified_words(verified)[1] == "The lot gave unit T2 arm C, and trial.toml says R."
    assert "The arms are those that the lot gave, and its seed gives them again." in verified_words(Verification(True, draw=()))
