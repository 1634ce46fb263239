"""The bench in a real browser: narrow and wide, by keyboard and on paper; nothing fetched from elsewhere. See test_every_page for axe."""

import pytest
from tests.web.answering import answering
from tests.web.keepers import LAUNCH

from fairtank.publish.calc_words import value_text
from fairtank.science.gases import oxygen_saturation_mg_l

# What can be pressed or typed in and is lower than a fingertip. A link inside a sentence counts with its padding.
LOW_TARGETS = """[...document.querySelectorAll('main a, summary, button, input, select, textarea')]
    .filter(node => node.getBoundingClientRect().height < 44).map(node => node.outerHTML.slice(0, 80))"""
PAGES = ("folder/", "bench/", "bench/carbonate", "bench/oxygen_claim", "bench/control_health",
         "bench/carbonate?ph=66&alkalinity_dkh=4+dGH&temp_c=25", "bench/carbonate?temp_c=25&alkalinity_dkh=4&ph=6.6&range-step=-1")


@pytest.fixture(scope="module")
def address():
    """The bench, without a trial."""
    from django.test import override_settings

    with override_settings(FAIRTANK_FOLDER="", FAIRTANK_OUT=""), answering() as place:
        yield place


@pytest.fixture(scope="module")
def browser(chromium):
    """One browser for the tests of this file."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=chromium, args=LAUNCH)
        yield opened
        opened.close()


@pytest.fixture
def page(browser):
    """A page of the browser, in a context of its own, which keeps what it said and asked for."""
    opened = browser.new_page(viewport={"width": 360, "height": 740})
    opened.said, opened.asked = [], []
    opened.on("console", lambda message: opened.said.append(message.text))
    opened.on("request", lambda request: opened.asked.append(request.url))
    yield opened
    opened.close()


@pytest.mark.browser
def test_the_bench_holds_at_360_px_and_is_large_enough_for_a_finger(page, address):
    for place in PAGES:
        page.goto(address + place)
        for summary in page.locator("summary").all():
            summary.click()
        assert page.evaluate("document.documentElement.scrollWidth") <= 360, place
        assert page.evaluate(LOW_TARGETS) == [], place
    assert page.said == []
    assert all(url.startswith(address) for url in page.asked)


@pytest.mark.browser
def test_a_value_is_typed_and_sent_by_keyboard_and_the_link_can_be_shared(page, address):
    page.goto(f"{address}bench/oxygen_saturation_mg_l")
    page.focus("#in-temp_c")
    page.keyboard.press("Control+A")
    page.keyboard.type("78 degF")
    page.keyboard.press("Tab")
    page.keyboard.type("exact")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert "temp_c=78+degF&error-temp_c=exact" in page.url
    assert page.inner_text(".verdict") == value_text(oxygen_saturation_mg_l((78 - 32) / 1.8), "mg/L")
    page.select_option("#range-along", "temp_c")
    page.fill("#range-from", "60")
    with page.expect_navigation():
        page.press("#range-from", "Enter")
    assert "range-from=60" in page.url
    assert page.input_value("#in-temp_c") == "78 degF"
    assert "from 60 °F" in page.get_attribute(".narrow svg", "aria-label")
    shared = page.url
    before = page.inner_text("main")
    page.goto(f"{address}bench/")
    page.goto(shared)
    assert page.inner_text("main") == before
    assert page.said == []


@pytest.mark.browser
def test_a_wide_page_has_the_fields_beside_the_answer_and_paper_has_the_answer_alone(page, address):
    page.set_viewport_size({"width": 1440, "height": 900})
    page.goto(f"{address}bench/carbonate")
    places = {name: page.locator(name).bounding_box() for name in (".ask", ".answer", ".drawing")}
    assert places[".ask"]["x"] + places[".ask"]["width"] <= places[".answer"]["x"]
    assert abs(places[".ask"]["y"] - places[".answer"]["y"]) < 2
    assert places[".answer"]["x"] == places[".drawing"]["x"]
    assert places[".answer"]["y"] + places[".answer"]["height"] <= places[".drawing"]["y"]
    assert page.locator(".wide svg").is_visible()
    assert not page.locator(".narrow svg").is_visible()
    page.emulate_media(media="print")
    assert not page.locator(".ask").is_visible()
    assert page.locator(".answer").is_visible()
    assert page.locator(".drawing svg:visible").count() == 1
    assert page.get_by_text("Worked out for water temperature").is_visible()
    assert page.get_by_text("Carbon dioxide under pressure.").is_visible()
