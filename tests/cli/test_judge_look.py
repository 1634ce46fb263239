"""fairtank judge --day: the trial as of one of its planned looks, and no other day."""

import json

from tests.cli.running import run_here


def test_a_planned_look_is_judged_at_its_own_share_and_later_days_are_not_seen(capsys, series_only):
    ran = run_here(capsys, "judge", series_only.root, "--json", "--day", "28")
    assert (ran.code, ran.err) == (0, "")
    first = json.loads(ran.out)["findings"][0]
    assert (first["level"], first["window"][1]) == (0.99, 28)
    assert any(caution.startswith("The trial goes on: this is planned look 2 of 3, on day 28") for caution in first["cautions"])


def test_a_trial_that_goes_on_adds_nothing_to_the_library_of_like_tanks_yet(capsys, series_only, tmp_path):
    run_here(capsys, "judge", series_only.root, "--out", tmp_path / "whole")
    run_here(capsys, "judge", series_only.root, "--out", tmp_path / "look", "--day", "28")
    assert (tmp_path / "whole" / "spread.csv").is_file()
    looked_at = tmp_path / "look" / "spread.csv"
    assert not looked_at.exists() or "algae_cover" not in looked_at.read_text(encoding="utf-8")


def test_a_day_that_was_not_planned_is_refused_in_a_sentence(capsys, series_only):
    ran = run_here(capsys, "judge", series_only.root, "--day", "25")
    assert ran.code != 0
    assert "Day 25 is not a planned look; planned are day 14, 28 and 42." in ran.err
    assert "On other days the charts show no interval, and looking changes nothing." in ran.err
    assert not (series_only.root / "out").exists()
