"""The line to copy asks the same question again, and holds nothing but a question."""

import shlex

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from checking import every
from fairtank import registry
from fairtank.bench.asking import asked, read
from fairtank.bench.commands import command_of
from fairtank.cli.asking import asked as asked_in_terminal

CARBONATE = registry.entry("calculator", "carbonate")


@pytest.mark.parametrize(("texts", "line"), [
    ({"ph": "6.6", "temp_c": "25"}, "fairtank calc carbonate --temp-c 25 --ph 6.6"),
    ({"ph": "6.6±0.05"}, "fairtank calc carbonate --ph 6.6+-0.05"), ({"ph": "6.6 exact"}, 'fairtank calc carbonate --ph "6.6 exact"'),
    ({"temp_c": "−5 °C"}, 'fairtank calc carbonate --temp-c "-5 °C"'), ({"ph": "6:8:0.1"}, "fairtank calc carbonate --ph 6:8:0.1"),
])  # fmt: skip
def test_a_line_is_quoted_where_it_has_to_be(texts, line):
    assert command_of(CARBONATE, texts) == line


def test_a_line_begins_as_fairtank_was_started_and_ends_as_it_is_told():
    line = command_of(CARBONATE, {"ph": "6:8:0.1"}, start="python3 run.py", rest="--plot picture.svg")
    assert line == "python3 run.py calc carbonate --ph 6:8:0.1 --plot picture.svg"


def test_words_with_brackets_are_quoted():
    entry = registry.entry("calculator", "stock_pairing")
    salts = next(own.choices for own in entry.inputs if own.name == "first_salt")
    bracketed = next(word for word in salts if "(" in word)
    line = command_of(entry, {"first_salt": bracketed, "second_salt": "KNO3"})
    assert f'--first-salt "{bracketed}"' in line


@every("sign", [*"$`\"'\\&|<>!*?~#{}[]^@=", "\x00", "\u202e", "🐟"])
def test_a_sign_that_no_question_holds_makes_no_line(sign):
    assert command_of(CARBONATE, {"ph": f"6.6{sign}"}) == ""


@settings(max_examples=100, deadline=None, derandomize=True)
@given(texts=st.fixed_dictionaries({
    "temp_c": st.sampled_from(["25", "77 degF", "25 °C±0.2", "298.15 K"]),
    "alkalinity_dkh": st.sampled_from(["4", "4 sd 0.2", "1.4 meq/L", "4 exact"]),
    "ph": st.sampled_from(["6.6", "6:7:0.5", "6.6 ± 1 %", "6.6 + - 0.1"]),
    "conductivity_us_cm": st.sampled_from(["unknown", "300", "0.3 mS/cm"]),
}))  # fmt: skip
def test_the_line_asks_the_same_question(texts):
    again = asked_in_terminal(CARBONATE, shlex.split(command_of(CARBONATE, texts))[3:])
    assert again == asked(read(CARBONATE, {own.name: texts[own.name] for own in CARBONATE.inputs if own.name in texts}))
