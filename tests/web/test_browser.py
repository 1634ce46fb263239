"""The pages in a real browser: narrow, readable, nothing fetched from elsewhere, no accessibility rule broken."""

import random

import pytest
from tests.cli.conftest import plan_toml, series_csv
from tests.records.conftest import Folder
from tests.web.answering import answering

from fairtank.records.services.trials import trial_run

LAUNCH = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update"]
# The links of the page, and what can be unfolded, that are lower than a fingertip.
LOW_TARGETS = """[...document.querySelectorAll('main a, summary')]
    .filter(node => node.getBoundingClientRect().height < 44).map(node => node.textContent)"""
# How a page looks: its style rules that were taken, its fonts, and what they make of the text.
LOOK = """() => ({
    rules: [...document.styleSheets].reduce((sum, sheet) => sum + sheet.cssRules.length, 0),
    fonts: [...document.fonts].map(font => font.status),
    styles: [...document.querySelectorAll('body, h1, h2, p, svg, table')].map(node => {
        const style = getComputedStyle(node);
        return [style.fontFamily, style.fontSize, style.color, style.backgroundColor, node.getBoundingClientRect().width];
    }),
})"""


@pytest.fixture
def _driver_draws_for_itself():
    """The browser driver draws from Python's global generator; it is put back, so that the guard sees only our own code."""
    state = random.getstate()
    yield
    random.setstate(state)


@pytest.fixture
def address(folder, out):
    """The pages of that folder."""
    from django.test import override_settings

    with override_settings(FAIRTANK_FOLDER=str(folder), FAIRTANK_OUT=str(out)), answering() as place:
        yield place


@pytest.mark.browser
@pytest.mark.usefixtures("_driver_draws_for_itself")
def test_the_report_keeps_its_own_styles_fonts_and_pictures_behind_the_policy(chromium, address, out, tmp_path):
    """The same report opened as a file, where no policy holds, looks the same."""
    from playwright.sync_api import sync_playwright

    made = Folder(tmp_path / "six")
    made.put("trial.toml", plan_toml())
    made.put("series.csv", series_csv())
    trial_run(root=made.root, out=out)
    seen = {}
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=LAUNCH)
        for place in (f"{address}results/report.html", (out / "report.html").as_uri()):
            page = browser.new_page(viewport={"width": 900, "height": 1200})
            said = []
            page.on("console", lambda message, said=said: said.append(message.text))
            page.goto(place)
            page.evaluate("document.fonts.ready")
            seen[place] = page.evaluate(LOOK), page.screenshot(full_page=True), said
        browser.close()
    (served, picture, said), (file, as_file, _) = seen.values()
    assert said == [], "the policy forbade nothing that the report holds"
    assert served == file
    assert served["rules"] > 20
    assert "loaded" in served["fonts"]
    assert picture == as_file


@pytest.mark.browser
@pytest.mark.usefixtures("_driver_draws_for_itself")
@pytest.mark.published(source="wcag22", where="rules of axe-core for WCAG 2.2 A and AA and its best practices", entry="folder/front.html")
def test_the_front_page_holds_at_360_px_and_breaks_no_rule(chromium, address):
    from axe_playwright_python.sync_playwright import Axe
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=LAUNCH)
        page = browser.new_page(viewport={"width": 360, "height": 740})
        said, asked = [], []
        page.on("console", lambda message: said.append(message.text))
        page.on("request", lambda request: asked.append(request.url))
        for _ in range(50):
            try:
                page.goto(f"{address}folder/")
                break
            except Exception:
                page.wait_for_timeout(100)
        for summary in page.locator("summary").all():
            if summary.evaluate("node => !node.parentElement.open"):
                summary.click()
        for _ in range(200):  # `wait_for_function` makes code of a text inside the page, which the page's policy forbids
            if page.evaluate("[...document.images].every(image => image.complete)"):
                break
            page.wait_for_timeout(50)
        rules = [rule["id"] for rule in Axe().run(page).response["violations"]]
        wide = page.evaluate("document.documentElement.scrollWidth")
        fonts = page.evaluate("[...document.fonts].map(font => font.status)")
        low = page.evaluate(LOW_TARGETS)
        browser.close()
    assert rules == []
    assert wide <= 360
    assert fonts == ["loaded", "loaded"]
    assert low == [], "what can be pressed is at least 44 px high"
    assert not [line for line in said if "ERR_CONNECTION_REFUSED" not in line]
    assert all(url.startswith(address) for url in asked)
