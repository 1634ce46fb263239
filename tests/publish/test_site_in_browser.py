"""The public page in a browser: it asks for nothing outside, breaks no rule on either paper, tells values by touch, needs no script."""

from urllib.parse import urlsplit

import pytest
from tests.publish.invented_trials import one_cover_glass
from tests.publish.site_examples import full_site
from tests.publish.test_report_in_browser import ARGUMENTS, SMALLEST_TEXT_PX, TEXT_OUTSIDE_ITS_CHART

from fairtank.publish.chart_export.files import picture_of
from fairtank.publish.chart_export.listing import trial_charts
from fairtank.publish.chart_export.shapes import SHAPES

HOST = "http://trials.example"
TYPES = {"html": "text/html", "js": "text/javascript", "svg": "image/svg+xml", "png": "image/png", "webp": "image/webp", "ttf": "font/ttf"}


@pytest.fixture(scope="module")
def browser(chromium):
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=chromium, args=ARGUMENTS)
        yield opened
        opened.close()


def opened(browser, **more):
    """The page, what was asked for, and what the browser complained about."""
    page = browser.new_context(**more).new_page()
    asked, heard = [], []

    def given(route):
        name = urlsplit(route.request.url).path.lstrip("/")
        asked.append(route.request.url)
        made = full_site().get(name)
        route.fulfill(status=200 if made else 404, body=made or b"", content_type=TYPES.get(name.rpartition(".")[2], "text/plain"))

    page.route("**/*", given)
    page.on("console", lambda message: heard.append(message.text))
    page.on("pageerror", lambda error: heard.append(str(error)))
    page.goto(f"{HOST}/index.html")
    return page, asked, heard


@pytest.mark.browser
def test_on_a_dark_phone_it_fits_breaks_no_rule_and_tells_values_by_touch(browser):
    from axe_playwright_python.sync_playwright import Axe

    page, asked, heard = opened(browser, viewport={"width": 360, "height": 780}, color_scheme="dark", has_touch=True, is_mobile=True)
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert page.evaluate(SMALLEST_TEXT_PX) >= 11
    assert page.evaluate(TEXT_OUTSIDE_ITS_CHART) == []
    assert page.evaluate("getComputedStyle(document.querySelector('.chart .narrow text')).fill") == "rgb(179, 175, 166)"
    point = page.evaluate("JSON.parse(document.querySelector('[data-chart] script').textContent)[2]")
    box = page.locator(".chart .narrow svg").first.bounding_box()
    scale = box["width"] / 320
    page.touchscreen.tap(box["x"] + (point[2] + 4) * scale, box["y"] + (point[3] + 4) * scale)
    assert page.locator(".told").first.inner_text() == point[4]
    page.locator(".chart .narrow").first.press("ArrowRight")
    assert page.locator(".told").first.inner_text() != point[4]
    page.select_option("[data-side=left] [data-day]", "0")
    assert page.locator(".two figcaption").first.inner_text() == "T1, arm R (8 h block), day 0"
    page.locator(".slide input").fill("30")
    assert page.evaluate("document.querySelector('.two img').style.clipPath") == "inset(0px 70% 0px 0px)"
    assert Axe().run(page).response["violations"] == []
    assert {urlsplit(address).netloc for address in asked} == {"trials.example"}
    assert [line for line in heard if "404" not in line] == []  # of the film, which is not there in a test
    page.context.close()


@pytest.mark.browser
def test_on_a_light_desk_it_breaks_no_rule(browser):
    from axe_playwright_python.sync_playwright import Axe

    page, asked, _heard = opened(browser, viewport={"width": 1440, "height": 900})
    assert page.evaluate("document.documentElement.scrollWidth") <= 1440
    assert page.evaluate(TEXT_OUTSIDE_ITS_CHART) == []
    assert page.evaluate("document.fonts.check('16px \"Atkinson Hyperlegible Next\"')")
    assert Axe().run(page).response["violations"] == []
    assert {urlsplit(address).netloc for address in asked} == {"trials.example"}
    page.context.close()


@pytest.mark.browser
def test_without_script_the_two_photos_stand_beside_each_other_and_every_value_is_in_a_table(browser):
    page, asked, _heard = opened(browser, viewport={"width": 1440, "height": 900}, java_script_enabled=False)
    left, right = (page.locator(".two img").nth(place).bounding_box() for place in (0, 1))
    assert left["y"] == right["y"]
    assert left["x"] + left["width"] < right["x"]
    assert not page.locator(".slide").is_visible()
    assert page.locator("summary", has_text="The same numbers as a table").first.is_visible()
    assert not [address for address in asked if address.endswith(".js")]
    page.context.close()


@pytest.mark.browser
def test_no_text_of_a_picture_to_take_away_is_cut_off(browser):
    shapes = [SHAPES[key] for key in ("wide", "tall", "square")]
    drawn = [picture_of(trial_charts(one_cover_glass(), shape)[0], shape, foot="One cover glass more (invented)") for shape in shapes]
    page = browser.new_page(viewport={"width": 2000, "height": 1000})
    page.set_content("".join(drawn))
    assert page.evaluate("document.querySelectorAll('svg svg text').length") > 10
    assert page.evaluate(TEXT_OUTSIDE_ITS_CHART) == []
    page.close()
