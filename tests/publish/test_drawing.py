"""Charts drawn here are those of the renderer: the same elements in the same order, each number to the ten-thousandth of a px."""

import json
import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from invented_trials import dark_break, one_cover_glass

from fairtank.inference import judge
from fairtank.publish import charts, report_numbers
from fairtank.publish.arms import arm_looks
from fairtank.publish.document import primary_of
from fairtank.publish.drawing.figures import coordinate, label_of
from fairtank.publish.drawing.known import UnknownError
from fairtank.publish.drawing.sheet import chart_svg
from fairtank.publish.drawing.typeface import is_measured, text_width
from fairtank.publish.report_pictures import picture_blocks
from fairtank.records.services.examples import example_events
from fairtank.simulation.trials import EXAMPLES, example_trial

NUMBER = re.compile(r"-?\d+\.?\d*(?:e-?\d+)?")
# Every design's tanks at one of the two widths, and the courses that differ: a run-in, a swap, a drawn start, days that are taken out.
WITH_COURSE = ("run_in", "swap", "drawn_start", "three_arms")


def is_the_renderers(spec: charts.Spec) -> None:
    own, other = chart_svg(spec, key="k"), charts.tidy_svg(charts.drawn(spec), key="k", description=spec["description"])
    assert own
    assert NUMBER.sub("#", own) == NUMBER.sub("#", other)
    for mine, told in zip(NUMBER.findall(own), NUMBER.findall(other), strict=True):
        assert float(mine) == pytest.approx(float(told), abs=1e-4)


def asked_for(content, monkeypatch) -> dict[str, charts.Spec]:
    """The descriptions of a report's charts by their keys."""
    specs: dict[str, charts.Spec] = {}
    monkeypatch.setattr(charts, "svg_of", lambda spec, *, key: specs.setdefault(key, spec) and "")
    looks, primary = arm_looks(content.folder.plan), primary_of(content)
    picture_blocks(content, primary, looks)
    report_numbers.number_blocks(content, primary, looks)
    return specs


def example_content(design: str):
    plan, series, earlier = example_trial(design)
    events = example_events(design, plan)
    content = one_cover_glass()
    return replace(content, folder=replace(content.folder, plan=plan, events=events), series=series,
                   findings=judge(plan, series, events, earlier=earlier))


@pytest.mark.parametrize("design", EXAMPLES)
def test_each_designs_charts_are_those_of_the_renderer(design, monkeypatch):
    specs = asked_for(example_content(design), monkeypatch)
    assert all(chart_svg(spec, key=key) for key, spec in specs.items())
    width = ("wide", "narrow")[EXAMPLES.index(design) % 2]
    is_the_renderers(specs[f"dots0-{width}"])
    if design in WITH_COURSE:
        is_the_renderers(specs[f"curves0-{width}"])


def test_the_chart_of_all_intervals_is_that_of_the_renderer(monkeypatch):
    is_the_renderers(asked_for(dark_break(with_photos=False), monkeypatch)["forest-narrow"])


def quantity(field: str, domain: list[float], axis: dict | None) -> dict:
    return {"field": field, "type": "quantitative", "scale": {"domain": domain, "nice": False, "zero": False}, "axis": axis}


def every_mark(**axis) -> charts.Spec:
    """Each mark with what the charts above do not say of it, on axes whose labels touch, lie at both ends, or need a tie broken."""
    x = quantity("x", [-1, 1], {"title": "a side & more", "values": [-1, -0.625, -0.25, 0.125, 0.5, 1], "format": ".2f", **axis})
    y = quantity("y", [0, 10], {"title": None, "values": [0, 2.5, 2.6, 5, 7.5, 10], "format": ".6~g", "domain": False, "ticks": False})
    place, here = {"x": x, "y": y}, {"values": [{"x": 0.3, "y": 4, "x2": 0.9, "y2": 7}]}
    span = {**place, "x2": {"field": "x2"}, "y2": {"field": "y2"}}
    text = {"text": {"field": "t", "type": "nominal"}, "x": x, "y": {"value": 3}}
    layers = [{"data": here, "mark": {"type": "point", "shape": shape, "size": 80, "opacity": 0.5, "filled": is_filled, "color": "#0072B2"},
               "encoding": place} for shape, is_filled in zip(("circle", "square", "diamond", "triangle-up", "triangle-left",
                                                               "triangle-right"), (True, False) * 3, strict=True)]
    layers += [{"data": here, "mark": {"type": "rect", "color": "#efece5", "stroke": "#5c6066", "clip": True}, "encoding": span},
               {"data": here, "mark": {"type": "rule", "color": "#5c6066"}, "encoding": span}]
    told = {"values": [{"t": "To “AVA” & <five> Wy.", "x": 1}]}
    layers += [{"data": told, "mark": {"type": "text", "align": align, "baseline": baseline}, "encoding": text}
               for align, baseline in (("right", "top"), ("center", "alphabetic"), ("left", "middle"))]
    return charts.framed(layers, width_px=320, height_px=80, description='Marks\nwith "words" & <signs>.',
                         title="A title that takes two lines of this narrow chart")


@pytest.mark.parametrize("axis", [{"grid": False}, {"offset": 3, "format": ".1f"}, {"format": "d", "values": [-1, 0, 1]}], ids=str)
def test_marks_labels_and_titles_are_those_of_the_renderer(axis):
    is_the_renderers(every_mark(**axis))


@pytest.mark.parametrize("change", [
    lambda spec: spec["layer"][0]["mark"].update(tooltip=True), lambda spec: spec["layer"][0]["encoding"]["x"]["scale"].update(type="log"),
    lambda spec: spec["layer"][0]["encoding"]["x"]["scale"].update(domain=[-2, 1]), lambda spec: spec.update(width="container"),
    lambda spec: spec["layer"][-1]["data"]["values"].append({"t": "two\nlines", "x": 1}),
    lambda spec: spec["layer"][0].update(transform=[]),
    lambda spec: spec["layer"][0]["data"].update(values=[{"x": None, "y": 2}]), lambda spec: spec["config"]["axis"].update(labelLimit=20),
    lambda spec: spec["layer"][0]["mark"].update(type="arc"), lambda spec: spec["layer"][0]["encoding"].update(size={"value": 3}),
], ids=("a tooltip", "a logarithm", "two scales", "a width that is none", "two lines", "a transform", "no value",
        "a setting", "another mark", "another channel"))
def test_a_description_that_holds_anything_else_is_left_to_the_renderer(change):
    spec = json.loads(json.dumps(every_mark()))
    assert chart_svg(spec, key="k")
    change(spec)
    assert chart_svg(spec, key="k") == ""


def test_signs_of_other_typefaces_are_drawn_where_their_width_changes_nothing_and_left_to_the_renderer_elsewhere():
    spec = charts.framed([{"data": {"values": [{"t": "水草 5 µmol", "x": 0}]}, "mark": {"type": "text", "align": "left"}, "encoding": {
        "x": quantity("x", [-1, 1], None), "y": {"value": 30}, "text": {"field": "t", "type": "nominal"}}}], width_px=320, height_px=60,
        description="d", title="Light [µmol m⁻² s⁻¹]")
    is_the_renderers(spec)
    spec["layer"][0]["data"]["values"][0]["x"] = 1
    assert chart_svg(spec, key="k") == ""
    assert "水草 5 µmol" in [element.text for element in ElementTree.fromstring(charts.svg_of(spec, key="k")).iter()]


@pytest.mark.parametrize("weight", ["normal", "bold"])
def test_a_text_is_as_wide_as_the_renderer_measures_it(weight):
    for text in ("To Ta AVA Wy fi", "28.9 (26.0 to 32.1 %) against 7 %", "−0.9 b*, m² at 25 °C × 2", "  two  blanks ", "Äpfel, Fuß, naïf"):
        layer = {"data": {"values": [{"t": text}]}, "mark": {"type": "text", "align": "right", "fontWeight": weight},
                 "encoding": {"x": {"value": 0}, "y": {"value": 0}, "text": {"field": "t", "type": "nominal"}}}
        svg = charts.drawn(charts.framed([layer], width_px=600, height_px=20, description="d", title="t"))
        left = re.search(r'role-title"[^>]*><g transform="translate\(([-0-9.]+),', svg)  # as far as the text, which stands left of it
        assert text_width(text, 14, weight) == pytest.approx(-float(left[1]), abs=1e-4), text
    assert not is_measured("µmol", weight)


def test_numbers_are_written_as_the_renderer_writes_them():
    assert [coordinate(value) for value in (3, -0.0, 2.5, 1e-6, 2.5e-7, 12345678.0)] == ["3", "0", "2.5", "0.000001", "2.5e-7", "12345678"]
    assert [label_of(".6~g")(value) for value in (0.0, 0.000123456789, 120000.0, -2.50)] == ["0", "0.000123457", "120000", "−2.5"]
    assert [label_of(form)(-0.001) for form in (".2f", "d")] == ["0.00", "0"]
    for form, value in (("%", 1.0), (".6~g", 1e7)):
        with pytest.raises(UnknownError):
            label_of(form)(value)
