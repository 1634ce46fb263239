"""Fixed sentences about findings."""

from invented_trials import finding

from fairtank.finding import BASES, GRADES, UnitSummary
from fairtank.publish.words import BASIS_WORDS, GRADE_WORDS, cautions_text, grade_words, tag_words


def test_every_grade_and_basis_has_its_words():
    assert set(GRADE_WORDS) == set(GRADES)
    assert set(BASIS_WORDS) == set(BASES)
    assert grade_words("spoilt").startswith("the trial is not over, ")
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


def test_tanks_without_scatter_are_not_said_to_lie_at_the_limit():
    units = tuple(UnitSummary(f"T{place}", "R", 3.0, 40, None, 3.0, clipped_days=0) for place in range(3))
    far = finding(low=None, high=None, tags=("at the limit of the scale",), units=units)
    assert cautions_text(far) == ("The tanks of an arm show no scatter at all: how far like tanks drift apart cannot be learnt from them.",)
    near = finding(low=None, high=None, tags=("at the limit of the scale",), units=(UnitSummary("T1", "R", -6.2, 40, None, -6.2, 40),))
    assert cautions_text(near) == ("Many values lie at the limit of the scale, where differences can no longer be seen.",)
