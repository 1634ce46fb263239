"""Claims read by the parts of their words: rules and tables fit each other, and a new wording of a claim is read without a new rule."""

from tests.publish.strength.findings import graded, graded_german

from checking import every
from fairtank.publish.strength import rules, scope, table_english, table_german
from fairtank.publish.strength.check import text_check
from fairtank.publish.strength.counting import Counts, counts_words
from fairtank.publish.strength.duty import KINDS
from fairtank.publish.strength.number_words import NUMBER_WORDS, is_number, number_of
from fairtank.publish.strength.reading import languages_of, read
from fairtank.publish.strength.subjects import Vocabulary

# Parts that are not in a table: what the words of the trial are, and signs.
OWN_PARTS = {"changed", "reference", "both", "measure", "doer", "actor", "side", "number", "name", "plain", "stop", "comma"}
CHAINS = (*(one.chain for one in rules.RULES), *rules.DEEDS, *rules.SUFFERED, *rules.JUDGED, *rules.ORDERS, *rules.PRUDENT, *rules.OTHERS,
          *rules.PARTS)


def kinds(text, findings):
    return {flag.kind for flag in text_check(text, findings)}


def parts_of(chain):
    words = (word.lstrip("!").rstrip("*?") for word in chain.split())
    return {part for word in words if word[0].isalpha() for part in word.split("/")}


def test_every_part_that_a_rule_asks_for_stands_in_both_tables():
    asked = {part for chain in CHAINS for part in parts_of(chain)} | {part for one in rules.RULES for part in (
        one.unless_after, one.unless_before) if part}
    assert asked - OWN_PARTS <= set(table_english.ROLES) == set(table_german.ROLES)
    assert {kind for one in rules.RULES for kind in (one.kind, one.turned) if kind} <= set(KINDS)


@every("table", [table_english, table_german], ids=["english", "german"])
def test_no_word_stands_twice_in_a_part(table):
    for part, listed in table.ROLES.items():
        words = [word.strip() for word in listed.split(",")]
        assert all(words), part
        assert len(words) == len(set(words)), part


@every(("text", "findings"), [
    ("The dark break blorbed the algae.", graded("open")),
    ("The dark break really snibbled most algae.", graded("alone")),
    ("Die Pause hat die Algen geschnurpst.", graded_german("open")),
    ("Die Pause schnurpst die Algen.", graded_german("alike")),
    ("Algae snibbled under the dark break.", graded("open")),
])  # fmt: skip
def test_a_verb_that_nobody_knows_is_read_as_what_the_change_did(text, findings):
    assert "cause" in kinds(text, findings)


@every(("text", "expected"), [
    ("Die Pause hilft.", "certainty"), ("Die Pause hilft nicht.", "absence"), ("Die Pause half den Algen nicht.", "absence"),
    ("Nicht nur das, die Pause hilft.", "certainty"),
])  # fmt: skip
def test_a_german_negation_may_stand_behind_the_verb(text, expected):
    assert expected in kinds(text, graded_german("open"))


@every(("text", "expected"), [
    ("We did this in six tanks.", set()), ("We did this in eight tanks.", {"number"}), ("Eight tanks, one question.", {"number"}),
    ("Wir haben das in sechs Becken gemacht.", set()), ("Wir haben das in achtundzwanzig Becken gemacht.", {"number"}),
    ("Three tanks per arm.", set()), ("Six tanks per arm.", {"number"}), ("I have eight more tanks at home.", set()),
    ("It would take 20 tanks to tell.", set()), ("The trial ran for five weeks.", set()), ("The trial ran for 3 months.", {"number"}),
    ("In fünf von sechs Becken gab es weniger Algen.", {"part"}),
])  # fmt: skip
def test_counts_of_tanks_and_days_are_those_of_the_trial(text, expected):
    assert kinds(text, graded("matters")) & {"number", "part"} == expected


def test_a_wrong_count_is_told_with_what_the_finding_says():
    flag, = text_check("We did this in eight tanks.", graded("matters"))
    assert (flag.words, flag.kind) == ("eight tanks", "number")
    told = counts_words(graded("matters")[0])
    assert flag.reason.endswith(told)
    assert "3 tanks under the dark break and 3 under the 8 h block" in told
    assert "38 days" in told


def test_counts_of_findings_and_numbers_in_words():
    counts = Counts(graded("matters"))
    assert (counts.days, counts.knows(6, is_of_arm=False), counts.knows(6, is_of_arm=True)) == (38, True, False)
    assert [number_of(word) for word in ("8,3", "1.000", "zwölf", "einundzwanzig", "ninety", "dozen")] == [8.3, 1000, 12, 21, 90, 12]
    assert not is_number("eine")
    assert len(NUMBER_WORDS) > 100


def test_a_text_of_both_languages_is_read_sentence_by_sentence():
    assert [languages_of(text) for text in ("Das ist der Beweis.", "This is the proof.", "0 : 1")] == [("german",), ("english",), ()]
    text = "We asked whether it helps. Die Pause hilft. Das wissen wir nicht."
    assert [flag.words for flag in text_check(text, graded_german("open"))] == ["Pause hilft"]


def test_words_are_put_together_and_an_arm_behind_a_preposition_does_nothing():
    vocabulary = Vocabulary(graded("open"))
    told, shown = read("The dark break got rid of algae.", vocabulary), read("Under the dark break there is algae.", vocabulary)
    assert [one.text for one in told.tokens][1:3] == ["dark break", "got rid of"]
    assert (told.has("doer"), shown.has("doer"), shown.has("prep det changed")) == (True, False, True)
    assert scope.silences(told, is_question=False) == []
