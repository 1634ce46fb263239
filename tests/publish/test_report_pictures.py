"""What a report draws and tables of the example trials: one picture and one table of the tanks for each measure, whatever the design."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from fairtank.finding import Finding
from fairtank.inference import judge
from fairtank.publish import charts, curves, dot_row
from fairtank.publish.arms import arm_looks
from fairtank.publish.blocks import Bullets, Figure, Table
from fairtank.publish.content import ReportContent
from fairtank.publish.document import document
from fairtank.publish.one_page import one_page
from fairtank.publish.phrases import comparison_words, plain_text
from fairtank.publish.site.link_picture import link_words
from fairtank.records.services.examples import example_events
from fairtank.simulation.trials import example_trial
from fairtank.trial import TrialFolder


def content_of(name: str) -> ReportContent:
    plan, series, earlier = example_trial(name)
    events = example_events(name, plan)
    folder = TrialFolder(Path(), plan, "sha256:" + "00" * 32, events=events, series=series)
    return ReportContent(folder, judge(plan, series, events, earlier=earlier), series, (), "sha256:" + "11" * 32)


@pytest.fixture(scope="module")
def contents():
    return {name: content_of(name) for name in ("three_arms", "two_changes", "ladder", "pairs", "swap", "threshold", "drawn_start")}


def blocks(content: ReportContent, kind: type) -> list:
    return [block for section in document(content).sections for block in section.blocks if isinstance(block, kind)]


def units_table(content: ReportContent) -> Table:
    found = [table for table in blocks(content, Table) if "number of each tank" in table.caption]
    assert len(found) == 1
    return found[0]


def texts(spec: dict) -> list[str]:
    return [plain_text(str(row["t"])) for layer in spec["layer"] if layer["mark"]["type"] == "text" for row in layer["data"]["values"]]


def dots(content: ReportContent, width_px: int = charts.WIDE_PX) -> dict:
    first, *others = content.findings
    return dot_row.dot_row(first, arm_looks(content.folder.plan), width_px=width_px, others=others)


def lines(content: ReportContent, **more) -> dict:
    plan = content.folder.plan
    return curves.curves(plan, content.series, arm_looks(plan), title="Cover", unit="%", events=content.folder.events,
                         width_px=charts.WIDE_PX, **more)


@pytest.mark.parametrize("name", ["three_arms", "two_changes", "ladder", "pairs", "swap"])
def test_a_measure_has_one_picture_of_its_tanks_and_one_table_of_them(contents, name):
    content = contents[name]
    assert [figure.key for figure in blocks(content, Figure)] == ["dots0", "curves0", "forest"]
    assert sorted(row[0] for row in units_table(content).rows) == sorted(unit.key for unit in content.folder.plan.units)


@pytest.mark.parametrize("width_px", [charts.NARROW_PX, charts.WIDE_PX])
def test_several_arms_stand_in_one_dot_row_with_an_interval_for_each_comparison(contents, width_px):
    told = texts(dots(contents["three_arms"], width_px))
    assert [text for text in told if text.endswith("would be at")] == ["With A at 12 %, B would be at", "With A at 12.4 %, C would be at"]
    used = {unit.unit for one in contents["three_arms"].findings for unit in one.units if unit.z is not None}
    assert used == {text for text in told if re.fullmatch(r"T\d+", text)}
    assert len(used) == 11


def test_an_arm_has_its_mean_in_the_decimals_of_its_sentence(contents):
    told = texts(dots(contents["three_arms"]))
    assert "mean 12.4 %" in told
    assert "mean 4.0 %" in told


def test_the_one_page_and_a_link_tell_every_comparison_and_each_measure_once(contents):
    content = contents["three_arms"]
    ten, twenty = content.findings[:2]
    other = replace(twenty, alternatives=tuple((name, "open") for name, _ in twenty.alternatives))
    other_measure = replace(other, measure="weight", title="Weight")
    told = [dict(one_page(replace(content, findings=found), document(content)).method) for found in (
        (ten, twenty), (ten, other), (ten, other_measure))]
    assert told[0]["Judged"].endswith("For each of the 2 comparisons: both other ways of analysing give the same answer.")
    assert told[1]["Judged"].endswith(f"{comparison_words(ten)}: both other ways of analysing give the same answer. "
                                      f"{comparison_words(other)}: 0 of 2 other ways of analysing give the same answer.")
    assert [told[place]["Measured"].count(f"{title}, mean over its days") for place in (0, 2) for title in ("Algae cover", "Weight")] == [
        1, 0, 1, 1]
    assert [link_words(ten, twenty).count(f"under {arm}.") for arm in ("ten", "twenty")] == [1, 1]
    assert link_words(*[ten] * 5).endswith(" 2 more comparisons stand on the page.")


def test_two_changes_are_told_as_with_against_without(contents):
    told = texts(dots(contents["two_changes"]))
    assert [text.split(" at ")[0] for text in told if text.endswith("; with it")] == ["Without short light", "Without floating plants"]
    caption = blocks(contents["two_changes"], Figure)[0].caption
    assert "one interval for each change: with it, set against the mean without it" in caption


def test_a_tank_that_was_not_used_has_its_reason_below_the_table_and_a_faint_line(contents):
    content = contents["three_arms"]
    row = next(row for row in units_table(content).rows if row[0] == "T5")
    assert row[2:4] == ("not used", "not used")
    assert any(item.startswith("T5 was taken out by an event on day 25") for block in blocks(content, Bullets) for item in block.items)
    faint = [layer for layer in lines(content, unused={"T5"})["layer"] if layer["mark"]["type"] == "line" and layer["mark"]["opacity"] < 1]
    assert {row["part"].split()[0] for layer in faint for row in layer["data"]["values"]} == {"T5"}
    curve = blocks(content, Figure)[1]
    assert "Fainter: tanks that could not be used" in curve.caption
    faint = [part for part in curve.description.split("; ") if part.endswith("drawn fainter: it could not be used")]
    assert [part.partition(" (")[0] for part in faint] == ["T5"]


def test_a_curve_has_its_key_in_its_colour_and_a_line_that_leads_to_it(contents):
    content, plan = contents["three_arms"], contents["three_arms"].folder.plan
    looks = arm_looks(plan)
    keyed = [layer for layer in lines(content)["layer"] if "column" in layer["data"]["values"][0]]
    for one in content.series:
        own = [(layer, row) for layer in keyed for row in layer["data"]["values"] if row["t"] == one.unit]
        colour = looks[plan.arm_of(one.unit).key].colour
        assert [(layer["mark"]["type"], layer["mark"]["color"]) for layer, _ in own] == [
            ("rule", colour), ("text", charts.text_ink(colour)), ("text", charts.text_ink(colour))]
        assert {row["value"] for _, row in own} == {one.values[-1]}


def test_pairs_are_named_in_the_table(contents):
    table = units_table(contents["pairs"])
    assert table.head[:3] == ("Tank", "Pair", "Arm")
    assert [row[1] for row in table.rows] == [f"P{place // 2 + 1}" for place in range(12)]


def test_a_swap_is_named_by_what_came_first_and_shades_its_wash_out(contents):
    content, plan = contents["swap"], contents["swap"].folder.plan
    spec = lines(content)
    assert [text for text in texts(spec) if text.endswith(" first")] == ["R  half speed first", "C  full speed first"]
    assert units_table(content).head[1] == "Arm first"
    shades = [layer["data"]["values"][0] for layer in spec["layer"] if layer["mark"] == {"type": "rect", "color": charts.SHADE}]
    assert shades == [{"day": plan.swap_day - 0.5, "until": plan.swap_day + plan.washout_days - 0.5}]
    assert "Shaded: the wash-out, days 28 to 30" in blocks(content, Figure)[1].caption


def test_a_ladder_counts_its_tanks_and_doses(contents):
    table = next(table for table in blocks(contents["ladder"], Table) if table.head[0] == "Measure")
    assert table.rows[0][4] == "12 at 4 doses"


@pytest.mark.parametrize("name", ["threshold", "drawn_start"])
def test_what_has_no_interval_has_no_row_in_the_chart_of_intervals(contents, name):
    assert "forest" not in [figure.key for figure in blocks(contents[name], Figure)]
    assert "log-odds" not in units_table(contents["threshold"]).caption


def test_the_chart_of_intervals_says_less_and_more(contents):
    told = blocks(contents["two_changes"], Figure)[2].wide
    assert all(f">{words}<" in told for words in ("less", "no difference", "more"))
    assert "…" not in told


def test_the_interval_bars_of_all_comparisons_are_the_findings(contents):
    def bars(finding: Finding) -> list[float]:
        return [round(finding.natural.low, 6), round(finding.natural.high, 6)]

    ends = [[round(row["x"], 6) for row in layer["data"]["values"]] for layer in dots(contents["three_arms"])["layer"]
            if layer["mark"].get("strokeWidth") == 4]
    assert ends == [bars(one) for one in contents["three_arms"].findings]
