"""Fixed sentences about findings."""

from invented_trials import finding

from fairtank.publish.words import BASIS_WORDS, GRADE_WORDS, cautions_text, grade_words, tag_words
from fairtank.trial import BASES, GRADES


def test_every_grade_and_basis_has_its_words():
    assert set(GRADE_WORDS) == set(GRADES)
    assert set(BASIS_WORDS) == set(BASES)
    assert grade_words("spoilt").endswith("no finding")


def test_a_tag_nobody_knows_is_shown_as_it_stands():
    assert tag_words("moon was full") == "Moon was full."


def test_each_caution_is_said_once_the_findings_own_first():
    one = finding(cautions=("Own words.", "The arms have uneven numbers of tanks"), tags=("uneven arms", "fragile"),
                  basis="earlier tanks only")
    said = cautions_text(one)
    assert said[0] == "Own words."
    assert len(said) == 4
    assert said[-1].startswith("The spread is borrowed")
