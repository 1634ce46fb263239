"""The audit's sheet in a browser, from the disk: answered by key and by touch, saved, taken up again; fits a phone and a wide screen."""

import csv
import io

import numpy as np
import pytest

from fairtank.publish.audit_sheet import SheetPoint, sheet_text
from fairtank.vision.crops import point_crop

ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
             "--disable-component-update", "--disable-sync"]


@pytest.fixture(scope="module")
def browser(chromium):
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=chromium, args=ARGUMENTS)
        yield opened
        opened.close()


@pytest.fixture(scope="module")
def sheet(tmp_path_factory):
    """A sheet of four points on a disk."""
    chance = np.random.default_rng(2)
    picture = np.repeat(np.repeat(chance.integers(40, 200, (30, 40, 3)).astype(np.uint8), 10, axis=0), 10, axis=1)
    crops = [point_crop(picture, x, 150.5, ((0, 0), (400, 0), (400, 300), (0, 300))) for x in (60.0, 120.0, 220.0, 330.0)]
    file = tmp_path_factory.mktemp("sheet") / "sheet.html"
    points = [SheetPoint(f"point-{number:04d}", "0a1b2c3d4e", crop) for number, crop in enumerate(crops, start=1)]
    file.write_text(sheet_text(points), encoding="utf-8")
    return file


def rows_of(page):
    """The rows of the file that the button saves."""
    with page.expect_download() as held:
        page.click("#save")
    assert held.value.suggested_filename == "answers.csv"
    return list(csv.DictReader(io.StringIO(held.value.path().read_text(encoding="utf-8"))))


@pytest.mark.browser
@pytest.mark.parametrize("width_px", [360, 1440])
def test_the_sheet_fits_asks_for_nothing_and_breaks_no_rule(width_px, browser, sheet):
    from axe_playwright_python.sync_playwright import Axe

    page = browser.new_page(viewport={"width": width_px, "height": 800})
    heard, asked = [], []
    page.on("console", lambda message: heard.append(message.text))
    page.on("request", lambda request: asked.append(request.url))
    page.goto(sheet.as_uri())
    assert page.evaluate("document.documentElement.scrollWidth") <= width_px
    assert page.evaluate("document.getElementById('crop').naturalWidth") == 400
    bottom = page.evaluate("Math.max(...[...document.querySelectorAll('.answer')].map(one => one.getBoundingClientRect().bottom))")
    assert page.is_visible(".phone") == (width_px == 360)  # where a phone keeps what was saved
    assert bottom <= 800  # picture and all four answers are seen together
    assert page.evaluate("Math.min(...[...document.querySelectorAll('button')].map(one => one.getBoundingClientRect().height))") >= 44
    assert Axe().run(page).response["violations"] == []
    assert [address for address in asked if not address.startswith(("file:", "data:"))] == []
    assert heard == []
    page.close()


@pytest.mark.browser
def test_points_are_answered_by_key_saved_and_taken_up_again(browser, sheet, tmp_path):
    page = browser.new_page(viewport={"width": 1440, "height": 800})
    page.goto(sheet.as_uri())
    for key in "pab":
        page.keyboard.press(key)
    assert page.inner_text("#name") == "point-0004"
    assert page.inner_text("#place") == "4 of 4"
    assert page.inner_text("#done") == "3 of 4 answered"
    page.keyboard.press("ArrowLeft")
    assert page.get_attribute("[data-answer=background]", "aria-pressed") == "true"
    page.keyboard.press("u")
    page.fill("#rater", "anna, me")
    rows = rows_of(page)
    assert [row["class"] for row in rows] == ["plant", "algae", "unsure", ""]
    assert [row["rater"] for row in rows] == ["anna, me"] * 3 + [""]
    assert rows[0] == {"draw": "0a1b2c3d4e", "point": "point-0001", "class": "plant", "rater": "anna, me"}
    page.close()
    saved = tmp_path / "answers.csv"
    saved.write_text("draw,point,class,rater\n0a1b2c3d4e,point-0001,algae,b\nffff,point-0002,algae,b\n", encoding="utf-8")
    other = browser.new_context().new_page()  # another browser knows nothing of the first
    other.goto(sheet.as_uri())
    assert other.inner_text("#done") == "0 of 4 answered"
    other.set_input_files("#load", saved)
    other.locator("#told", has_text="1 answer taken over").wait_for()
    assert other.inner_text("#name") == "point-0002"
    other.context.close()


@pytest.mark.browser
def test_the_sheet_is_answered_by_touch_and_remembers_in_the_same_browser(browser, sheet):
    context = browser.new_context(viewport={"width": 360, "height": 740}, has_touch=True)
    page = context.new_page()
    page.goto(sheet.as_uri())
    page.tap("[data-answer=plant]")
    page.tap("[data-answer=unsure]")
    page.goto(sheet.as_uri())
    assert page.inner_text("#done") == "2 of 4 answered"
    assert page.inner_text("#name") == "point-0003"
    context.close()
