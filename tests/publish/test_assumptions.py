"""What must hold for a finding."""

import pytest
from invented_trials import finding

from fairtank.publish.assumptions import MOST_SAID, assumptions


def said(**given) -> str:
    return " ".join(assumptions(finding(**{"design": "side_by_side", **given})))


@pytest.mark.parametrize(("design", "summary"), [("side_by_side", "mean"), ("run_in", "change"), ("swap", "swap"), ("pairs", "mean"),
                                                 ("rounds", "mean"), ("side_by_side", "slope"), ("side_by_side", "threshold"),
                                                 ("ladder", "mean"), ("two_changes", "mean"), ("drawn_start", "mean")])
def test_three_to_five_sentences_are_said_for_every_design(design, summary):
    told = assumptions(finding(design=design, summary=summary))
    assert 3 <= len(told) <= MOST_SAID
    assert all(text.endswith(".") and text[0].isupper() for text in told)


def test_each_design_names_what_only_it_asks_for():
    assert "Nothing of the change stays in a tank after the swap" in said(design="swap", summary="swap")
    assert "the two tanks keep the same lasting difference in log-odds" in said(design="rounds")
    assert "a head start in the run-in stays as large as it was in log-odds" in said(design="run_in", summary="change")
    assert "near enough to a straight line in log-odds" in said(summary="slope")
    assert "What the dose does can be told by a straight line" in said(design="ladder")
    assert "the same whatever the lot had drawn" in said(design="drawn_start")


def test_the_lot_and_its_absence():
    assert "The lot decided which tank got what" in said()
    assert "nothing vouches for that" in said(tags=("not by lot",))


def test_borrowed_scatter_is_named():
    assert "vary like the earlier ones, at most half as much again" in said(basis="earlier tanks only")
    assert "scatter evenly round their middle in log-odds" in said(basis="earlier tanks only")
    assert "earlier" not in said()


def test_a_drawn_start_knows_no_run_in_but_missing_photos():
    text = said(design="drawn_start", summary="change")
    assert "The photos that are missing are not missing because the change had started." in text
    assert "run-in" not in text


def test_nothing_claimed_needs_nothing():
    assert assumptions(finding(grade="alone")) == assumptions(finding(grade="spoilt")) == ()
