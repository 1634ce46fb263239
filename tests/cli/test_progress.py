"""How far the work is: plain lines where nobody looks at a terminal, a bar where somebody does, and titles only when they are due."""

import sys

import pytest
from tests.cli.running import run_here

from fairtank.cli.progress import progress_shown


def test_elsewhere_than_on_a_terminal_there_is_a_plain_line_for_every_tenth(capsys):
    with progress_shown("Measuring") as move:
        for done in range(208):
            move(done, 207)
    told = capsys.readouterr()
    lines = told.err.splitlines()
    assert told.out == ""
    assert len(lines) == 11
    assert lines[0] == "Measuring: 0 of 207 photos"
    assert lines[3] == "Measuring: 63 of 207 photos"
    assert lines[-1] == "Measuring: 207 of 207 photos"
    assert told.err.isascii()


def test_what_was_measured_earlier_is_said_and_nothing_to_do_is_not(capsys):
    with progress_shown("Measuring") as move:
        move(200, 207, 200)
        move(207, 207, 200)
    assert capsys.readouterr().err.splitlines() == [f"Measuring: {done} of 207 photos (200 measured earlier)" for done in (200, 207)]
    with progress_shown("Measuring") as move:
        move(207, 207, 207)
    assert capsys.readouterr().err == ""


def test_on_a_terminal_nothing_is_drawn_before_the_work_begins(capsys, monkeypatch):
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    with progress_shown("Measuring") as move:
        assert capsys.readouterr().err == ""
        monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
        move(1, 2)
        move(2, 2)
    assert "2/2" in capsys.readouterr().err


@pytest.mark.parametrize("is_there", [True, False])
def test_the_demo_tells_its_title_only_after_its_folder_was_accepted(capsys, tmp_path, monkeypatch, is_there):
    from fairtank.cli.commands import demo

    def begun(*, progress, **_):
        if not is_there:
            progress(0, 207)
        raise KeyboardInterrupt

    monkeypatch.setattr(demo, "demo_make", (lambda **_: False) if is_there else begun)
    monkeypatch.setattr(demo, "trial_run", lambda **_: (_ for _ in ()).throw(KeyboardInterrupt))
    ran = run_here(capsys, "demo", "--no-serve", "--folder", tmp_path)
    assert ran.code == 130
    assert ran.out.startswith("\nA dark break at midday")


def test_a_demo_folder_that_holds_something_else_is_refused_without_a_title(capsys, tmp_path):
    (tmp_path / "midday").mkdir()
    (tmp_path / "midday" / "letters.txt").write_text("mine", encoding="utf-8")
    ran = run_here(capsys, "demo", "--no-serve", "--folder", tmp_path)
    assert (ran.code, ran.out) == (1, "")
    assert "Choose another with --folder." in ran.err
