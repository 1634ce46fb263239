"""The parts of a report beside its numbers: the box, the plan, the build sheets, the days, other ways, losses, limits, who paid."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from invented_trials import dark_break, finding, one_cover_glass, weights

from fairtank.chore import Chore, ChoreDone
from fairtank.publish.arms import arm_looks
from fairtank.publish.blocks import Bullets, Facts, Folded, Heading, Table, Words
from fairtank.publish.document import disclosure_blocks, primary_of
from fairtank.publish.numbers import shown
from fairtank.publish.phrases import plain_text
from fairtank.publish.report_brief import NONE_STATED, brief_blocks
from fairtank.publish.report_build import build_blocks, weighed_words
from fairtank.publish.report_days import NO_SCHEDULE, day_blocks
from fairtank.publish.report_harm import NONE_RECORDED, harm_blocks, harm_events
from fairtank.publish.report_limits import limits
from fairtank.publish.report_plan import NOT_SEALED, draw_blocks, measures_table, seal_blocks
from fairtank.publish.report_sensitivity import sensitivity_blocks
from fairtank.publish.sentences import amount_words, spoken, verdict_words
from fairtank.publish.setup import amended_blocks
from fairtank.seal import Seal, Sealing
from fairtank.trial import BuildLine, Event

NOON = datetime(2026, 3, 1, 12)
AT = datetime(2026, 2, 28, 9, tzinfo=UTC)
SEALING = Sealing(AT, {}, "ab" * 32, "K7M2Q9XW4T", 0, 0, "")


@pytest.fixture(scope="module")
def six():
    return dark_break(with_photos=False)


def with_folder(content, **folder):
    return replace(content, folder=replace(content.folder, **folder))


def texts(blocks) -> str:
    """All words of some blocks."""
    parts = []
    for block in blocks:
        parts += [block.text] if isinstance(block, Words | Heading) else list(block.items) if isinstance(block, Bullets) else \
            [" ".join(row) for row in block.rows] if isinstance(block, Table) else []
    return plain_text(" ".join(parts))


# the box -----------------------------------------------------------------------------------------------------------------


def test_the_box_says_what_was_asked_done_and_seen_how_sure_and_who_paid(six):
    (facts,) = brief_blocks(six, primary_of(six))
    assert isinstance(facts, Facts)
    told = dict(facts.pairs)
    assert list(told) == ["Asked", "Done", "Seen", "How sure", "What it does not say", "Who paid or supplied anything"]
    assert told["Asked"] == six.folder.plan.question
    assert told["Done"].startswith("6 tanks over 38 days from 2026-03-01: 3 under the dark break and 3 under the 8 h block; drawn by lot.")
    assert told["Seen"] == shown(amount_words(six.findings[0]))
    assert told["How sure"].startswith(shown(verdict_words(six.findings[0])))
    assert "1 of 2 other ways of analysing gives the same answer." in told["How sure"]
    assert told["Who paid or supplied anything"] == NONE_STATED


def test_the_box_tells_several_comparisons_apart_and_has_the_verdict_where_there_is_no_number():
    alone = one_cover_glass()
    (facts,) = brief_blocks(alone, primary_of(alone))
    assert dict(facts.pairs)["Seen"] == spoken(shown(verdict_words(alone.findings[0])))
    first = replace(alone.findings[0], comparisons=2)
    both = replace(alone, findings=(first, replace(first, changed_label="two cover glasses more")))
    (facts,) = brief_blocks(both, primary_of(both))
    assert dict(facts.pairs)["Seen"].count("against the bare") == 2


def test_nothing_stated_about_gifts_is_printed_and_what_was_stated_stands_as_it_is(six):
    assert texts(disclosure_blocks(six.folder.plan)).startswith("None stated. Nothing was written down about interests or gifts")
    assert texts(disclosure_blocks(replace(six.folder.plan, disclosure="A shop <gave> the lamps."))) == "A shop <gave> the lamps."


# plan, seal, draw --------------------------------------------------------------------------------------------------------


def test_a_plan_without_a_seal_says_so_plainly_and_one_with_a_seal_has_its_code_and_amendments(six):
    assert NOT_SEALED in texts(seal_blocks(None))
    later = replace(SEALING, at=AT + timedelta(days=9), code="B2B2B2B2B2", rows=3, photos=12, reason="A lamp broke.")
    _, table, covers = seal_blocks(Seal((SEALING, later), {}))
    assert [row[:3] for row in table.rows] == [("sealed", "2026-02-28 09:00 UTC", "K7M2Q9XW4T"),
                                               ("amended", "2026-03-09 09:00 UTC", "B2B2B2B2B2")]
    assert table.rows[1][3:] == ("3 values and 12 photos were there already", "A lamp broke.")
    assert "does not cover the wording of the question" in covers.text
    assert "it was not sealed" in texts(amended_blocks(six))
    assert texts(amended_blocks(with_folder(six, seal=Seal((SEALING,), {})))) == "The plan was not amended after it was sealed."


def test_the_draw_is_told_as_far_as_it_was_recorded(six):
    looks = arm_looks(six.folder.plan)
    assert "drawn by lot, with seed 7." in texts(draw_blocks(six, looks))
    assert "no record of the draw itself" in texts(draw_blocks(six, looks))
    by_hand = with_folder(six, plan=replace(six.folder.plan, drawn=False, seed=None))
    assert "not drawn by lot, or it was not recorded" in texts(draw_blocks(by_hand, looks))
    assert "no record of the draw" not in texts(draw_blocks(by_hand, looks))


def test_every_measure_of_the_plan_is_listed_with_how_it_is_judged(six):
    table = measures_table(six.folder.plan, six.findings)
    assert [row[:4] for row in table.rows] == [
        ("Algae cover", "primary", "mean over its days", "log-odds"), ("Plant cover", "secondary", "mean over its days", "log-odds"),
        ("Canopy height", "secondary", "mean over its days", "logarithm")]
    assert plain_text(table.rows[0][5]).startswith("0.5 log-odds")
    assert table.rows[1][5] == "none was fixed"


# build -------------------------------------------------------------------------------------------------------------------


def line(unit, planned, weighed, material="clay"):
    return BuildLine(unit, material, "substrate", planned, weighed, "kg")


def test_planned_and_weighed_stand_beside_each_other_with_the_deviation(six):
    lines = (line("T1", 4.0, 4.1), line("T2", 4.0, 3.0), line("T3", 4.0, 4.0), line("T4", 4.0, None), line("T5", None, 2.0))
    words, table = build_blocks(with_folder(six, build=lines))
    assert tuple(map(plain_text, table.rows[0])) == (
        "clay [kg]", "4", "4.1 (+2.5 %)", "3 (−25 %)", "4 (0 %)", "not weighed", "2", "none")
    assert plain_text(words.text) == ("4 of 5 lines of the build sheets were weighed. Farthest from its plan: clay in T2, −25 %. "
                                      "Not weighed: clay (T4).")


def test_units_with_different_plans_show_each_its_own(six):
    _, table = build_blocks(with_folder(six, build=(line("T1", 4.0, 4.0), line("T2", 5.0, 5.5), line("T3", 5.0, None))))
    assert tuple(map(plain_text, table.rows[0][:5])) == ("clay [kg]", "4 or 5", "4 of 4 (0 %)", "5.5 of 5 (+10 %)", "not weighed of 5")


def test_a_build_that_weighs_what_was_planned_says_so_and_a_missing_sheet_is_named(six):
    assert weighed_words((line("T1", 4.0, 4.0),)) == "1 of 1 line of the build sheets were weighed. Each weighs what was planned."
    assert "No build sheet was kept" in texts(build_blocks(with_folder(six, build=())))


# days --------------------------------------------------------------------------------------------------------------------


def test_without_a_schedule_nobody_can_tell_what_was_late(six):
    assert NO_SCHEDULE in texts(day_blocks(six))


def test_chores_are_counted_as_done_late_and_missed(six):
    chore = Chore("feed", "Feeding", "feed", "FREQ=DAILY", until_day=3)
    def fed(unit, due, day):
        return ChoreDone(unit, "feed", "feed", due, NOON + timedelta(days=day), day, by="Mira")
    done = (*(fed(f"T{unit}", 0, 0) for unit in range(1, 7)), *(fed(f"T{unit}", 1, 2) for unit in range(1, 6)), fed("T1", 2, 2))
    blocks = day_blocks(with_folder(six, chores=(chore,), chores_done=done))
    told = texts(blocks)
    assert "24 chores fell due, each counted once for each tank: 12 done, 5 of them late, 12 not done or not written down." in told
    assert "Done by Mira (12)." in told
    assert "Feeding on" in told
    table = next(block for block in blocks if isinstance(block, Folded)).full
    chores = {row[0].split()[0]: row[table.head.index("Chores")] for row in table.rows}
    assert [chores[str(day)] for day in range(4)] == ["6 of 6 done", "5 of 6 done, 5 late", "1 of 6 done", "0 of 6 done"]


def test_a_long_record_is_folded_by_week_and_every_day_stands_behind_it():
    content = dark_break()
    folded = next(block for block in day_blocks(content) if isinstance(block, Folded))
    assert [row[0] for row in folded.short.rows][:2] == ["0 to 6 (03-01 to 03-07)", "7 to 13 (03-08 to 03-14)"]
    photos = folded.short.head.index("Photos")
    by_week = sum(int(row[photos].split()[0]) for row in folded.short.rows if row[photos] != "none")
    by_day = sum(int(row[photos].split()[0]) for row in folded.full.rows if row[photos] != "none")
    assert by_week == by_day == len(content.folder.photos)
    assert any("glass wiped in T2 (day 30)" in row[-1] for row in folded.short.rows)
    assert sum("camera in T5" in row[-1] for row in folded.full.rows) == 10


def test_a_folder_in_which_nothing_was_recorded_says_so():
    content = weights()
    assert "Nothing that was done is recorded" in texts(day_blocks(content))


# other ways, losses, limits ----------------------------------------------------------------------------------------------


def test_other_ways_of_analysing_have_a_row_each_and_are_held_against_the_grade(six):
    words, table = sensitivity_blocks(primary_of(six))
    assert words.text.startswith("1 of 2 other ways of analysing gives the same answer. Grade told above: “open”")
    assert [row[1:] for row in table.rows] == [("cannot tell", "the same"), ("there is a difference", "another answer")]
    assert "with so few tanks" in texts(sensitivity_blocks([finding(grade="alone", alternatives=())]))


@pytest.mark.parametrize(("kind", "note", "is_harm"), [
    ("animals", "", True), ("failure", "", True), ("note", "Two stems melted away.", True), ("note", "one shrimp died", True),
    ("Water change", "30 % in every tank", False), ("note", "The filter still runs.", False), ("note", "Leaking hose", True),
])
def test_events_of_harm_are_told_by_their_kind_or_their_words(kind, note, is_harm):
    assert bool(harm_events((Event((), NOON, None, 3, 3, kind, note),))) is is_harm


def test_losses_are_counted_by_arm_and_silence_is_not_called_safety(six):
    looks = arm_looks(six.folder.plan)
    assert texts(harm_blocks(six, looks)) == NONE_RECORDED
    lost = (Event(("T2",), NOON, None, 5, 5, "animals", "One snail lost."), Event((), NOON, None, 9, 9, "failure", "Power cut."))
    blocks = harm_blocks(with_folder(six, events=lost), looks)
    assert blocks[0].text.startswith("2 such events were written down: 1 in arm R and 2 in arm D.")
    assert blocks[1].rows[0] == ("5", "T2 (arm D)", "animals", "One snail lost.")


def test_limits_follow_from_the_design_and_the_record(six):
    told = limits(six, primary_of(six))
    assert told[0].startswith("It is one trial in one place, with 3 tanks in each arm")
    assert any("no run-in" in text for text in told)
    assert any("not sealed" in text for text in told)
    assert any("2 secondary measures" in text for text in told)
    better = with_folder(six, plan=replace(six.folder.plan, kind="run_in", run_in_days=7, blinded=True), seal=Seal((SEALING,), {}))
    less = limits(better, primary_of(better))
    assert not any("no run-in" in text or "not sealed" in text or "Nobody is known" in text for text in less)
    shared = with_folder(six, plan=replace(six.folder.plan, shared_water=True, drawn=False, kind="swap"))
    more = limits(shared, primary_of(shared))
    assert any("share their water" in text for text in more)
    assert any("not drawn by lot" in text for text in more)
    assert any("stays after the swap" in text for text in more)
    assert len(more) == len(set(more))
