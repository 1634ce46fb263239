"""`fairtank plan` at a terminal and in a pipe: questions, more about them, going back, stopping and going on."""

import io
import json
import os
import re

import pytest
from tests.cli.running import run_here
from tests.cli.terminal import Terminal, fairtank

from fairtank.cli.plan_lines import WIDTH
from fairtank.records.folder import read_folder
from fairtank.records.services.planning import PICTURES


@pytest.fixture
def root(tmp_path, monkeypatch):
    """A folder to plan in, with empty files in place of the pictures of covers, which take seconds to render."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "t" / PICTURES).mkdir(parents=True)
    for name in ("algae-cover.jpg", "plant-cover.jpg"):
        (tmp_path / "t" / PICTURES / name).touch()
    return tmp_path / "t"


@pytest.fixture
def said(capsys, monkeypatch):
    """Runs the command with lines in its standard input."""
    def run(typed, *words):
        monkeypatch.setattr("sys.stdin", io.StringIO(typed))
        return run_here(capsys, "plan", *words)
    return run


def test_empty_lines_take_all_that_a_template_proposes(root, said):
    ran = said("\n" * 60, "t", "--template", "flow")
    assert ran.code == 0, ran.err
    plan = read_folder(root).plan
    assert plan.change == "twice the flow through the filter"
    assert plan.kind == "drawn_start"
    assert not plan.drawn
    assert "What these two tanks can show" in ran.out
    assert "fairtank seal" in ran.out


def test_no_line_is_wider_than_a_phone(root, said):
    ran = said("x" * 150 + "\n?\n" + "?\n\n" * 60, "t", "--template", "light")
    assert ran.code == 0, ran.err
    wide = [line for line in ran.out.splitlines() if len(line.removeprefix("> ")) > WIDTH]
    assert wide == []


def test_a_change_that_is_not_in_the_setup_yet_is_told_with_the_lines_to_add(root, said):
    ran = said("\n" * 60, "t", "--template", "brightness")
    lines = ran.out.splitlines()
    begin = lines.index("  [[device]]")
    added = "\n".join(line.strip() for line in lines[begin:lines.index("", begin)])
    setup = root / "setup.toml"
    assert read_folder(root).setup.devices[-1].key == "lamp"
    setup.write_text(f"{setup.read_text()}\n{added}\n")
    device = read_folder(root).setup.devices[-1]
    assert (device.key, device.is_change, device.scope.arms) == ("change", True, ("C",))


def test_going_back_asks_again_and_more_is_told(root, said):
    ran = said("more flow\n?\nback\nback\nless flow\n", "t")
    assert ran.code == 1
    assert "Go on with:   fairtank plan t" in ran.err
    assert "What you would do otherwise" in ran.out
    assert "This is the first question." in ran.out
    assert len(re.findall("What is the one change", ran.out)) == 2
    assert 'change = "less flow"' in (root / "plan-answers.toml").read_text()


def test_what_cannot_be_used_is_refused_and_asked_again(root, said):
    ran = said("a\nb\n" + "x" * 10_000 + "\nshort\n\n\nnone\nfish\n1\n", "t")
    assert "That text has 10000 characters; accepted: at most" in ran.out.replace("\n", " ")
    assert "“fish” is none of the answers." in ran.out
    assert 'primary = "algae_cover"' in (root / "plan-answers.toml").read_text()


def test_it_goes_on_where_it_was_stopped(root, said):
    said("a\nb\n\n", "t")
    ran = said("\n" * 60, "t")
    assert ran.code == 0
    assert "Going on after 3 answers." in ran.out
    assert "What is the one change" not in ran.out
    assert read_folder(root).plan.change == "a"


def test_a_finished_plan_can_be_gone_back_into(root, said):
    said("\n" * 60, "t", "--template", "flow")
    ran = said("back\nback\nback\nback\nmoss 3\n\n\n\n\n\n", "t")
    assert ran.code == 0
    assert "Every question is answered." in ran.out
    assert [one.count for one in read_folder(root).setup.plantings] == [3]
    assert said("\n", "t").code == 0


def test_the_lot_is_drawn_only_on_a_plain_yes(root, said):
    lines = "\n" * 35
    assert not read_folder_after(said(lines + "perhaps\nno\n", "t", "--template", "flow"), root).drawn
    ran = said("\nyes\n", "t")
    plan = read_folder_after(ran, root)
    assert plan.drawn
    assert plan.drawn_day is not None
    assert f"Seed {plan.seed}" in ran.out
    assert "fairtank draw" not in ran.out
    assert "changed since" in said("", "t").err


def read_folder_after(ran, root):
    """The plan that a run left."""
    assert ran.code == 0, ran.err
    return read_folder(root).plan


def test_answers_of_a_file_ask_nothing(root, said, tmp_path):
    (tmp_path / "given.toml").write_text('change = "a rod"\ntanks = 4\n')
    ran = said("", "t", "--answers", "given.toml", "--json")
    document = json.loads(ran.out)
    assert ran.code == 0
    assert document["done"]
    assert document["answers"]["tanks"] == 4
    assert len(read_folder(root).plan.units) == 4


def test_steps_and_state_are_told_without_writing(root, said):
    document = json.loads(said("", "t", "--template", "water", "--json").out)
    assert document["next"] == "change"
    assert document["steps"][0]["proposed"] == "half of the water changed each week"
    assert not (root / "plan-answers.toml").exists()
    assert not (root / "trial.toml").exists()


def test_the_templates_are_listed(said):
    ran = said("", "--list")
    assert ran.code == 0
    assert [line.split()[0] for line in ran.out.splitlines()] == [
        "brightness", "device", "feeding", "flow", "light", "plant_stock", "substrate", "water"]


@pytest.mark.parametrize(("words", "reason"), [
    ((), "A folder to plan in is needed"), (("t", "--template", "ligth"), "Did you mean 'light'?")])
def test_wrong_usage_says_what_is_wanted(said, words, reason):
    ran = said("", *words)
    assert ran.code == 2
    assert reason in ran.err


@pytest.mark.parametrize(("content", "reason"), [(None, "there is no such file"), (b"", "a TOML file with answers"), (b"\xff", "UTF-8")])
def test_a_file_of_answers_that_cannot_be_read_is_refused(said, tmp_path, content, reason):
    if content is not None:
        (tmp_path / "given.toml").write_bytes(content)
    ran = said("", str(tmp_path / "t"), "--answers", str(tmp_path / "given.toml"))
    assert ran.code == 1
    assert reason in ran.err


def test_ctrl_c_at_a_terminal_says_how_to_go_on(root):
    terminal = Terminal(*fairtank("plan", str(root)))
    try:
        terminal.wait_for("one change")
        os.write(terminal.reader, b"more flow\n")
        terminal.wait_for("other tanks")
        terminal.ctrl_c()
        assert terminal.code == 130
        assert "Your answers are kept. Go on with:" in terminal.told
        assert "Traceback" not in terminal.told
    finally:
        terminal.close()
    assert 'change = "more flow"' in (root / "plan-answers.toml").read_text()
