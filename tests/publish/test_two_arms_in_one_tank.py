"""Designs in which a tank has both arms: no text calls a value by the arm under which it was not taken."""

from dataclasses import replace
from pathlib import Path

from tests.publish.judged_trials import found, trial

from fairtank.publish import curves, dot_row
from fairtank.publish.arms import arm_looks
from fairtank.publish.content import ReportContent
from fairtank.publish.dots import dots_of
from fairtank.publish.numbers import figures, with_unit
from fairtank.publish.page_finding import finding_charts
from fairtank.publish.report_limits import limits
from fairtank.publish.video_words.content import WordsContent
from fairtank.publish.video_words.method_lines import method_lines
from fairtank.trial import TrialFolder


def made(kind, summary="mean", **more):
    """A trial of a design with its finding, as a report takes it."""
    plan, series = trial(kind, summary=summary, **more)
    finding = found(kind, summary=summary, **more)
    return ReportContent(TrialFolder(Path("invented"), plan, digest="sha256:" + "00" * 32), (finding,), series, (), "sha256:" + "00" * 32)


def test_in_a_swap_each_value_stands_with_the_arm_under_which_it_was_taken():
    content = made("swap", "swap")
    finding, looks = content.findings[0], arm_looks(content.folder.plan)
    told = dot_row.description(finding, looks)
    for dot in dots_of(finding, "R"):
        reference, change = (with_unit(figures(value), "%") for value in (dot.start, dot.place))
        assert f"{dot.unit} {reference} under the reference and {change} under the change" in told
    assert "arm R first (8 h block): " in told
    assert "arm R (8 h block)" not in told


def test_in_a_swap_a_course_is_named_by_what_came_first_everywhere():
    content = made("swap", "swap")
    plan, looks = content.folder.plan, arm_looks(content.folder.plan)
    assert "R1 (arm R first) from" in curves.description(plan, curves.points_of(plan, content.series), looks, "Algae cover", "%")
    lines = next(chart for chart in finding_charts(list(content.findings), plan, content.series, ()) if chart.key.startswith("curves"))
    assert lines.table.head[1] == "R1, arm R first [%]"


def test_a_run_in_and_a_reference_that_had_no_change_are_told_by_their_days():
    content = made("run_in", "change")
    told = dot_row.description(content.findings[0], arm_looks(content.folder.plan))
    assert "% in the run-in and " in told
    assert "after the change" not in told
    assert "Had all started alike: if the reference stands at" in told


def test_the_method_counts_tanks_not_the_places_of_tanks_in_rounds_or_orders():
    rounds = method_lines(WordsContent(made("rounds", n=(4, 4))))
    assert rounds[1].startswith("Two tanks in four rounds, in each of them one in either arm.")
    assert "of each round" in rounds[3]
    swap = method_lines(WordsContent(made("swap", "swap")))
    assert swap[1] == ("Six tanks: 3 under the 8 h block and 3 under the dark break first. Which one had what first was drawn by lot.")


def test_a_swap_has_orders_and_designs_without_a_time_before_say_so():
    swap = made("swap", "swap")
    assert "with 3 tanks in each order" in limits(swap, swap.findings)[0]
    for kind in ("side_by_side", "pairs"):
        content = made(kind)
        assert any("no run-in" in text for text in limits(content, content.findings)), kind
    run_in = made("run_in", "change")
    assert not any("no run-in" in text for text in limits(run_in, run_in.findings))


def test_values_from_photos_that_are_elsewhere_are_not_called_written_down():
    content = made("side_by_side")
    series = content.series[0]
    carried = type("Carried", (), {"measure": series.measure})()
    there = replace(content, folder=replace(content.folder, carried=(carried,)))
    assert "from photos that are not in this folder" in method_lines(WordsContent(there))[3]
    assert "values that were written down" in method_lines(WordsContent(content))[3]
