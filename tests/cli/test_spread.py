"""fairtank spread: the table, what is good for what, what was left out, and what became of a spread.csv."""

import json

import pytest
from tests.cli.running import run_here
from tests.records.kits import make_kit, make_kits


@pytest.fixture
def five(tmp_path):
    """Five trials of one kind."""
    make_kits(tmp_path / "trials", 5, tank_litres=54.0)
    return tmp_path / "trials"


def test_people_read_the_table_then_what_it_is_good_for(capsys, five):
    ran = run_here(capsys, "spread", five)
    assert (ran.code, ran.err) == (0, "")
    lines = ran.out.splitlines()
    assert lines[0].split() == ["trial", "measure", "summary", "window", "tanks", "SD", "degrees", "of", "freedom"]
    assert lines[1].startswith("Trial 1  Algae cover  mean")
    assert lines[7].startswith("Algae cover, mean, 35 to 49 days, tank of 45 to under 80 L: 5 trials, 20 degrees of freedom. Enough to "
                               "help a trial of this kind with one or two tanks per arm")


def test_what_was_written_is_told(capsys, five, tmp_path):
    new = make_kit(tmp_path / "new", title="New", count=1, values=False, tank_litres=54.0)
    lines = run_here(capsys, "spread", five, "--into", new).out.splitlines()
    assert lines[-2] == f"{new / 'spread.csv'}:"
    assert lines[-1].startswith("  Added: Trial 1: Algae cover (mean); Trial 2: Algae cover (mean);")
    assert run_here(capsys, "spread", five, "--into", new).out.splitlines()[-1].startswith("  As before: Trial 1")


def test_json_is_one_object(capsys, five):
    ran = run_here(capsys, "spread", five, "--json")
    assert (ran.code, ran.err) == (0, "")
    assert len(json.loads(ran.out)["entries"]) == 5


def test_no_folder_is_wrong_usage_and_a_missing_one_is_refused(capsys, tmp_path):
    assert run_here(capsys, "spread").code == 2
    ran = run_here(capsys, "spread", tmp_path / "nowhere")
    assert (ran.code, ran.out) == (1, "")
    assert "which is not there" in ran.err
