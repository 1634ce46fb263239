"""The duty table against sentences: each grade with what may be said of it and what may not."""

import csv
from collections import Counter
from pathlib import Path

from tests.publish.strength.findings import graded, graded_german

from checking import every
from fairtank.finding import GRADES
from fairtank.publish.strength.check import text_check
from fairtank.publish.strength.duty import DUTIES, KINDS, is_allowed, reason, table_rows

TABLE = Path(__file__).with_name("duty.csv")
PARTS = ("main", "held", "second", "third", "fourth", "german")


def rows(part):
    lines = [line for line in TABLE.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return [row for row in csv.DictReader(lines) if row["part"] == part]


def kinds_found(row):
    findings = graded_german(row["grade"]) if row["part"] == "german" else graded(row["grade"])
    return {flag.kind for flag in text_check(row["sentence"], findings)}


def test_the_table_has_twenty_sentences_of_each_grade_and_more():
    counts = Counter(row["grade"] for part in ("main", "held") for row in rows(part))
    assert set(counts) == set(GRADES)
    assert min(counts.values()) >= 20
    assert len(rows("held")) == 40


@every("grade", GRADES)
def test_what_may_be_said_passes_and_what_may_not_is_flagged_for_what_it_claims(grade):
    for row in (row for part in PARTS for row in rows(part) if row["grade"] == grade):
        found = kinds_found(row)
        assert (not found) == (row["verdict"] == "may"), (row["sentence"], found)
        is_told_why = row["part"] in ("main", "second", "fourth", "german")
        assert not found or not is_told_why or row["kind"] in (*found, ""), (row["sentence"], row["kind"], found)


def test_every_kind_has_a_reason_and_no_grade_carries_certainty_or_absence():
    for duty in DUTIES:
        assert duty.why.endswith(".") or duty.why.endswith("!")
        for grade in GRADES:
            assert reason(duty.kind, graded(grade)[0])
    for kind in ("absence", "certainty", "significant", "advice", "general", "winner", "absolute"):
        assert not any(is_allowed(kind, graded(grade)[0]) for grade in GRADES)


def test_a_cause_is_not_named_where_the_lot_did_not_decide():
    assert is_allowed("cause", graded("matters")[0])
    assert not is_allowed("cause", graded("matters", tags=("not by lot",))[0])
    assert "lot" in reason("cause", graded("matters", tags=("not by lot",))[0])


@every("text", ["The dark break reduced algae.", "Splitting the light lowered algae cover.", "The dark break slowed algae growth."])
def test_a_verb_of_which_the_change_is_the_doer_names_a_cause(text):
    assert not text_check(text, graded("matters"))
    assert {flag.kind for flag in text_check(text, graded("matters", tags=("not by lot",)))} == {"cause"}
    told = "The tanks with the dark break had less algae."
    assert not text_check(told, graded("matters", tags=("not by lot",)))


def test_alike_carries_a_difference_only_where_its_interval_leaves_out_none():
    assert not is_allowed("difference", graded("alike")[0])
    assert is_allowed("difference", graded("alike", estimate=0.2, low=0.1, high=0.3)[0])


def test_the_table_is_told_as_rows_with_each_grade():
    head, *told = table_rows()
    assert head == ["claim", *GRADES]
    assert len(told) == len(KINDS)
    assert ["that a difference is large, or large enough to matter", "not", "not", "may be said", "not", "not", "not"] in told
