"""What a trial tells of like tanks, as a keeper can picture it, and where a repeated trial came from."""

import math

import pytest

from fairtank.trial import SpreadEntry


def entry(scale, sd, summary="mean", measure="algae_cover"):
    return SpreadEntry(measure, scale, summary, "25 to 34 days", "", sd * sd, 4.0, "last year")


DAYS, ROUND_20 = "25 to 34 days", "11 to 33\u00a0%, where all of them stand round 20\u00a0%"
TOLD = [  # a quarter, the odds of 20 %, doubled and halved: 1/2 is 33 %, 1/8 is 11 %
    (entry("logit", math.log(2)), (f"Algae cover, {DAYS}", ROUND_20)),
    (entry("logit", math.log(2), "change"), (f"Algae cover, its change, {DAYS}", ROUND_20)),
    (entry("log", math.log(2), measure="canopy_height"), (f"Canopy height, {DAYS}", "0.50 to 2.00 times the middle of all")),
    (entry("log", 0.01, measure="canopy_height"), (f"Canopy height, {DAYS}", "0.990 to 1.010 times the middle of all")),
    (entry("identity", 1.5, measure="weight"), (f"weight, {DAYS}", "1.5 above or below the middle of all")),
    (entry("log", 0.02, "slope", "canopy_height"),
     (f"Canopy height, its growth, {DAYS}", "0.020 natural logarithms per day above or below the middle of all")),
]


@pytest.mark.usefixtures("shelf")
@pytest.mark.parametrize(("told", "words"), TOLD)
def test_the_spread_of_like_tanks_is_told_by_where_such_tanks_end(told, words):
    from fairtank.records.selectors.spread import like_tanks_words

    assert like_tanks_words(told) == words


@pytest.mark.usefixtures("shelf")
@pytest.mark.parametrize(("repeats", "title"), [
    (f"A dark break; plan sha256:{'a' * 64}", "A dark break"), (f"A dark break; sha256:{'0' * 64}", "A dark break"),
    ("One; two; seal 7K3F-Q2MA", "One; two"), (f"{'long ' * 100}; plan sha256:{'a' * 64}", ("long " * 100)[:200])])
def test_a_repeated_trial_says_on_the_shelf_which_one_it_repeats(repeats, title):
    from fairtank.records.models import Trial
    from fairtank.records.selectors.shelf import Shelved
    from fairtank.records.services.shelf_repeat import origin_of

    origin = origin_of(repeats)
    assert len(origin) <= 300
    assert Shelved(Trial(origin=origin), "planning", "").repeats == title


@pytest.mark.usefixtures("shelf")
@pytest.mark.parametrize("origin", ["", "my-trial", "my-trial; the second seal", "kit.zip", "sha256:" + "a" * 64])
def test_a_trial_from_a_folder_repeats_none(origin):
    from fairtank.records.models import Trial
    from fairtank.records.selectors.shelf import Shelved

    assert Shelved(Trial(origin=origin), "planning", "").repeats == ""
