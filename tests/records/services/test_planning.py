"""A plan made by questions becomes a trial folder that reads back and seals; nothing is written over."""

import json
from datetime import date
from types import SimpleNamespace

import numpy as np
import pytest

from fairtank.errors import InputError, JobError
from fairtank.planning.wizard.templates import template_names
from fairtank.records.exporters.plan_json import plan_json
from fairtank.records.folder import read_folder
from fairtank.records.plan_answers import ANSWERS_FILE, answers_from_text, answers_in
from fairtank.records.services import planning as planning_service
from fairtank.records.services.planning import (
    answer_keep,
    answer_take_back,
    answers_take,
    choices_of,
    margin_told,
    picture_make,
    plan_begin,
    plan_make,
)
from fairtank.records.services.sealing import trial_seal

TODAY = date(2026, 3, 1)


def made(root, text="", template=None):
    """A plan from a text of answers."""
    return plan_make(answers_take(plan_begin(root=root, template=template, today=TODAY), text, "answers"))


@pytest.mark.parametrize(("template", "tanks"), [(name, 2 + 4 * (place % 2)) for place, name in enumerate(template_names())])
def test_every_template_makes_a_folder_that_reads_back_and_can_be_sealed(tmp_path, template, tanks):
    plan = made(tmp_path / "t", f"tanks = {tanks}", template)
    folder = read_folder(tmp_path / "t")
    assert folder.plan == plan.plan
    assert folder.setup is not None
    assert folder.chores
    assert not folder.cautions
    assert not folder.unknown_columns
    assert len(folder.plan.units) == tanks
    assert folder.plan.measures[0].margin
    assert {"", *(unit.key for unit in folder.plan.units)} >= {one.unit for one in folder.factors}
    assert {one.factor for one in folder.factors} >= {"window_side", "lamp_age", "filter_age", "planted_by"}
    assert trial_seal(root=tmp_path / "t").done == "sealed"


@pytest.mark.parametrize(("design", "course", "primary"), [
    ("side_by_side_7", "at_once", "water_tint"), ("side_by_side_6", "builds_up", "plant_cover"), ("run_in_6", "at_once", "canopy_height"),
    ("swap_6", "at_once", "plant_cover"), ("pairs_6", "builds_up", "canopy_height"), ("drawn_start_2", "builds_up", "plant_cover"),
    ("drawn_start_2", "at_once", "water_tint")])
def test_every_design_makes_a_folder_that_reads_back_and_can_be_sealed(tmp_path, design, course, primary):
    text = (f"change = 'x'\ntanks = {design[-1]}\nweeks = 9\ndesign = '{design}'\ncourse = '{course}'\nprimary = '{primary}'\n"
            "shelves = 2")
    plan = made(tmp_path / "t", text)
    assert (plan.plan.kind, len(plan.plan.units)) == (design[:-2], int(design[-1]))
    assert plan.can_show
    assert plan.takes
    assert trial_seal(root=tmp_path / "t").done == "sealed"


def test_what_the_change_is_meant_to_move_stands_in_the_plan(tmp_path):
    made(tmp_path / "t", template="light")
    assert read_folder(tmp_path / "t").plan.change_factors == ("photoperiod",)


def test_what_the_change_moves_stands_in_the_setup_for_its_arm(tmp_path):
    def setup_of(template, text=""):
        plan = made(tmp_path / template, text, template)
        assert not plan.is_change_missing
        return plan.folder.setup
    assert [(one.flow_l_h, one.scope.arms) for one in setup_of("flow").devices if one.kind == "filter"] == [(200, ("R",)), (400, ("C",))]
    assert [(one.volume_ml, one.scope.arms) for one in setup_of("feeding", "doses = [0, 1, 3]").doses] == [(1, ("C",))]
    assert [one.scope.arms for one in setup_of("device").devices if one.is_change] == [("C",)]
    assert not any(one.scope.arms for one in setup_of("plant_stock").devices)
    assert made(tmp_path / "rest", "change = 'x'\nmoves = ['co2']").is_change_missing


def test_answers_are_kept_one_by_one_and_taken_up_again(tmp_path):
    root = tmp_path / "t"
    planning, refusal = answer_keep(plan_begin(root=root, today=TODAY), "more flow")
    assert not refusal
    assert answers_in(root).answers == {"change": "more flow"}
    planning, _ = answer_keep(plan_begin(root=root, today=TODAY), "usual flow")
    assert planning.step.key == "title"
    planning, refusal = answer_keep(planning, "x" * 5000)
    assert "at most 100" in refusal
    assert planning.step.key == "title"
    assert answer_take_back(planning).step.key == "reference"
    assert plan_begin(root=root, today=TODAY).step.key == "reference"
    again = plan_begin(root=root, today=TODAY)
    assert answer_take_back(answer_take_back(again)).step.key == "change"


def test_a_template_is_remembered_with_the_answers(tmp_path):
    answer_keep(plan_begin(root=tmp_path / "t", template="flow", today=TODAY), "")
    assert plan_begin(root=tmp_path / "t", today=TODAY).proposes["moves"] == ("flow",)


def test_hostile_texts_stay_texts(tmp_path):
    hostile = 'x"\'"""\\ [trial]\\n= \U0001f420 <script>{}%s'
    quoted = json.dumps(hostile, ensure_ascii=False)
    plan = made(tmp_path / "t", f"change = {quoted}\ntitle = {quoted}\nplanted_by = {quoted}")
    assert read_folder(tmp_path / "t").plan.change == plan.plan.change == " ".join(hostile.split())


@pytest.mark.parametrize(("text", "reason"), [
    ("change = 'a'\nweeks = 'six'", "weeks in answers is six; accepted: what the question asks for"),
    ("weeks = 6", "change in answers is left out; accepted: an answer to: What is the one change"),
    ("weks = 6", "did you mean weeks"), ("speed = 6", "the key speed, which no question has"), ("change = ", "no TOML that can be read"),
    ("change = 'a'\ntemplate = 'moon'", "the template is moon; accepted: brightness"), ("answers = 3", "answers that are no table"),
    ("change = {a = 1}", "cannot be an answer"), ("change = 'a'\ntitle = '" + "x" * 10_000 + "'", "at most 100"),
    ("change = \"a\\u0007b\"", "cannot be printed"),
])
def test_a_file_of_answers_is_refused_with_the_question_and_the_reason(tmp_path, text, reason):
    with pytest.raises(InputError) as refused:
        made(tmp_path / "t", text)
    assert reason in str(refused.value)
    assert len(str(refused.value)) < 700
    assert not (tmp_path / "t").exists()


def test_a_plan_that_somebody_wrote_is_not_touched(tmp_path):
    (tmp_path / "trial.toml").write_text("[trial]\n")
    with pytest.raises(InputError, match="not made by these questions"):
        plan_begin(root=tmp_path, today=TODAY)
    assert [path.name for path in tmp_path.iterdir()] == ["trial.toml"]


def test_a_plan_that_was_changed_since_or_sealed_is_not_touched(tmp_path):
    root = tmp_path / "t"
    made(root, template="flow")
    made(root, template="flow")  # untouched since: may be made anew
    text = (root / "trial.toml").read_text()
    (root / "trial.toml").write_text(text.replace("drawn = false", "drawn = true"))
    with pytest.raises(InputError, match="changed since"):
        made(root, template="flow")
    (root / "trial.toml").write_text(text)
    trial_seal(root=root)
    with pytest.raises(InputError, match="sealed already"):
        plan_begin(root=root, today=TODAY)
    assert (root / "trial.toml").read_text() == text


def test_a_stop_half_way_through_writing_can_be_made_good(tmp_path, monkeypatch):
    root = tmp_path / "t"
    made(root, template="flow")
    written = planning_service.bytes_write

    def stopped(path, content):
        if path.name == "trial.toml":
            raise KeyboardInterrupt
        written(path, content)

    with monkeypatch.context() as patch:
        patch.setattr(planning_service, "bytes_write", stopped)
        with pytest.raises(KeyboardInterrupt):
            made(root, "tanks = 6", "flow")
    assert len(made(root, "tanks = 6", "flow").plan.units) == 6
    assert "before" not in (root / ANSWERS_FILE).read_text()


def test_an_unfinished_plan_is_not_written(tmp_path):
    with pytest.raises(InputError, match="Next: What is the one change"):
        plan_make(plan_begin(root=tmp_path / "t", today=TODAY))
    assert not (tmp_path / "t").exists()


def test_a_place_that_cannot_be_written_is_told(tmp_path):
    (tmp_path / "t").write_text("x")
    with pytest.raises(JobError, match=r"cannot be written: a file lies where a folder should be. The answer was not kept."):
        answer_keep(plan_begin(root=tmp_path / "t" / "inside", today=TODAY), "more flow")


def test_a_folder_that_is_a_file_is_refused(tmp_path):
    (tmp_path / "t").write_text("x")
    with pytest.raises(InputError, match="a folder, or a name that is free"):
        plan_begin(root=tmp_path / "t")


@pytest.mark.parametrize("content", [b"\xff\xfe", b"answers = [", b"[answers]\nodd = 1\n"])
def test_answers_that_cannot_be_read_are_refused(tmp_path, content):
    (tmp_path / ANSWERS_FILE).write_bytes(content)
    with pytest.raises(InputError, match="accepted"):
        plan_begin(root=tmp_path, today=TODAY)


def test_beside_each_design_stands_what_it_could_show(tmp_path):
    planning = answers_take(plan_begin(root=tmp_path / "t", template="light", today=TODAY), "tanks = 2", "answers")
    step = next(step for step in planning.standing.asked if step.key == "design")
    told = {one.key: one.told for one in choices_of(planning, step)}
    assert told["side_by_side_2"].startswith("nothing by itself.")
    assert told["drawn_start_2"].replace("\xa0", " ").startswith("would notice ")
    assert "instead of 10" in told["drawn_start_2"]
    assert "from 10\xa0% to 15\xa0%" in margin_told(planning.told)


def test_the_sheet_of_pictures_is_made_once_and_lies_in_the_folder(tmp_path, monkeypatch):
    asked = []

    def small(measure, wanted_pct):
        asked.append(wanted_pct)
        return SimpleNamespace(tank=np.full((60, 80, 3), 90, np.uint8), cover_pct=wanted_pct)

    monkeypatch.setattr(planning_service, "cover_picture", small)
    place = picture_make(tmp_path, "algae_cover")
    assert picture_make(tmp_path, "algae_cover") == place == tmp_path / "plan-pictures" / "algae-cover.jpg"
    assert asked == [2.0, 5.0, 10.0, 20.0]
    assert place.read_bytes()[:2] == b"\xff\xd8"


def test_a_measure_of_which_no_table_tells_says_so(tmp_path):
    plan = made(tmp_path / "t", "change = 'a'\nprimary = 'water_tint'\ndesign = 'run_in_2'")
    assert plan.showing is None


def test_the_same_steps_are_told_as_data(tmp_path):
    planning, _ = answer_keep(plan_begin(root=tmp_path / "t", template="light", today=TODAY), "")
    document = json.loads(plan_json(planning))
    assert document["next"] == "reference"
    assert not document["done"]
    assert document["answers"] == {"change": "ten hours of light a day"}
    assert [step["key"] for step in document["steps"]] == ["change", "reference"]
    assert document["steps"][1]["proposed"] == "seven hours of light a day"
    assert document["steps"][1]["answer"] is None
    finished = answers_take(planning, "", "answers")
    whole = json.loads(plan_json(finished, plan_make(finished)))
    assert whole["done"]
    assert whole["next"] is None
    assert whole["can_show"]
    assert len(whole["steps"]) > 30
    assert {path.rsplit("/", 1)[-1] for path in whole["files"]} >= {"trial.toml", "setup.toml", "schedule.toml"}


def test_answers_may_stand_at_the_top_or_under_their_head():
    assert answers_from_text("weeks = 6", "a").answers == answers_from_text("[answers]\nweeks = 6", "a").answers == {"weeks": 6}
