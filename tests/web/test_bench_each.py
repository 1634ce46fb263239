"""The page of each calculator: it answers its own example, as the command line does, and holds together."""

import re
import shlex

import pytest
from tests.web.bench_pages import Sheet

from fairtank import registry
from fairtank.bench.answers import answer_of
from fairtank.bench.inputs import ONE, example_of, taken_by
from fairtank.cli.asking import asked
from fairtank.planning.claiming.claim import CLAIM_OUTPUTS
from fairtank.publish.calc_words import answer_words
from fairtank.publish.claim_words import headline_words
from fairtank.science.cautions import CAUTIONS
from fairtank.sources import source

ENTRIES = {entry.key: entry for entry in registry.entries("calculator")}


@pytest.fixture(scope="module")
def firsts():
    """The pages as they are before anything is typed, each fetched once."""
    return {}


@pytest.fixture
def page_of(sheet, firsts, monkeypatch):
    """Opens the page of a calculator: with the picture before anything is typed, without it afterwards."""

    def opened(key, query=None):
        if query:
            monkeypatch.setattr("fairtank.web.sheet.drawing_of", lambda *_: None)
            return sheet(key, query)
        if key not in firsts:
            firsts[key] = sheet(key)
        return firsts[key]

    return opened


def typed_in(page):
    """What stands in the fields of a page."""
    return {name: field["value"] for name, field in page.fields.items() if not name.startswith("range-")}


@pytest.mark.parametrize("key", ENTRIES)
def test_each_page_answers_its_example_as_the_command_line_does(page_of, key):
    entry, page = ENTRIES[key], page_of(key)
    question = asked(entry, shlex.split(example_of(entry))[3:])
    answer = answer_of(question)
    assert page.refusals == []
    if entry.outputs == CLAIM_OUTPUTS:
        assert " ".join(headline_words(answer.result).split()) in page.words
    else:
        words = answer_words(answer)
        told = [f"{label} {text}" for label, text in words.parts] + list(words.reasons)
        assert [line for line in told if " ".join(line.split()) not in page.words] == []
    defaults = {own.name: own.default for own in entry.inputs if own.default is not None}
    command = asked(entry, shlex.split(page.commands[0])[3:])
    assert {**defaults, **command.given} == {**defaults, **question.given}


@pytest.mark.parametrize("key", ENTRIES)
def test_each_page_is_well_formed_and_each_field_has_a_name(page_of, key):
    page = page_of(key)
    assert page.open == []
    assert len(page.ids) == len(set(page.ids))
    assert page.styles == []
    assert set(page.described) <= set(page.ids)
    assert {page.fields[name]["id"] for name in page.fields} == set(page.labels)
    assert all(label.strip() for label in page.labels.values())
    for declared in ENTRIES[key].inputs:
        assert declared.label in page.labels[f"in-{declared.name}"]
        assert (f"error-{declared.name}" in page.fields) is (declared.error is not None)
        assert page.fields[declared.name]["options"] == list(declared.choices)


@pytest.mark.parametrize("key", ENTRIES)
def test_each_page_tells_its_cautions_beside_the_answer_and_its_sources(page_of, key):
    entry, page = ENTRIES[key], page_of(key)
    beside = Sheet(re.search(r'<section class="answer".*?</section>', page.page, flags=re.DOTALL)[0]).words
    assert [caution for caution in entry.cautions if CAUTIONS[caution].text not in beside] == []
    assert [name for name in entry.sources if source(name).reference not in page.words] == []
    recalled = sum(source(name).from_memory for name in entry.sources)
    assert page.page.count('<span class="mark">(literature value, from memory)</span>') == recalled
    assert "`" not in page.words


@pytest.mark.parametrize("key", ENTRIES)
def test_each_page_can_be_sent_as_it_stands(page_of, key):
    first = page_of(key)
    sent = page_of(key, typed_in(first))
    assert sent.refusals == []
    assert typed_in(sent) == typed_in(first)
    assert sent.commands[0] == first.commands[0]
    assert "An example, so that" in first.words
    assert "An example, so that" not in sent.words


RANGED = [key for key, entry in ENTRIES.items() if any(own.high is not None and taken_by(entry, own) == ONE for own in entry.inputs)]


@pytest.mark.parametrize("key", RANGED)
def test_a_number_beyond_the_range_is_refused_at_its_field_and_kept(page_of, key):
    entry = ENTRIES[key]
    declared = next(own for own in entry.inputs if own.high is not None and taken_by(entry, own) == ONE)
    name = f"number-{declared.name}" if declared.choices else declared.name
    beyond = f"{declared.high * 2 + 1:.0f}"
    page = page_of(key, {**typed_in(page_of(key)), name: beyond})
    (refusal,) = page.refusals
    assert "; accepted: " in refusal
    assert page.fields[declared.name]["aria-invalid"] == "true"
    assert page.value(name) == beyond
    assert f"#in-{declared.name}" in page.links
    assert "No answer yet" in page.words
    assert page.commands == []
    assert "_" not in refusal
