"""The reporting checklist: every item of the statement is there, and none is answered by what the folder does not hold."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from invented_trials import dark_break, one_cover_glass

from fairtank.chore import Chore, ChoreDone
from fairtank.lot import Draw
from fairtank.publish.blocks import ANSWERED, DOES_NOT_APPLY, NOT_RECORDED, Checklist, Words
from fairtank.publish.consort import ITEMS
from fairtank.publish.document import document, primary_of
from fairtank.publish.report_checklist import ANSWERS, answers, counted_words
from fairtank.seal import Seal, Sealing
from fairtank.trial import Looks

NUMBERS = ("1a 1b 2 3 4 5a 5b 6 7 8 9 10 11 12a 12b 13 14 15 16a 16b 17a 17b 18 19 20a 20b 21a 21b 21c 21d 22a 22b 23a 23b 24a 24b 25 26 "
           "27 28 29 30")
AT = datetime(2026, 2, 28, 9, tzinfo=UTC)
SEALING = Sealing(AT, {}, "ab" * 32, "K7M2Q9XW4T", 0, 0, "")


def told(content):
    """The answers, with every section that the report has."""
    report = document(content)
    return answers(content, primary_of(content), {section.key: section.title for section in report.sections})


@pytest.fixture(scope="module")
def six():
    return dark_break(with_photos=False)


def changed(content, *, plan=None, **folder):
    """The content with other fields of its plan and its folder."""
    own = replace(content.folder.plan, **(plan or {}))
    return replace(content, folder=replace(content.folder, plan=own, **folder))


@pytest.mark.published(entry="publish.consort.ITEMS", source="consort2025", where="table 1, column No")
def test_every_item_of_the_statement_is_there_once_in_its_order():
    assert " ".join(item.number for item in ITEMS) == NUMBERS
    assert list(ANSWERS) == NUMBERS.split()


def test_no_item_is_left_without_an_answer_and_every_link_leads_to_a_section(six):
    for content in (six, one_cover_glass(), replace(six, findings=())):
        report = document(content)
        (block,) = [block for block in report.sections[-1].blocks if isinstance(block, Checklist)]
        found = [answer for _, group in block.groups for answer in group]
        assert [answer.number for answer in found] == NUMBERS.split()
        assert all(answer.text and answer.state in (ANSWERED, NOT_RECORDED, DOES_NOT_APPLY) for answer in found)
        there = {section.key for section in report.sections}
        assert {key for answer in found for key, _ in answer.sections} <= there
        assert all(answer.sections for answer in found if answer.state == ANSWERED), [a.number for a in found if not a.sections]


def test_the_head_counts_what_is_answered_not_recorded_and_does_not_apply(six):
    found = tuple(told(six).values())
    counts = [sum(answer.state == state for answer in found) for state in (ANSWERED, NOT_RECORDED, DOES_NOT_APPLY)]
    assert sum(counts) == 42
    assert counted_words(found) == f"Of 42 items: {counts[0]} answered, {counts[1]} not recorded, {counts[2]} do not apply."
    first = document(six).sections[-1].blocks[0]
    assert isinstance(first, Words)
    assert first.text == counted_words(found)


@pytest.mark.parametrize(("numbers", "plan"), [
    (("5a", "5b"), {"disclosure": "A shop gave the lamps."}), (("6",), {"rationale": "Algae need the light in one piece."}),
    (("20a",), {"blinded": True}),
])
def test_an_item_is_answered_only_where_the_plan_says_it(six, numbers, plan):
    before, after = told(six), told(changed(six, plan=plan))
    assert {before[number].state for number in numbers} == {NOT_RECORDED}
    assert {after[number].state for number in numbers} == {ANSWERED}
    others = [number for number in NUMBERS.split() if number not in numbers]
    assert [before[number].state for number in others] == [after[number].state for number in others]


def test_question_place_change_and_events_count_only_where_they_were_written_down(six):
    full = told(six)
    bare = told(changed(six, plan={"question": "", "place": "", "change": ""}, events=()))
    for number in ("7", "11", "13", "15", "27"):
        assert (full[number].state, bare[number].state) == (ANSWERED, NOT_RECORDED), number


def test_what_only_a_record_of_the_draw_can_tell_is_not_answered_by_a_seed(six):
    draw = Draw(7, AT, "procedure 1", tuple((f"T{unit}", "RDDRRD"[unit - 1]) for unit in range(1, 7)), (), 20, arm_keys=("R", "D"))
    with_record, drawn, by_hand = told(changed(six, draws=(draw,))), told(six), told(changed(six, plan={"drawn": False}))
    for number in ("17a", "17b", "18"):
        assert (with_record[number].state, drawn[number].state, by_hand[number].state) == (ANSWERED, NOT_RECORDED, NOT_RECORDED)
    assert (drawn["1a"].state, by_hand["1a"].state) == (ANSWERED, NOT_RECORDED)
    assert with_record["19"].state == NOT_RECORDED


def test_a_seal_answers_what_was_changed_and_does_not_pass_for_a_register(six):
    sealed = told(changed(six, seal=Seal((SEALING,), {})))
    assert (told(six)["10"].state, sealed["10"].state) == (NOT_RECORDED, ANSWERED)
    assert sealed["2"].state == NOT_RECORDED
    assert "K7M2Q9XW4T" in sealed["2"].text
    assert "cannot be shown" in told(six)["14"].text
    assert "cannot be shown" not in sealed["14"].text
    amended = told(changed(six, seal=Seal((SEALING, replace(SEALING, reason="A lamp broke.")), {})))
    assert amended["10"].text == "1 amendment, with time and reason."


def test_chores_that_were_done_and_planned_looks_answer_their_items(six):
    chore = Chore("feed", "Feeding", "feed", "FREQ=DAILY")
    done = (ChoreDone("T1", "feed", "feed", 1, AT, 1, by="Mira"),)
    kept = told(changed(six, plan={"looks": Looks((14, 37), (0.01, 0.04))}, chores=(chore,), chores_done=done))
    for number in ("24a", "24b"):  # events alone do not tell what was given besides
        assert (told(six)[number].state, kept[number].state) == (NOT_RECORDED, ANSWERED), number
    assert (told(six)["16b"].state, kept["16b"].state) == (DOES_NOT_APPLY, ANSWERED)


def test_a_trial_that_ended_before_its_last_day_does_not_say_why(six):
    assert told(six)["23b"].state == ANSWERED
    assert told(changed(six, plan={"days": 60}))["23b"].state == NOT_RECORDED
    stopped = tuple(replace(one, tags=("stopped early",)) for one in six.findings)
    assert told(replace(six, findings=stopped))["23b"].state == NOT_RECORDED


def test_nothing_judged_answers_no_item_on_results(six):
    found = told(replace(six, findings=(), series=()))
    for number in ("1b", "14", "21a", "21b", "21c", "22a", "22b", "26", "29"):
        assert found[number].state == NOT_RECORDED, number
