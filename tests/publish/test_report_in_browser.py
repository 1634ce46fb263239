"""The report in a browser: nothing moves sideways on a phone, and the accessibility rules hold."""

from functools import cache

import pytest
from invented_trials import dark_break, one_cover_glass, weights

from fairtank.publish.report import write_report

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


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    """The report of an invented trial, written once."""
    return cache(lambda trial: write_report(trial(), tmp_path_factory.mktemp("report")))


@pytest.mark.browser
@pytest.mark.parametrize("trial", [dark_break, one_cover_glass, weights], ids=lambda trial: trial.__name__)
@pytest.mark.parametrize("width_px", [360, 1440])
def test_the_page_fits_loads_nothing_and_breaks_no_rule(trial, width_px, browser, written):
    from axe_playwright_python.sync_playwright import Axe

    files = written(trial)
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


# How dark the page is just inside the right edge of the first table, compared with its left edge; 0 where there is no shadow.
SIDEWAYS = """() => [...document.querySelectorAll('.wide')].filter(box => box.querySelector('table')).map(box => ({
    hides: box.scrollWidth > box.clientWidth,
    box: JSON.parse(JSON.stringify(box.getBoundingClientRect())),
}))"""


def shade(page, box) -> int:
    """How much darker the last pixels of a box are than those in its middle, at its lower edge where no text stands."""
    import io

    from PIL import Image

    page.evaluate("top => window.scrollTo(0, top)", box["y"])
    left, bottom = box["x"], page.evaluate("window.scrollY")
    clip = {"x": left, "y": box["y"] + box["height"] - 4 - bottom, "width": box["width"], "height": 2}
    picture = Image.open(io.BytesIO(page.screenshot(clip=clip))).convert("L")
    return picture.getpixel((picture.width // 2, 1)) - picture.getpixel((picture.width - 2, 1))


@pytest.mark.browser
def test_on_a_phone_no_table_hides_a_column_and_a_stacked_row_names_its_cells(browser, written):
    files = written(dark_break)
    page = browser.new_page(viewport={"width": 360, "height": 2400})
    page.goto(files.html.as_uri())
    assert not any(one["hides"] for one in page.evaluate(SIDEWAYS))
    heads = page.evaluate("getComputedStyle(document.querySelector('.stacked td'), '::before').content")
    assert heads == '"What is measured"'
    page.close()


@pytest.mark.browser
def test_a_table_that_hides_columns_shows_a_shadow_until_it_was_scrolled_to_its_end(browser, written):
    files = written(dark_break)
    page = browser.new_page(viewport={"width": 360, "height": 2400})
    page.goto(files.html.as_uri())
    page.evaluate("document.querySelector('table:not(.stacked)').style.width = '50rem'")  # one that is too wide whatever is done
    boxes = page.evaluate(SIDEWAYS)
    hiding, whole = (next(one["box"] for one in boxes if one["hides"] is hides) for hides in (True, False))
    assert shade(page, hiding) > 20
    assert shade(page, whole) < 5
    page.evaluate("window.scrollTo(0, 0)")
    page.evaluate("[...document.querySelectorAll('.wide')].find(box => box.scrollWidth > box.clientWidth && box.querySelector('table'))"
                  ".scrollLeft = 9999")
    assert shade(page, hiding) < 5
    assert page.get_by_text("Scroll sideways to see all days.").is_visible()
    page.set_viewport_size({"width": 1440, "height": 900})
    assert not page.get_by_text("Scroll sideways to see all days.").is_visible()
    page.close()
