"""Entries of like tanks: what a trial adds, which entries fit another trial, and why the rest is left out."""

import math
from dataclasses import replace

import pytest

from fairtank.errors import NotEnoughDataError, OutOfRangeError
from fairtank.finding import UnitSummary
from fairtank.inference.earlier.classes import DAYS_FROM, LITRES_FROM, tank_class, window_class
from fairtank.inference.earlier.like_tanks import SpreadKind, entry_of, library_of, pooled_variance, run_in_levels, smallest_variance
from fairtank.inference.intervals.welch import variance
from fairtank.trial import SpreadEntry
from inference.trials import table

KIND = SpreadKind("algae_cover", "logit", "mean", "35 to 49 days", "tank of 45 to under 80 L")


def entry(trial, variance=0.25, df=2.0, **other):
    kind = replace(KIND, **other)
    return SpreadEntry(kind.measure, kind.scale, kind.summary, kind.window_class, kind.tank_class, variance, df, trial)


def units(*arms, clipped=0):
    return [UnitSummary(f"{arm}{place}", arm, z, 40, None, z, clipped) for arm, values in arms for place, z in enumerate(values)]


@pytest.mark.published(entry="entry_of", source="scipy_library", where="scipy.stats.f_oneway: the mean square between groups over F")
def test_the_variance_within_three_arms_is_that_of_an_analysis_of_variance():
    from scipy.stats import f_oneway

    rows = table("dobson1983_plantgrowth.csv")
    arms = [(group, [float(row["weight_g"]) for row in rows if row["group"] == group]) for group in ("ctrl", "trt1", "trt2")]
    made = entry_of(units(*arms), replace(KIND, scale="identity"), trial="plants")
    centre = sum(sum(values) for _, values in arms) / 30
    between = sum(10 * (sum(values) / 10 - centre) ** 2 for _, values in arms) / 2
    assert made.variance == pytest.approx(between / f_oneway(*(values for _, values in arms)).statistic, rel=1e-10)
    assert made.df == 27


def test_an_entry_pools_the_arms_and_counts_their_degrees_of_freedom():
    made = entry_of(units(("R", [0.1, 0.5]), ("C", [0.9, 1.1, 1.6])), KIND, trial="spring")
    assert made.variance == pytest.approx((variance([0.1, 0.5]) + 2 * variance([0.9, 1.1, 1.6])) / 3)
    assert (made.df, made.trial, made.measure, made.tank_class) == (3.0, "spring", "algae_cover", KIND.tank_class)


def test_the_difference_of_the_arms_does_not_enter_but_for_units_all_treated_alike():
    near, far = (entry_of(units(("R", [0.1, 0.5]), ("C", [0.9 + shift, 1.1 + shift])), KIND, trial="a") for shift in (0.0, 7.0))
    assert near.variance == pytest.approx(far.variance)
    alike = entry_of(units(("R", [0.1, 0.5]), ("C", [0.9, 1.1])), KIND, trial="a", alike=True)
    assert (alike.variance, alike.df) == (pytest.approx(variance([0.1, 0.5, 0.9, 1.1])), 3.0)


def test_a_run_in_of_two_tanks_gives_an_entry_and_their_trial_does_not():
    changes = [UnitSummary("T1", "R", 0.4, 40, None, -1.0), UnitSummary("T2", "C", 0.9, 40, None, -0.3),
               UnitSummary("T3", "C", None, 3, "gap")]
    levels = run_in_levels(changes)
    assert [unit.z for unit in levels] == pytest.approx([-1.4, -1.2])
    assert entry_of(levels, KIND, trial="two", alike=True).df == 1.0
    with pytest.raises(NotEnoughDataError, match="how far like tanks end up apart: no two usable units were treated alike"):
        entry_of(changes, KIND, trial="two")


def test_spoilt_units_are_passed_over():
    given = [*units(("R", [0.1, 0.5]), ("C", [0.9, 1.1])), UnitSummary("C9", "C", None, 3, "gap")]
    assert entry_of(given, KIND, trial="a") == entry_of(given[:-1], KIND, trial="a")


@pytest.mark.parametrize(("scale", "summary", "values", "refused"), [
    ("logit", "mean", [0.1, 0.1135], True), ("logit", "mean", [0.1, 0.1145], False), ("log", "change", [0.1, 0.1135], True),
    ("logit", "slope", [0.1, 0.1135], False), ("logit", "slope", [0.1, 0.1006], True),
    ("identity", "mean", [1e-5, 2e-5], False), ("identity", "mean", [5.0, 5.0], True), ("identity", "mean", [0.0, 0.0], True),
])
def test_units_that_hardly_differ_give_no_entry(scale, summary, values, refused):
    kind = replace(KIND, scale=scale, summary=summary)
    if not refused:
        assert entry_of(units(("R", values)), kind, trial="a").variance > 0
        return
    with pytest.raises(NotEnoughDataError, match="a tells nothing of how far like tanks end up apart: its like units hardly differ at all"):
        entry_of(units(("R", values)), kind, trial="a")


def test_an_arm_at_the_limit_of_the_scale_gives_no_entry():
    with pytest.raises(NotEnoughDataError, match="an arm lies at the limit of the scale"):
        entry_of(units(("R", [0.1, 0.5]), ("C", [-6.0, -5.9]), clipped=35), KIND, trial="a")


def test_a_library_qualifies_with_five_trials_and_eight_degrees_of_freedom():
    assert library_of([entry(f"t{n}", df=2.0) for n in range(5)], KIND).is_qualified
    assert not library_of([entry(f"t{n}", df=4.0) for n in range(4)], KIND).is_qualified
    few = library_of([entry(f"t{n}", df=1.0) for n in range(7)], KIND)
    assert (few.is_qualified, few.total_df) == (False, 7.0)
    assert few.shortfall.startswith("Earlier tanks cannot help yet: 7 earlier trials of this kind with 7 degrees of freedom;")
    assert "yet: 1 earlier trial of this kind with 1 degree of freedom;" in library_of([entry("t", df=1.0)], KIND).shortfall
    assert "yet: no earlier trials of this kind with 0 degrees of freedom;" in library_of([], KIND).shortfall
    assert library_of([entry(f"t{n}") for n in range(5)], KIND).shortfall == ""


@pytest.mark.parametrize(("other", "reason"), [
    ({"measure": "plant_cover"}, "another measure (plant_cover, not algae_cover)"), ({"scale": "log"}, "another scale (log, not logit)"),
    ({"summary": "change"}, "another summary (change, not mean)"),
    ({"window_class": "17 to 24 days"}, "another window (17 to 24 days, not 35 to 49 days)"),
    ({"tank_class": "tank of 10 to under 25 L"}, "other tanks (tank of 10 to under 25 L, not tank of 45 to under 80 L)"),
    ({"tank_class": ""}, "its tanks are not known"), ({"window_class": " "}, "its window is not known"),
])
def test_an_entry_of_another_kind_is_left_out_with_its_reason(other, reason):
    found = library_of([entry("a", **other), entry("b")], KIND)
    assert [group.trial for group in found.groups] == ["b"]
    assert [(out.entry.trial, out.reason) for out in found.left_out] == [("a", reason)]


@pytest.mark.parametrize(("theirs", "told"), [
    ("45 L", "The plan does not say how large the tanks are; that they are like the earlier ones (“45 L”) is taken on trust."),
    ("", "Neither the plan nor the earlier trials say how large the tanks are; that they are alike is taken on trust."),
])
def test_where_the_plan_names_no_size_tanks_that_are_all_named_alike_are_taken_on_trust(theirs, told):
    found = library_of([entry(name, tank_class=theirs) for name in "ab"], replace(KIND, tank_class=""))
    assert ([group.trial for group in found.groups], found.cautions) == (["a", "b"], (told,))


def test_where_the_plan_names_no_size_tanks_that_are_named_differently_are_all_left_out():
    found = library_of([entry("a", tank_class="45 L"), entry("b", tank_class="20 L")], replace(KIND, tank_class=""))
    assert {out.reason for out in found.left_out} == {"which tanks are like this trial's cannot be told: the entries use different words"}
    assert (found.groups, found.cautions) == ((), ())


@pytest.mark.parametrize(("window", "fits"), [
    ("42", True), ("6 weeks", True), ("28-60 d", True), ("35 to 49 days", True), ("49 to 60 days", False), ("21", False),
    ("one day within 35 to 49 days", False), ("165 days or more", False),
])
def test_a_window_in_the_keepers_own_words_is_held_against_this_trials(window, fits):
    found = library_of([entry("a", window_class=window)], KIND)
    assert bool(found.groups) is fits
    assert found.cautions == ()


def test_a_window_whose_words_cannot_be_read_is_taken_on_trust_and_told():
    found = library_of([entry(name, window_class="the whole trial") for name in "ab"], KIND)
    assert found.cautions == ("That this trial's window (35 to 49 days) is like that of the earlier trials (“the whole trial”) is taken "
                              "on trust.",)
    assert len(found.groups) == 2


@pytest.mark.parametrize(("tanks", "fits"), [
    ("45 L", True), ("79.9 litres", True), ("80 L", False), ("45-80 L", True), ("40 to 90 L", True), ("600 L or more", False),
    ("compartment of 45 to under 80 L", False), ("nano", False),
])
def test_tanks_in_the_keepers_own_words_are_held_against_this_trials(tanks, fits):
    assert bool(library_of([entry("a", tank_class=tanks)], KIND).groups) is fits


def test_a_trial_is_one_group_and_its_newest_entry_counts():
    found = library_of([entry("a", 0.1), entry("b", 0.2), entry("a ", 0.3), entry("c", 0.4, summary="change")], KIND)
    assert [(group.trial, group.variance) for group in found.groups] == [("a ", 0.3), ("b", 0.2)]
    assert [out.reason for out in found.left_out] == ["a newer entry of the same trial replaces it", "another summary (change, not mean)"]


def test_a_newer_entry_that_cannot_be_used_takes_its_trial_out():
    found = library_of([entry("a", 0.1), entry("a", 1e-5)], KIND)
    assert found.groups == ()
    assert found.left_out[1].reason == "its tanks hardly differ at all, as at the limit of the scale"


@pytest.mark.parametrize(("given", "reason"), [
    (entry("now"), "it comes from this trial itself"), (entry(""), "it names no trial"),
    (entry("a", 9.9e-5), "its tanks hardly differ at all"), (entry("a", math.nan), "its variance must be above 0"),
    (entry("a", math.inf), "its variance must be above 0"),
    (entry("a", df=0.5), "its variance must be above 0 and its degrees of freedom 1 or more"),
])
def test_an_entry_that_cannot_vouch_is_left_out(given, reason):
    found = library_of([given], KIND, own_trial="now")
    assert found.groups == ()
    assert found.left_out[0].reason.startswith(reason)


def test_every_entry_is_a_group_or_left_out_whatever_its_trial_showed():
    given = [entry(f"t{n}", 0.05 * (n + 1)) for n in range(9)] + [entry("t3", 0.7), entry("x", scale="log")]
    found = library_of(given, KIND)
    assert sorted([*found.groups, *(out.entry for out in found.left_out)], key=repr) == sorted(given, key=repr)


def test_every_class_of_days_and_litres_has_its_words():
    assert [window_class(days) for days in (1, 10, 11, 28, 42, 56, 84, 165)] == [
        "1 to 10 days", "1 to 10 days", "11 to 16 days", "25 to 34 days", "35 to 49 days", "50 to 74 days", "75 to 109 days",
        "165 days or more"]
    assert len({window_class(days) for days in range(1, 400)}) == len(DAYS_FROM)
    assert [tank_class(volume_l) for volume_l in (0.5, 20, 54, 60, 112.5, 180, 1000)] == [
        "tank of 0 to under 10 L", "tank of 10 to under 25 L", "tank of 45 to under 80 L", "tank of 45 to under 80 L",
        "tank of 80 to under 150 L", "tank of 150 to under 300 L", "tank of 600 L or more"]
    assert len({tank_class(half_l / 2) for half_l in range(1, 2000)}) == len(LITRES_FROM)


def test_a_level_a_change_since_a_run_in_and_a_reading_of_one_day_are_different_windows():
    words = {window_class(42), window_class(42, run_in_days=14), window_class(42, run_in_days=21), window_class(42, read_once=True)}
    assert words == {"35 to 49 days", "35 to 49 days after 11 to 16 days alike", "35 to 49 days after 17 to 24 days alike",
                     "one day within 35 to 49 days"}
    assert tank_class(20, unit_word="compartment") != tank_class(20)


@pytest.mark.parametrize(("call", "message"), [
    (lambda: window_class(0), "days is 0; accepted: 1 or more"),
    (lambda: window_class(42, run_in_days=-1), "run_in_days is -1; accepted: 0 or more"),
    (lambda: tank_class(0.0), "volume_l is 0.0; accepted: a number above 0"), (lambda: tank_class(math.nan), "volume_l is nan"),
])
def test_impossible_days_and_litres_are_refused(call, message):
    with pytest.raises(OutOfRangeError, match=message):
        call()


def test_pooling_is_the_usual_formula():
    first, second = [1.0, 2.5, 2.0], [4.0, 7.0]
    assert pooled_variance([first, second]) == pytest.approx(((2 * variance(first) + variance(second)) / 3, 3.0))
    assert pooled_variance([[1.0], [2.0]]) == (0.0, 0.0)
    assert pooled_variance([[], [2.0, 4.0]]) == (2.0, 1.0)


def test_the_least_variance_of_a_slope_is_that_of_what_it_makes_of_three_weeks():
    assert smallest_variance(KIND) == 1e-4
    assert smallest_variance(replace(KIND, summary="slope")) * 21**2 == pytest.approx(1e-4)
    assert smallest_variance(replace(KIND, scale="identity")) == 0.0


def test_what_the_entries_that_do_not_count_are_of_is_told_with_their_number():
    big = [entry(f"t{number}", tank_class="big") for number in range(8)]
    assert library_of(big, KIND).shortfall == (
        "Earlier tanks cannot help yet: no earlier trials of this kind with 0 degrees of freedom; needed are 5 trials and 8 degrees of "
        "freedom. 8 entries do not count: other tanks (big, not tank of 45 to under 80 L).")
    mixed = [*big[:2], entry("a", measure="plant_cover"), entry("b", scale="log"), entry("c", summary="slope"), entry("d")]
    assert library_of(mixed, KIND).shortfall.endswith(
        "5 entries do not count: other tanks (big, not tank of 45 to under 80 L), 2 of them; another measure (plant_cover, not "
        "algae_cover), 1 of them; another scale (log, not logit), 1 of them; other reasons, 1 of them.")
    assert library_of([entry("a", window_class="")], KIND).shortfall.endswith("1 entry does not count: its window is not known.")
    assert library_of([], KIND).shortfall.endswith("No entry of earlier tanks was found.")
    assert library_of([entry("d", df=1.0)], KIND).shortfall.endswith("8 degrees of freedom.")
