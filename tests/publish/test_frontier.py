"""The picture of cost against smallest difference: at its width, in the house type, one letter per design, in words."""

from dataclasses import replace
from xml.etree import ElementTree

import pytest

from fairtank.inference.showing import Prices, show
from fairtank.publish import charts
from fairtank.publish.frontier import FAR_UP, NOT_DRAWN, description, frontier_chart, frontier_spec, gap, points_of
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
        is_out = line.endswith((f": {FAR_UP}", f": {NOT_DRAWN}"))
        assert (one.letter in texts) != is_out


def test_the_plan_is_the_one_line_in_bold(showing):
    bold = [text for text in drawn(showing).iter(f"{SVG}text") if text.get("font-weight") == "bold" and len("".join(text.itertext())) > 1]
    assert ["".join(text.itertext()).startswith("A ") for text in bold] == [True]


def test_the_height_of_a_point_is_its_distance_from_the_reference():
    showing = SHOWN["priced, less"]()
    plan = points_of(showing)[0]
    assert plan.y == pytest.approx(10 - showing.plan.noticed.less)
    assert plan.low < plan.y < plan.high
    assert plan.x == showing.plan.cost
    assert gap(showing.plan.noticed, SHOWN["one tank each"]()) == pytest.approx(showing.plan.noticed.more - 10)


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
