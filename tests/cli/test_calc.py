"""fairtank calc: the list, an answer for people, one for machines, and wrong calls."""

import json

import pytest
from tests.cli.running import run_here

from fairtank import registry
from fairtank.science import vessel

VOLUME = ["gross_volume_l", "--length-mm", "600", "--width-mm", "300", "--water-mm", "330", "--glass-mm", "6"]


def test_without_a_name_it_lists_every_calculator(capsys):
    ran = run_here(capsys, "calc")
    assert ran.code == 0
    assert [line.split()[0] for line in ran.out.splitlines()] == [entry.key for entry in registry.entries("calculator")]
    listed = json.loads(run_here(capsys, "calc", "--json").out)["calculators"]
    assert [row["name"] for row in listed] == [entry.key for entry in registry.entries("calculator")]


def test_an_answer_for_people_has_its_unit_and_its_source(capsys):
    ran = run_here(capsys, "calc", *VOLUME)
    assert (ran.code, ran.err) == (0, "")
    first, *sources = ran.out.splitlines()
    assert first == f"Gross water volume: {588 * 288 * 330 / 1e6:.4g} L"
    assert all(line.startswith("Source: ") for line in sources)
    assert sources


def test_the_example_of_its_help_works(capsys):
    words = run_here(capsys, "calc", "--help").out.split("Example: fairtank calc")[1].split("Options:")[0].split()
    assert run_here(capsys, "calc", *words).code == 0


def test_an_answer_for_machines_is_one_object_and_nothing_else(capsys):
    ran = run_here(capsys, "calc", *VOLUME, "--json")
    answer = json.loads(ran.out)
    assert ran.err == ""
    assert answer["calculator"] == "gross_volume_l"
    assert answer["unit"] == "L"
    assert answer["inputs"] == {"length_mm": 600.0, "width_mm": 300.0, "water_mm": 330.0, "glass_mm": 6.0}
    assert answer["result"] == pytest.approx(vessel.gross_volume_l(600, 300, 330, 6))


def test_an_equals_sign_may_join_option_and_value(capsys):
    joined = [f"{option}={value}" for option, value in zip(VOLUME[1::2], VOLUME[2::2], strict=True)]
    assert run_here(capsys, "calc", VOLUME[0], *joined).out == run_here(capsys, "calc", *VOLUME).out


def test_a_result_with_several_parts_names_them(capsys):
    words = ["audited_cover", "--map-share", "0.2", "--hits-in", "38", "--n-in", "40", "--hits-out", "3", "--n-out", "60"]
    result = json.loads(run_here(capsys, "calc", *words, "--json").out)["result"]
    assert list(result) == ["share", "low", "high"]
    assert result["share"] == pytest.approx(0.2 * 38 / 40 + 0.8 * 3 / 60)
    assert f"low {result['low']:.4g}, high {result['high']:.4g}" in run_here(capsys, "calc", *words).out


def test_several_numbers_for_one_input_are_separated_by_commas(capsys):
    ran = run_here(capsys, "calc", "lab_from_srgb", "--rgb", "40,150,50", "--json")
    assert len(json.loads(ran.out)["result"]) == 3


@pytest.mark.parametrize(("words", "told"), [
    (["gross_volume_l", "--length-mm", "600"], "gross_volume_l also needs --width-mm: "),
    (["gross_volume_l", "--length-mm"], "every option of gross_volume_l takes one value; its options: --length-mm, --width-mm"),
    ([*VOLUME, "--depth", "3"], "gross_volume_l has no option --depth; its options: --length-mm"),
    ([*VOLUME, "length", "3"], "gross_volume_l has no option length"),
])  # fmt: skip
def test_wrong_options_are_wrong_usage_and_the_right_ones_are_named(capsys, words, told):
    ran = run_here(capsys, "calc", *words)
    assert (ran.code, ran.out) == (2, "")
    assert told in ran.err


@pytest.mark.parametrize(("words", "told"), [
    (["pond"], "pond"),
    (["gross_volume_l", "--length-mm", "sixty", *VOLUME[3:]], "--length-mm is sixty; accepted: a number, or numbers separated by commas."),
    (["gross_volume_l", "--length-mm", "60,5;", *VOLUME[3:]], "--length-mm is 60,5;; accepted: a number"),
    (["gross_volume_l", "--length-mm", "-600", *VOLUME[3:]], "length_mm is -600"),
    (["gross_volume_l", "--length-mm", "nan", *VOLUME[3:]], "length_mm is nan"),
])  # fmt: skip
def test_a_value_that_cannot_be_used_is_refused_with_a_sentence(capsys, words, told):
    ran = run_here(capsys, "calc", *words)
    assert (ran.code, ran.out) == (1, "")
    assert told in ran.err
    assert ran.err.rstrip().endswith((".", "?"))
