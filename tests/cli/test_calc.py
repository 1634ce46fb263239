"""fairtank calc: the list, an answer for people, one for machines, and wrong calls."""

import json
import shlex

import pytest
from tests.cli.running import run_here

from fairtank import registry
from fairtank.cli.inputs import is_counted, option_of
from fairtank.science import vessel

STRATA = ["stratified", "--weights", ".5,.3,.2", "--shares", ".2,.4,.7", "--counts", "50,30,20"]
KEYS = [entry.key for entry in registry.entries("calculator")]
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


def test_a_named_tuple_names_its_parts_too(capsys):
    """12 of 50: 0.143 to 0.3741, the limits that the docstring of `wilson` prints."""
    words = ["wilson", "--k", "12", "--n", "50"]
    assert run_here(capsys, "calc", *words).out.splitlines()[0] == "Interval for a counted share: low 0.143, high 0.3741"
    answer = json.loads(run_here(capsys, "calc", *words, "--json").out)
    assert {name: round(value, 4) for name, value in answer["result"].items()} == {"low": 0.143, "high": 0.3741}


def test_counts_stay_whole_numbers(capsys):
    ran = run_here(capsys, "calc", "wilson", "--k", "12", "--n", "50.0", "--json")
    assert '"inputs": {"k": 12, "n": 50}' in ran.out
    assert '"counts": [50, 30, 20]' in run_here(capsys, "calc", *STRATA, "--json").out


def test_the_inputs_that_are_counts_are_these():
    counted = {(entry.key, declared.name) for entry in registry.entries("calculator") for declared in entry.inputs if is_counted(declared)}
    audited = {("audited_cover", name) for name in ("hits_in", "n_in", "hits_out", "n_out")}
    assert counted == {("wilson", "k"), ("wilson", "n"), ("stratified", "counts"), ("area_from_matrix", "matrix"), *audited}


@pytest.mark.parametrize("key", KEYS)
def test_help_after_a_name_lists_the_inputs_and_an_example_that_works(capsys, key):
    entry = registry.entry("calculator", key)
    ran = run_here(capsys, "calc", key, "--help")
    assert (ran.code, ran.err) == (0, "")
    assert ran == run_here(capsys, "calc", key, "-h")
    told = " ".join(ran.out.split())
    assert told.startswith(f"Usage: fairtank calc {key} --INPUT VALUE ... {entry.title}")
    for declared in entry.inputs:
        unit = f" [{declared.unit}]" if declared.unit else ""
        assert f"{option_of(declared)} " in told
        assert f"{declared.label}{unit}" in told
    last = ran.out.splitlines()[-1]
    assert last.startswith(f"  fairtank calc {key} --")
    answer = run_here(capsys, *shlex.split(last)[1:])
    assert (answer.code, answer.err) == (0, "")


def test_help_after_a_name_tells_ranges_units_and_what_is_taken_when_left_out(capsys):
    told = " ".join(run_here(capsys, "calc", "net_volume_l", "--help").out.split())
    assert "--length-mm number outer length [mm]: 50 to 5000" in told
    assert "--rock-density-kg-l number density of the rock [kg/L]: 0.5 to 8; 2.7 when left out" in told
    told = " ".join(run_here(capsys, "calc", "area_from_matrix", "--help").out.split())
    assert "--matrix row;row;... counts, one row per map class and one column per true class: whole, 0 or more" in told
    assert "--areas number,number,... mapped area" in told


def test_help_of_a_calculator_that_is_not_there_names_those_that_are(capsys):
    ran = run_here(capsys, "calc", "pond", "--help")
    assert (ran.code, ran.out) == (1, "")
    assert "calculator is pond; accepted: area_from_matrix, " in ran.err


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
    (["gross_volume_l", "--length-mm", "sixty", *VOLUME[3:]], "--length-mm is sixty; accepted: a number. Write decimals with a point."),
    (["gross_volume_l", "--length-mm", "600,5", *VOLUME[3:]],
     "--length-mm is 600,5; accepted: a number. Write decimals with a point: 600.5"),
    (["gross_volume_l", "--length-mm", "1,2,3", *VOLUME[3:]],
     "--length-mm is 1,2,3; accepted: a number. It takes one number, not several."),
    (["gross_volume_l", "--length-mm", "1;2", *VOLUME[3:]], "--length-mm is 1;2; accepted: a number. It takes one number, not several."),
    (["wilson", "--k", "12.5", "--n", "50"], "--k is 12.5; accepted: a whole number. It is a count."),
    (["wilson", "--k", "12,5", "--n", "50"], "--k is 12,5; accepted: a number. Write decimals with a point: 12.5"),
    ([*STRATA[:-1], "50;30;20"], "--counts is 50;30;20; accepted: numbers separated by commas. Semicolons separate the rows of a matrix."),
    ([*STRATA[:-1], "50,30,2.5"], "--counts is 50,30,2.5; accepted: whole numbers. It is a count."),
    ([*STRATA[:-1], "50,,20"], "--counts is 50,,20; accepted: numbers separated by commas. Write decimals with a point."),
    ([*STRATA[:-1], "50"], "counts is of another length than weights or shares"),
    (["area_from_matrix", "--matrix", "45,5;10", "--areas", "1,2"],
     "--matrix is 45,5;10; accepted: rows of equal length: numbers separated by commas, rows by semicolons. The rows have 2, 1 numbers."),
    (["area_from_matrix", "--matrix", "45,5", "--areas", "1,2"], "matrix is not square"),
    (["gross_volume_l", "--length-mm", "-600", *VOLUME[3:]], "length_mm is -600"),
    (["gross_volume_l", "--length-mm", "nan", *VOLUME[3:]], "length_mm is nan"),
])  # fmt: skip
def test_a_value_that_cannot_be_used_is_refused_with_a_sentence(capsys, words, told):
    ran = run_here(capsys, "calc", *words)
    assert (ran.code, ran.out) == (1, "")
    assert told in ran.err
    assert ran.err.rstrip().endswith((".", "?", "600.5", "12.5"))
