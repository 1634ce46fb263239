"""From the plan to the first day each command names the one that comes next."""

from itertools import pairwise

import pytest
from tests.cli.running import run_here

from fairtank.cli.next_step import NOT_DRAWN, SEAL_AGAIN, next_told
from fairtank.records.next_steps import STEPS
from fairtank.records.services.planning import answers_take, plan_begin, plan_make
from fairtank.records.services.sealing import trial_seal


@pytest.fixture
def root(tmp_path, monkeypatch):
    """A planned trial of two tanks."""
    monkeypatch.chdir(tmp_path)
    plan_make(answers_take(plan_begin(root=tmp_path / "my t", template="flow"), "", "answers"))
    return tmp_path / "my t"


def test_every_command_on_the_way_leads_to_the_next(capsys, root):
    for (name, _), (later, told) in pairwise(STEPS):
        ran = run_here(capsys, name, "my t")
        assert ran.code == 0, ran.err
        assert ran.out.splitlines()[-1] == f"Next: fairtank {later} 'my t'  ({told})"


def test_a_seal_before_the_draw_is_told(capsys, root):
    ran = run_here(capsys, "seal", "my t")
    assert ran.out.splitlines()[-2:] == [NOT_DRAWN, "Next: fairtank schedule 'my t'  (what to do today)"]


def test_what_is_done_already_is_passed_over(root):
    trial_seal(root=root)
    assert next_told(root, "cards") == [f"Next: fairtank schedule {str(root)!r}  (what to do today)"]
    (root / "setup.toml").unlink()
    assert next_told(root, "draw")[0].startswith("Next: fairtank cards")


def test_after_a_change_of_a_sealed_plan_the_seal_comes_first(capsys, root):
    trial_seal(root=root)
    ran = run_here(capsys, "draw", "my t", "--reason", "late", "--seed", "1")
    assert ran.out.splitlines()[-1] == SEAL_AGAIN
    trial_seal(root=root, reason="drawn late")
    assert next_told(root, "draw")[0].startswith("Next: fairtank build")


def test_nothing_comes_next_once_something_is_recorded_or_where_there_is_no_folder(root, tmp_path):
    (root / "series.csv").write_text("unit,day,measure,value\nT1,1,algae_cover,5\n")
    assert next_told(root, "even") == []
    assert next_told(tmp_path / "none", "even") == []


def test_a_large_number_is_told_in_full(capsys, root):
    assert "from 0 to 9223372036854775807." in " ".join(run_here(capsys, "draw", "my t", "--seed", "-1").err.split())
