"""fairtank calc with each calculator of the registry: its example, its answer for machines, its help; claim checks in their own words."""

import json
import shlex

import pytest
from tests.checking import every
from tests.cli.running import run_here

from fairtank import registry
from fairtank.bench.answers import plain
from fairtank.bench.inputs import example_of, option_of
from fairtank.planning.claiming.claim import CLAIM_OUTPUTS
from fairtank.publish.claim_words import claim_text
from fairtank.science.calling import parts_of
from fairtank.science.cautions import CAUTIONS

ENTRIES = registry.entries("calculator")
KEYS = [entry.key for entry in ENTRIES]
CLAIMS = [entry.key for entry in ENTRIES if entry.outputs == CLAIM_OUTPUTS]


def words_of(key):
    return shlex.split(example_of(registry.entry("calculator", key)))[1:]


def test_there_are_claim_checks_and_many_calculators():
    assert len(CLAIMS) == 4
    assert len(KEYS) > 90


@every("key", KEYS)
def test_each_calculator_answers_the_example_of_its_docstring_and_for_machines_what_the_function_gives(capsys, key):
    ran = run_here(capsys, *words_of(key))
    assert (ran.code, ran.err) == (0, "")
    entry = registry.entry("calculator", key)
    if key not in CLAIMS:
        assert ran.out.startswith(entry.title)
    assert ran.out.rstrip().splitlines()[-1].startswith("Source: ")
    for caution in entry.cautions:
        assert CAUTIONS[caution].text in ran.out
    answer = json.loads(run_here(capsys, *words_of(key), "--json").out, parse_constant=pytest.fail)
    assert (answer["calculator"], answer["cautions"], answer["sources"]) == (key, list(entry.cautions), list(entry.sources))
    if entry.outputs:
        assert list(answer["result"]) == [output.name for output in entry.outputs]
    parts = parts_of(entry.function(**answer["inputs"]))
    expected = json.loads(json.dumps(plain(parts[""] if list(parts) == [""] else parts)))
    assert answer["result"] == expected
    assert expected not in (None, {}, [])


@every("key", KEYS)
def test_help_after_a_name_lists_the_inputs_the_results_and_an_example(capsys, key):
    entry = registry.entry("calculator", key)
    ran = run_here(capsys, "calc", key, "--help")
    assert (ran.code, ran.err) == (0, "")
    assert ran == run_here(capsys, "calc", key, "-h")
    told = " ".join(ran.out.split())
    assert told.startswith(f"Usage: fairtank calc {key} --INPUT VALUE ... {entry.title}")
    for declared in (*entry.inputs, *entry.outputs):
        assert f"{declared.label}{f' [{declared.unit}]' if declared.unit else ''}" in told
    for declared in entry.inputs:
        assert f"{option_of(declared)} " in told
    for caution in entry.cautions:
        assert CAUTIONS[caution].text in told
    assert ran.out.splitlines()[-1].startswith(f"  fairtank calc {key} --")


@pytest.mark.parametrize("key", CLAIMS)
def test_a_claim_check_is_told_in_its_own_words_and_drawn_without_a_range(capsys, tmp_path, key):
    picture = tmp_path / "claim.svg"
    ran = run_here(capsys, *words_of(key), "--plot", picture)
    assert (ran.code, ran.err) == (0, "")
    assert "This says what can be measured here, not whether the claim is true." in ran.out
    assert picture.read_text(encoding="utf-8").startswith("<svg")
    answer = json.loads(run_here(capsys, *words_of(key), "--json").out)
    claim = registry.entry("calculator", key).function(**answer["inputs"])
    assert ran.out.splitlines()[: len(claim_text(claim))] == [line.replace("\u00a0", " ") for line in claim_text(claim)]
    assert answer["result"]["verdict"] in ("measurable", "perhaps measurable", "not measurable")
