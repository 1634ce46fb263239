"""Like-tank spread in words: what entries are good for together, and what became of a spread.csv."""

from dataclasses import replace

from fairtank.inference.earlier.like_tanks import SpreadKind, library_of
from fairtank.publish.spread_words import library_words, merged_words, spread_text, table_rows
from fairtank.trial import SpreadEntry

KIND = SpreadKind("algae_cover", "logit", "mean", "35 to 49 days", "tank of 45 to under 80 L")


def entry(trial, variance=0.16, df=4.0, kind=KIND):
    return SpreadEntry(*vars(kind).values(), variance=variance, df=df, trial=trial)


def entries(count, **more):
    return [entry(f"trial {place}", **more) for place in range(count)]


def test_enough_says_for_what_and_how_far_like_tanks_differed():
    assert library_words(library_of(entries(5), KIND)) == (
        "Algae cover, mean, 35 to 49 days, tank of 45 to under 80 L: 5 trials, 20 degrees of freedom. Enough to help a trial of this kind "
        "with one or two tanks per arm; like tanks differed by a standard deviation of 0.40 log-odds.")


def test_too_few_trials_or_degrees_say_what_is_needed():
    for library in (library_of(entries(4), KIND), library_of(entries(6, df=1.0), KIND)):
        assert library_words(library).endswith("Not enough yet: 5 trials and 8 degrees of freedom are needed.")
    assert ": 1 trial, 1 degree of freedom." in library_words(library_of(entries(1, df=1.0), KIND))


def test_tanks_of_unknown_size_speak_on_trust():
    unknown = replace(KIND, tank_class="")
    told = library_words(library_of(entries(5, kind=unknown), unknown))
    assert "size of the tanks not known: 5 trials" in told
    assert "on trust" in told
    assert "tank_litres" in told


def test_the_spread_carries_its_scale():
    assert [spread_text(0.25, scale, summary) for scale, summary in (("logit", "mean"), ("log", "slope"), ("identity", "change"))] == \
        ["0.50 log-odds", "0.50 natural logarithms per day", "0.50 in the measure's unit"]


def test_the_table_says_what_is_not_known():
    rows = table_rows([entry("spring", kind=SpreadKind("own_measure", "log", "mean", "", ""))])
    assert rows[1] == ["spring", "own_measure", "mean", "not known", "not known", "0.40 natural logarithms", "4"]


def test_what_became_of_the_file_is_told_part_by_part():
    one, other = entries(2)
    told = merged_words("spread.csv", added=[one], replaced=[], unchanged=[], kept=[other], removed=[],
                        left_out=[(entry("own"), "it comes from this trial itself")])
    assert told == ["spread.csv:", "  Added: trial 0: Algae cover (mean).", "  Kept, of other trials: trial 1: Algae cover (mean).",
                    "  Left out, it comes from this trial itself: own: Algae cover (mean)."]
    nothing = merged_words("spread.csv", added=[], replaced=[], unchanged=[], kept=[], removed=[], left_out=[])
    assert nothing == ["spread.csv: nothing to write."]
