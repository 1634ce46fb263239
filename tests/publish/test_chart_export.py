"""Charts to take away: which ones there are, their sizes, inks and texts, and the frames of a series."""

import io
import json
import re
from dataclasses import replace
from functools import cache
from xml.etree import ElementTree

import pytest
from tests.publish.even_results import result_of
from tests.publish.invented_trials import dark_break, one_cover_glass
from tests.publish.site_examples import photographed, small_trial

from fairtank.publish import charts
from fairtank.publish.chart_export.by_day import until_day
from fairtank.publish.chart_export.files import ChartWishes, chart_files, picture_of, with_type
from fairtank.publish.chart_export.inks import ON_DARK, THEMES, on_ground
from fairtank.publish.chart_export.listing import trial_charts
from fairtank.publish.chart_export.shapes import SHAPES
from fairtank.publish.chart_export.sheet import in_theme, set_text, sheet_of
from fairtank.publish.charts import NARROW_PX, png_of
from fairtank.publish.page_finding import finding_charts
from fairtank.publish.page_inks import DARK_PAPER, contrast

SVG = "{http://www.w3.org/2000/svg}"


@cache
def trial():
    content = small_trial()
    even = result_of("RDDRRD", {"conductivity": [412.0 + 9 * place for place in range(6)], "light_on": [10.5] * 6},
                     arms=content.folder.plan.arms)
    return replace(content, evenness=even)


def chart_of(key, shape, content=None):
    return next(one for one in trial_charts(content or trial(), SHAPES[shape]) if one.key == key)


@cache
def picture(shape):
    return picture_of(chart_of("tanks-algae-cover", shape), SHAPES[shape], foot="A dark break at midday")


def rows_of(spec):
    return [row for layer in spec["layer"] for row in layer.get("data", {}).get("values", [])]


def test_the_list_is_that_of_the_page_of_the_finding_and_of_the_report():
    content = photographed()
    own = [chart.key for one in content.findings for chart in finding_charts([one], content.folder.plan, content.series)]
    assert [chart.key for chart in trial_charts(content, SHAPES["page"])] == [
        *own, "all-measures", "strip-wall-01", "strip-wall-02"]
    assert [chart.key for chart in trial_charts(trial(), SHAPES["page"])] == [*own, "all-measures", "evenness"]
    assert all(chart.title for chart in trial_charts(content, SHAPES["tall"]))
    assert "all-measures" not in [chart.key for chart in trial_charts(one_cover_glass(), SHAPES["page"])], "no interval, no such picture"


@pytest.mark.parametrize(("shape", "size"), [("wide", (1920, 1080)), ("tall", (1080, 1920)), ("square", (1080, 1080))])
def test_a_picture_has_the_size_of_its_shape_for_another_reader_and_text_that_a_phone_can_show(shape, size):
    from PIL import Image

    with Image.open(io.BytesIO(png_of(in_theme(picture(shape), "light")))) as read:
        assert (read.format, read.size) == ("PNG", size)
    chart = chart_of("tanks-algae-cover", shape)
    sheet = sheet_of(chart.draw, SHAPES[shape], chart.title, chart.verdict)
    shown_px = sheet.text_px * (844 if shape == "wide" else 390) / size[0]  # the sides of a usual phone
    assert shown_px > 8.5
    assert sheet.text_px >= 24


def test_a_picture_for_a_page_is_drawn_at_twice_its_size():
    from PIL import Image

    made = dict(chart_files(one_cover_glass(), ChartWishes(("page",), ("light",), ("svg", "png"))))
    keys = ("tanks-algae-cover", "curves-algae-cover")
    assert set(made) == {f"page/light/{key}.{form}" for key in keys for form in ("svg", "png")}
    root = ElementTree.fromstring(made["page/light/tanks-algae-cover.svg"])
    with Image.open(io.BytesIO(made["page/light/tanks-algae-cover.png"])) as read:
        assert read.size == tuple(round(2 * float(root.attrib[side])) for side in ("width", "height"))


def test_an_svg_is_whole_in_itself():
    svg = with_type(in_theme(picture("square"), "dark"))
    root = ElementTree.fromstring(svg)
    assert root.tag == f"{SVG}svg"
    ids = [one.attrib["id"] for one in root.iter() if "id" in one.attrib]
    assert len(ids) == len(set(ids))
    assert svg.count("@font-face") == 2
    assert not re.search(r"https?://(?!www\.w3\.org/)", svg)
    assert all(f"#{name}" in svg for name in ids if name.startswith("clip"))


def test_each_picture_says_its_verdict_even_where_nothing_else_goes_with_it():
    told = ElementTree.fromstring(picture("square")).find(f"{SVG}title").text
    assert "Cannot tell: both no effect and an effect that matters fit what was seen." in told
    alone = picture_of(chart_of("curves-algae-cover", "square", one_cover_glass()), SHAPES["square"], foot="")
    texts = " ".join(one.text or "" for one in ElementTree.fromstring(alone).iter(f"{SVG}text"))
    assert "One tank each: the data alone cannot tell." in texts


def test_on_dark_ground_every_text_can_be_read():
    root = ElementTree.fromstring(on_ground(picture("wide"), "dark"))
    inks = {one.attrib["fill"] for one in root.iter(f"{SVG}text")}
    assert len(inks) >= 2
    assert {ink: contrast(ink, DARK_PAPER) for ink in inks if contrast(ink, DARK_PAPER) < 4.5} == {}
    for chart in trial_charts(trial(), SHAPES["page"]):
        used = set(re.findall(r'(?:fill|stroke)="(#[0-9A-Fa-f]{6})"', chart.draw(680).svg))
        assert used <= set(ON_DARK), chart.key


def test_only_the_transparent_themes_have_no_ground():
    from PIL import Image

    for theme in THEMES:
        with Image.open(io.BytesIO(png_of(in_theme(picture("square"), theme), scale=0.1))) as read:
            assert (read.convert("RGBA").getpixel((3, 3))[3] == 0) is theme.startswith("transparent"), theme
    assert 'stroke="#ffffff" stroke-width="3"' in chart_of("curves-algae-cover", "page").draw(680).svg
    assert 'stroke="#ffffff" stroke-width="3"' not in in_theme(chart_of("curves-algae-cover", "page").draw(680).svg, "transparent")


def test_the_same_trial_gives_the_same_bytes():
    made = []
    for _again in range(2):
        charts._drawn.cache_clear()
        drawn = in_theme(picture_of(chart_of("curves-algae-cover", "page", one_cover_glass()), SHAPES["page"], foot=""), "dark")
        made.append((with_type(drawn), png_of(drawn)))
    assert made[0] == made[1]


def test_a_heading_is_never_cut_but_set_smaller():
    long = "Whether a second pane of glass over the tank changes how much grows on the panes and on the plants " * 3
    found = set_text(long, 900, 260, 50, is_bold=True)
    assert " ".join(found.lines) == long.strip() or " ".join(found.lines) == long
    assert found.size_px < 50
    assert set_text("Algae cover", 900, 260, 50, is_bold=True) == replace(found, lines=("Algae cover",), size_px=50)


@pytest.fixture(scope="module")
def curves():
    content = dark_break(with_photos=False)
    return finding_charts(content.findings[:1], content.folder.plan, content.series, content.folder.events)[1].narrow


def axes_of(spec):
    return {json.dumps([layer["encoding"][axis].get(part) for part in ("scale", "axis")]) for layer in spec["layer"] for axis in "xy"
            if "field" in layer["encoding"].get(axis, {})}


@pytest.mark.parametrize("day", [0, 11, 30, 36])
def test_a_frame_has_the_axes_of_the_whole_and_nothing_that_came_later(curves, day):
    frame = until_day(curves, day)
    assert axes_of(frame) == axes_of(curves)
    assert (frame["width"], frame["height"]) == (curves["width"], curves["height"])
    dated = [row for row in rows_of(frame) if "value" in row]
    assert dated
    assert max(row["day"] for row in dated) <= day
    events = [layer for layer in frame["layer"] if layer["mark"] == {"type": "rect", "color": "#5c6066"}]
    assert max((row["until"] for layer in events for row in layer["data"]["values"]), default=0) <= day + 0.5
    keys = [row for row in rows_of(frame) if "column" in row]
    assert {row["t"] for row in keys} == {one["part"].partition(" ")[0] for one in dated if "part" in one}
    lines = {(row["day"], row["value"]) for row in rows_of(frame) if "part" in row or "arm" in row}
    assert all((row["day"], row["value"]) in lines for row in keys)


def test_the_last_frame_is_the_whole_chart(curves):
    def without_places(spec):
        return [{name: value for name, value in row.items() if name != "place"} for row in rows_of(spec)]

    last = until_day(curves, 37)
    assert [row for row in without_places(last) if "value" in row] == [row for row in without_places(curves) if "value" in row]


def test_long_keys_that_read_alike_keep_their_own_lines():
    content = one_cover_glass()
    names = {"left": "compartment on the left", "right": "compartment on the right"}
    plan = replace(content.folder.plan, units=tuple(replace(unit, key=names[unit.key]) for unit in content.folder.plan.units))
    series = tuple(replace(one, unit=names[one.unit]) for one in content.series)
    spec = finding_charts(content.findings, plan, series, widths_px=(NARROW_PX, NARROW_PX))[1].narrow
    keys = [row for row in rows_of(until_day(spec, 10)) if "column" in row]
    assert len({row["value"] for row in keys}) == 2


def test_a_series_is_numbered_by_day():
    content = one_cover_glass()
    plan = replace(content.folder.plan, days=2)
    short = replace(content, folder=replace(content.folder, plan=plan), findings=content.findings[:1])
    names = [name for name, _made in chart_files(short, ChartWishes(("page",), ("light",), ("svg",), series=True)) if "-by-day" in name]
    assert names == [f"page/light/curves-algae-cover-by-day/{day:03d}.png" for day in range(3)]
