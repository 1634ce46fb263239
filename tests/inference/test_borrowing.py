"""Earlier like tanks in a whole judging: when they are asked, what they change, and what a finished trial adds to them."""

from dataclasses import replace

import pytest

from fairtank.inference import compare, judge
from fairtank.inference.earlier.borrowing import entries_of
from fairtank.inference.earlier.library import interval_with_library
from fairtank.inference.earlier.like_tanks import SpreadKind, library_of
from fairtank.trial import SpreadEntry
from inference.trials import event, level, levels, measure, plan_of

WORDS = "cover", "logit", "mean", "35 to 49 days", "tank of 45 to under 80 L"
VARIANCES = (0.02, 0.03, 0.025, 0.035, 0.03, 0.02)
REFERENCE, CHANGED = (10.0, 11.0), (20.0, 23.0)


def entries(variances=VARIANCES, *, df=2.0, words=WORDS):
    return tuple(SpreadEntry(*words, variance, df, f"invented trial {number}") for number, variance in enumerate(variances))


def judged(reference=REFERENCE, changed=CHANGED, *, earlier=None, choice=None, litres=54.0, events=(), **more):
    choice = choice or measure()
    plan = plan_of(len(reference), len(changed), choice=choice, **more)
    given = entries() if earlier is None else earlier
    return compare(plan, choice, levels(reference, changed), events, earlier=given, tank_litres=litres)


def test_two_tanks_in_each_arm_lean_on_earlier_ones():
    found = judged()
    own = judged(earlier=())
    assert (own.basis, own.grade) == ("own tanks", "differs")
    assert found.basis == "own and earlier tanks"
    assert found.df is None
    assert (found.earlier.own_low, found.earlier.own_high) == (own.low, own.high)
    assert own.low < found.low < found.estimate < found.high < own.high
    assert (found.earlier.groups, found.earlier.total_df, found.earlier.brake) == (6, 12.0, 1.25)


def test_the_interval_is_that_of_the_library_itself():
    found = judged()
    z = [[unit.z for unit in found.units if unit.arm == arm] for arm in "RC"]
    library = library_of(entries(), SpreadKind(*WORDS))
    spread = interval_with_library(*z, alpha=0.05, library=library, scale="logit")
    assert (found.low, found.high, found.p_value) == (spread.interval.low, spread.interval.high, spread.interval.p_value)


def test_one_tank_each_is_judged_by_earlier_tanks_only_and_alone_without_them():
    found, alone = judged((10.0,), (40.0,)), judged((10.0,), (40.0,), earlier=())
    assert (found.basis, found.grade, found.earlier.brake) == ("earlier tanks only", "differs", 1.5)
    assert (alone.basis, alone.grade, alone.low, alone.earlier) == ("none", "alone", None, None)
    assert found.tipping_spread is None
    assert (found.earlier.own_low, found.earlier.own_high) == (None, None)
    assert found.earlier.twice_low < found.low


def test_three_tanks_in_each_arm_speak_for_themselves():
    found = judged((10.0, 11.0, 12.0), (20.0, 21.0, 25.0))
    assert (found.basis, found.earlier) == ("own tanks", None)


def test_entries_that_do_not_fit_are_told_with_their_number_and_what_they_are_of():
    found = judged((10.0,), (40.0,), earlier=entries(words=(*WORDS[:4], "big")))
    assert (found.grade, found.basis) == ("alone", "none")
    assert found.cautions[0].endswith("6 entries do not count: other tanks (big, not tank of 45 to under 80 L).")


def test_a_plan_that_rules_earlier_tanks_out_does_not_ask_them():
    found = judged((10.0,), (40.0,), earlier_tanks=False)
    assert (found.grade, found.earlier) == ("alone", None)


def test_too_few_earlier_trials_are_told_and_do_not_help():
    found = judged((10.0,), (40.0,), earlier=entries(VARIANCES[:4]))
    assert (found.grade, found.basis) == ("alone", "none")
    assert found.cautions == ("Earlier tanks cannot help yet: 4 earlier trials of this kind with 8 degrees of freedom; needed are 5 trials "
                              "and 8 degrees of freedom.",)


def test_tanks_that_scatter_more_than_earlier_ones_let_expect_are_judged_alone():
    found = judged((4.0, 18.0), (20.0, 50.0))
    assert (found.basis, found.earlier.brake) == ("own tanks", None)
    assert found.cautions[0].startswith("The tanks of this trial scatter more than earlier like tanks let expect")
    lone = judged((10.0,), (4.0, 50.0))
    assert (lone.basis, lone.grade) == ("none", "alone")
    assert lone.cautions[0].endswith("so the earlier tanks were set aside and nothing is left to judge the spread by.")


def test_a_loss_brings_earlier_tanks_in_whatever_the_result():
    events = [event(["C3"], 5, 5, "exclude_unit", "leak")]
    whole, lost = (judged((10.0, 11.0, 12.0), (20.0, 21.0, 25.0), events=own) for own in ((), events))
    assert (whole.basis, lost.basis) == ("own tanks", "own and earlier tanks")


@pytest.mark.parametrize(("change", "reason"), [
    ({"litres": 20.0}, "other tanks"), ({"choice": measure(window=(0, 13))}, "another window"),
    ({"choice": measure("identity")}, "another scale"),
])
def test_entries_of_another_kind_do_not_speak(change, reason):
    found = judged((10.0,), (40.0,), **change)
    assert found.grade == "alone"
    assert {words.split(" (")[0] for _, words in found.earlier.left_out} == {reason}


def test_without_the_size_of_the_tanks_the_entries_are_trusted_and_it_is_told():
    found = judged((10.0,), (40.0,), litres=None)
    assert found.basis == "earlier tanks only"
    assert found.cautions == ("The plan does not say how large the tanks are; that they are like the earlier ones (“tank of 45 to under "
                              "80 L”) is taken on trust.",)


def test_a_scale_that_earlier_tanks_do_not_know_is_no_alternative():
    assert [name for name, _ in judged().alternatives] == []
    both = (*entries(), *entries((2.0, 3.0, 2.5, 3.5, 3.0, 2.0), words=("cover", "identity", *WORDS[2:])))
    assert [name for name, _ in judged(earlier=both).alternatives] == ["on the values as they are"]


def test_a_swap_borrows_differences_of_periods_not_halved():
    choice = measure(summary="swap")
    plan = plan_of(1, 1, kind="swap", choice=choice, swap_day=21)
    days = range(43)
    series = (replace(level("R1", 10, days=days), values=tuple(10.0 if day < 21 else 20.0 for day in days)),
              replace(level("C1", 10, days=days), values=tuple(22.0 if day < 21 else 10.0 for day in days)))
    kind = "cover", "logit", "swap", "17 to 24 days", "tank of 45 to under 80 L"
    found = compare(plan, choice, series, earlier=entries(words=kind), tank_litres=54.0)
    z = [[unit.z] for unit in found.units]
    spread = interval_with_library(*z, alpha=0.05, library=library_of(entries(words=kind), SpreadKind(*kind)), scale="logit", halved=True)
    assert (found.estimate, found.low, found.basis) == (spread.interval.estimate, spread.interval.low, "earlier tanks only")
    assert entries_of(plan_of(2, 2, kind="swap", choice=choice, swap_day=21), [found], tank_litres=54.0) == ()


def test_a_finished_trial_adds_the_scatter_inside_its_arms():
    choice = measure()
    plan = plan_of(choice=choice)
    findings = judge(plan, levels((10, 11, 12), (20, 21, 25)))
    made, = entries_of(plan, findings, tank_litres=54.0)
    z = [[unit.z for unit in findings[0].units if unit.arm == arm] for arm in "RC"]
    squares = sum((value - sum(arm) / 3) ** 2 for arm in z for value in arm)
    assert (made.measure, made.scale, made.summary, made.window_class, made.tank_class) == WORDS
    assert made.variance == pytest.approx(squares / 4)
    assert (made.df, made.trial) == (4.0, "A trial")


def test_a_run_in_adds_its_own_level_and_the_change():
    choice = measure(summary="change")
    plan = plan_of(2, 2, kind="run_in", run_in_days=14, days=56, choice=choice)
    days = range(57)
    rows = [(9.0, 10.0), (11.0, 13.0), (10.0, 21.0), (12.0, 24.0)]
    series = tuple(replace(level(unit, 1, days=days), values=tuple(before if day < 14 else after for day in days))
                   for unit, (before, after) in zip(("R1", "R2", "C1", "C2"), rows, strict=True))
    made = entries_of(plan, judge(plan, series), tank_litres=20.0)
    assert [(one.summary, one.window_class, one.df) for one in made] == [
        ("change", "35 to 49 days after 11 to 16 days alike", 2.0), ("mean", "11 to 16 days", 3.0)]


def test_a_trial_in_which_no_two_tanks_were_alike_adds_nothing():
    plan = plan_of(1, 1)
    assert entries_of(plan, judge(plan, levels((10,), (20,)))) == ()


def test_a_spoilt_trial_adds_nothing():
    plan = plan_of()
    assert entries_of(plan, judge(plan, ())) == ()
