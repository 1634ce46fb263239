"""Several trial folders pooled: which count, under which name, what is left out and why, and what is written."""

import json
import shutil
from dataclasses import replace
from datetime import date, datetime

import pytest
from tests.records.conftest import Folder
from tests.records.kits import make_kit, make_kits, make_ladder, make_three_arms, make_two_changes

from fairtank.errors import InputError
from fairtank.inference.intervals.welch import welch
from fairtank.inference.pooling import pool, trial_result
from fairtank.publish.pool_words import effect_heading
from fairtank.publish.pooled_report import HTML_FILE, PDF_FILE
from fairtank.records.services.pooling import POOLED_FILE, TOGETHER_FILE, pooled_json, trials_pool
from fairtank.records.services.sealing import trial_seal
from fairtank.records.services.trials import trial_judge
from fairtank.trial import Looks
from inference.trials import event


@pytest.fixture
def four(tmp_path):
    """Four trials of one question."""
    make_kits(tmp_path / "trials", 4)
    return tmp_path / "trials"


def test_the_trials_are_judged_and_pooled_as_the_room_of_inference_does_it(four):
    together = trials_pool(root=four)
    findings = [trial_judge(root=kit).findings[0] for kit in sorted(four.iterdir())]
    expected = pool([trial_result(f"Trial {place}", finding) for place, finding in enumerate(findings, 1)], margin=0.5)
    assert together.story.pooled == expected
    assert (together.left_out, together.passed_over, together.chart) == ((), (), None)


def test_nothing_is_written_without_a_place_and_all_of_it_with_one(four, tmp_path):
    assert not list(four.glob("out"))
    together = trials_pool(root=four, out=tmp_path / "place")
    assert sorted(path.name for path in (tmp_path / "place").iterdir()) == [HTML_FILE, PDF_FILE, POOLED_FILE, TOGETHER_FILE]
    assert (tmp_path / "place" / POOLED_FILE).read_text(encoding="utf-8") == pooled_json(together)
    assert (tmp_path / "place" / TOGETHER_FILE).read_text(encoding="utf-8").startswith("<svg")


def test_two_trials_are_shown_and_get_no_verdict(tmp_path):
    make_kits(tmp_path / "two", 2)
    story = trials_pool(root=tmp_path / "two").story
    assert (story.pooled.estimate, story.pooled.grade, len(story.pooled.rows)) == (None, None, 2)


def test_a_folder_that_cannot_be_read_does_not_stop_the_others(four):
    Folder(four / "broken").put("trial.toml", "[trial\n")
    Folder(four / "bad values").put("trial.toml", (four / "a-trial" / "trial.toml").read_text(encoding="utf-8"))
    Folder(four / "bad values").put("series.csv", "unit,day,measure,value,se\nR1,0,algae_cover,many,\nR9,0,algae_cover,3,\n")
    (four / "notes").mkdir()
    together = trials_pool(root=four)
    assert len(together.trials) == 4
    assert [one.folder for one in together.left_out] == ["bad values", "broken"]
    assert "many" in together.left_out[0].reason
    assert "1 more problem: see fairtank judge." in together.left_out[0].reason
    assert together.left_out[1].reason.startswith("It cannot be read: trial.toml, ")
    assert together.passed_over == ("notes",)


def test_a_trial_that_asks_another_question_is_left_out_by_measure_summary_or_scale(four):
    make_kit(four / "height", title="Height", key="canopy_height", scale="log", margin=None)
    make_kit(four / "slope", title="Slope", summary="slope", margin=None)
    make_kit(four / "plain", title="Plain scale", scale="identity", margin=None, sd=2.0)
    reasons = {one.folder: one.reason for one in trials_pool(root=four).left_out}
    assert reasons == {
        "height": "It asks another question: its measure is Canopy height, that of the others Algae cover.",
        "slope": "It asks another question of Algae cover: how fast it grows. The others ask: how much there is on the days that count.",
        "plain": "It compares Algae cover in another way: as a plain difference, how much more. The others compare it as odds, what is "
                 "covered against what is not; numbers of two kinds have no middle.",
    }


def test_the_measure_that_is_named_is_the_one_that_is_pooled(four):
    make_kit(four / "height", title="Height", key="canopy_height", scale="log", margin=None)
    together = trials_pool(root=four, measure="canopy_height")
    assert [one.folder for one in together.trials] == ["height"]
    assert {one.reason for one in together.left_out} == {"Its primary measure is another."}


@pytest.mark.parametrize(("asked", "names"), [({"measure": "carpet_cover"}, "algae_cover"), ({"arm": "foo"}, "dimmed")])
def test_a_measure_or_an_arm_that_no_trial_has_is_refused_with_the_names_there_are(four, asked, names):
    with pytest.raises(InputError, match=f"is {next(iter(asked.values()))}; accepted: one of those in these trials: {names}"):
        trials_pool(root=four, **asked)


def test_another_length_of_the_window_is_another_question(four):
    make_kit(four / "short", title="Short", window=(22, 42))
    assert {one.folder: one.reason for one in trials_pool(root=four).left_out} == {
        "short": "It asks another question of Algae cover: it is judged over 17 to 24 days, the others over 35 to 49 days."}


def test_a_trial_that_goes_on_counts_when_it_is_over_and_one_that_stopped_early_is_named(four):
    make_kit(four / "on", title="Goes on", seed=8, looks=Looks((27, 42), (0.01, 0.04)), last_day=27)
    make_kit(four / "stopped", title="Stopped", seed=9, looks=Looks((36, 42), (0.01, 0.04)), last_day=36,
             events=(replace(event((), 37, 37, "keep", kind="stop"), at=datetime(2026, 4, 7)),))
    together = trials_pool(root=four)
    assert {one.folder: one.reason for one in together.left_out} == {"on": "It goes on; it counts when it is over."}
    assert any(text.startswith("Stopped before the last planned day: Stopped.") for text in together.story.remarks)


def test_a_spoilt_trial_is_left_out_with_its_own_sentence_and_one_tank_each_is_shown_without_being_counted(four):
    make_kit(four / "empty", title="Empty", values=False)
    make_kit(four / "one-each", title="One tank each", count=1)
    together = trials_pool(root=four)
    assert [one.folder for one in together.left_out] == ["empty"]
    assert "No finding" in together.left_out[0].reason
    assert together.story.pooled.facts.not_counted == ("One tank each",)
    assert together.story.pooled.facts.trials == 4


def test_two_folders_with_one_seal_are_one_trial_even_if_the_title_and_values_were_changed(four):
    trial_seal(root=four / "a-trial")
    shutil.copytree(four / "a-trial", four / "h-other")
    series = four / "h-other" / "series.csv"
    rows = series.read_text(encoding="utf-8")
    changed = rows.replace(",algae_cover,1", ",algae_cover,2")
    assert changed != rows
    series.write_text(changed, encoding="utf-8")
    plan = four / "h-other" / "trial.toml"
    plan.write_text(plan.read_text(encoding="utf-8").replace("Trial 1", "Something else"), encoding="utf-8")
    left_out = {one.folder: one.reason for one in trials_pool(root=four).left_out}
    assert left_out == {"h-other": "It is the same trial as a-trial (the same seal), which counts once."}


def test_the_same_trial_counts_once_whether_copied_edited_or_named_alike(four):
    shutil.copytree(four / "a-trial", four / "e-copy")
    edited = shutil.copytree(four / "b-trial", four / "f-edited") / "trial.toml"
    edited.write_text(edited.read_text(encoding="utf-8").replace('"Trial 2"', '"Another name"'), encoding="utf-8")
    make_kit(four / "g-again", title="Trial 3", start=date(2026, 3, 1), seed=77)
    together = trials_pool(root=four)
    assert len(together.trials) == 4
    assert {one.folder: one.reason for one in together.left_out} == {
        "e-copy": "It is the same trial as a-trial (the same files), which counts once.",
        "f-edited": "It is the same trial as b-trial (the same values in the same tanks), which counts once.",
        "g-again": "It is the same trial as c-trial (the same title and start), which counts once.",
    }


def test_two_trials_of_one_title_on_other_days_are_told_apart_by_their_folders(four):
    make_kit(four / "later", title="Trial 1", start=date(2027, 1, 1), seed=50)
    make_kit(four / "nameless", title="", start=date(2027, 2, 1), seed=51)
    names = [one.name for one in trials_pool(root=four).trials]
    assert names == ["Trial 1 (a-trial)", "Trial 2", "Trial 3", "Trial 4", "Trial 1 (later)", "nameless"]


def test_different_margins_leave_only_the_question_whether_there_is_an_effect(four):
    make_kit(four / "strict", title="Strict", margin=0.2, seed=60)
    story = trials_pool(root=four).story
    assert story.pooled.margin is None
    assert any("different smallest differences" in text for text in story.remarks)


def test_a_trial_without_a_margin_leaves_that_of_the_others(four):
    make_kit(four / "loose", title="Loose", margin=None, seed=60)
    assert trials_pool(root=four).story.pooled.margin == 0.5


def test_other_names_of_the_changed_arm_are_said(four):
    make_kit(four / "other", title="Other", label="half the light", seed=61)
    assert any("“dimmed” and “half the light”" in text for text in trials_pool(root=four).story.remarks)


def test_what_is_said_of_single_trials_is_said_of_all_of_them_together(four):
    plan = four / "b-trial" / "trial.toml"
    plan.write_text(plan.read_text(encoding="utf-8").replace("drawn = true", "drawn = false"), encoding="utf-8")
    told, = (text for text in trials_pool(root=four).story.remarks if text.startswith("Said of single trials: "))
    assert "not by lot (Trial 2)" in told


def test_of_several_changed_arms_the_one_of_the_same_name_is_pooled_with_the_interval_it_has_by_itself(four):
    """The two-arm trial of the same tanks is Welch's interval, which the tests of that room hold against published examples."""
    make_three_arms(four / "three", title="Three arms", labels=(" Dimmed ", "blue light"), start=date(2026, 9, 1))
    make_three_arms(four / "other", title="Others", labels=("red light", "blue light"), seed=9, start=date(2026, 9, 2))
    together = trials_pool(root=four)
    shown, row = together.trials[-1], together.story.pooled.rows[-1]
    assert (shown.finding.changed_arm, shown.finding.comparisons) == ("C", 2)
    arms = [[unit.z for unit in shown.finding.units if unit.arm == arm] for arm in "RC"]
    alone = welch(*arms, alpha=0.05, scale="logit")
    assert (row.low, row.high) == (pytest.approx(alone.low), pytest.approx(alone.high))
    assert shown.finding.low < row.low < row.high < shown.finding.high
    assert [one.folder for one in together.left_out] == ["other"]
    assert "not exactly one of them is called “dimmed”" in together.left_out[0].reason
    assert [one.folder for one in trials_pool(root=four, arm="BLUE  light").trials][-2:] == ["three", "other"]


def test_of_two_changes_the_one_of_the_same_name_is_pooled(four):
    make_two_changes(four / "both", title="Two changes", changes=("dimmed", "more flow"), start=date(2026, 9, 1))
    together = trials_pool(root=four)
    shown, row = together.trials[-1], together.story.pooled.rows[-1]
    assert (shown.finding.changed_label, together.left_out) == ("with dimmed", ())
    assert shown.finding.low < row.low < row.high < shown.finding.high
    assert not any("have different names" in text for text in together.story.remarks)


def test_a_ladder_of_doses_is_left_out_as_it_asks_for_a_trend(four):
    make_ladder(four / "ladder", title="Ladder", start=date(2026, 9, 1))
    assert [(one.folder, one.reason) for one in trials_pool(root=four).left_out] == [
        ("ladder", "It asks for a trend over doses, which is not one difference between two arms.")]


def test_the_level_at_which_a_cover_is_told_is_that_of_the_counted_trials_in_the_middle(four):
    make_kit(four / "one-each", title="One tank each", count=1, reference=60.0)
    assert trials_pool(root=four).story.level == pytest.approx(12, abs=1.5)
    assert trials_pool(root=four).story.level == float(f"{trials_pool(root=four).story.level:.2g}")


def test_a_trial_that_is_alone_is_told_as_its_own_finding_tells_it(tmp_path):
    kit, = make_kits(tmp_path / "one", 1)
    finding = trial_judge(root=kit).findings[0]
    story = trials_pool(root=tmp_path / "one").story
    assert story.level == finding.natural.reference
    assert f"where the reference has {finding.natural.reference:.2g}\N{NO-BREAK SPACE}%" in effect_heading(story)
    assert (story.natural(finding.low), story.natural(finding.high)) == pytest.approx((finding.natural.low, finding.natural.high))


def test_json_tells_trials_numbers_and_what_was_left_out(four):
    (four / "broken").mkdir()
    (four / "broken" / "trial.toml").write_text("[trial\n", encoding="utf-8")
    document = json.loads(pooled_json(trials_pool(root=four)))
    assert document["pooled"]["grade"] in ("matters", "differs", "open", "alike")
    assert [one["folder"] for one in document["trials"]] == ["a-trial", "b-trial", "c-trial", "d-trial"]
    assert document["left_out"][0]["folder"] == "broken"
    assert document["inputs_digest"].startswith("sha256:")
    assert "\u00a0" not in json.dumps(document, ensure_ascii=False)


def test_the_digest_follows_the_trials_that_are_shown(four):
    before = trials_pool(root=four).digest
    shutil.rmtree(four / "d-trial")
    assert trials_pool(root=four).digest != before


@pytest.mark.parametrize(("make", "told"), [
    (lambda root: None, "which is not there"),
    (lambda root: root.write_text("x"), "which is a file"),
    (lambda root: make_kit(root), "which is one trial"),
    (lambda root: root.mkdir(), "in which no folder has a trial.toml"),
])
def test_a_folder_that_holds_no_trials_is_refused_with_what_it_is(tmp_path, make, told):
    make(tmp_path / "there")
    with pytest.raises(InputError, match=told):
        trials_pool(root=tmp_path / "there")


def test_results_never_go_into_the_folder_itself_nor_into_a_trial(four):
    for place in (four, four / "a-trial"):
        with pytest.raises(InputError, match="the folder for results"):
            trials_pool(root=four, out=place)
    trials_pool(root=four, out=four / "out")
    assert trials_pool(root=four, out=four / "out").passed_over == ()


def test_names_that_begin_alike_are_cut_in_the_middle(tmp_path):
    for place, season in enumerate(("spring", "summer", "autumn"), 1):
        make_kit(tmp_path / "trials" / season, title=f"A dark break at midday in small tanks, {season}", seed=place,
                 start=date(2026, place, 1))
    assert [one.name for one in trials_pool(root=tmp_path / "trials").trials] == [
        "A dark break … spring", "A dark break … summer", "A dark break … autumn"]
