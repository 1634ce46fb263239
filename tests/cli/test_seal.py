"""fairtank seal: the time, whether there was data, the code; refused in a sentence where the plan was changed."""

import json

import pytest
from tests.cli.running import run_here
from tests.records.kits import make_kit


@pytest.fixture
def planned(tmp_path):
    """A plan before the start."""
    return make_kit(tmp_path / "planned", values=False)


def test_people_are_told_the_time_the_code_and_what_to_do_with_it(capsys, planned):
    ran = run_here(capsys, "seal", planned)
    assert (ran.code, ran.err) == (0, "")
    lines = ran.out.splitlines()
    code = json.loads((planned / "seal.json").read_text(encoding="utf-8"))["entries"][0]["code"]
    assert lines[0].startswith("The plan is sealed, ")
    assert lines[0].endswith(" UTC; nothing was recorded yet.")
    assert lines[1].startswith(f"The code is {code}. Show it in a video")
    assert lines[2] == f"Seal: {planned / 'seal.json'}"
    assert "nothing was written" in run_here(capsys, "seal", planned).out


def test_a_changed_plan_needs_a_reason(capsys, planned):
    run_here(capsys, "seal", planned)
    plan = planned / "trial.toml"
    plan.write_text(plan.read_text(encoding="utf-8").replace("margin = 0.5", "margin = 0.3"), encoding="utf-8")
    ran = run_here(capsys, "seal", planned)
    assert (ran.code, ran.out) == (1, "")
    assert ran.err.startswith("This plan is sealed, and it was changed since. The smallest difference that matters for algae cover was 0.5")
    ran = run_here(capsys, "seal", planned, "--reason", "a typing mistake")
    assert ran.code == 0
    assert ran.out.startswith("The change is sealed, ")


def test_json_is_one_object(capsys, planned):
    ran = run_here(capsys, "seal", planned, "--json")
    assert (ran.code, ran.err) == (0, "")
    assert json.loads(ran.out)["done"] == "sealed"


def test_a_folder_that_cannot_be_read_is_refused_and_nothing_is_written(capsys, tmp_path):
    (tmp_path / "empty").mkdir()
    ran = run_here(capsys, "seal", tmp_path / "empty")
    assert (ran.code, ran.out) == (1, "")
    assert not list((tmp_path / "empty").iterdir())
