"""fairtank example: the list, a folder, and what it refuses."""

from tests.cli.running import run_here

from fairtank.records.services.examples import SHOWN


def test_without_a_design_the_examples_are_listed_one_line_each(capsys):
    ran = run_here(capsys, "example")
    assert (ran.code, ran.err) == (0, "")
    lines = ran.out.splitlines()
    assert [line.split()[0] for line in lines[: len(SHOWN)]] == list(SHOWN)
    assert lines[-1] == "fairtank example DESIGN --out FOLDER writes one; then: fairtank judge FOLDER"


def test_a_folder_is_written_and_can_be_judged(capsys, tmp_path):
    ran = run_here(capsys, "example", "swap", "--out", tmp_path / "mine")
    assert ran.code == 0
    assert ran.out.splitlines()[0].endswith(f"(invented example): {tmp_path / 'mine'}")
    assert ran.out.splitlines()[-1] == f"Now try: fairtank judge {tmp_path / 'mine'}"
    judged = run_here(capsys, "judge", tmp_path / "mine")
    assert (judged.code, judged.err) == (0, "")
    assert judged.out.splitlines()[0].endswith(".")


def test_without_a_place_the_folder_is_called_like_the_design(capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert run_here(capsys, "example", "pairs").code == 0
    assert (tmp_path / "pairs" / "trial.toml").is_file()
    again = run_here(capsys, "example", "pairs")
    assert (again.code, again.out) == (1, "")
    assert "accepted: a new or an empty folder" in again.err


def test_a_wrong_design_is_wrong_usage(capsys, tmp_path):
    ran = run_here(capsys, "example", "crossover", "--out", tmp_path / "mine")
    assert ran.code == 2
    assert "'crossover' is not one of 'side_by_side'" in ran.err
