"""The summary threshold: both ends of the gap are kept, and only who was surely later counts."""

import math
from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fairtank.errors import DesignError
from fairtank.inference import compare, judge
from fairtank.inference.designs.onsets import later_than, pair_scores, reached_days, scores_shuffle_p
from fairtank.inference.intervals.shuffle import shuffle_p
from fairtank.trial import Series
from inference.trials import event, measure, plan_of

CHOICE = replace(measure(summary="threshold"), threshold=5.0)


DAYS = st.integers(0, 12)
ENDS = st.tuples(DAYS, st.integers(1, 9) | st.just(math.inf)).map(lambda pair: (pair[0], pair[0] + pair[1]))


@given(st.lists(ENDS, min_size=2, max_size=8), st.integers(1, 7))
def test_the_shuffle_counted_by_sums_is_that_counted_one_by_one(ends, size):
    size = min(size, len(ends) - 1)
    scores = pair_scores(ends)
    seen = abs(sum(scores[len(ends) - size:]))
    ways = [abs(sum(chosen)) for chosen in combinations(scores, size)]
    assert scores_shuffle_p(scores, size) == pytest.approx(sum(total >= seen for total in ways) / len(ways), rel=1e-10)
    assert scores_shuffle_p(scores, size) == pytest.approx(shuffle_p(scores[: len(ends) - size], scores[len(ends) - size:]), rel=1e-10)
    assert sum(scores) == 0


@given(ENDS, ENDS)
def test_nobody_is_later_than_himself_and_later_turns_round(one, other):
    assert later_than(one, other) == -later_than(other, one)
    assert later_than(one, one) == 0


def reaching(unit, day, *, step=2, last=42):
    """A cover photographed every few days that stands at 1 % and at 8 % from the given day on; None: never."""
    days = tuple(range(0, last + 1, step))
    return Series(unit, "cover", days, tuple(8.0 if day is not None and at >= day else 1.0 for at in days))


def trial(reference, changed, *, choice=CHOICE, events=(), **more):
    series = [reaching(f"{arm}{number}", day, **more) for arm, days in (("R", reference), ("C", changed))
              for number, day in enumerate(days, start=1)]
    return compare(plan_of(len(reference), len(changed), choice=choice), choice, series, events)


def test_four_tanks_that_are_all_later_differ():
    finding = trial([8, 10, 12, 14], [20, 22, 30, None])
    assert (finding.grade, finding.shuffle_p, finding.p_value) == ("differs", pytest.approx(2 / 70), pytest.approx(2 / 70))
    assert (finding.estimate, finding.low, finding.natural, finding.basis, finding.margin) == (None, None, None, "own tanks", None)
    assert dict(finding.facts) == {"pairs_later": 16, "pairs_earlier": 0, "pairs_untold": 0, "score": 16, "threshold": 5.0}
    assert [unit.reached for unit in finding.units] == [(6, 8), (8, 10), (10, 12), (12, 14), (18, 20), (20, 22), (28, 30), (42, None)]


def test_the_gate_of_a_look_is_its_own_share():
    early = replace(plan_of(4, 4, choice=CHOICE), looks=type(plan_of().looks)((42,), (0.01,)))
    series = [reaching(f"{arm}{number}", day) for arm, days in (("R", (8, 10, 12, 14)), ("C", (20, 22, 30, None)))
              for number, day in enumerate(days, start=1)]
    assert compare(early, CHOICE, series).grade == "open"


@pytest.mark.parametrize(("reference", "changed"), [([8], [20]), ([8, 9, 10], [20, 22, 30]), ([8, 9, 10], [20, 22, 24, 26, 28, 30])])
def test_below_four_in_each_arm_it_is_always_open(reference, changed):
    finding = trial(reference, changed)
    assert (finding.grade, finding.shuffle_p, finding.basis, finding.tipping_spread) == ("open", None, "none", None)


def test_a_tie_within_the_days_looked_at_is_not_told():
    finding = trial([8, 10, 12, 14], [8, 10, 12, 14])
    assert (finding.grade, finding.shuffle_p) == ("open", 1.0)
    assert dict(finding.facts)["pairs_untold"] == 4


def test_gaps_spoil_until_the_threshold_was_reached_and_not_after():
    stops = reaching("R1", 8)
    series = [replace(stops, days=stops.days[:8], values=stops.values[:8]), *(reaching(f"R{number}", 10) for number in (2, 3, 4))]
    holed = reaching("C1", 30)
    kept = [place for place, day in enumerate(holed.days) if not 10 < day < 24]
    series += [replace(holed, days=tuple(holed.days[i] for i in kept), values=tuple(holed.values[i] for i in kept)),
               *(reaching(f"C{number}", 30) for number in (2, 3, 4))]
    finding = compare(plan_of(4, 4, choice=CHOICE), CHOICE, series)
    assert finding.units[0].reached == (6, 8)
    assert finding.units[4].spoilt == "C1 has no value between day 10 and day 24, a gap of 14 days; more than 7 spoil it."
    assert dict(finding.alternatives)["with units kept across gaps"] == "differs"
    assert finding.grade == "open"
    assert set(finding.tags) == {"fragile", "gaps"}


def test_a_record_that_ends_early_without_reaching_it_waits():
    finding = trial([None] * 4, [None] * 4, last=20)
    assert finding.spoilt_reason == "The trial is not over: values reach day 20 of 42."


def test_a_fall_after_the_day_is_not_looked_at_and_a_start_above_is_before_all():
    assert reached_days({0: 1.0, 2: 6.0, 4: 2.0, 6: 7.0}, 5.0) == (0, 2)
    assert reached_days({0: 5.0, 2: 1.0}, 5.0) == (None, 0)
    assert later_than((-math.inf, 0), (0, 4)) == -1


def test_with_a_run_in_the_treated_days_are_looked_at():
    plan = plan_of(4, 4, choice=CHOICE, kind="run_in", run_in_days=14)
    series = [reaching(f"{arm}{number}", 20 if arm == "R" else 30) for arm in "RC" for number in (1, 2, 3, 4)]
    finding = compare(plan, CHOICE, series)
    assert (finding.window, finding.grade, finding.units[0].reached) == ((14, 42), "differs", (18, 20))


def test_an_event_takes_a_tank_out():
    finding = trial([8, 10, 12, 14], [20, 22, 30, None], events=[event(["C1"], 3, 3, "exclude_unit", "leak")])
    assert (finding.grade, finding.n_changed) == ("open", 3)


def test_as_a_secondary_measure_it_counts_in_the_family_with_its_shuffle():
    first = replace(measure(), key="height")
    second = replace(CHOICE, role="secondary")
    plan = plan_of(4, 4, measures=(first, second))
    series = [reaching(f"{arm}{number}", 8 + number if arm == "R" else 30) for arm in "RC" for number in (1, 2, 3, 4)]
    series += [replace(one, measure="height") for one in series]
    found = judge(plan, series)[1]
    assert (found.grade, found.holm_p) == ("differs", pytest.approx(2 / 70))


def test_scores_by_people_who_knew_the_arms_settle_nothing():
    series = [replace(reaching(f"{arm}{number}", 8 if arm == "R" else 30), scored=True) for arm in "RC" for number in (1, 2, 3, 4)]
    finding = compare(plan_of(4, 4, choice=CHOICE), CHOICE, series)
    assert (finding.grade, finding.tags) == ("open", ("not blinded",))


@pytest.mark.parametrize("threshold", [None, math.nan, math.inf])
def test_a_threshold_without_a_number_is_refused(threshold):
    choice = replace(CHOICE, threshold=threshold)
    with pytest.raises(DesignError, match=r"The summary of cover is threshold, and its threshold is .*; accepted: a number"):
        compare(plan_of(4, 4, choice=choice), choice, ())


def test_a_gap_after_the_threshold_was_reached_is_tried_as_spoiling_too():
    reference = [reaching(f"R{number}", 10) for number in (1, 2, 3, 4)]
    stops = replace(reference[0], days=reference[0].days[:8], values=reference[0].values[:8])
    changed = [reaching(f"C{number}", 30) for number in (1, 2, 3, 4)]
    plan = plan_of(4, 4, choice=CHOICE)
    whole, cut = (compare(plan, CHOICE, [first, *reference[1:], *changed]) for first in (reference[0], stops))
    assert (whole.grade, whole.alternatives) == ("differs", ())
    assert (cut.grade, cut.units[0].reached) == ("differs", (8, 10))
    assert dict(cut.alternatives)["with all gaps counted"] == "open"
    assert "fragile" in cut.tags
