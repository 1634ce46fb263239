"""Charts: they can be drawn, say in words what they show, stay legible on a phone and need no colour."""

import json
import re
from dataclasses import replace
from datetime import datetime, timedelta
from xml.etree import ElementTree

import pytest
from invented_trials import dark_break, finding, one_cover_glass, weights

from fairtank.finding import Natural, UnitSummary
from fairtank.publish import charts, curves, dot_row, dots, event_marks, forest
from fairtank.publish.arms import arm_looks
from fairtank.trial import Event, Series

TRIALS = {"six tanks": lambda: dark_break(with_photos=False), "two tanks": one_cover_glass, "series only": weights}
SVG = "{http://www.w3.org/2000/svg}"


def specs_of(content, width_px: int) -> dict[str, dict]:
    looks, first = arm_looks(content.folder.plan), content.findings[0]
    series = [one for one in content.series if one.measure == first.measure]
    return {
        "dots": dot_row.dot_row(first, looks, width_px=width_px),
        "curves": curves.curves(content.folder.plan, series, looks, title=first.title, unit=first.unit_of_measure,
                                events=content.folder.events, width_px=width_px),
        "forest": forest.forest(content.findings, width_px=width_px),
    }


@pytest.mark.parametrize("width_px", [charts.NARROW_PX, charts.WIDE_PX])
@pytest.mark.parametrize("trial", TRIALS)
def test_every_chart_is_drawn_at_its_width_in_the_house_type(trial, width_px):
    for key, spec in specs_of(TRIALS[trial](), width_px).items():
        root = ElementTree.fromstring(charts.svg_of(spec, key=key))
        assert float(root.get("width")) == width_px
        sizes = [float(element.get("font-size").removesuffix("px")) for element in root.iter(f"{SVG}text")]
        assert sizes
        assert min(sizes) >= 12
        assert {element.get("font-family") for element in root.iter(f"{SVG}text")} == {charts.FONT}


def test_a_chart_is_one_image_with_words_for_it():
    svg = charts.svg_of(specs_of(one_cover_glass(), charts.WIDE_PX)["dots"], key="dots")
    root = ElementTree.fromstring(svg)
    assert root.get("role") == "img"
    assert "left 9.1" in root.get("aria-label")
    assert [element for element in root.iter() if element is not root and ("role" in element.attrib or "style" in element.attrib)] == []


def test_two_charts_on_one_page_share_no_id():
    spec = specs_of(dark_break(with_photos=False), charts.WIDE_PX)["curves"]
    ids = [set(re.findall(r'\bid="([^"]+)"', charts.svg_of(spec, key=key))) for key in ("one", "two")]
    assert not ids[0] & ids[1]


def test_arms_differ_in_line_and_mark_when_colour_is_taken_away():
    content = dark_break(with_photos=False)
    spec = specs_of(content, charts.WIDE_PX)["curves"]
    for layer in spec["layer"]:
        layer["mark"].pop("color", None)
        layer["encoding"].pop("color", None)
    root = ElementTree.fromstring(charts.svg_of(spec, key="grey"))
    dashes = {element.get("stroke-dasharray") for element in root.iter(f"{SVG}path") if element.get("stroke-width") == "2"
              and element.get("stroke-dasharray")}
    assert {"1,0", "7,4"} <= dashes
    looks = list(arm_looks(content.folder.plan).values())
    assert all(any(text.text == look.legend.replace("  ", " ") or text.text == look.legend for text in root.iter(f"{SVG}text"))
               for look in looks)


def test_a_gap_of_more_than_a_week_is_not_bridged():
    series = Series("T1", "algae_cover", (0, 7, 15, 16), (1.0, 2.0, 3.0, 4.0))
    assert [len(part) for part in curves.stretches(curves.daily(series))] == [2, 2]


def layer_of(spec: dict, **mark) -> list[dict]:
    """The layers whose mark has these properties."""
    return [layer for layer in spec["layer"] if all(layer["mark"].get(key) == value for key, value in mark.items())]


def curves_of(content, events, width_px=charts.WIDE_PX, measure="algae_cover"):
    plan = content.folder.plan
    series = [one for one in content.series if one.measure == measure]
    return curves.curves(plan, series, arm_looks(plan), title="Algae cover", unit="%", events=events, width_px=width_px)


def days_out(units, first, last, effect="exclude_window"):
    noon = datetime(2026, 3, 1, 12)
    return Event(tuple(units), noon + timedelta(days=first), noon + timedelta(days=last), first, last, "slip", "", effect)


def test_days_that_an_event_takes_out_are_hollow_and_not_on_the_line():
    content = dark_break(with_photos=False)
    own = {day for one in content.series if one.unit == "T2" and one.measure == "algae_cover" for day in one.days}
    spec = curves_of(content, [days_out(["T2"], 10, 13)])
    (line,), (rings,) = layer_of(spec, type="line"), layer_of(spec, type="point", filled=False)
    assert [row["day"] for row in rings["data"]["values"]] == [day for day in range(10, 14) if day in own]
    assert rings["data"]["values"]
    joined = {row["day"] for row in line["data"]["values"] if row["part"].startswith("T2")}
    assert joined == own - set(range(10, 14))
    assert f"{len(rings['data']['values'])} days taken out" in spec["description"]
    assert layer_of(curves_of(content, [days_out(["T2"], 10, 13, "keep")]), type="point", filled=False) == []


def keys_in(spec: dict) -> list[str]:
    return [row["t"] for layer in spec["layer"] for row in layer.get("data", {}).get("values", ())
            if layer["mark"]["type"] == "text" and "day" in row and "value" not in row]


@pytest.mark.parametrize("width_px", [charts.NARROW_PX, charts.WIDE_PX])
def test_an_event_of_one_unit_carries_its_key_at_its_bar_and_one_of_all_none(width_px):
    content = dark_break(with_photos=False)
    every = [unit.key for unit in content.folder.plan.units]
    events = [days_out([], 3, 3, "keep"), days_out(every, 8, 8, "keep"), days_out(["T5"], 16, 25, "keep")]
    assert keys_in(curves_of(content, events, width_px)) == ["T5"]


def test_keys_without_room_at_their_bar_stand_in_the_caption():
    plan = dark_break(with_photos=False).folder.plan
    events = [days_out(["T5"], 16, 25, "keep"), days_out(["T2", "T3"], 17, 17, "keep")]
    days = (0, 37, 40.0)
    assert event_marks.placed(plan, events, days, charts.WIDE_PX) == [(16, 25, "T5")]
    assert event_marks.unplaced_words(plan, events, [(days, charts.WIDE_PX)]) == "day 17: T2, T3"
    assert event_marks.unplaced_words(plan, events[:1], [(days, charts.WIDE_PX), (days, charts.NARROW_PX)]) == ""


def test_curves_are_limited_to_the_trials_days():
    content = one_cover_glass()
    series = [Series("left", "algae_cover", (-4, 0, 5, 28, 35), (1.0, 2.0, 3.0, 4.0, 5.0)), Series("right", "algae_cover", (40,), (9.0,))]
    spec = curves.curves(content.folder.plan, series, arm_looks(content.folder.plan), title="Algae cover", unit="%",
                         width_px=charts.WIDE_PX)
    (line,) = layer_of(spec, type="line")
    assert {row["day"] for row in line["data"]["values"]} == {0, 5, 28}
    assert "right" not in spec["description"]


@pytest.mark.parametrize("width_px", [charts.NARROW_PX, charts.WIDE_PX])
def test_the_interval_chart_has_no_diamond_where_nothing_sets_the_scale(width_px):
    lone = finding(grade="alone", low=None, high=None, margin=None, natural=Natural(12.0, 8.3, None, None, "%"))
    spec = forest.forest((lone,), width_px=width_px)
    assert layer_of(spec, shape="diamond") == []
    assert "no interval" in [row["t"] for layer in layer_of(spec, type="text") for row in layer["data"]["values"]]
    for drawn in (finding(), finding(grade="alone", low=None, high=None, margin=0.5)):
        spec = forest.forest((drawn,), width_px=width_px)
        assert len(layer_of(spec, shape="diamond")) == 1
        assert "no interval" not in [row["t"] for layer in layer_of(spec, type="text") for row in layer["data"]["values"]]


def test_the_dot_row_shows_the_interval_only_where_there_is_one():
    with_interval = json.dumps(specs_of(dark_break(with_photos=False), charts.WIDE_PX)["dots"], ensure_ascii=False)
    without = json.dumps(specs_of(one_cover_glass(), charts.WIDE_PX)["dots"])
    assert "D would be at" in with_interval
    assert "No interval: the data alone cannot tell" in without
    assert "would be at" not in without


def test_a_change_shows_where_each_tank_came_from():
    units = (UnitSummary("T1", "R", 0.5, 30, None, -1.0), UnitSummary("T2", "D", 0.2, 30, None, -1.2))
    placed = dots.dots_of(finding(summary="change", units=units))
    assert [round(dot.start, 1) for dot in placed] == [18.2, 19.8]


def pairs_plan():
    content = dark_break(with_photos=False)
    units = tuple(replace(unit, pair=f"P{place // 2}") for place, unit in enumerate(content.folder.plan.units))
    return replace(content.folder.plan, kind="pairs", units=units), content


@pytest.mark.parametrize("width_px", [charts.NARROW_PX, charts.WIDE_PX])
def test_a_thin_line_joins_the_two_of_each_pair(width_px):
    plan, content = pairs_plan()
    partners = dots.partners_of(plan)
    assert sorted(partners.values()) == sorted(unit.key for unit in plan.units if unit.arm == "R")
    spec = dot_row.dot_row(content.findings[0], arm_looks(plan), width_px=width_px, partners=partners)
    joins = [layer for layer in spec["layer"] if layer["mark"].get("color") == dot_row.FAINT]
    marks = [layer["data"]["values"][0] for layer in spec["layer"] if layer["mark"]["type"] == "point"]
    assert len(joins) == 3
    for join in joins:
        assert all({"x": end["x"], "y": end["y"]} in marks for end in join["data"]["values"])
    rows = [sorted(end["y"] for end in join["data"]["values"]) for join in joins]
    assert [upper for upper, _ in sorted(rows)] == [upper for upper, _ in sorted(rows, key=lambda row: row[1])]
    assert spec["description"].endswith("A line joins the two of each pair.")


def test_tanks_that_stand_in_no_pairs_are_not_joined():
    content = dark_break(with_photos=False)
    assert dots.partners_of(content.folder.plan) == {}
    spec = specs_of(content, charts.WIDE_PX)["dots"]
    assert not [layer for layer in spec["layer"] if layer["mark"].get("color") == dot_row.FAINT]


def test_a_change_told_over_several_arms_is_drawn_in_the_colour_of_none():
    content = dark_break(with_photos=False)
    one = replace(content.findings[0], design="two_changes", reference_label="without a dark break", changed_label="with a dark break")
    text = json.dumps(dot_row.dot_row(one, arm_looks(content.folder.plan), width_px=charts.WIDE_PX), ensure_ascii=False)
    assert re.search(r"Without a dark break at [0-9.]+\u00a0%; with it\"", text)


@pytest.mark.parametrize("width_px", [charts.NARROW_PX, charts.WIDE_PX])
def test_a_title_is_wrapped_and_not_cut(width_px):
    name = "Carpet cover [day]: last below the threshold (open), first at it (filled)"
    assert " ".join(charts.wrapped(name, width_px)) == name


def test_a_spoilt_tank_has_no_dot():
    units = (UnitSummary("T1", "R", None, 3, "A gap.", None), UnitSummary("T2", "D", -1.0, 30, None, -1.0))
    assert [dot.unit for dot in dots.dots_of(finding(units=units))] == ["T2"]


@pytest.mark.parametrize("summary", ["slope", "change", "swap", "threshold"])
def test_every_summary_has_a_dot_row(summary):
    content = dark_break(with_photos=False)
    units = tuple(UnitSummary(f"T{place}", "RD"[place % 2], 0.01 * place, 30, None, -1.0 + 0.1 * place) for place in range(1, 7))
    one = finding(summary=summary, units=units, estimate=-0.01, low=-0.03, high=0.01, margin=0.02)
    svg = charts.svg_of(dot_row.dot_row(one, arm_looks(content.folder.plan), width_px=charts.NARROW_PX), key=summary)
    assert "T6" in svg


def test_a_hostile_name_is_only_text_in_a_chart():
    content = weights()
    name = "</svg><script>alert(1)</script>" * 40
    one = finding(title=name, changed_label=name, units=content.findings[0].units, scale="identity")
    svg = charts.svg_of(forest.forest((one,), width_px=charts.WIDE_PX), key="x")
    root = ElementTree.fromstring(svg)
    assert not [element for element in root.iter() if element.tag.endswith("script")]


@pytest.mark.parametrize(("low", "high"), [(-90.0, 90.0), (-0.5, 700.0)])
def test_an_interval_without_end_leaves_the_tanks_visible(low, high):
    content = dark_break(with_photos=False)
    natural = Natural(14.0, 10.0, 0.0, float("inf"), "cm")
    one = finding(scale="log", natural=natural, low=low, high=high, units=content.findings[2].units, unit_of_measure="cm")
    svg = charts.svg_of(dot_row.dot_row(one, arm_looks(content.folder.plan), width_px=charts.NARROW_PX), key="wide")
    assert "T6" in svg


def test_the_dot_row_does_not_round_an_end_onto_no_effect():
    looks = arm_looks(dark_break(with_photos=False).folder.plan)
    units = tuple(UnitSummary(f"T{place}", "RD"[place % 2], -5.0, 30, None, -5.0 + place % 2) for place in range(1, 7))
    one = finding(grade="differs", estimate=1.494, low=0.158, high=2.83, natural=Natural(0.28, 1.233, 0.328, 4.54, "%"), units=units)
    spec = dot_row.dot_row(one, looks, width_px=charts.WIDE_PX)
    text = json.dumps(spec, ensure_ascii=False).replace("\u00a0", " ")
    assert "With R at 0.28 %, D would be at" in text
    assert "1.2 (0.33 to 4.5 %)" in text
    assert spec["description"].replace("\u00a0", " ").endswith(
        "If the reference stands at 0.28 %, the changed arm would stand at 1.2 % (0.33 to 4.5 %).")


@pytest.mark.parametrize("width_px", [charts.NARROW_PX, charts.WIDE_PX])
def test_a_long_name_of_signs_beyond_the_first_plane_is_cut_between_signs(width_px):
    content = one_cover_glass()
    arms = tuple(replace(arm, name="🐠" * 60) for arm in content.folder.plan.arms)
    content = replace(content, folder=replace(content.folder, plan=replace(content.folder.plan, arms=arms)))
    for key, spec in specs_of(content, width_px).items():
        ElementTree.fromstring(charts.svg_of(spec, key=key))


def test_equal_values_and_a_single_day_can_be_drawn():
    content = one_cover_glass()
    series = [Series(key, "algae_cover", (3,), (5.0,)) for key in ("left", "right")]
    spec = curves.curves(content.folder.plan, series, arm_looks(content.folder.plan), title="Algae cover", unit="%",
                         width_px=charts.WIDE_PX)
    assert "left" in charts.svg_of(spec, key="flat")
