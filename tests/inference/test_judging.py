"""A whole trial judged: primary first, Holm over the secondary measures, and what this version refuses."""

import subprocess
import sys
from dataclasses import replace

import pytest

from fairtank.errors import DesignError, OutOfRangeError
from fairtank.inference import compare, judge
from fairtank.inference.intervals.holm import holm
from fairtank.inference.judging import _with_holm
from inference.trials import levels, looks, measure, plan_of

MEASURES = (measure(key="second", role="secondary"), measure(key="first", margin=0.3), measure(key="third", role="secondary"),
            measure(key="fourth", role="secondary"))


def series_for(**values):
    return [one for key, (reference, changed) in values.items() for one in levels(reference, changed, key=key)]


CLEAR = [10, 11, 12], [20, 22, 24]
BARELY = [10, 13, 11], [15, 18, 21]
NOTHING = [10, 13, 11], [12, 10, 11]


def test_the_primary_measure_comes_first_and_the_others_keep_their_order():
    findings = judge(plan_of(measures=MEASURES), series_for(first=CLEAR, second=BARELY, third=CLEAR, fourth=NOTHING))
    assert [finding.measure for finding in findings] == ["first", "second", "third", "fourth"]


def test_holm_is_taken_over_the_secondary_measures_and_leaves_the_primary_alone():
    findings = judge(plan_of(measures=MEASURES), series_for(first=CLEAR, second=BARELY, third=CLEAR, fourth=NOTHING))
    assert findings[0].holm_p is None
    assert findings[0] == compare(plan_of(measures=MEASURES), MEASURES[1], series_for(first=CLEAR))
    assert [finding.holm_p for finding in findings[1:]] == pytest.approx(holm([finding.p_value for finding in findings[1:]]))
    assert "holm1979" in findings[1].sources
    assert [finding.family for finding in findings] == [0, 3, 3, 3]


def test_a_difference_that_luck_among_several_could_bring_is_open():
    plan, series = plan_of(measures=MEASURES), series_for(first=CLEAR, second=BARELY, third=NOTHING, fourth=NOTHING)
    alone = compare(plan, MEASURES[0], series)
    together = judge(plan, series)[1]
    assert alone.grade == "differs"
    assert together.grade == "open"
    assert together.holm_p > 0.05 > together.p_value
    assert (together.low, together.high) == (alone.low, alone.high)


def test_a_measure_without_values_still_counts_in_the_family():
    findings = judge(plan_of(measures=MEASURES), series_for(first=CLEAR, second=BARELY))
    assert [finding.grade for finding in findings[2:]] == ["spoilt", "spoilt"]
    assert findings[1].holm_p == pytest.approx(3 * findings[1].p_value)
    assert [finding.holm_p for finding in findings[2:]] == [1.0, 1.0]


@pytest.mark.parametrize("measures", [MEASURES[:1], (MEASURES[1], measure(key="other"))])
def test_a_plan_needs_exactly_one_primary_measure(measures):
    with pytest.raises(DesignError, match="primary measures; it needs exactly one, chosen before the start"):
        judge(plan_of(measures=measures), ())


def test_a_design_that_this_version_cannot_judge_is_refused_by_name():
    with pytest.raises(DesignError, match=r"The design of this trial is a_race; this version judges .*side_by_side"):
        compare(plan_of(kind="a_race"), measure(), ())


@pytest.mark.parametrize("summary", ["swap"])
@pytest.mark.parametrize(("kind", "judged"), [
    ("side_by_side", "mean, slope and threshold"), ("run_in", "mean, change, slope and threshold"), ("pairs", "mean, change and slope"),
    ("rounds", "mean and slope")])
def test_a_summary_that_this_version_cannot_judge_is_refused_by_name(kind, judged, summary):
    with pytest.raises(DesignError, match=f"The summary of cover is {summary}; this version judges {judged} in a {kind} design"):
        compare(plan_of(kind=kind), measure(summary=summary), ())


def test_series_without_any_value_of_the_primary_measure_are_a_spoilt_trial():
    finding = judge(plan_of(choice=measure()), series_for(other=CLEAR))[0]
    assert finding.grade == "spoilt"
    assert finding.spoilt_reason.startswith("no usable unit in plain and dimmed: R1 has no value from day 0 to day 42. R2 has")


UNJUDGED = [
    ("side_by_side", measure(key="third", role="secondary", summary="swap"),
     "The summary of third is swap; this version judges mean, slope and threshold in a side_by_side design"),
    ("run_in", measure(key="third", role="secondary", summary="change"),
     "The run-in of third has 5 days; the summary change needs at least 10, with a photo on each of that many. "
     "Use the summary mean, or plan a longer run-in"),
    ("run_in", measure(key="third", role="secondary", window=(0, 3)),
     "The window of third ends on day 3, before the change starts on day 5. Let the window reach beyond the run-in"),
    ("side_by_side", measure(key="third", role="secondary", window=(0, 99)),
     "The window of third is day 0 to day 99; accepted: a first day not after the last, both from day 0 to day 42. "
     "Correct the window in the plan"),
]


@pytest.mark.parametrize(("kind", "third", "reason"), UNJUDGED)
def test_a_secondary_measure_that_cannot_be_judged_is_spoilt_counts_in_the_family_and_blocks_nothing(kind, third, reason):
    measures = (measure(key="first"), measure(key="second", role="secondary"), third)
    plan = plan_of(measures=measures, kind=kind, run_in_days=5 if kind == "run_in" else 0)
    first, second, spoilt = judge(plan, series_for(first=CLEAR, second=BARELY, third=CLEAR))
    assert (first.grade, first.role) == ("differs", "primary")
    assert second.holm_p == pytest.approx(2 * second.p_value)
    assert (spoilt.grade, spoilt.spoilt_reason, spoilt.holm_p, spoilt.family) == ("spoilt", reason, 1.0, 2)
    assert spoilt.units == spoilt.tags == ()
    assert (spoilt.title, spoilt.unit_of_measure, spoilt.estimate, spoilt.low) == ("Cover by eye", "%", None, None)


@pytest.mark.parametrize("choice", [measure(summary="swap"), measure(window=(0, 99))])
def test_a_primary_measure_that_cannot_be_judged_is_refused(choice):
    with pytest.raises(DesignError):
        judge(plan_of(measures=(choice, measure(key="other", role="secondary"))), series_for(cover=CLEAR, other=CLEAR))


def test_a_secondary_measure_whose_values_cannot_be_used_is_still_refused():
    measures = (measure(key="first"), measure(key="second", role="secondary"))
    with pytest.raises(OutOfRangeError):
        judge(plan_of(measures=measures), series_for(first=CLEAR, second=([10, 11, 120], [20, 22, 24])))


def test_the_plan_is_not_needed_to_name_the_measure_that_is_compared():
    plan = plan_of(measures=())
    assert compare(plan, measure(), series_for(cover=CLEAR)).grade == "differs"


def test_findings_can_be_copied_with_another_grade_only():
    finding = compare(plan_of(), measure(), series_for(cover=CLEAR))
    assert replace(finding, grade=finding.grade) == finding


def test_the_room_needs_nothing_heavier_than_numpy():
    """Judging a trial must cost less than importing scipy would."""
    code = "import sys, fairtank.inference, fairtank.inference.analyses; print(*[name for name in sys.argv[1:] if name in sys.modules])"
    heavy = ["scipy", "statsmodels", "pandas"]
    assert subprocess.run([sys.executable, "-c", code, *heavy], capture_output=True, text=True, check=True).stdout.split() == []


def test_a_claim_that_only_the_adjustment_takes_back_is_not_called_fragile():
    alone = replace(compare(plan_of(measures=MEASURES), MEASURES[0], series_for(second=BARELY)), tags=("fragile", "gaps"))
    assert alone.grade == "differs"
    assert _with_holm(alone, 0.2, 3).tags == ("gaps",)
    assert _with_holm(alone, 0.02, 3).tags == ("fragile", "gaps")


def test_a_secondary_measure_is_read_once_at_the_end_and_keeps_its_whole_five_per_cent():
    measures = measure(key="first"), measure(key="second", role="secondary")
    plan = plan_of(measures=measures, looks=looks([14, 28, 42], [0.005, 0.01, 0.035]))
    first, second = judge(plan, series_for(first=CLEAR, second=CLEAR))
    assert (first.level, second.level) == (pytest.approx(0.965), pytest.approx(0.95))
    assert not any("looks were planned" in caution for caution in second.cautions)
