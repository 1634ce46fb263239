"""fairtank site and fairtank charts: where what they wrote lies, and what they refuse."""

import pytest
from tests.cli.running import run_here
from tests.web.judged_trials import folder_write


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A trial that is over; its report is tested elsewhere, and takes its time."""
    from fairtank.records.services import siting

    monkeypatch.setattr(siting, "_beside", lambda judged, content, place: ())
    return folder_write(tmp_path / "glasses")


def test_the_page_lies_in_the_results_and_its_place_is_told(capsys, folder):
    ran = run_here(capsys, "site", folder, "--address", "https://trials.example/glasses")
    page = folder / "out" / "site" / "index.html"
    assert (ran.code, ran.out) == (0, f"Public page: {page}\n")
    assert "https://trials.example/glasses/preview.png" in page.read_text(encoding="utf-8")


def test_an_address_or_a_kit_that_is_none_is_refused_before_anything_is_worked_out(capsys, folder):
    for given, told in ((("--address", "glasses"), "the address is 'glasses'"), (("--kit", "nothing.zip"), "the kit is nothing.zip")):
        ran = run_here(capsys, "site", folder, *given)
        assert ran.code == 1
        assert told in ran.err
        assert not (folder / "out" / "site").exists()


def test_the_charts_lie_in_the_results_and_are_counted(capsys, folder, tmp_path):
    ran = run_here(capsys, "charts", folder, "--as", "svg", "--theme", "dark", "--out", tmp_path / "place")
    assert (ran.code, ran.out) == (0, f"6 pictures: {tmp_path / 'place' / 'charts'}\n")
    assert (tmp_path / "place" / "charts" / "page" / "dark" / "tanks-algae-cover.svg").is_file()
    assert (tmp_path / "place" / "charts" / "page" / "dark" / "what-could-it-show.svg").is_file()


def test_a_shape_that_is_none_is_answered_with_the_one_that_was_meant(capsys, folder):
    ran = run_here(capsys, "charts", folder, "--shape", "wid")
    assert ran.code == 2
    assert "Did you mean 'wide'?" in ran.err
