"""The picture of several trials: at its width, in the house type, a row for each, and nothing that only a colour says."""

import math
from xml.etree import ElementTree

import pytest
from tests.publish.test_pool_words import SPREAD, story_of

from fairtank.publish import charts
from fairtank.publish.pool_chart import description, pool_chart, pool_spec

SVG = "{http://www.w3.org/2000/svg}"
STORIES = {
    "cover": lambda: story_of(SPREAD, margin=0.3),
    "height": lambda: story_of((0.2, 0.3, 0.25), half=0.1, scale="log", unit="cm"),
    "redness": lambda: story_of((2.0, -1.0, 0.5, 1.0), half=1.0, scale="identity", unit="a*"),
    "slope": lambda: story_of((-0.03, -0.02, -0.025), half=0.01, summary="slope"),
    "two": lambda: story_of((-0.9, -0.5)),
    "no intervals": lambda: story_of((-0.9, -0.5), half=None),
    "all at none": lambda: story_of((0.0, 0.0), half=None),
}


@pytest.fixture(params=list(STORIES))
def story(request):
    return STORIES[request.param]()


def texts_of(root):
    return ["".join(element.itertext()) for element in root.iter(f"{SVG}text")]


@pytest.mark.parametrize(("name", "width_px"), [*((name, charts.NARROW_PX) for name in STORIES), ("cover", 360), ("height", charts.WIDE_PX),
                                                ("redness", charts.WIDE_PX), ("slope", 1440), ("cover", 1440)])
def test_it_is_drawn_at_its_width_in_the_house_type(name, width_px):
    root = ElementTree.fromstring(pool_chart(STORIES[name](), width_px=width_px))
    assert float(root.get("width")) == pytest.approx(width_px, abs=1)
    assert min(float(element.get("font-size").removesuffix("px")) for element in root.iter(f"{SVG}text")) >= 12
    assert {element.get("font-family") for element in root.iter(f"{SVG}text")} == {charts.FONT}
    assert not any("…" in text for text in texts_of(root))


def test_it_is_one_image_with_words_for_it(story):
    root = ElementTree.fromstring(pool_chart(story))
    assert root.get("role") == "img"
    assert root.get("aria-label") == description(story)
    for row in story.pooled.rows:
        assert row.trial in description(story)


def layers_of(story, kind, width_px=680):
    return [layer for layer in pool_spec(story, width_px=width_px)["layer"] if layer["mark"]["type"] == kind]


def test_a_trial_is_a_square_all_together_a_diamond_as_wide_as_its_interval_and_a_further_trial_dashed():
    story = STORIES["cover"]()
    assert [layer["mark"]["shape"] for layer in layers_of(story, "point")] == ["square"] * 4
    corners = layers_of(story, "area")[0]["data"]["values"]
    dashed = next(layer for layer in layers_of(story, "rule") if layer["mark"].get("strokeDash"))["data"]["values"]
    assert len(corners) == 3
    assert len(dashed) == 1
    pooled, scale = story.pooled, corners[2]["x"] - corners[0]["x"]
    assert (dashed[0]["x2"] - dashed[0]["x"]) / scale == pytest.approx(
        (pooled.prediction_high - pooled.prediction_low) / (pooled.high - pooled.low))


def test_places_are_even_on_the_scale_on_which_trials_are_judged():
    story = STORIES["cover"]()
    xs = [layer["data"]["values"][0]["x"] for layer in layers_of(story, "point")]
    estimates = [row.estimate for row in story.pooled.rows]
    assert (xs[0] - xs[1]) / (xs[0] - xs[3]) == pytest.approx((estimates[0] - estimates[1]) / (estimates[0] - estimates[3]))


def test_the_band_of_the_margin_lies_round_the_line_of_no_effect():
    story = STORIES["cover"]()
    band, line = layers_of(story, "rect")[0]["data"]["values"][0], layers_of(story, "rule")[0]["data"]["values"][0]
    assert (band["x"] + band["x2"]) / 2 == pytest.approx(line["x"])
    assert not layers_of(STORIES["height"](), "rect")


def test_a_trial_without_an_interval_is_hollow_and_round():
    marks = [layer["mark"] for layer in layers_of(STORIES["no intervals"](), "point")]
    assert {(mark["shape"], mark["fill"]) for mark in marks} == {("circle", "#ffffff")}


def test_an_interval_that_goes_on_ends_in_an_arrow():
    story = story_of((-0.9, -0.5, -0.7, -0.6))
    rows = story.pooled.rows
    wide = type(rows[0])(**{**vars(rows[0]), "low": -40.0, "high": 40.0})
    far = type(story)(type(story.pooled)(**{**vars(story.pooled), "rows": (wide, *rows[1:])}), story.pattern, story.level)
    shapes = {layer["mark"]["shape"] for layer in layers_of(far, "point")}
    assert {"triangle-left", "triangle-right"} <= shapes
    assert any("Arrow: the interval goes on." in text for text in texts_of(ElementTree.fromstring(pool_chart(far))))


def test_a_long_title_is_cut_in_the_picture_and_whole_in_its_words():
    story = story_of(SPREAD)
    rows = tuple(type(row)(**{**vars(row), "trial": f"{row.trial} " + "of a very long name " * 5}) for row in story.pooled.rows)
    long = type(story)(type(story.pooled)(**{**vars(story.pooled), "rows": rows}), story.pattern, story.level)
    texts = texts_of(ElementTree.fromstring(pool_chart(long, width_px=360)))
    assert any("…" in text for text in texts)
    assert rows[0].trial.strip() in description(long)


def test_ticks_are_round_values_of_the_natural_unit_at_their_places():
    story = STORIES["cover"]()
    layer = next(layer for layer in layers_of(story, "text") if all(one["t"].replace(".", "").isdigit() for one in layer["data"]["values"]))
    told = {float(one["t"]): one["x"] for one in layer["data"]["values"]}
    assert {5.0, 10.0} <= set(told)

    def odds(cover):
        return math.log(cover / (100 - cover))
    xs = [one["data"]["values"][0]["x"] for one in layers_of(story, "point")]
    estimates = [row.estimate for row in story.pooled.rows]
    step = (xs[0] - xs[3]) / (estimates[0] - estimates[3])
    assert (told[10.0] - told[5.0]) / step == pytest.approx(odds(10) - odds(5))
