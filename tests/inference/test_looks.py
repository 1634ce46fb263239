"""Planned looks: each at its own share, a trial that goes on, one that was stopped, and days that nobody planned."""

import math
from dataclasses import replace

import numpy as np
import pytest

from fairtank.errors import DesignError
from fairtank.inference import compare, judge
from fairtank.inference.intervals.welch import welch
from fairtank.inference.looks import AT_THE_END, Moment, goes_on, moment_of, stop_day, up_to
from fairtank.inference.record import Record
from fairtank.trial import Arm, Looks, Series, Unit
from inference.trials import event, levels, looks, measure, plan_of

LOOKS = looks((14, 28, 42), (0.005, 0.010, 0.035))
REFERENCE, CHANGED = (10, 12, 11), (14, 15, 17)


def judged(*, days=range(43), events=(), day=None, reference=REFERENCE, changed=CHANGED, **more):
    """The primary finding of three tanks against three, each of one level, photographed on these days."""
    plan = plan_of(len(reference), len(changed), **{"looks": LOOKS, **more})
    return judge(plan, levels(reference, changed, days=days), events, day=day)[0]


def stop(day, kind="stop", units=()):
    return event(units, day, day, "keep", kind)


def rising(seed=1, last=42, key="cover"):
    """Three tanks against three whose values change over time, so that each look sees others."""
    rng = np.random.default_rng(seed)
    return tuple(Series(f"{arm}{number}", key, tuple(range(last + 1)),
                        tuple(float(20 + step * day / 42 + 2 * rng.standard_normal()) for day in range(last + 1)))
                 for arm, step in (("R", 0), ("C", 12)) for number in (1, 2, 3))


# each look ------------------------------------------------------------------------------------------------------------


def test_each_look_is_the_same_analysis_of_what_was_there_by_its_day_at_its_own_share():
    series = rising()
    found = judge(plan_of(looks=LOOKS), series)[0]
    assert [look.day for look in found.looks] == [14, 28]
    for look, share in zip(found.looks, (0.005, 0.010), strict=True):
        seen = tuple(Series(one.unit, one.measure, one.days[: look.day + 1], one.values[: look.day + 1]) for one in series)
        alone = plan_of(days=look.day, looks=looks((look.day,), (share,)))
        apart = compare(alone, alone.measures[0], seen)
        assert (look.estimate, look.low, look.high, look.p_value, look.grade, look.level) == (
            apart.estimate, apart.low, apart.high, apart.p_value, apart.grade, 1 - share)
        assert look.natural == apart.natural
    assert (found.level, found.window) == (pytest.approx(0.965), (0, 42))


def test_the_last_look_is_the_finding_as_without_looks_but_for_its_level():
    with_looks, once = judge(plan_of(looks=LOOKS), rising())[0], judge(plan_of(), rising())[0]
    assert with_looks.estimate == once.estimate
    assert with_looks.low < once.low < once.high < with_looks.high
    assert once.looks == ()


def test_looks_before_anything_can_be_compared_are_left_out():
    early = judged(kind="run_in", run_in_days=21, choice=measure(summary="change"))
    assert [look.day for look in early.looks] == [28]
    swapped = plan_of(kind="swap", swap_day=21, washout_days=3, looks=LOOKS, choice=measure(summary="swap"))
    assert [look.day for look in judge(swapped, levels(REFERENCE, CHANGED))[0].looks] == [28]
    late = judged(choice=measure(window=(20, 42)))
    assert [look.day for look in late.looks] == [28]


def test_a_drawn_start_is_looked_at_only_when_every_start_has_had_its_days():
    """The last start that could have been drawn is day 34; 5 days of it are over on day 38."""
    plan = plan_of(1, 1, kind="drawn_start", days=56, looks=looks((37, 38, 56), (0.005, 0.010, 0.035)), choice=measure(summary="change"),
                   start_window=(7, 34), drawn_day=22, expect="more")
    rng = np.random.default_rng(2)
    series = [Series(unit, "cover", tuple(range(57)), tuple(float(20 + step * (day >= 22) + rng.standard_normal()) for day in range(57)))
              for unit, step in (("R1", 0), ("C1", 9))]
    found = judge(plan, series)[0]
    assert [(look.day, look.low, look.high) for look in found.looks] == [(38, None, None)]
    # 1 in 56 draws is more than the 1 % of the look and less than the 3.5 % of the end.
    assert (found.looks[0].p_value, found.looks[0].grade) == (pytest.approx(1 / 56), "open")
    assert (found.p_value, found.grade) == (pytest.approx(1 / 56), "differs")


def test_each_comparison_of_several_arms_carries_its_own_looks():
    arms = (Arm("A", "reference"), Arm("B", "changed"), Arm("C", "changed"))
    units = tuple(Unit(f"{arm.key}{number}", arm.key) for arm in arms for number in (1, 2, 3))
    plan = replace(plan_of(looks=LOOKS, choice=measure("identity"), units=units), arms=arms)
    rng = np.random.default_rng(3)
    series = [Series(unit.key, "cover", tuple(range(43)),
                     tuple(float(20 + 3 * (unit.arm == "C") + rng.standard_normal()) for _ in range(43)))
              for unit in units]
    found = judge(plan, series)
    assert [one.changed_arm for one in found] == ["B", "C"]
    assert all(abs(look.estimate - one.estimate) < 1 for one in found for look in one.looks)
    assert [len(one.looks) for one in found] == [2, 2]


def test_a_look_at_rounds_counts_those_that_are_over():
    units = tuple(Unit(f"{arm}{number}", arm, tank="AB"[(number + (arm == "C")) % 2], round=str(number))
                  for number in range(1, 7) for arm in ("R", "C"))
    plan = plan_of(kind="rounds", units=units, days=83, round_days=14, looks=looks((56, 60, 83), (0.005, 0.010, 0.035)),
                   choice=measure("identity"))
    rng = np.random.default_rng(4)
    series = [Series(unit.key, "cover", tuple(range(84)),
                     tuple(float(20 + 4 * (unit.arm == "C") + rng.standard_normal()) for _ in range(84))) for unit in units]
    found = judge(plan, series)[0]
    assert [(look.day, look.grade) for look in found.looks] == [(56, found.looks[0].grade), (60, found.looks[1].grade)]
    # Four rounds are over on day 56 as on day 60: the same difference, told with more confidence where more may be spent.
    first, second = found.looks
    assert first.estimate == second.estimate
    assert first.high - first.low > second.high - second.low
    counted_from_zero = replace(plan, round_days=0, days=13, looks=looks((6, 13), (0.01, 0.04)))
    assert judge(counted_from_zero, [replace(one, days=tuple(range(14)), values=one.values[:14]) for one in series])[0].looks == ()


def test_a_look_asks_the_shuffle_test_only_where_its_share_is_within_reach():
    """Five tanks against five can be dealt in 252 ways; the smallest p, 2/252, lies above .005 and below .035."""
    found = judged(reference=(10, 11, 12, 10.5, 11.5), changed=(30, 31, 29, 32, 30.5))
    assert [(look.day, look.grade) for look in found.looks] == [(14, "differs"), (28, "differs")]
    assert (found.grade, round(found.shuffle_p, 4)) == ("differs", round(2 / 252, 4))


# a trial that goes on -------------------------------------------------------------------------------------------------


def test_a_trial_that_goes_on_is_told_as_of_the_last_look_that_its_values_reach():
    found = judge(plan_of(looks=LOOKS), rising(last=30))[0]
    asked = judge(plan_of(looks=LOOKS), rising(last=30), day=28)[0]
    assert found == asked
    assert (found.level, found.window, [look.day for look in found.looks]) == (0.99, (0, 28), [14])
    assert found.cautions[-1] == ("The trial goes on: this is planned look 2 of 3, on day 28, read at its own share of the 5 % (1 %). The "
                                  "look still to come, on day 42, may spend 3.5 %.")
    assert goes_on(found)
    assert not goes_on(judge(plan_of(looks=LOOKS), rising())[0])


def test_the_looks_still_to_come_are_counted_with_what_they_may_spend():
    found = judged(days=range(17))
    assert found.cautions[-1].endswith("The 2 looks still to come, the next on day 28, may spend 4.5 %.")
    facts = dict(found.facts)
    assert (facts["look"], facts["looks_planned"], facts["look_day"], facts["next_look_day"]) == (1, 3, 14, 28)
    assert (facts["looks_left"], facts["share_left"]) == (2, pytest.approx(0.045))


@pytest.mark.parametrize("last", [0, 7, 13])
def test_before_the_first_look_there_is_no_finding_yet(last):
    found = judged(days=range(last + 1))
    assert (found.grade, found.spoilt_reason) == ("spoilt", f"The trial is not over: values reach day {last} of 42.")
    assert found.cautions == ()


def test_a_look_that_cannot_be_read_gives_way_to_the_one_before():
    swapped = plan_of(kind="swap", swap_day=21, washout_days=3, looks=LOOKS, choice=measure(summary="swap"))
    found = judge(swapped, levels(REFERENCE, CHANGED, days=range(23)))[0]
    assert found.spoilt_reason == "The trial is not over: values reach day 22 of 42."


def test_secondary_measures_wait_for_the_end_while_the_primary_is_looked_at():
    measures = (measure(), measure(key="late", role="secondary"), measure(key="early", role="secondary", window=(0, 20)))
    series = [one for key in ("cover", "late", "early") for one in rising(key=key)]
    first, late, early = judge(plan_of(measures=measures, looks=LOOKS), series, day=28)
    assert (first.level, first.window) == (0.99, (0, 28))
    assert (late.grade, late.spoilt_reason) == ("spoilt", "The trial is not over: this measure is read at the end, on day 42")
    assert (early.window, early.grade) == ((0, 20), "differs")


def test_secondary_measures_keep_their_whole_five_per_cent_at_the_end():
    measures = (measure(), measure(key="late", role="secondary"), measure(key="early", role="secondary", window=(0, 20)))
    series = [one for key in ("cover", "late", "early") for one in rising(key=key)]
    _, late, early = judge(plan_of(measures=measures, looks=LOOKS), series)
    assert [late.level, early.level] == [0.95, 0.95]
    assert judge(plan_of(measures=measures), series)[1].level == 0.95


# a planned day that is asked for --------------------------------------------------------------------------------------


def test_later_values_and_events_are_not_seen_on_a_day_that_is_asked_for():
    series, plan = rising(), plan_of(looks=LOOKS)
    spoiling = [event(["C1"], 30, 30, "exclude_unit"), event(["C2"], 10, 12, "exclude_window")]
    turned = tuple(replace(one, values=tuple(value if day <= 28 else 99.0 for day, value in zip(one.days, one.values, strict=True)))
                   for one in series)
    assert judge(plan, series, spoiling, day=28)[0] == judge(plan, turned, spoiling[1:], day=28)[0]
    assert judge(plan, series, day=28)[0].n_changed == 3


def test_the_last_look_asked_for_is_the_finding_itself():
    assert judged(day=42) == judged()


def test_a_look_that_the_values_do_not_reach_is_not_read():
    assert judged(days=range(27), day=28).spoilt_reason == "The trial is not over: values reach day 26, the look is on day 28"


@pytest.mark.parametrize(("day", "more", "message"), [
    (25, {}, "Day 25 is not a planned look; planned are day 14, 28 and 42. Read it on day 28. On other days the charts show no interval, "
             "and looking changes nothing."),
    (25, {"looks": looks((42,), (0.05,))}, "Day 25 is not a planned look; planned are day 42. Read it on day 42. On other days"),
    (25, {"looks": Looks()}, "Day 25 is not a planned look; the plan has none, and the trial is read once, on day 42. Read it on day 42. "
                             "On other days"),
    (25, {"looks": Looks(), "choice": measure(window=(0, 30))}, "the trial is read once, on day 30"),
    (None, {"looks": looks((28, 14, 42), (0.005, 0.010, 0.035))}, "The planned looks are not in rising order of day. Correct the looks"),
    (None, {"looks": looks((14, 42), (0.03, 0.03))}, "all of them together at most 0.05. Correct the budget in the plan."),
    (None, {"looks": looks((14, 42), (0.05,))}, "The planned looks need one share of the 5 % each"),
    (14, {"kind": "swap", "swap_day": 21, "choice": measure(summary="swap")}, "each of the two periods needs at least one day"),
    (14, {"choice": measure(window=(20, 42))}, "The window of cover begins on day 20, after day 14."),
])
def test_a_day_that_was_not_planned_and_looks_that_cannot_be_used_are_refused(day, more, message):
    with pytest.raises(DesignError, match=message.replace(".", r"\.")):
        judged(day=day, **more)


# stopping -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["stop", "Stopped", " STOP "])
@pytest.mark.parametrize("day", [28, 30, 41])
def test_a_trial_that_was_stopped_keeps_the_grade_of_the_last_look_before(kind, day):
    found, look = judged(events=[stop(day, kind)]), judged(day=28)
    assert (found.estimate, found.low, found.high, found.grade, found.level) == (look.estimate, look.low, look.high, look.grade, look.level)
    assert found.tags == ("stopped early",)
    assert [one.day for one in found.looks] == [14]
    assert not goes_on(found)
    assert found.cautions[-1] == (f"The trial was stopped on day {day}. This is planned look 2 of 3, on day 28, read at its own share of "
                                  "the 5 % (1 %); what came after it does not count.")


def test_what_comes_after_the_look_does_not_thaw_a_stopped_trial():
    series, plan = rising(), plan_of(looks=LOOKS)
    turned = tuple(replace(one, values=tuple(value if day <= 28 else 99.0 for day, value in zip(one.days, one.values, strict=True)))
                   for one in series)
    assert judge(plan, series, [stop(28)]) == judge(plan, turned, [stop(28)])


@pytest.mark.parametrize(("day", "more"), [(13, {}), (5, {}), (30, {"looks": Looks()})])
def test_a_trial_that_was_stopped_before_any_planned_look_is_spoilt(day, more):
    found = judged(events=[stop(day)], **more)
    assert found.grade == "spoilt"
    assert found.spoilt_reason == f"it was stopped on day {day}, before its reading day (day 42), and no look was planned by then"


def test_a_trial_that_was_stopped_at_a_look_with_nothing_to_compare_is_spoilt():
    found = judged(events=[stop(15)], kind="swap", swap_day=21, choice=measure(summary="swap"))
    assert found.spoilt_reason == ("it was stopped on day 15, before its reading day (day 42), and at the look on day 14 there was nothing "
                                   "to compare yet")


def test_a_plan_that_cannot_be_judged_says_so_even_when_it_was_stopped():
    with pytest.raises(DesignError, match="The summary of cover is swap"):
        judged(events=[stop(15)], choice=measure(summary="swap"))


@pytest.mark.parametrize("events", [[stop(42)], [stop(60)], [stop(20, units=["R1"])], [stop(20, "water stop")], [stop(20, "trim")]])
def test_an_end_on_its_day_one_tank_that_was_stopped_and_other_events_do_not_stop_a_trial(events):
    assert judged(events=events) == judged()


def test_the_first_of_two_stops_counts():
    assert stop_day(Record((), (stop(30), stop(20), stop(3, units=["R1"])))) == 20


def test_a_stop_after_the_day_that_is_asked_for_is_not_seen():
    assert judged(events=[stop(30)], day=28) == judged(day=28)
    assert judged(events=[stop(20)], day=28).tags == ("stopped early",)


def test_secondary_measures_are_read_at_the_stop_and_whole_ones_are_whole():
    measures = (measure(), measure(key="late", role="secondary"), measure(key="early", role="secondary", window=(0, 20)))
    series = [one for key in ("cover", "late", "early") for one in rising(key=key)]
    plan = plan_of(measures=measures, looks=LOOKS)
    _, late, early = judge(plan, series, [stop(30)])
    assert (late.window, late.level, late.tags) == ((0, 28), 0.99, ("stopped early",))
    assert (early.window, early.level, early.tags) == ((0, 20), 0.99, ())
    first, late, early = judge(plan_of(measures=measures), series, [stop(30)])
    assert [one.grade for one in (first, late)] == ["spoilt", "spoilt"]
    assert late.spoilt_reason.startswith("the trial was stopped on day 30, before its reading day (day 42)")
    assert early.grade == "differs"


# parts ----------------------------------------------------------------------------------------------------------------


def test_a_cut_record_keeps_errors_and_limits_beside_their_values():
    series = Series("R1", "cover", (0, 5, 9), (1.0, 2.0, 3.0), (0.1, None, 0.3), below=(True, False, True))
    cut = up_to(Record((series,)), 5).series[0]
    assert (cut.days, cut.values, cut.ses, cut.below) == ((0, 5), (1.0, 2.0), (0.1, None), (True, False))


def test_the_moment_says_as_of_when_a_trial_is_read():
    plan = plan_of(looks=LOOKS)
    choice = plan.measures[0]
    assert moment_of(plan, choice, Record(())) == moment_of(plan, choice, Record(()), 42) == AT_THE_END
    assert moment_of(plan, choice, Record(()), 28) == Moment(2)
    assert moment_of(plan, choice, Record((), (stop(20),))) == Moment(1, 20)


def unit_days(rng, trials, units, days=43):
    """Levels of like tanks with day noise that wanders; shape (trials, units, days)."""
    shocks = rng.standard_normal((trials, units, days))
    for day in range(1, days):
        shocks[..., day] = 0.8 * shocks[..., day - 1] + 0.6 * shocks[..., day]
    return 0.5 * rng.standard_normal((trials, units, 1)) + 0.25 * shocks + 0.01 * rng.standard_normal((trials, units, 1)) * np.arange(days)


def means_by(values, day):
    """The time-weighted mean of every unit up to a day."""
    return (values[..., : day + 1].sum(axis=-1) - values[..., [0, day]].sum(axis=-1) / 2) / day


@pytest.mark.parametrize("per_arm", [3, 6])
def test_three_planned_looks_raise_a_false_alarm_in_at_most_five_of_a_hundred_trials(per_arm):
    """Another simulation, made apart from this one, read 3.6 % with three tanks per arm and 4.5 % with six."""
    trials = 1200
    values = unit_days(np.random.default_rng(21), trials, 2 * per_arm)
    claimed, first = np.zeros(trials, dtype=bool), {}
    for day, share in zip(LOOKS.days, LOOKS.budget, strict=True):
        for trial, means in enumerate(means_by(values, day)):
            found = welch(tuple(means[:per_arm]), tuple(means[per_arm:]), alpha=share, scale="identity")
            claimed[trial] |= not found.low <= 0 <= found.high
            if trial == 0:
                first[day] = (found.low, found.high)
    assert claimed.mean() <= 0.05 + 2.58 * math.sqrt(0.05 * 0.95 / trials)
    assert claimed.mean() > 0.005
    arms = ["R"] * per_arm + ["C"] * per_arm
    series = [Series(f"{arm}{number % per_arm + 1}", "cover", tuple(range(43)), tuple(map(float, values[0, number])))
              for number, arm in enumerate(arms)]
    told = judge(plan_of(per_arm, per_arm, looks=LOOKS, choice=measure("identity", unit="")), series)[0]
    told_by = {**{look.day: (look.low, look.high) for look in told.looks}, 42: (told.low, told.high)}
    assert {day: pytest.approx(ends) for day, ends in first.items()} == told_by
