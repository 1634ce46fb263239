"""fairtank draw: what it says, its JSON, and its exit codes."""

import json

from cli.running import run_here
from records.test_drawing import six


def test_draw_says_what_was_drawn_and_check_agrees(tmp_path, capsys):
    root = six(tmp_path / "t")
    done = run_here(capsys, "draw", root, "--seed", 7)
    assert done.code == 0
    assert done.out.startswith("Drawn by lot. R: ")
    assert "There were 20 possible draws of the arms, all equally likely." in done.out
    assert run_here(capsys, "draw", root, "--check").out.startswith("The draw was worked out once more from its seed and came out the same")
    again = run_here(capsys, "draw", root, "--seed", 8)
    assert again.code == 1
    assert "--reason" in again.err
    made = run_here(capsys, "draw", root, "--seed", 8, "--reason", "a leak", "--json")
    assert json.loads(made.out)["earlier_draws"] == 1


def test_check_as_json_leaves_with_1_where_the_plan_does_not_follow_the_lot(tmp_path, capsys):
    root = six(tmp_path / "t")
    run_here(capsys, "draw", root, "--seed", 7)
    text = (root / "trial.toml").read_text(encoding="utf-8")
    (root / "trial.toml").write_text(text.replace("seed = 7", "seed = 9"), encoding="utf-8")
    done = run_here(capsys, "draw", root, "--check", "--json")
    assert done.code == 1
    assert json.loads(done.out)["agrees"] is False


def test_a_seed_that_is_no_number_is_wrong_usage(tmp_path, capsys):
    assert run_here(capsys, "draw", tmp_path, "--seed", "lucky").code == 2
