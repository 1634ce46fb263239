"""The public page as files: valid, whole in itself, small, honest, the same each time, and made for a link to be shown."""

import base64
import hashlib
import html
import io
import json
import re
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from urllib.parse import unquote
from xml.etree import ElementTree

import pytest
from tests.publish.invented_trials import one_cover_glass
from tests.publish.site_examples import ADDRESS, bare_site, full_site, photographed, small_trial

from fairtank.publish.charts import svg_of
from fairtank.publish.page_finding import finding_charts
from fairtank.publish.sentences import sentence
from fairtank.publish.site.compact import compacted
from fairtank.publish.site.content import SiteContent
from fairtank.publish.site.link_picture import link_words
from fairtank.publish.site.pages import OWN_FILES, OWN_FOLDERS, PAGE, page_text
from fairtank.publish.site.sections import seal_blocks
from fairtank.publish.site.touch import touch_chart
from fairtank.seal import Seal, Sealing

SVG = "{http://www.w3.org/2000/svg}"
SEAL = Seal((Sealing(datetime(2026, 3, 1, tzinfo=UTC), {}, "00" * 32, "AAAAA-AAAAA", 0, 0, ""),), {})
BESIDE = ("report.html", "findings.json", "kit/", "film/")  # laid there by whoever makes the folder
PHOTOS = ("wall/", "photos/")


def page_of(files):
    return files[PAGE].decode()


@cache
def parsed(made):
    return tree_of(made())


def tree_of(files):
    import html5lib

    parser = html5lib.HTMLParser(html5lib.getTreeBuilder("etree"), namespaceHTMLElements=False)
    tree = parser.parse(page_of(files))
    return tree, [f"{code} {more} at {place}" for place, code, more in parser.errors]


@pytest.mark.parametrize("made", [full_site, bare_site])
def test_the_page_is_valid_for_another_reader_with_ids_that_are_its_own(made):
    tree, errors = parsed(made)
    assert errors == []
    nodes = list(tree.iter())
    ids = [node.get("id") for node in nodes if node.get("id") is not None]
    assert len(ids) == len(set(ids))
    named = [node.get("aria-labelledby") for node in nodes if node.get("aria-labelledby")]
    assert named
    assert set(named) <= set(ids)
    assert [node.tag for node in nodes].count("h1") == 1
    assert all(node.get("alt") for node in nodes if node.tag == "img")


def test_nothing_on_the_page_leads_outside_its_folder_and_all_that_it_shows_is_there():
    files = full_site()
    tree, _errors = parsed(full_site)
    asked = {node.get(name) for node in tree.iter() for name in ("src", "poster", "srcset", "data", "action") if node.get(name)}
    asked |= {node.get("href") for node in tree.iter() if node.get("href") and node.tag in ("link", "a") and node.get("rel") != "canonical"}
    asked |= set(re.findall(r'url\("?([^")]+)', page_of(files)))
    local = {unquote(name) for name in asked if not name.startswith("#")}
    assert "wall/0-0.webp" in local
    assert {name for name in local if name not in files and not name.startswith(BESIDE)} == set()
    anchors = {node.get("id") for node in tree.iter()}
    assert {name for name in asked if name.startswith("#") and name[1:] not in anchors} == set()
    named = r'<(?:meta|link)[^>]*"(?:og:[a-z]+|canonical)"[^>]*>|prefix="og: https://ogp.me/ns#"|https?://www\.w3\.org/\S+'
    said = re.sub(named, "", page_of(files))
    assert not re.search(r"https?:|//[a-z]", said)
    script = files["page.js"].decode().replace("http://www.w3.org/2000/svg", "")
    assert not re.search(r"https?:|fetch|XMLHttpRequest|localStorage|cookie|import", script)


def test_the_policy_lets_in_what_is_beside_the_page_and_the_one_style_inside_it():
    page = page_of(full_site())
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', page)[1]
    parts = {part.split()[0]: part.split()[1:] for part in html.unescape(policy).split("; ")}
    assert parts["default-src"] == parts["base-uri"] == parts["form-action"] == ["'none'"]
    style = re.search(r"<style>(.*?)</style>", page, re.DOTALL)[1]
    assert parts["style-src"] == [f"'sha256-{base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()}'"]
    assert all(parts[name] == ["'self'"] for name in ("script-src", "img-src", "media-src", "font-src"))
    assert not re.search(r'\sstyle="|\son[a-z]+="', page)
    assert page.count("<script src=") == 1


def test_the_sentence_stands_first_and_the_picture_is_in_the_first_50_kb():
    page = page_of(full_site())
    said = html.escape(sentence(photographed().findings[0]), quote=False)
    parts = ("<h1>", said, "<svg", ">In brief<", "<video", "data-compare", "Strip wall", ">How sure this is",
             ">What this trial cannot show<", ">Who paid or supplied what<", ">The plan has no seal<", "kit/dark%20break.zip")
    places = [page.index(part) for part in parts]
    assert places == sorted(places)
    assert len(page[:page.index("</svg>")].encode()) < 50_000
    assert '<script src="page.js" defer>' in page[:page.index("<body>")]


def test_the_page_is_small_without_its_photos():
    files = full_site()
    assert sum(len(made) for name, made in files.items() if not name.startswith(PHOTOS)) < 1_000_000
    assert all(name in OWN_FILES or name.partition("/")[0] in OWN_FOLDERS for name in files)


def test_the_same_trial_gives_the_same_bytes():
    from fairtank.publish.charts import _drawn

    page = page_of(bare_site())
    _drawn.cache_clear()
    content = SiteContent(one_cover_glass())
    from fairtank.publish.arms import arm_looks

    again = page_text(content, (), arm_looks(content.report.folder.plan), has_preview=True)
    assert again == page


def test_a_link_shows_the_sentence_and_a_picture_only_where_the_address_is_known():
    from PIL import Image

    full, bare = page_of(full_site()), page_of(bare_site())
    assert f'<meta property="og:image" content="{ADDRESS}preview.png">' in full
    assert "og:image" not in bare
    assert "og:url" not in bare
    told = re.search(r'"og:description" content="([^"]+)"', full)[1]
    assert html.unescape(told) == link_words(photographed().findings[0]).replace("\u00a0", " ")
    assert "%" in told
    with Image.open(io.BytesIO(full_site()["preview.png"])) as read:
        assert (read.format, read.size) == ("PNG", (1200, 630))


def test_two_tanks_are_said_to_tell_nothing_alone_and_no_interval_is_drawn():
    page = page_of(bare_site())
    lead = re.search(r'<p class="lead">(.*?)</p>', page)[1]
    assert lead.startswith("One tank each: the data alone cannot tell.")
    assert "No interval: the data alone cannot tell" in page
    assert "<img" not in page
    assert "<video" not in page
    assert 'id="compare"' not in page


def test_what_people_wrote_is_text_wherever_it_stands():
    evil = '<script>alert(1)</script>"><img src=x onerror=alert(1)>'
    content = one_cover_glass()
    plan = replace(content.folder.plan, title=evil, question=evil, keeper=evil, place=evil, disclosure=evil,
                   units=tuple(replace(unit, key=f"{unit.key}{evil}") for unit in content.folder.plan.units))
    series = tuple(replace(one, unit=f"{one.unit}{evil}") for one in content.series)
    units = tuple(replace(one, unit=f"{one.unit}{evil}") for one in content.findings[0].units)
    finding = replace(content.findings[0], title=evil, units=units)
    from fairtank.publish.arms import arm_looks

    site = SiteContent(replace(content, folder=replace(content.folder, plan=plan, series=series), series=series, findings=(finding,)))
    page = page_text(site, (), arm_looks(plan), has_preview=False)
    assert "<script>alert" not in page
    assert "<img src=x" not in page
    assert page.count("<script") == 1 + page.count('<script type="application/json">')
    assert tree_of({PAGE: page.encode()})[1] == []


@pytest.fixture(scope="module")
def curve():
    content = small_trial()
    chart = finding_charts(content.findings[:1], content.folder.plan, content.series, content.folder.events)[1]
    return chart, touch_chart(chart)


def marks_of(svg):
    """Where the drawn marks of a compacted chart stand, counted from the outer edge."""
    root, found = ElementTree.fromstring(svg), []

    def walk(element, left, top):
        for child in element:
            moved = re.match(r"translate\(([-\d.]+),([-\d.]+)\)", child.get("transform", ""))
            x, y = (left + float(moved[1]), top + float(moved[2])) if moved else (left, top)
            if child.tag == f"{SVG}use":
                found.append((x + float(child.get("x")), y + float(child.get("y"))))
            elif child.tag != f"{SVG}defs":
                walk(child, x, y)

    walk(root, 0.0, 0.0)
    return found


def test_each_value_lies_on_its_mark_and_is_told_as_the_table_tells_it(curve):
    chart, touched = curve
    for place, svg in ((0, touched.wide), (2, touched.narrow)):
        marks = marks_of(svg)
        far = [min(abs(x - point[place]) + abs(y - point[place + 1]) for x, y in marks) for point in touched.points]
        # Days that an event takes out have a ring of their own, drawn fewer times than is worth drawing from one.
        assert sum(one > 0.5 for one in far) <= 1
    cells = {cell.strip("()") for row in chart.table.rows for cell in row}
    assert len(touched.points) == sum(bool(cell) for row in chart.table.rows for cell in row[1:])
    assert {re.search(r": ([\d.]+)", point[4])[1] for point in touched.points} <= cells
    assert all(re.match(r"T\d, arm [RD], day \d+: [\d.]+\s%", point[4]) for point in touched.points)


def test_a_compacted_chart_has_as_many_marks_and_the_same_words(curve):
    chart, touched = curve
    whole, small = (ElementTree.fromstring(svg) for svg in (svg_of(chart.narrow, key="a"), touched.narrow))
    placed = [one for one in whole.iter(f"{SVG}path") if one.get("transform") and one.get("opacity") != "0"]
    assert len(marks_of(touched.narrow)) + sum(bool(one.get("transform")) for one in small.iter(f"{SVG}path")) == len(placed)
    assert [one.text for one in whole.iter(f"{SVG}text")] == [one.text for one in small.iter(f"{SVG}text")]
    assert len(touched.narrow) < 0.45 * len(svg_of(chart.narrow, key="a"))
    assert compacted(compacted(touched.narrow)) == compacted(touched.narrow)


def test_values_are_handed_to_the_script_as_data_that_cannot_end_it():
    page = page_of(full_site())
    blocks = re.findall(r'<script type="application/json">(.*?)</script>', page, re.DOTALL)
    points = [json.loads(block) for block in blocks]
    assert len(points) == 5  # two charts of each of two measures, and the pictures to compare
    assert all(len(point) == 5 for block in points[:1] for point in block)


def test_a_sealed_plan_tells_its_reader_how_to_check_it():
    with_kit, without = (" ".join(block.text for block in seal_blocks(SEAL, has_kit=has)) for has in (True, False))
    assert "Compare this code with the one that the keeper showed before the start" in without
    assert "fairtank verify" in with_kit
    assert "fairtank verify" not in without
    assert "not sealed" in seal_blocks(None, has_kit=True)[0].text


def test_pictures_hold_nothing_but_pixels():
    from PIL import Image

    for name, made in full_site().items():
        if name.endswith((".webp", ".png")):
            with Image.open(io.BytesIO(made)) as read:
                assert not read.getexif()
                assert not {"xmp", "comment", "icc_profile"} & set(read.info)
