"""The wall of maps: a row for each tank, a column for each day, gaps told, nothing that people wrote run; in a browser from the disk."""

import html
import re

import numpy as np
import pytest
from PIL import Image

from fairtank.publish.map_wall import MapCell, map_wall_text

ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
             "--disable-component-update", "--disable-sync"]
CELLS = tuple(MapCell(unit, day, f"maps/{unit}-day-{day}-photo-1.jpg", 0.01 * day)
              for unit in ("T1", "T2") for day in range(12) if (unit, day) != ("T2", 3))  # fmt: skip


def rows_of(text: str) -> list[list[str]]:
    """The cells of each row of the table's body, without their marks."""
    body = text.split("<tbody>")[1]
    return [[html.unescape(re.sub("<[^>]+>", "", cell)) for cell in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row)]
            for row in re.findall(r"<tr>(.*?)</tr>", body, flags=re.DOTALL)]


def test_rows_are_tanks_in_the_plans_order_and_columns_are_days():
    text = map_wall_text("A trial", ["T2", "T1", "T9"], CELLS)
    assert re.findall(r'<th scope="col">(.*?)</th>', text) == ["Tank", *(f"Day {day}" for day in range(12))]
    rows = rows_of(text)
    assert [row[0] for row in rows] == ["T2", "T1"]  # a tank without any map has no row
    assert rows[1][1:] == [f"day {day}, {day} % unsure" for day in range(12)]
    assert rows[0][4] == "no photo that could be used"


def test_of_two_photos_of_a_day_the_later_stands_on_the_wall():
    cells = [MapCell("T1", 3, "maps/early.jpg", 0.1), MapCell("T1", 3, "maps/late.jpg", 0.2)]
    text = map_wall_text("A trial", ["T1"], cells)
    assert "maps/late.jpg" in text
    assert "maps/early.jpg" not in text


def test_what_people_wrote_is_shown_and_never_run():
    text = map_wall_text("<script>alert(1)</script>", ['T"1'], [MapCell('T"1', 0, "maps/a.jpg", 0)])
    assert "<script" not in text
    assert "&lt;script&gt;" in text
    assert 'alt="Map of T&#34;1, day 0, 0 % unsure"' in text


@pytest.fixture(scope="module")
def wall(tmp_path_factory):
    """The page and its pictures on a disk."""
    place = tmp_path_factory.mktemp("wall")
    (place / "maps").mkdir()
    shade = np.random.default_rng(1).integers(60, 200, (24, 30, 3)).astype(np.uint8)
    for cell in CELLS:
        Image.fromarray(shade).resize((480, 384)).save(place / cell.picture)
    file = place / "maps.html"
    title = "A trial with a rather long title that has to be broken somewhere"
    file.write_text(map_wall_text(title, ["T1", "T2"], CELLS), encoding="utf-8")
    return file


@pytest.fixture(scope="module")
def browser(chromium):
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=chromium, args=ARGUMENTS)
        yield opened
        opened.close()


@pytest.mark.browser
@pytest.mark.parametrize("width_px", [360, 1440])
def test_the_wall_fits_shows_its_pictures_asks_for_nothing_else_and_breaks_no_rule(width_px, browser, wall):
    from axe_playwright_python.sync_playwright import Axe

    page = browser.new_page(viewport={"width": width_px, "height": 800})
    heard, asked = [], []
    page.on("console", lambda message: heard.append(message.text))
    page.on("request", lambda request: asked.append(request.url))
    page.goto(wall.as_uri())
    assert page.evaluate("document.documentElement.scrollWidth") <= width_px  # the wall scrolls, the page does not
    page.evaluate("Promise.all([...document.querySelectorAll('main img')].map(one => { one.loading = 'eager'; return one.decode(); }))")
    assert page.evaluate("[...document.querySelectorAll('main img')].every(one => one.naturalWidth === 480)")
    assert page.evaluate("getComputedStyle(document.querySelector('main img')).width") == "240px"  # the style was let through
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "maps"
    page.evaluate("document.querySelector('main').scrollLeft = 600")
    assert page.evaluate("document.querySelector('main').scrollLeft") == 600
    left = page.evaluate("document.querySelector('tbody th').getBoundingClientRect().left")
    assert 0 <= left <= 32  # the tank's name stays in view
    assert Axe().run(page).response["violations"] == []
    folder = wall.parent.as_uri()
    assert [address for address in asked if not address.startswith((folder, "data:"))] == []
    assert heard == []
    page.close()


@pytest.mark.browser
def test_a_picture_opens_alone_when_it_is_clicked(browser, wall):
    page = browser.new_page(viewport={"width": 1440, "height": 800})
    page.goto(wall.as_uri())
    page.click("tbody img >> nth=0")
    page.wait_for_url("**/maps/T1-day-0-photo-1.jpg")
    page.close()
