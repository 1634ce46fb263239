"""`fairtank even`: sentences for people, one object for programs, a refusal for a wrong folder."""

import json

import pytest
from tests.cli.running import run_here

PLAN = """[trial]
title = "Two tanks (invented)"
[design]
kind = "side_by_side"
start = 2026-03-01
days = 21
[[arm]]
key = "R"
role = "reference"
[[arm]]
key = "C"
role = "changed"
[[unit]]
key = "T1"
arm = "R"
[[unit]]
key = "T2"
arm = "C"
[[measure]]
key = "algae_cover"
role = "primary"
"""


@pytest.fixture
def two(tmp_path):
    """Two tanks, the changed one warmer."""
    (tmp_path / "trial.toml").write_text(PLAN, encoding="utf-8")
    rows = "unit,factor,value,unit_of_measure,note\nT1,temperature,24,,\nT2,temperature,26,,\n"
    (tmp_path / "factors.csv").write_text(rows, encoding="utf-8")
    return tmp_path


def test_the_sentences_come_first_and_the_pictures_last(capsys, two):
    ran = run_here(capsys, "even", two)
    assert (ran.code, ran.err) == (0, "")
    lines = ran.out.splitlines()
    assert lines[0].startswith("Besides the change, water temperature goes along with the arms")
    assert "24 °C in arm R; 26 °C in arm C" in ran.out
    assert lines[-3:] == [f"Picture: {two / 'out' / 'evenness.svg'}", f"For a phone: {two / 'out' / 'evenness-phone.svg'}",
                          f"Next: fairtank draw {two}  (the lot)"]


def test_with_json_one_object_is_printed_and_nothing_is_written(capsys, two):
    ran = run_here(capsys, "even", two, "--json")
    assert (ran.code, ran.err) == (0, "")
    assert json.loads(ran.out)["factors"][0]["verdict"] == "confounded"
    assert not (two / "out").exists()


def test_with_a_plan_alone_the_answer_is_short_and_honest(capsys, two):
    (two / "factors.csv").unlink()
    ran = run_here(capsys, "even", two)
    assert ran.code == 0
    assert ran.out.startswith("Nothing is recorded by which the tanks could be compared")
    assert "Picture" not in ran.out


def test_a_misspelt_factor_is_refused_with_a_hint(capsys, two):
    (two / "factors.csv").write_text("unit,factor,value,unit_of_measure,note\nT1,temprature,24,,\n", encoding="utf-8")
    ran = run_here(capsys, "even", two)
    assert ran.code == 1
    assert "did you mean temperature" in ran.err
