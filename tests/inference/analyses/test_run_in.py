"""With a run-in: each unit is its own yardstick."""

import pytest

from checking import agrees
from fairtank.errors import DesignError
from fairtank.inference import compare
from fairtank.inference.series.scales import Scale
from fairtank.trial import Series
from inference.trials import measure, plan_of, table

LOGIT = Scale("logit")


def stepped(unit, before, after, *, first_treated=14, days=57):
    """A series that stands at one value in the run-in and at another from the change on."""
    return Series(unit, "cover", tuple(range(days)), tuple(before if day < first_treated else after for day in range(days)))


def trial(*, choice=None, run_in_days=14, n=3, **more):
    return plan_of(n, n, kind="run_in", days=56, choice=choice, run_in_days=run_in_days, **more)


@pytest.mark.published(entry="run_in", source="student1908", where="R datasets::sleep, t.test(extra ~ group): group 1 minus group 2")
def test_the_sleep_data_as_gains_over_a_run_in_give_the_printed_welch_test():
    """Each unit's own level in the run-in, however different, drops out; the gain is the published extra hours."""
    rows = table("student1908_sleep.csv")
    series = []
    for row in rows:
        own_level = float(row["patient"])
        series.append(stepped(f"{'C' if row['group'] == '1' else 'R'}{row['patient']}", own_level, own_level + float(row["extra_h"])))
    choice = measure("identity", summary="change", unit="h")
    finding = compare(trial(choice=choice, n=10), choice, series)
    assert agrees(finding.estimate, "-1.58")
    assert agrees(finding.df, "17.776")
    assert agrees(finding.p_value, "0.07939")
    assert agrees(finding.low, "-3.36548")
    assert agrees(finding.high, "0.20548")
    assert finding.grade == "open"


STEPS = {"R1": (-3.0, -2.9), "R2": (-1.0, -1.05), "R3": (0.5, 0.45), "C1": (-2.5, -1.5), "C2": (-0.5, 0.4), "C3": (1.0, 2.1)}


def steps():
    return [stepped(unit, LOGIT.back(before), LOGIT.back(after)) for unit, (before, after) in STEPS.items()]


def test_tanks_far_apart_from_the_start_are_judged_by_how_far_each_moved():
    finding = compare(trial(), measure(summary="change"), steps())
    assert finding.estimate == pytest.approx(1.0, rel=1e-9)
    assert finding.grade == "differs"
    assert (finding.window, finding.run_in) == ((14, 56), (0, 13))


def test_with_the_summary_mean_the_treated_window_alone_is_compared():
    finding = compare(trial(), measure(summary="mean"), steps())
    assert finding.estimate == pytest.approx((-1.5 + 0.4 + 2.1 + 2.9 + 1.05 - 0.45) / 3, rel=1e-9)
    assert (finding.grade, finding.window, finding.run_in) == ("open", (14, 56), None)


def test_the_natural_value_starts_from_the_references_treated_level():
    finding = compare(trial(), measure(summary="change"), steps())
    level = (-2.9 - 1.05 + 0.45) / 3
    assert finding.natural.reference == pytest.approx(LOGIT.back(level), rel=1e-9)
    assert finding.natural.changed == pytest.approx(LOGIT.back(level + 1.0), rel=1e-9)


@pytest.mark.parametrize(("run_in_days", "window", "alike"), [(0, None, 0), (9, None, 9), (14, (5, 56), 9)])
def test_a_run_in_of_fewer_than_ten_days_cannot_carry_a_change(run_in_days, window, alike):
    choice = measure(summary="change", window=window)
    with pytest.raises(DesignError, match=f"The run-in of cover has {alike} days; the summary change needs at least 10"):
        compare(trial(choice=choice, run_in_days=run_in_days), choice, ())


def test_a_run_in_of_ten_days_can():
    series = [stepped(unit, LOGIT.back(before), LOGIT.back(after), first_treated=10) for unit, (before, after) in STEPS.items()]
    assert compare(trial(run_in_days=10), measure(summary="change"), series).grade == "differs"


def test_a_gap_in_the_run_in_spoils_the_unit():
    short = steps()[0]
    days = tuple(day for day in short.days if not 2 < day < 11)
    series = [Series("R1", "cover", days, tuple(short.values[day] for day in days)), *steps()[1:]]
    finding = compare(trial(), measure(summary="change"), series)
    assert finding.units[0].spoilt == "R1 has no value between day 2 and day 11, a gap of 9 days; more than 7 spoil it (run-in)."
    assert compare(trial(), measure(summary="mean"), series).units[0].spoilt is None


def cautions_on_the_run_in(summary, **more):
    choice = measure(summary=summary)
    return [text for text in compare(trial(choice=choice, **more), choice, steps()).cautions if "run-in" in text]


def test_a_mean_in_a_trial_with_a_run_in_carries_the_caution_that_the_run_in_is_not_used():
    assert cautions_on_the_run_in("mean") == [
        "Cover by eye: the run-in is not used, because the summary is `mean`. `summary = \"change\"` would use it and compare each tank "
        "with itself."]
    assert cautions_on_the_run_in("change") == []


def test_a_short_run_in_is_said_to_be_too_short_for_a_change():
    assert cautions_on_the_run_in("mean", run_in_days=7)[0].endswith(
        "compare each tank with itself, which needs a run-in of at least 10 days.")
    assert cautions_on_the_run_in("mean", run_in_days=0) == []
