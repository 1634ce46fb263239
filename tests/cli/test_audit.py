"""fairtank audit: points are drawn and told, answers taken and told, and what makes no sense is refused in a sentence."""

from pathlib import Path

import pytest
from tests.cli.running import run_here
from tests.records.kits import make_kit
from tests.records.services.test_auditing import answered, row_dropped

from fairtank.cli.commands.audit import taken_words
from fairtank.records.audit_files import KeyPoint, draw_code, key_text
from fairtank.records.services import auditing
from fairtank.records.services.auditing import TakenAudit


def test_points_are_drawn_answers_taken_and_the_next_step_is_told(capsys, photographed):
    labels = photographed / "labels" / "classes.csv"
    row_dropped(labels, "algae")
    ran = run_here(capsys, "audit", photographed, "--points", 61, "--workers", 1)
    assert ran.code == 0
    lines = ran.out.splitlines()
    assert lines[0].startswith("62 points drawn (31 in dimmed, 31 in plain), in ")
    assert str(photographed / "audit" / "sheet.html") in lines[1]
    assert "closed until all answers are in" in lines[2]
    file = answered(photographed, photographed.parent / "answers.csv", slips=20)
    ran = run_here(capsys, "audit", photographed, "--take", file, "--workers", 1)
    assert ran.code == 0
    lines = ran.out.splitlines()
    assert lines[0] == "62 answers taken."
    assert lines[1].startswith("Plants: At 62 random points your eye and the map agreed on plants in 9")
    assert lines[2].startswith("The map reads plants ")
    assert "“dimmed” minus “plain”" in lines[3]
    assert any(line.startswith("To know each arm's error to ±2 percentage points") for line in lines)
    assert lines[-1] == f"Answers: {photographed / 'audit.csv'}"


def test_wrong_use_and_refused_input_are_told_in_a_sentence(capsys, tmp_path):
    kit = make_kit(tmp_path / "kit")
    ran = run_here(capsys, "audit", kit, "--points", 20)
    assert (ran.code, ran.out) == (1, "")
    assert "the folder has no photos with frames" in ran.err
    assert not (kit / "audit").exists()
    ran = run_here(capsys, "audit", kit, "--take", tmp_path / "none.csv")
    assert (ran.code, ran.out) == (1, "")
    assert "Draw points first: fairtank audit" in ran.err
    assert run_here(capsys, "audit", kit, "--points", 1).code == 2
    ran = run_here(capsys, "audit", kit, "--take", tmp_path / "none.csv", "--seed", 3)
    assert ran.code == 2
    assert "--seed belongs to drawing points" in ran.err


def test_a_file_of_answers_that_is_not_there_is_named_as_it_was_given(capsys, tmp_path):
    kit = make_kit(tmp_path / "kit")
    point = (1, "a.jpg", 3.0, 4.0)
    (kit / "audit").mkdir()
    (kit / "audit" / "key.csv").write_text(key_text((KeyPoint(draw_code([point]), *point),)), encoding="utf-8")
    ran = run_here(capsys, "audit", kit, "--take", tmp_path / "none.csv")
    assert (ran.code, ran.out) == (1, "")
    assert ran.err == f"{tmp_path / 'none.csv'}: there is no such file or folder; accepted: a CSV file of answers.\n"
    ran = run_here(capsys, "audit", kit, "--take", tmp_path)
    assert ran.err == f"{tmp_path}: it is a folder, not a file; accepted: a CSV file of answers.\n"


def test_where_no_answer_was_taken_no_file_of_answers_is_named(tmp_path):
    taken = TakenAudit(tmp_path / "audit.csv", 0, 0, 4, 4, {}, {})
    assert taken_words(taken, tmp_path) == ["No new answer was found; 4 points are still open."]
    taken.place.write_text("photo,x,y,class,rater\n", encoding="utf-8")
    assert taken_words(taken, tmp_path)[-1] == f"Answers: {taken.place}"


@pytest.mark.skipif(not Path("/proc/self").exists(), reason="no folder here that says it can be written to and cannot")
def test_a_place_that_cannot_be_written_is_refused_before_anything_is_measured(capsys, photographed, monkeypatch):
    monkeypatch.setattr(auditing, "folder_measure", None)
    ran = run_here(capsys, "audit", photographed, "--out", "/proc/x")
    assert (ran.code, ran.out) == (1, "")
    assert "/proc/x, but " in ran.err
    assert "a folder that can be made or written" in ran.err
