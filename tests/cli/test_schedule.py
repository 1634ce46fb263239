"""fairtank schedule: today's list, a proposed schedule, a slip, the files to take along, and days that cannot be meant."""

import csv
import json
import tomllib
from datetime import date

import pytest
from tests.cli.running import run_here
from tests.records.kits import make_kit

from fairtank.records.folder import read_folder
from fairtank.records.services.scheduling import trial_schedule


@pytest.fixture
def planned(tmp_path):
    """A plan before the start."""
    return make_kit(tmp_path / "planned", values=False, kind="run_in", run_in_days=7)


def test_a_folder_without_a_schedule_gets_a_proposal_that_can_be_read(capsys, planned):
    ran = run_here(capsys, "schedule", planned, "--day", "7")
    assert (ran.code, ran.err) == (0, "")
    lines = ran.out.splitlines()
    assert lines[0].startswith("There was no schedule.toml: a proposal was written.")
    assert "Day 7 of 42, Sunday 2026-03-08." in lines
    assert "  By the plan: the change starts" in lines
    assert "  18:00 Photos of all tanks" in lines
    assert [chore.key for chore in read_folder(planned).chores] == ["photos", "tests", "trim"]
    out = planned / "out"
    assert (out / "plan-by-day.pdf").read_bytes().startswith(b"%PDF")
    assert (out / "calendar.ics").read_bytes().startswith(b"BEGIN:VCALENDAR\r\n")
    rows = list(csv.DictReader((out / "plan-by-day.csv").read_text(encoding="utf-8").splitlines()))
    assert {row["chore"] for row in rows} == {"photos", "tests", "trim", "plan:start", "plan:change", "plan:last"}


def test_a_schedule_that_is_there_is_never_written_over(capsys, planned):
    text = '# mine\n[[chore]]\nkey = "feed"\nkind = "feed"\nevery = "every 2 days"\n'
    (planned / "schedule.toml").write_text(text, encoding="utf-8")
    assert "proposal" not in run_here(capsys, "schedule", planned, "--day", "0").out
    assert (planned / "schedule.toml").read_text(encoding="utf-8") == text
    run_here(capsys, "schedule", planned, "--slip", "4", "--by", "1", "--reason", 'a "long" day')
    added = (planned / "schedule.toml").read_text(encoding="utf-8")
    assert added.startswith(text)
    assert tomllib.loads(added)["slip"] == [{"day": 4, "by_days": 1, "reason": 'a "long" day'}]


def test_json_is_one_object_and_writes_nothing(capsys, planned):
    before = sorted(path.name for path in planned.iterdir())
    ran = run_here(capsys, "schedule", planned, "--day", "2026-03-08", "--json")
    told = json.loads(ran.out)
    assert (ran.code, ran.err, told["day"], told["proposed"], told["files"]) == (0, "", 7, True, None)
    assert [task["chore"] for task in told["today"]] == ["plan:change", "photos"]
    assert told["minutes_total"] == sum(task["minutes"] for task in told["tasks"])
    assert sorted(path.name for path in planned.iterdir()) == before


def test_a_slip_moves_the_rest_and_tells_which_judged_days_stay(capsys, planned):
    ran = run_here(capsys, "schedule", planned, "--slip", "2026-03-06", "--by", "2", "--reason", "ill", "--day", "5")
    assert "Slip on day 5 by 2 days: ill." in ran.out
    stay = "The days that are judged stay as the plan has them: day 7 (the change starts) and day 42 (last day that counts)."
    assert stay in ran.out.splitlines()
    assert "Nothing is to be done today." in ran.out
    assert "  day 7, Sun 03-08: the change starts; 18:00 Photos of all tanks" in ran.out.splitlines()
    assert "must be amended" not in ran.out


def test_a_slip_that_touches_days_of_a_sealed_plan_says_that_the_plan_must_be_amended(capsys, planned):
    run_here(capsys, "seal", planned)
    ran = run_here(capsys, "schedule", planned, "--slip", "5", "--by", "2", "--reason", "ill", "--json")
    stay, amend = json.loads(ran.out)["slip"]["cautions"]
    assert stay.startswith("The days that are judged stay as the plan has them: day 7")
    assert "The plan is sealed. If one of these days is to move too, the plan must be amended" in amend
    stamp = json.loads((planned / "seal.json").read_text(encoding="utf-8"))["entries"][0]["at"]
    run_here(capsys, "schedule", planned, "--out", planned / "out")
    compact = stamp.replace("-", "").replace(":", "").split("+")[0].rstrip("Z")
    assert f"DTSTAMP:{compact}Z".encode() in (planned / "out" / "calendar.ics").read_bytes()


@pytest.mark.parametrize(("words", "sentence"), [
    (("--slip", "-3", "--by", "1", "--reason", "x"), "Before day 0 nothing can slip: change start in trial.toml instead."),
    (("--slip", "2026-02-01", "--by", "1", "--reason", "x"), "--slip is '2026-02-01', which is day -28; accepted: a day of the trial "
     "from 0 to 42"),
    (("--slip", "99", "--by", "1", "--reason", "x"), "--slip is '99', which is day 99"),
    (("--slip", "3", "--reason", "x"), "--by is left out; accepted: by how many days all that is not done moves, 1 to 365."),
    (("--slip", "3", "--by", "2"), "--reason is left out; accepted: why it slipped"),
    (("--day", "fish"), "--day is 'fish'; accepted: today, a date such as 2026-03-01, or a day of the trial such as 10."),
    (("--day", "2026-02-31"), "--day is '2026-02-31'; accepted: today"),
])
def test_a_day_or_a_slip_that_cannot_be_meant_is_refused_and_nothing_is_written(capsys, planned, words, sentence):
    ran = run_here(capsys, "schedule", planned, *words)
    assert (ran.code, ran.out) == (1, "")
    assert sentence in ran.err
    assert not (planned / "schedule.toml").exists()


@pytest.mark.parametrize("words", [("--by", "2"), ("--reason", "x"), ("--slip", "3", "--by", "0", "--reason", "x")])
def test_wrong_usage_of_a_slip_ends_with_two(capsys, planned, words):
    assert run_here(capsys, "schedule", planned, *words).code == 2


def test_today_is_the_keepers_date(planned):
    scheduled = trial_schedule(root=planned, today=lambda: date(2026, 3, 11))
    assert (scheduled.day, scheduled.date) == (10, date(2026, 3, 11))


def test_before_the_start_and_after_the_end_the_head_says_so(capsys, planned):
    assert "Thursday 2026-02-26: 3 days before the trial starts." in run_here(capsys, "schedule", planned, "--day", "-3").out
    assert "Monday 2026-04-13: 1 day after the last day that counts, day 42." in run_here(capsys, "schedule", planned, "--day", "43").out
