"""fairtank detect: the sentence first, then the table, then where the picture lies; refused in sentences."""

import json

import pytest
from tests.cli.running import run_here

from fairtank.records.folder import write_folder
from fairtank.records.services.detecting import detect_json, trial_detect
from inference.trials import plan_of


@pytest.fixture
def six(tmp_path):
    """Three tanks per arm; less is expected."""
    write_folder(tmp_path / "six", plan_of(3, 3, expect="less"))
    return tmp_path / "six"


def test_the_sentence_comes_first_then_the_table_then_the_picture(capsys, six):
    ran = run_here(capsys, "detect", six)
    assert (ran.code, ran.err) == (0, "")
    lines = ran.out.splitlines()
    assert lines[0].startswith("As planned (3 tanks per arm, day 0 to 42), you would notice cover by eye at 1.5 % instead of 10 %, but no "
                               "smaller difference.")
    heading = next(line for line in lines if line.lstrip().startswith("design "))
    rows = lines[lines.index(heading) + 1 :][:7]
    assert [row[0] for row in rows] == list("ABCDEFG")
    assert all(row.startswith(f"{letter}  ") for letter, row in zip("ABCDEFG", rows, strict=True))
    assert rows[0].index("1.5 %") == heading.index("you would notice")
    wide, narrow = (six / "out" / name for name in ("what-could-it-show.svg", "what-could-it-show-phone.svg"))
    assert lines[-2:] == [f"Picture: {wide}", f"For a phone: {narrow}"]
    assert {path.name for path in (six / "out").iterdir()} == {"what-could-it-show.svg", "what-could-it-show-phone.svg"}


def test_a_reference_a_spread_and_prices_change_the_answer(capsys, six):
    ran = run_here(capsys, "detect", six, "--reference", "40", "--sd", "0.3", "--tank-cost", "80", "--day-cost", "2")
    assert "instead of 40 %" in ran.out.splitlines()[0]
    assert "The spread of like tanks is the one you stated: a standard deviation of 0.30" in ran.out
    assert "cost" in ran.out
    assert " 564 " in ran.out


def test_settled_tanks_differ_less_over_time(capsys, six):
    new, settled = (json.loads(run_here(capsys, "detect", six, "--json", "--tanks", tanks).out) for tanks in ("new", "settled"))
    assert settled["designs"][0]["difference"] < new["designs"][0]["difference"]


def test_json_is_one_object_and_writes_only_where_it_is_told_to(capsys, six, tmp_path):
    ran = run_here(capsys, "detect", six, "--json")
    assert ran.out == detect_json(trial_detect(root=six))
    assert not (six / "out").exists()
    told = json.loads(run_here(capsys, "detect", six, "--json", "--out", tmp_path / "place").out)
    assert told["chart"] == str(tmp_path / "place" / "what-could-it-show.svg")


def test_two_tanks_are_told_what_is_possible(capsys, tmp_path):
    write_folder(tmp_path / "two", plan_of(1, 1))
    out = run_here(capsys, "detect", tmp_path / "two").out
    assert "Not possible with one tank in an arm" in out
    assert "Possible with the same two tanks: a drawn start" in out


@pytest.mark.parametrize(("words", "told"), [
    (("--reference", "0"), "--reference is 0; accepted: 0.2 to 99.8 % for cover."),
    (("--sd", "-1"), "--sd is -1; accepted: a number above 0."),
    (("--tank-cost", "-3"), "--tank-cost is -3; accepted: 0 or more."),
])
def test_numbers_that_cannot_be_are_refused_in_a_sentence(capsys, six, words, told):
    ran = run_here(capsys, "detect", six, *words)
    assert (ran.code, ran.out, ran.err.strip()) == (1, "", told)
    assert not (six / "out").exists()


def test_a_wrong_word_is_wrong_usage(capsys, six):
    ran = run_here(capsys, "detect", six, "--tanks", "old")
    assert ran.code == 2
    assert "'old' is not one of 'new', 'settled'" in ran.err
