"""Charts to take away on a phone: text that can be read where a picture is 360 px wide, and the same numbers in the lower forms."""

import itertools
import re
from dataclasses import replace
from functools import cache

import pytest
from tests.publish.even_results import result_of
from tests.publish.site_examples import small_trial
from tests.publish.test_report_pictures import content_of, texts

from fairtank.inference import judge
from fairtank.inference.foresight.showing import show
from fairtank.publish import charts, curves, dot_row, ladder_chart
from fairtank.publish.arms import arm_looks
from fairtank.publish.chart_export.by_day import until_day
from fairtank.publish.chart_export.dot_lines import dot_lines, legend
from fairtank.publish.chart_export.inks import ON_DARK, on_ground
from fairtank.publish.chart_export.listing import trial_charts
from fairtank.publish.chart_export.looks import looks_chart, looks_drawn
from fairtank.publish.chart_export.lower import lowered, notes_of, without_keys
from fairtank.publish.chart_export.shapes import SHAPES
from fairtank.publish.dots import judged_on_axis, partners_of
from fairtank.publish.frontier import frontier_spec
from fairtank.publish.numbers import shown
from fairtank.publish.phrases import plain_text
from inference.trials import event, levels, looks, measure, plan_of

PHONE_PX = 360
SMALLEST_PX = 7.0  # on that phone


@cache
def example(name):
    return content_of(name)


def rows_of(spec, mark):
    return [row for layer in spec["layer"] if layer["mark"]["type"] == mark for row in layer["data"]["values"]]


def low_dots(name, width_px=charts.NARROW_PX):
    content = example(name)
    first, *others = content.findings
    return dot_lines(first, arm_looks(content.folder.plan), width_px=width_px, others=others, partners=partners_of(content.folder.plan))


def test_three_arms_can_be_read_on_a_phone_in_a_wide_picture():
    chart = next(one for one in trial_charts(example("three_arms"), SHAPES["wide"]) if one.key.startswith("tanks"))
    sheet = chart.laid(SHAPES["wide"])
    assert sheet.low_px > 0
    assert sheet.text_px * PHONE_PX / SHAPES["wide"].width_px >= SMALLEST_PX
    drawing = chart.drawn(sheet)
    assert drawing.notes == ("Grey band: too small to matter. Thin line: no difference.",)
    assert "…" not in drawing.svg


@pytest.mark.parametrize("shape", ["wide", "tall", "square"])
def test_the_matrix_takes_as_many_pictures_as_its_text_needs_and_tells_each_factor_once(shape):
    content = small_trial()
    factors = {"conductivity": [412.0 + 9 * place for place in range(6)], "kh": [4.0, 4.2, 3.9, 4.1, 4.4, 4.0], "light_on": [10.5] * 6}
    content = replace(content, evenness=result_of("RDDRRD", factors, arms=content.folder.plan.arms))
    telling = [check for check in content.evenness.checks if check.values and check.verdict != "even"]
    even = [check for check in content.evenness.checks if check.verdict == "even" and check.values]
    assert len(telling) > 1 <= len(even)
    pages = [one for one in trial_charts(content, SHAPES[shape]) if one.key.startswith("evenness")]
    told = [page.drawn(page.laid(SHAPES[shape])) for page in pages]
    for check in telling:
        assert sum(check.title in drawing.description for drawing in told) == 1, check.title
    for page in pages:
        assert page.laid(SHAPES[shape]).text_px * PHONE_PX / SHAPES[shape].width_px >= SMALLEST_PX, page.key
        assert page.verdict == f"The same in every tank: {len(even)} more factor{'s' * (len(even) > 1)}, named in the form for a page."
    whole = next(one for one in trial_charts(content, SHAPES["page"]) if one.key.startswith("evenness")).draw(680)
    assert all(check.title in whole.description for check in (*telling, *even))


@pytest.mark.parametrize("name", ["three_arms", "two_changes", "swap", "drawn_start", "pairs", "threshold"])
def test_the_low_dot_row_has_each_mark_and_each_interval_of_the_usual_one_and_is_lower(name):
    content, low = example(name), low_dots(name)
    plan = content.folder.plan
    usual = dot_row.dot_row(content.findings[0], arm_looks(plan), width_px=charts.NARROW_PX, others=content.findings[1:],
                            partners=partners_of(plan))
    assert sorted(row["x"] for row in rows_of(low, "point")) == pytest.approx(sorted(row["x"] for row in rows_of(usual, "point")))
    assert low["height"] < 0.85 * usual["height"]
    assert low["description"] in usual["description"]
    ends = [[row["x"] for row in layer["data"]["values"]] for layer in low["layer"] if layer["mark"].get("strokeWidth") == 4]
    judged = [found for one in content.findings if (found := judged_on_axis(one, one.reference_arm)) is not None]
    assert len(ends) == len(judged)
    domain = next(layer["encoding"]["x"]["scale"]["domain"] for layer in low["layer"] if layer["mark"]["type"] == "point")
    for (first, last), one in zip(ends, judged, strict=True):
        assert (first, last) == pytest.approx((max(one.low, domain[0]), min(one.high, domain[1])))
    assert bool(legend(content.findings, arm_looks(plan))) == bool(judged)


def test_marks_of_one_line_stand_apart():
    low = low_dots("three_arms")
    domain = next(layer["encoding"]["x"]["scale"]["domain"] for layer in low["layer"] if layer["mark"]["type"] == "point")
    per_px = (domain[1] - domain[0]) / charts.NARROW_PX
    lines = {}
    for row in rows_of(low, "point"):
        lines.setdefault(round(row["y"], 1), []).append(row["x"])
    assert any(len(own) > 1 for own in lines.values())
    for own in lines.values():
        assert all(right - left >= 11 * per_px for left, right in itertools.pairwise(sorted(own)))


def curves_of(name, width_px=charts.NARROW_PX):
    content = example(name)
    plan = content.folder.plan
    return curves.curves(plan, content.series, arm_looks(plan), title="Cover", unit="%", events=content.folder.events, width_px=width_px)


@pytest.mark.parametrize("name", ["three_arms", "two_changes", "swap", "pairs"])
def test_lower_curves_keep_their_values_below_the_legend_and_above_the_events(name):
    usual = curves_of(name)
    low = lowered(usual, 150)
    assert low["height"] < usual["height"] - 20
    assert low["height"] >= len({unit.key for unit in example(name).folder.plan.units}) * (charts.text_px(charts.NARROW_PX) + 1)
    assert rows_of(low, "line") == rows_of(usual, "line")
    placed = [part["value"] for layer in low["layer"] for axis, part in layer["encoding"].items() if axis[0] == "y" and "value" in part]
    legend_end = max(value for value in placed if value < low["height"] / 2)
    foot = min((value for value in placed if value > low["height"] / 2), default=low["height"])
    bottom, top = next(layer["encoding"]["y"]["scale"]["domain"] for layer in low["layer"] if layer["mark"]["type"] == "line")
    down = [(top - row["value"]) / (top - bottom) * low["height"] for row in rows_of(low, "line")]
    assert min(down) > legend_end
    assert max(down) < foot
    last = until_day(low, max(row["day"] for row in rows_of(usual, "line")))
    keys = sorted((top - row["place"]) / (top - bottom) * low["height"] for row in rows_of(last, "text") if "place" in row)
    assert len(keys) >= 2 * len(example(name).folder.plan.units), "each key, and its rim"
    assert min(below - above for above, below in itertools.pairwise(sorted(set(keys)))) > charts.text_px(charts.NARROW_PX) - 0.5


@pytest.mark.parametrize(("name", "has_keys"), [("three_arms", False), ("drawn_start", True)])
def test_many_keys_wait_for_the_last_day_so_that_they_do_not_cover_the_legend(name, has_keys):
    usual = curves_of(name)
    chart = next(one for one in trial_charts(example(name), SHAPES["wide"]) if one.key.startswith("curves"))
    frame, whole = (until_day(without_keys(usual), 10), usual)
    assert any("place" in row for row in rows_of(frame, "text")) is has_keys
    assert [row for row in rows_of(frame, "line") if "place" not in row] == [row for row in rows_of(whole, "line") if row["day"] <= 10]
    unit = example(name).folder.plan.units[0].key
    drawn = [chart.lower(320, 250.0, day).svg.count(f">{unit}<") for day in (10, chart.days[1])]
    assert (drawn[0] > 0, drawn[1] > 0) == (has_keys, True)


def test_a_chart_is_never_made_higher_nor_so_low_that_nothing_could_be_seen():
    usual = curves_of("three_arms")
    assert lowered(usual, 4000)["height"] == usual["height"]
    assert lowered(usual, 0)["height"] > 100


def test_a_lower_ladder_tells_what_stood_below_it_beside_it():
    content = example("ladder")
    plan = content.folder.plan
    usual = ladder_chart.ladder_chart(content.findings[0], plan, arm_looks(plan), width_px=charts.WIDE_PX)
    low = lowered(usual, 240)
    assert notes_of(usual)
    assert all("Shaded" not in text for text in texts(low))
    assert set(notes_of(usual)) | set(texts(low)) == {row["t"] if row["t"] in notes_of(usual) else plain_text(str(row["t"]))
                                                      for row in rows_of(usual, "text")}
    assert rows_of(low, "point") == rows_of(usual, "point")


def test_what_the_trial_could_show_is_a_chart_to_take_away_with_each_design_named():
    showing = show(plan_of(3, 3, expect="less"))
    with_it, without = (trial_charts(example("swap"), SHAPES["page"], told) for told in (showing, None))
    assert {one.key for one in with_it} - {one.key for one in without} == {"what-could-it-show"}
    chart = next(one for one in with_it if one.key == "what-could-it-show")
    assert chart.title.startswith("What the trial could show. ")
    assert not chart.verdict, "it was told before any value"
    low = chart.lower(400, 220, None)
    assert [note.split("  ")[0] for note in low.notes[:len(showing.designs)]] == [one.letter for one in showing.designs]
    assert all(note in notes_of(frontier_spec(showing, width_px=4000)) for note in low.notes)


LOOKS = plan_of(looks=looks((14, 28, 42), (0.005, 0.010, 0.035)))


def judged_at_looks(plan=LOOKS, **more):
    return judge(plan, levels((10, 14, 11), (18, 13, 22)), more.get("events", ()))[0]


def test_each_planned_look_has_its_interval_and_they_grow_narrower_with_what_they_may_spend():
    found = judged_at_looks()
    spec = looks_chart(found, arm_looks(LOOKS), width_px=charts.WIDE_PX)
    told = [text for text in texts(spec) if text.startswith("Day")]
    assert [text.partition(" interval")[0] for text in told] == ["Day 14, 99.5 %", "Day 28, 99 %", "Day 42, 96.5 %"]
    bars = [[row["x"] for row in layer["data"]["values"]] for layer in spec["layer"] if layer["mark"].get("strokeWidth") == 4]
    ends = [(look.natural.low, look.natural.high) for look in found.looks] + [(found.natural.low, found.natural.high)]
    assert [bar[1] for bar in bars][1:] == pytest.approx([high for _, high in ends][1:])
    assert [bar[0] for bar in bars] == pytest.approx([low for low, _ in ends])
    widths = [last - first for first, last in bars]
    assert widths == sorted(widths, reverse=True)
    assert all(shown(text) in plain_text(spec["description"]) for text in told)


def test_a_trial_stopped_at_a_look_names_that_look_last():
    found = judged_at_looks(events=[event([], 30, 30, "keep", "stop")])
    assert [words[0] for words, _ in looks_drawn(found, arm_looks(LOOKS))][-1].startswith("Day 28, 99")


@pytest.mark.parametrize("plan", [plan_of(), plan_of(looks=looks((42,), (0.05,)))])
def test_a_trial_that_is_read_once_has_no_picture_of_looks(plan):
    assert looks_drawn(judged_at_looks(plan), arm_looks(plan)) == ()


def test_looks_without_an_interval_have_no_picture():
    plan = plan_of(1, 1, looks=looks((14, 42), (0.01, 0.04)), choice=measure())
    assert looks_drawn(judge(plan, levels((10,), (24,)))[0], arm_looks(plan)) == ()


def test_what_the_trial_could_show_and_the_looks_have_inks_for_every_ground():
    showing, found = show(plan_of(3, 3, expect="less")), judged_at_looks()
    specs = frontier_spec(showing, width_px=680), looks_chart(found, arm_looks(LOOKS), width_px=680)
    drawn = [charts.svg_of(spec, key="one") for spec in specs]
    for svg in drawn:
        assert set(re.findall(r'(?:fill|stroke)="(#[0-9A-Fa-f]{6})"', svg)) <= set(ON_DARK)
    assert re.search(r'<text[^>]* stroke="#ffffff"', drawn[0])
    assert not re.search(r'<text[^>]* stroke="#ffffff"', on_ground(drawn[0], "transparent"))
