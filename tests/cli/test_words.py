"""fairtank words: the files it writes, and a text that claims too much."""

import json

import pytest
from tests.cli.running import run_here
from tests.records.kits import make_kit


@pytest.fixture
def trial(tmp_path):
    """A finished trial of three tanks in each arm."""
    return make_kit(tmp_path / "trial", sd=0.4)


def test_it_tells_which_files_it_wrote_and_why_there_are_no_captions(capsys, trial):
    ran = run_here(capsys, "words", trial, "--kit-link", "https://example.org/kit")
    assert (ran.code, ran.err) == (0, "")
    names = ("description.txt", "outline.md", "alt-texts.csv")
    assert ran.out.splitlines() == [*(f"Words: {trial / 'out' / 'words' / name}" for name in names),
                                    "No captions and no chapters: there is no photo for a film."]
    assert json.loads(run_here(capsys, "words", trial, "--json").out)["files"][0].endswith("description.txt")


def test_a_text_that_claims_too_much_ends_with_1_and_each_place_with_its_line_and_what_may_be_said(capsys, trial, tmp_path):
    (tmp_path / "mine.md").write_text("# Six tanks\n\nWe counted for six weeks.\nThis proves that dimmed light works!\n", encoding="utf-8")
    ran = run_here(capsys, "words", trial, "--check", tmp_path / "mine.md")
    assert (ran.code, ran.err) == (1, "")
    assert ran.out.startswith("Line 4, “proves” in: This proves that dimmed light works!\n  ")
    assert "  May be said: " in ran.out
    assert ran.out.endswith("more than the finding carries.\n")
    assert not (trial / "out").exists(), "a check writes nothing"


def test_what_it_wrote_itself_passes_and_ends_with_0(capsys, trial):
    run_here(capsys, "words", trial)
    ran = run_here(capsys, "words", trial, "--check", trial / "out" / "words" / "description.txt")
    assert (ran.code, ran.out) == (0, "Nothing in this text says more than the finding carries, as far as this check reads.\n")
    told = json.loads(run_here(capsys, "words", trial, "--check", trial / "out" / "words" / "outline.md", "--json").out)
    assert told == {"flags": []}


def test_a_file_that_is_no_text_is_refused_in_a_sentence(capsys, trial, tmp_path):
    ran = run_here(capsys, "words", trial, "--check", tmp_path / "film.mp4")
    assert (ran.code, ran.out) == (1, "")
    assert ran.err.startswith("The text to check is ")
