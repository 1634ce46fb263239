"""What TOML cannot read is told with its line, what stands there, the likely cause, and how to write it."""

import pytest

from checking import every
from fairtank.records.folder.problems import Problems
from fairtank.records.folder.toml_text import document_from_text


def told(text: str) -> str:
    problems = Problems()
    assert document_from_text("trial.toml", text, "an example", problems) is None
    (sentence,) = problems.sentences()
    return sentence


@every(("line", "why", "accepted"), [
    ("title = One cover", "the text has no quotation marks", 'title = "One cover"'),
    ("days = many", "a number is wanted here", "a number without quotation marks, such as days = 14"),
    ("start = tomorrow", "a date is wanted here", "such as start = 2026-03-01"),
    ("drawn = maybe", "true or false is wanted here", "drawn = true or drawn = false"),
    ("margin = 0,5", "the number has a decimal comma", "a decimal point: margin = 0.5"),
    ("start = 1.3.2026", "the date is not written year first", "start = 2026-02-01 is 1 February"),
    ("start = 2026-3-1", "this is no date as TOML writes it, or no calendar has that day", "such as start = 2026-03-01"),
    ("start = 2026-13-45", "this is no date as TOML writes it, or no calendar has that day", "such as start = 2026-03-01"),
    ("drawn = True", "true is written small and without quotation marks", "drawn = true"),
    ("drawn = no  # later", "false is written small and without quotation marks", "drawn = false"),
    ("days = 042", "the number begins with a 0", "days = 42"),
    ("days = 42 days", "something follows the number", "the number alone: days = 42"),
    ("days =", "no value follows the sign =", "a value"),
    ("days: 42", "there is a colon in place of the sign =", "days = value"),
    ("[[unit]", "the brackets of this heading do not close", "[[unit]] for what stands several times"),
    ("title = “x”", "the quotation marks are curly", "straight ones"),
    ('title = "abc', "a quotation mark is opened and never closed, or one is too many", 'title = "one text'),
    ("title = 'it's'", "the text holds the sign that it is quoted with", "double quotation marks"),
    ('title = "C:\\photos"', "a backslash in a text has a meaning of its own", "two of them"),
    ("days = 42\ndays = 43", "the key stands twice, first in line 2", "each key once under its heading"),
    ("[trial]", "this heading stands twice, first in line 1", "one heading"),
    ("looks = [1 2]", "a list above or here does not close, or a comma between its parts is missing", "[1, 2, 3]"),
    ("hello", "the sign = is missing", "key = value"),
    ("my days = 3", "the key holds a sign that may not stand there", "letters, digits and _"),
    ('title = "a" "b"', "something follows the value", "one key and one value on a line"),
])
def test_the_usual_slips_are_told_with_line_cause_and_remedy(line, why, accepted):
    sentence = told(f"[trial]\n{line}\n")
    last = line.splitlines()[-1]
    shown = last if last == "hello" else f'"{last}"'
    assert sentence.startswith(f"trial.toml, line {1 + len(line.splitlines())}: {shown} cannot be read: {why}; accepted: ")
    assert accepted in sentence.partition("; accepted: ")[2]


def test_a_list_that_never_closes_is_told_of_the_whole_file():
    assert told("[looks]\ndays = [1, 2").startswith("trial.toml: the file ends inside a list, a text or a table that is opened")


def test_a_long_line_is_cut_in_what_is_shown_and_in_what_is_proposed():
    assert len(told("title = " + "word " * 400)) < 300


@pytest.mark.parametrize(("key", "value", "told"), [
    ("days = 42\n", 'days = "42"\n', "[design] days: 42 stands in quotation marks, which makes a text of it; accepted: a whole number from "
                                    "0 to 3650, without quotation marks; here 42."),
    ("start = 2026-03-01", 'start = "2026-03-01"', "[design] start: 2026-03-01 stands in quotation marks, which makes a text of it; "
                                                   "accepted: a date without quotation marks, such as 2026-03-01; here 2026-03-01."),
    ("drawn = true", 'drawn = "True"', "[design] drawn: True stands in quotation marks, which makes a text of it; accepted: true or "
                                      "false, without quotation marks; here true."),
    ("margin = 0.5", 'margin = "half"', "[[measure]] 1, margin: half is not a number; accepted: a number above 0."),
])
def test_a_number_a_date_or_a_true_in_quotation_marks_is_called_that(plain, key, value, told):
    plain.swap("trial.toml", key, value)
    assert plain.sentence() == f"trial.toml, {told}"
