"""The picture of cost against smallest difference: at its width, in the house type, one letter per design, in words."""

from dataclasses import replace
from xml.etree import ElementTree

import pytest

from fairtank.inference.foresight.showing import Prices, show
from fairtank.publish import charts
from fairtank.publish.detect_words import HUGE_CELL
from fairtank.publish.frontier import FAR_UP, NOT_DRAWN, description, frontier_chart, frontier_spec, points_of
from fairtank.publish.frontier_axis import height_of, level_at, level_ticks
from inference.trials import measure, plan_of

SVG = "{http://www.w3.org/2000/svg}"
SHOWN = {
    "one tank each": lambda: show(plan_of(1, 1)),
    "priced, less": lambda: show(plan_of(3, 3, expect="less"), prices=Prices(80, 2)),
    "on a log scale": lambda: show(plan_of(2, 2, expect="more", choice=measure("log"))),
    "as it is": lambda: show(plan_of(3, 3, choice=measure("identity", unit="cm")), sd=1.2),
}


@pytest.fixture(params=list(SHOWN))
def showing(request):
    return SHOWN[request.param]()


def drawn(showing, width_px=charts.WIDE_PX):
    return ElementTree.fromstring(frontier_chart(showing, width_px=width_px))


def texts_of(root):
    return ["".join(element.itertext()) for element in root.iter(f"{SVG}text")]


@pytest.mark.parametrize("width_px", [charts.NARROW_PX, 360, charts.WIDE_PX])
def test_it_is_drawn_at_its_width_in_the_house_type_and_nothing_is_cut(showing, width_px):
    root = drawn(showing, width_px)
    assert float(root.get("width")) == pytest.approx(width_px, abs=1)
    sizes = [float(element.get("font-size").removesuffix("px")) for element in root.iter(f"{SVG}text")]
    assert min(sizes) >= 12
    assert {element.get("font-family") for element in root.iter(f"{SVG}text")} == {charts.FONT}
    assert not any("…" in text for text in texts_of(root))


def test_it_is_one_image_with_words_for_it(showing):
    root = drawn(showing)
    assert root.get("role") == "img"
    assert root.get("aria-label") == description(showing)
    for one in showing.designs:
        assert f"{one.letter}, " in description(showing)


def test_every_design_has_its_letter_in_the_picture_or_is_said_to_be_out_of_it(showing):
    texts = texts_of(drawn(showing))
    for one in showing.designs:
        line = next(text for text in texts if text.startswith(f"{one.letter} "))
        is_out = line.endswith((f", {FAR_UP}", f": {NOT_DRAWN}", f": {HUGE_CELL}"))
        assert (one.letter in texts) != is_out


def test_the_plan_is_the_one_line_in_bold(showing):
    bold = [text for text in drawn(showing).iter(f"{SVG}text") if text.get("font-weight") == "bold" and len("".join(text.itertext())) > 1]
    assert ["".join(text.itertext()).startswith("A ") for text in bold] == [True]


def test_the_height_of_a_point_is_its_distance_from_the_reference_on_the_scale():
    showing = SHOWN["priced, less"]()
    plan = points_of(showing)[0]
    assert plan.y == showing.plan.difference
    assert plan.low < plan.y < plan.high
    assert plan.x == showing.plan.cost


@pytest.mark.parametrize("top", [0.02, 0.5, 2.0, 6.0])
def test_the_axis_tells_levels_at_the_heights_where_they_lie(showing, top):
    ticks = level_ticks(showing, top)
    assert ticks[0] == (0.0, f"{showing.reference or 0:g}")
    assert 2 <= len(ticks) <= 12
    heights = [height for height, _ in ticks]
    assert heights == sorted(heights)
    assert heights[-1] <= top
    for height, words in ticks[1:]:
        level = float(words.replace("\u00a0", ""))
        assert height == pytest.approx(height_of(level, showing), rel=1e-3)
        assert level_at(height, showing) == pytest.approx(level, rel=1e-3)
        assert (level < (showing.reference or 0)) == (showing.expect == "less")


def test_a_point_stands_at_the_level_that_the_table_tells():
    showing = SHOWN["priced, less"]()
    assert level_at(showing.plan.difference, showing) == pytest.approx(showing.plan.noticed.less)
    assert height_of(showing.plan.noticed.less, showing) == pytest.approx(showing.plan.difference)


def test_the_labels_of_the_axis_are_drawn_as_levels():
    texts = texts_of(drawn(SHOWN["priced, less"]()))
    assert "10" in texts
    assert "2" in texts


def test_each_design_tells_what_it_would_notice_below_the_picture():
    showing = SHOWN["priced, less"]()
    told = [text.replace("\u00a0", " ") for text in texts_of(drawn(showing))]
    assert "A  as planned: 1.5 %" in told or "A as planned: 1.5 %" in told
    narrow = [text.replace("\u00a0", " ") for text in texts_of(drawn(showing, charts.NARROW_PX))]
    assert any(text.strip() == "2.6 %" or text.endswith(": 2.6 %") for text in narrow)


def test_both_ways_are_told_and_the_upper_one_is_drawn():
    assert "Both ways are noticed alike: up is drawn." in texts_of(drawn(SHOWN["one tank each"]()))


def test_nothing_depends_on_colour():
    spec = frontier_spec(SHOWN["one tank each"](), width_px=680)
    marks = [layer["mark"] for layer in spec["layer"]]
    assert {mark["color"] for mark in marks if mark["type"] != "text" and mark["color"] != charts.GRID} <= {charts.INK, charts.QUIET_INK}
    assert len({tuple(mark["strokeDash"]) for mark in marks if "strokeDash" in mark}) == 2
    assert {mark["shape"] for mark in marks if mark["type"] == "point"} == {"circle", "diamond"}


def test_designs_at_one_place_stand_apart():
    spec = frontier_spec(SHOWN["priced, less"](), width_px=320)
    xs = [layer["data"]["values"][0]["x"] for layer in spec["layer"] if layer["mark"]["type"] == "point"]
    assert len(set(xs)) == len(xs)


def test_where_nothing_is_noticed_the_designs_are_listed_without_a_plot():
    showing = SHOWN["one tank each"]()
    bare = replace(showing, designs=showing.designs[:1])
    texts = texts_of(drawn(bare, 320))
    assert any(text.startswith("A ") and text.endswith(f": {NOT_DRAWN}") for text in texts)
    assert not list(drawn(bare).iter(f"{SVG}line"))
