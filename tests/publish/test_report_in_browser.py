"""The report in a browser: nothing moves sideways on a phone, and the accessibility rules hold."""

import pytest
from invented_trials import dark_break, one_cover_glass, weights

from fairtank.publish import write_report

ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
             "--disable-component-update", "--disable-sync"]

# Size at which the smallest text of any visible chart is shown, after the chart was scaled to its place.
SMALLEST_TEXT_PX = """() => Math.min(...[...document.querySelectorAll('svg')]
    .filter(svg => svg.getBoundingClientRect().width > 0)
    .flatMap(svg => {
        const shrunk = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
        return [...svg.querySelectorAll('text')].map(text => parseFloat(getComputedStyle(text).fontSize) * shrunk);
    }))"""

TEXT_OUTSIDE_ITS_CHART = """() => [...document.querySelectorAll('svg')]
    .filter(svg => svg.getBoundingClientRect().width > 0)
    .flatMap(svg => {
        const frame = svg.getBoundingClientRect();
        return [...svg.querySelectorAll('text')].filter(text => {
            const box = text.getBoundingClientRect();
            return box.width > 0 && (box.left < frame.left - 1 || box.right > frame.right + 1
                || box.top < frame.top - 1 || box.bottom > frame.bottom + 1);
        }).map(text => text.textContent);
    })"""


@pytest.fixture(scope="module")
def browser(chromium):
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=chromium, args=ARGUMENTS)
        yield opened
        opened.close()


@pytest.mark.browser
@pytest.mark.parametrize("trial", [dark_break, one_cover_glass, weights], ids=lambda trial: trial.__name__)
@pytest.mark.parametrize("width_px", [360, 1440])
def test_the_page_fits_loads_nothing_and_breaks_no_rule(trial, width_px, browser, tmp_path):
    from axe_playwright_python.sync_playwright import Axe

    files = write_report(trial(), tmp_path)
    page = browser.new_page(viewport={"width": width_px, "height": 800})
    heard, asked = [], []
    page.on("console", lambda message: heard.append(message.text))
    page.on("request", lambda request: asked.append(request.url))
    page.goto(files.html.as_uri())
    assert page.evaluate("document.documentElement.scrollWidth") <= width_px
    assert [address for address in asked if not address.startswith(("file:", "data:"))] == []
    assert heard == []
    assert page.evaluate("document.fonts.check('16px \"Atkinson Hyperlegible Next\"')")
    assert page.evaluate(SMALLEST_TEXT_PX) >= 11
    assert page.evaluate(TEXT_OUTSIDE_ITS_CHART) == []
    assert Axe().run(page).response["violations"] == []
    page.close()
