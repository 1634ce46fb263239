"""The picture of a calculator along a range: house type and inks, told apart without colour, told in words, missing figures left open."""

import json
import math
from xml.etree import ElementTree

import pytest

from fairtank.publish import charts
from fairtank.publish.arms import DASHES
from fairtank.publish.calc_chart import MOST_LINES, Line, Picture, described, file_svg, picture_spec, picture_svg

SVG = "{http://www.w3.org/2000/svg}"
PLACES = tuple(6 + index / 10 for index in range(21))


def falling(factor):
    return tuple(factor * 10 ** (6 - place) for place in PLACES)


def one_line(**changes):
    values = falling(100.0)
    ends = tuple(0.8 * value for value in values), tuple(1.3 * value for value in values)
    told = {"title": "Dissolved gas", "quantity": "free gas", "unit": "mg/L", "along": "pH", "along_unit": "", "between": "",
            "lines": (Line("", PLACES, values, ends),), "condition": "if pH is right to ±0.1 and KH to ±0.5 dKH"}
    return Picture(**{**told, **changes})


def several(count=MOST_LINES, apart=False):
    values = [tuple(value + 50 * index * apart for value in falling(20.0 * (index + 1))) for index in range(count)]
    lines = tuple(Line(f"{2 * (index + 1)} dKH", PLACES, own) for index, own in enumerate(values))
    return one_line(lines=lines, between="KH", condition="", left_out=3)


def texts(svg):
    return ["".join(element.itertext()) for element in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def legend_of(spec):
    """The pieces of line in the legend."""
    return [layer for layer in spec["layer"] if layer["mark"]["type"] == "rule" and "strokeDash" in layer["mark"]]


@pytest.mark.parametrize("width_px", [charts.NARROW_PX, charts.WIDE_PX])
@pytest.mark.parametrize("picture", [one_line(), several(), several(apart=True)], ids=["band", "legend", "ends"])
def test_it_is_drawn_at_its_width_in_the_house_type(picture, width_px):
    root = ElementTree.fromstring(picture_svg(picture, width_px=width_px))
    assert float(root.get("width")) == width_px
    assert root.get("role") == "img"
    assert root.get("aria-label") == described(picture)
    sizes = [float(element.get("font-size").removesuffix("px")) for element in root.iter(f"{SVG}text")]
    assert min(sizes) >= 12
    assert {element.get("font-family") for element in root.iter(f"{SVG}text")} == {f"{charts.FONT}, sans-serif"}


def test_the_file_stands_on_white():
    root = ElementTree.fromstring(picture_svg(one_line()))
    first = next(iter(root))
    assert (first.tag, first.get("fill"), first.get("width")) == (f"{SVG}rect", "#ffffff", "100%")
    assert "javascript" not in file_svg("<svg><g/></svg>")


def test_axis_and_heading_carry_quantities_and_units():
    told = texts(picture_svg(one_line(along="water temperature", along_unit="°F")))
    assert "water temperature [°F]" in told
    heading = " ".join(picture_spec(one_line(), width_px=charts.WIDE_PX)["title"])
    assert "Dissolved gas: free gas [mg/L]. Shaded: where it lies in 19 cases of 20, if pH is right to ±0.1" in heading


def test_lines_differ_in_stroke_and_label_when_colour_is_taken_away():
    for picture in (several(), several(apart=True)):
        svg = picture_svg(picture)
        dashes = {element.get("stroke-dasharray") for element in ElementTree.fromstring(svg).iter(f"{SVG}path")
                  if element.get("stroke-width") == "2" and element.get("stroke-dasharray")}
        assert {",".join(map(str, dash)) for dash in DASHES} <= dashes
        assert {line.label for line in picture.lines} <= set(texts(svg))


def test_labels_stand_at_the_ends_where_lines_end_apart_and_else_in_a_legend():
    crowded, apart = (picture_spec(picture, width_px=charts.WIDE_PX) for picture in (several(), several(apart=True)))
    assert [len(legend_of(spec)) for spec in (crowded, apart)] == [MOST_LINES, 0]
    assert crowded["height"] > apart["height"]


def test_the_legend_names_each_line_by_its_own_stroke():
    legend = legend_of(picture_spec(several(3), width_px=charts.WIDE_PX))
    assert [(layer["data"]["values"][0]["t"], tuple(layer["mark"]["strokeDash"])) for layer in legend] == [
        (f"{2 * (index + 1)} dKH", DASHES[index]) for index in range(3)]


def test_missing_figures_break_the_line_and_leave_the_band():
    values = (math.nan, 2.0, 3.0, math.nan, 5.0)
    line = Line("", (1.0, 2.0, 3.0, 4.0, 5.0), values, ((0.5, 1.0, 2.0, 3.0, 4.0), (2.0, 3.0, 4.0, 5.0, 6.0)))
    spec = picture_spec(one_line(lines=(line,)), width_px=charts.WIDE_PX)
    drawn = next(layer for layer in spec["layer"] if layer["mark"]["type"] == "line" and layer["mark"]["strokeWidth"] == 2)
    parts = {}
    for row in drawn["data"]["values"]:
        parts.setdefault(row["part"], []).append(row["x"])
    assert list(parts.values()) == [[2.0, 3.0], [5.0]]
    band = next(layer for layer in spec["layer"] if layer["mark"]["type"] == "area")
    assert [row["x"] for row in band["data"]["values"]] == [1.0, 2.0, 3.0, 4.0, 5.0]
    assert "NaN" not in json.dumps(spec)


def test_a_line_without_any_figure_is_told_as_such():
    line = Line("", (1.0, 2.0), (math.nan, math.nan), ((0.5, 1.0), (2.0, 3.0)))
    assert "no figures, only the band" in described(one_line(lines=(line,)))
    assert picture_svg(one_line(lines=(line,))).startswith("<svg")


def test_words_say_where_each_line_goes():
    assert described(one_line()) == (
        "Dissolved gas, free gas along pH from 6 to 8: from 100 mg/L (80 to 130) to 1.00 mg/L (0.80 to 1.30). The band holds the truth in "
        "19 cases of 20, if pH is right to ±0.1 and KH to ±0.5 dKH.")
    told = described(several(2))
    assert "KH 2 dKH (solid line) from 20.0 mg/L to 0.200 mg/L; KH 4 dKH (dashed line) from 40.0 mg/L to 0.400 mg/L." in told
    valley = Line("", (1.0, 2.0, 3.0), (4.0, 1.0, 5.0))
    assert "from 4.00 h to 5.00 h, lowest 1.00 h" in described(one_line(lines=(valley,), unit="h", condition=""))


def test_lines_that_were_left_out_are_counted():
    assert f"one line for each KH ({MOST_LINES} of {MOST_LINES + 3})" in " ".join(picture_spec(several(), width_px=charts.WIDE_PX)["title"])


def test_a_constant_can_be_drawn():
    flat = Line("", (1.0, 2.0), (3.0, 3.0))
    zero = Line("", (1.0, 2.0), (0.0, 0.0))
    for line in (flat, zero):
        assert picture_svg(one_line(lines=(line,), condition="")).startswith("<svg")


@pytest.mark.parametrize("width_px", [charts.NARROW_PX, charts.WIDE_PX])
def test_one_answer_is_marked_with_a_ring_on_its_line_and_told(width_px):
    picture = one_line(here=(6.6, 100.0 * 10**-0.6))
    spec = picture_spec(picture, width_px=width_px)
    (ring,) = (layer for layer in spec["layer"] if layer["mark"].get("shape") == "circle" and layer["mark"]["filled"] is False)
    assert ring["data"]["values"] == [{"x": 6.6, "y": 100.0 * 10**-0.6}]
    assert " ".join(spec["title"]).endswith("Ring: the value that was asked for")
    assert described(picture).endswith(" A ring marks the value that was asked for, 6.6.")
    assert "ring" not in described(one_line()).lower()


def test_a_band_that_is_none_of_reading_errors_says_what_it_is():
    picture = one_line(condition="", band="from its low to its high end")
    assert " ".join(picture_spec(picture, width_px=charts.WIDE_PX)["title"]).endswith("Shaded: from its low to its high end")
    assert described(picture).endswith(" The band shows the result from its low to its high end.")
    assert "19 cases" not in described(picture)


def test_a_band_may_stand_without_a_line():
    missing = (math.nan,) * len(PLACES)
    alone = Line("", PLACES, missing, (falling(80.0), falling(120.0)))
    picture = one_line(lines=(alone,), condition="", band="from its low to its high end")
    root = ElementTree.fromstring(picture_svg(picture))
    assert "no figures, only the band" in root.get("aria-label")
