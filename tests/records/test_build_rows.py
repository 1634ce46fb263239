"""build.csv under a new plan: planned amounts follow the sheet, what a keeper wrote stays, and nothing is guessed."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fairtank.errors import FolderError
from fairtank.records.build_rows import rows_with_plan
from fairtank.trial import BuildLine

SAND = BuildLine("T1", "fine sand", "bed", 4.5, None, "kg", "", "40 mm deep")
WATER = BuildLine("T1", "tap water, first fill", "water", 33.0, None, "L")
PLANTS = BuildLine("T2", "rosette, middle", "plants", 9.0, None, "piece")


def test_without_rows_every_line_becomes_one():
    rows = rows_with_plan((SAND, WATER, PLANTS), ())
    assert (rows.lines, rows.added, rows.changed, rows.unplanned, rows.cells) == ((SAND, WATER, PLANTS), 3, 0, (), ())


def test_weighed_amounts_batches_notes_and_kinds_stay_and_the_planned_amount_is_that_of_today():
    there = BuildLine("T1", "fine sand", "substrate", 4.2, 4.21, "kg", "A 7", "sieved twice")
    rows = rows_with_plan((SAND,), (there,))
    assert rows.lines == (replace(there, planned=4.5),)
    assert (rows.added, rows.changed) == (0, 1)


def test_an_empty_batch_note_and_kind_are_filled_from_the_plan():
    rows = rows_with_plan((replace(SAND, batch="B1"),), (BuildLine("T1", "Fine  Sand", "", None, 4.4, "kg"),))
    assert rows.lines == (BuildLine("T1", "Fine  Sand", "bed", 4.5, 4.4, "kg", "B1", "40 mm deep"),)
    assert rows.changed == 1


def test_new_rows_stand_after_their_unit_and_further_cells_stay_with_their_rows():
    there = (BuildLine("T1", "old gravel", "bed", 1.0, 1.1, "kg"), BuildLine("T2", "rosette, middle", "plants", 9.0, 9.0, "piece"))
    rows = rows_with_plan((SAND, WATER, PLANTS), there, ({"who": "Io"}, {"who": ""}))
    assert [line.material for line in rows.lines] == ["old gravel", "fine sand", "tap water, first fill", "rosette, middle"]
    assert rows.cells == ({"who": "Io"}, {}, {}, {"who": ""})
    assert rows.unplanned == (("T1", "old gravel"),)
    assert rows.lines[0] == there[0]


@pytest.mark.parametrize(("line", "unit", "planned"), [
    (SAND, "g", 4500.0), (SAND, "kg", 4.5), (PLANTS, "pots", 9.0), (PLANTS, "pieces", 9.0), (WATER, "mL", 33000.0)])
def test_the_plan_is_told_in_the_unit_that_was_weighed_in(line, unit, planned):
    (row,) = rows_with_plan((line,), (replace(line, planned=1.0, weighed=2.0, unit_of_measure=unit),)).lines
    assert (row.planned, row.weighed, row.unit_of_measure) == (planned, 2.0, unit)


def test_a_unit_that_cannot_be_told_is_replaced_only_where_nothing_was_weighed():
    there = replace(SAND, planned=9.0, unit_of_measure="L")
    assert rows_with_plan((SAND,), (there,)).lines[0].unit_of_measure == "kg"
    with pytest.raises(FolderError, match=r'^build\.csv, column unit_of_measure: "fine sand" of T1 was weighed as 8\.5 L, and it is '
                       r'planned in '
                                          r"kg; accepted: the weighed amount and its unit in kg\.$"):
        rows_with_plan((SAND,), (replace(there, weighed=8.5),))
    with pytest.raises(FolderError, match=r"was weighed as 8\.5 without a unit, and it is planned in kg"):
        rows_with_plan((SAND,), (replace(there, weighed=8.5, unit_of_measure=""),))


def test_two_rows_for_one_line_are_refused_and_all_such_faults_are_told_at_once():
    twice = (SAND, replace(SAND, weighed=4.4), replace(WATER, weighed=5.0, unit_of_measure="kg"))
    with pytest.raises(FolderError) as refused:
        rows_with_plan((SAND, WATER), twice)
    assert [str(problem).split(";")[0] for problem in refused.value.problems] == [
        'build.csv, column material: 2 rows of T1 say "fine sand"',
        'build.csv, column unit_of_measure: "tap water, first fill" of T1 was weighed as 5 kg, and it is planned in L']


def test_words_that_differ_in_capitals_only_are_told_apart_where_both_are_planned():
    capital = replace(SAND, material="Fine sand", planned=1.0)
    rows = rows_with_plan((SAND, capital), ())
    assert rows_with_plan((SAND, capital), rows.lines).lines == rows.lines == (SAND, capital)
    weighed = (replace(capital, weighed=1.1),)
    assert rows_with_plan((SAND, capital), weighed).lines == (weighed[0], SAND)


def test_rows_that_are_not_planned_may_stand_twice():
    twice = (BuildLine("T1", "gift", "", None, 1.0, "kg"), BuildLine("T1", "gift", "", None, 2.0, "kg"))
    assert rows_with_plan((SAND,), twice).lines[:2] == twice


WORDS = st.sampled_from(("sand", "Sand", "soil", "water"))
ROWS = st.lists(st.builds(BuildLine, st.sampled_from(("T1", "T2")), WORDS, st.just("bed"), st.none() | st.floats(0, 9),
                          st.none() | st.floats(0, 9), st.sampled_from(("kg", "g", "L", "")), WORDS, WORDS), max_size=6)


@given(st.lists(st.tuples(st.sampled_from(("T1", "T2")), st.sampled_from(("sand", "soil", "gravel"))), unique=True, max_size=4), ROWS)
def test_no_row_of_a_keeper_is_ever_lost_and_a_second_time_changes_nothing(planned, there):
    lines = tuple(BuildLine(unit, material, "bed", 2.5, None, "kg") for unit, material in planned)
    try:
        rows = rows_with_plan(lines, there, tuple({"n": str(place)} for place, _ in enumerate(there)))
    except FolderError:
        return
    kept = {cells["n"]: line for line, cells in zip(rows.lines, rows.cells or ({},) * len(rows.lines), strict=True) if cells}
    assert len(kept) == len(there)
    for place, row in enumerate(there):
        now = kept[str(place)]
        assert (now.unit, now.material, now.weighed, now.batch, now.note) == (row.unit, row.material, row.weighed, row.batch, row.note)
        assert now.unit_of_measure == row.unit_of_measure or row.weighed is None
    again = rows_with_plan(lines, rows.lines)
    assert (again.lines, again.added, again.changed) == (rows.lines, 0, 0)
