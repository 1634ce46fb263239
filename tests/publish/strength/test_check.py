"""A text held against findings: where the words stand, which finding they speak of, numbers, scope, files."""

import json

from tests.publish.invented_trials import finding
from tests.publish.judged_trials import found
from tests.publish.strength.findings import graded

from checking import every
from fairtank.finding import Natural
from fairtank.publish.phrases import plain_text
from fairtank.publish.sentences import amount_words, verdict_words
from fairtank.publish.strength.check import text_check
from fairtank.publish.strength.cutting import sentences_of
from fairtank.publish.strength.kept import findings_from, findings_plain, series_from, series_plain
from fairtank.publish.strength.marked import pieces_of
from fairtank.trial import Series


def kinds(text, findings, **more):
    return [flag.kind for flag in text_check(text, findings, **more)]


def test_a_flag_tells_where_its_words_stand_why_and_what_may_be_said_instead():
    text = "Six tanks.\n\nThis proves it, and under the dark break algae cover was 8.3 %."
    first, second = text_check(text, graded("open"))
    assert text[first.start:first.end] == first.words == "proves"
    assert first.sentence.startswith("This proves it")
    assert first.instead == plain_text(verdict_words(graded("open")[0]))
    assert (second.words, second.kind, second.instead) == ("8.3", "interval", plain_text(amount_words(graded("open")[0])))


def test_a_text_without_findings_or_without_words_has_no_flags():
    assert text_check("It works!", ()) == ()
    assert text_check("", graded("open")) == ()


@every("text", [
    "We asked whether the dark break gives less algae, and over six weeks counted it.",
    "Nobody can say whether the dark break gives less algae.",
    "That does not prove that the dark break works.",
    "A neighbour claims that a dark break kills all algae.",
    "Perhaps the dark break gives less algae.",
    "If the dark break gave less algae, two tanks would not show it.",
    "Is it proven that the dark break works?",
])  # fmt: skip
def test_questions_sayings_conditions_and_hedges_claim_nothing(text):
    assert kinds(text, graded("open")) == []


@every(("text", "kind"), [
    ("We asked whether it works; the dark break gave less algae.", "direction"),
    ("Does the dark break give less algae? Yes!", "direction"),
    ("Does the dark break give less algae? No.", "absence"),
    ("Not only that, the dark break gave less algae.", "direction"),
    ("We cannot say why, but the dark break gave less algae.", "direction"),
    ("“The dark break works.”", "certainty"),
    ("Perhaps this proves that the dark break works.", "certainty"),
])  # fmt: skip
def test_what_stands_outside_of_them_is_read(text, kind):
    assert kind in kinds(text, graded("open"))


@every(("text", "expected"), [
    ("There was less algae under the dark break than under the 8 h block.", []),
    ("There was less algae under the 8 h block than under the dark break.", ["wrong way"]),
    ("Without the dark break there was more algae.", []),
    ("Without the dark break there was less algae.", ["wrong way"]),
    ("Compared with the 8 h block the dark break gave less algae.", []),
    ("The 8 h block had more algae.", []),
])  # fmt: skip
def test_a_comparison_is_told_of_the_arm_that_is_its_subject(text, expected):
    assert kinds(text, graded("matters")) == expected


def test_the_measure_that_is_named_decides_which_finding_is_asked():
    assert kinds("The dark break gave less algae cover.", graded("differs")) == []
    assert kinds("The dark break gave more plant cover.", graded("differs")) == ["direction"]
    assert "headline" in kinds("Our main result: plant cover was 32.1 % (22.3 to 43.9 %) under the dark break, a difference that matters.",
                               graded("differs"))


def test_of_several_arms_the_one_that_is_named_is_asked():
    short = finding(grade="differs", low=-0.9, high=-0.1, changed_label="short light", comparisons=2,
                    natural=Natural(12.0, 8.3, 5.2, 11.0, "%"))
    dim = finding(grade="open", changed_label="floating plants", comparisons=2)
    assert kinds("Short light gave less algae.", (short, dim)) == []
    assert kinds("Floating plants gave less algae.", (short, dim)) == ["direction"]


@every(("text", "expected"), [
    ("The dark break halved algae cover, to 5.8 % (3.2 to 10.0 %).", []),
    ("The dark break halved algae cover.", ["interval"]),
    ("The dark break gave ten times less algae.", ["size"]),
    ("Algae cover under the dark break was twice as high.", ["size"]),
    ("Under the dark break algae cover was 5.8 % (3.2 to 10.0 %), on 6 tanks over 37 days with a 30 % water change each week.", []),
    ("Under the dark break algae cover was 5.8 % (95 % interval from 3.2 to 10.0 %).", []),
    ("Under the dark break algae cover was 4.1 % (3.2 to 10.0 %).", ["number"]),
    ("Algae cover was cut by 90 % under the dark break.", ["size"]),
    ("Algae cover: 5.8 %!", ["interval"]),
])  # fmt: skip
def test_numbers_are_the_findings_own_inside_its_interval_and_with_it(text, expected):
    assert [kind for kind in kinds(text, graded("differs")) if kind in ("size", "number", "interval")] == expected


def test_a_value_of_a_day_is_known_where_the_tank_and_the_day_are_named():
    series = (Series("T1", "algae_cover", (0, 30), (2.0, 17.4)),)
    told = "T1 (arm of the 8 h block) had an algae cover of 17.4 % on day 30."
    assert kinds(told, graded("open"), series=series) == []
    assert kinds(told.replace("17.4", "18.4"), graded("open"), series=series) == ["number"]
    assert kinds(told, graded("open")) == ["number"]


def test_captions_are_read_over_their_lines_and_without_their_times():
    text = "1\n00:00:01,000 --> 00:00:02,000\nThe dark break gave\nless algae\n\n2\n00:00:02,100 --> 00:00:03,000\nthan the 8 h block.\n"
    flag, = text_check(text, graded("open"), ending=".srt")
    assert (flag.kind, flag.words, text[flag.start:flag.end]) == ("direction", "less", "less")


def test_marks_of_markdown_code_and_addresses_are_not_read():
    text = "# Title\n\n```\nthis proves it\n```\n\n`it works` and [a page](https://example.org/it-works) on **six** tanks.\n"
    assert kinds(text, graded("open"), ending=".md") == []
    assert [one.text for one in sentences_of("Approx. 5 cm, e.g. here. Then 3.5 more.\nNew line")] == [
        "Approx. 5 cm, e.g. here.", "Then 3.5 more.", "New line"]


def test_a_long_text_of_any_signs_is_read_in_time_and_without_a_fault():
    text = ("(((“” 8,3 % -- ?! \u202e\x00 no not never than than, " * 400) + "The dark break works."
    assert kinds(text, graded("open"))[-1] == "certainty"
    endless = "less algae under the dark break and " * 300  # no sentence ever ends: it is read in parts
    assert set(kinds(endless, graded("open"))) == {"direction"}


def test_pieces_put_together_are_the_text_and_overlapping_flags_share_one():
    text = "The dark break clearly gave less algae. It works!"
    flags = text_check(text, graded("open"))
    pieces = pieces_of(text, flags)
    assert "".join(piece.text for piece in pieces) == text
    assert {number for piece in pieces for number in piece.numbers} == set(range(1, len(flags) + 1))


def test_findings_that_were_kept_as_plain_values_come_back_as_they_were():
    findings = (found("side_by_side"), *graded("alone"), *graded("spoilt"))
    assert findings_from(json.loads(json.dumps(findings_plain(findings)))) == findings
    series = (Series("T1", "algae_cover", (0, 1), (2.0, 3.0)),)
    assert series_from(json.loads(json.dumps(series_plain(series)))) == series
