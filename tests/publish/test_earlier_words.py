"""What earlier tanks did, beside the interval that leans on them."""

from invented_trials import finding

from fairtank.finding import EarlierTanks
from fairtank.publish.earlier_words import earlier_words
from fairtank.publish.phrases import plain_text

HELPED = EarlierTanks(groups=6, total_df=12.0, brake=1.25, typical_spread=0.3, own_low=-2.0, own_high=1.2, twice_low=-1.5, twice_high=0.7)


def said(**given) -> str:
    return plain_text(earlier_words(finding(**given)))


def test_the_own_interval_stands_beside_the_borrowed_one():
    assert said(basis="own and earlier tanks", earlier=HELPED, n_reference=2, n_changed=2).endswith(
        "at most half as much again”. These tanks alone would give 2 to 31 %.")


def test_one_tank_each_hears_what_twice_the_scatter_would_do():
    alone = EarlierTanks(groups=6, total_df=12.0, brake=1.5, typical_spread=0.3, twice_low=-1.5, twice_high=0.7)
    assert said(basis="earlier tanks only", earlier=alone, n_reference=1, n_changed=1).endswith(
        "If like tanks differed twice as much as the earlier ones, it would be 3 to 22 %.")


def test_earlier_tanks_that_were_set_aside_are_told():
    withdrawn = EarlierTanks(groups=6, total_df=12.0, withdrawn="The tanks of this trial scatter more than earlier like tanks let expect.")
    assert said(earlier=withdrawn) == "The tanks of this trial scatter more than earlier like tanks let expect."


def test_own_tanks_need_no_word():
    assert said() == ""
    assert said(basis="none", low=None, high=None, earlier=HELPED) == ""


def test_ratios_and_differences_are_told_in_their_own_way():
    assert said(basis="own and earlier tanks", earlier=HELPED, scale="log", natural=None).endswith("alone would give 0.1 to 3.3 times.")
    assert said(basis="own and earlier tanks", earlier=HELPED, scale="identity", natural=None, unit_of_measure="g").endswith(
        "alone would give 2.0 g less to 1.2 g more.")
