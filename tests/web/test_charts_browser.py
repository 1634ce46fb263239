"""Charts in a real browser: behind the policy, on light and dark paper, at both widths, by keyboard; and the program that draws them."""

import gzip
import json
from xml.etree import ElementTree

import pytest
from tests.publish.chart_examples import KEYS, all_charts
from tests.web.answering import answering

from fairtank.errors import JobError
from fairtank.web import chart_bundle
from fairtank.web.security import SCRIPT_POLICY
from fairtank.web.views import charts

LAUNCH = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update"]
# One chart of each kind.
KINDS = ("tanks-algae-cover", "curves-algae-cover", "drift-0", "frontier", "forecast-total-ammonia", "trials-together")
STATE = "[...document.querySelectorAll('figure[data-chart]')].map(figure => figure.dataset.drawn)"
# What can be pressed and is lower than a fingertip.
LOW_TARGETS = """[...document.querySelectorAll('main a, summary, button')].filter(node => node.checkVisibility()
    && node.getBoundingClientRect().height < 44).map(node => node.outerHTML.slice(0, 80))"""
# The middle of the first mark that tells a value.
FIRST_MARK = """() => {
    const box = [...document.querySelectorAll('.chart-place path')].find(node => node.__data__?.datum?.told).getBoundingClientRect();
    return [box.x + box.width / 2, box.y + box.height / 2];
}"""
# Charts with a text that reaches beyond their frame.
OUTSIDE = """[...document.querySelectorAll('.chart-place')].filter(place => {
    const frame = place.getBoundingClientRect();
    return [...place.querySelectorAll('text')].some(text => {
        const box = text.getBoundingClientRect();
        return box.width && (box.left < frame.left - 1 || box.right > frame.right + 1);
    });
}).map(place => place.parentElement.dataset.chart)"""


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    """The page with all charts, served; its address."""
    from django.test import override_settings

    with override_settings(ROOT_URLCONF="tests.web.chart_page", MIDDLEWARE=["fairtank.web.security.SecurityHeaders"],
                           DATA=tmp_path_factory.mktemp("data")), answering() as place:
        yield place


@pytest.fixture
def ask(site):
    """Django's test client on the same addresses."""
    from django.test import Client

    return Client(headers={"host": "127.0.0.1"})


def whole(answer):
    content = b"".join(answer.streaming_content)
    answer.close()
    return content


def test_the_bundle_is_made_once_whole_and_served_to_be_kept_for_ever(ask):
    folder = chart_bundle.charts_folder()
    folder.mkdir(parents=True)
    (folder / "charts-0123456789ab.js").write_text("older", encoding="utf-8")
    place = chart_bundle.made_bundle(folder)
    made_ns = place.stat().st_mtime_ns
    assert sorted(path.name for path in folder.iterdir()) == [place.name, f"{place.name}.gz"]
    assert gzip.decompress(place.with_name(f"{place.name}.gz").read_bytes()) == place.read_bytes()
    chart_bundle.make_in_background(folder).join()
    assert chart_bundle.made_bundle(folder).stat().st_mtime_ns == made_ns
    first = ask.get("/static/charts.js")
    assert (first.status_code, first.headers["Location"]) == (302, f"/static/{place.name}")
    assert first.headers["Cache-Control"] == "no-cache"
    plain, packed = ask.get(first.headers["Location"]), ask.get(first.headers["Location"], headers={"Accept-Encoding": "gzip, br"})
    assert plain.headers["Cache-Control"] == packed.headers["Cache-Control"] == "public, max-age=31536000, immutable"
    assert "Content-Encoding" not in plain.headers
    assert packed.headers["Content-Encoding"] == "gzip"
    assert whole(plain) == gzip.decompress(whole(packed)) == place.read_bytes()


def test_a_bundle_of_another_version_is_not_there():
    from django.http import Http404
    from django.test import RequestFactory

    with pytest.raises(Http404):
        charts.bundle(RequestFactory().get("/"), "0123456789ab")


def test_where_nothing_can_be_written_the_reason_is_said(ask, tmp_path, settings_data):
    (tmp_path / "derived").write_text("a file in the way", encoding="utf-8")
    settings_data(tmp_path)
    with pytest.raises(JobError, match="could not be made; the tables hold the same numbers"):
        chart_bundle.made_bundle(chart_bundle.charts_folder())
    assert not chart_bundle.make_in_background(chart_bundle.charts_folder()).join()
    answer = ask.get(f"/static/charts-{chart_bundle.bundle_version()}.js")
    assert (answer.status_code, answer.headers["Content-Type"]) == (503, "text/plain; charset=utf-8")


@pytest.fixture
def settings_data(monkeypatch):
    """Sets the data folder for one test."""
    from django.conf import settings

    return lambda place: monkeypatch.setattr(settings, "DATA", place)


def test_the_policy_allows_no_code_made_of_text_and_no_style_inside_the_page():
    assert "unsafe" not in SCRIPT_POLICY
    assert "script-src 'self';" in SCRIPT_POLICY
    assert "form-action 'self'" in SCRIPT_POLICY


def drawn(page, theme="light"):
    """Scrolls through the page until each chart is drawn on this paper."""
    for key in page.evaluate("[...document.querySelectorAll('figure[data-chart]')].map(figure => figure.dataset.chart)"):
        page.locator(f"figure[data-chart='{key}']").scroll_into_view_if_needed()
        page.locator(f"figure[data-chart='{key}'][data-drawn$='{theme}']").wait_for()


@pytest.fixture(scope="module")
def browser(chromium):
    """One browser for the tests of this file."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        launched = playwright.chromium.launch(executable_path=chromium, args=LAUNCH)
        yield launched
        launched.close()


@pytest.fixture
def page(browser):
    """A page of the browser at 360 px, which keeps what it said and asked for."""
    opened = browser.new_page(viewport={"width": 360, "height": 740})
    opened.said, opened.asked = [], []
    opened.on("console", lambda message: opened.said.append(message.text))
    opened.on("pageerror", lambda error: opened.said.append(str(error)))
    opened.on("request", lambda request: opened.asked.append(request.url))
    yield opened
    opened.close()


@pytest.mark.browser
@pytest.mark.published(source="wcag22", where="rules of axe-core for WCAG 2.2 A and AA and its best practices", entry="parts/chart.html")
def test_every_chart_is_drawn_on_both_papers_at_both_widths_behind_the_policy(page, site):
    from axe_playwright_python.sync_playwright import Axe

    page.goto(f"{site}?only={'+'.join(KINDS)}")
    assert page.evaluate(STATE)[-1] is None, "a chart far down the page is not drawn yet"
    small = sum(chart.wide is chart.narrow for chart in all_charts() if chart.key in KINDS)
    for width, theme in ((360, "light"), (360, "dark"), (1440, "dark"), (1440, "light")):
        page.set_viewport_size({"width": width, "height": 900})
        page.evaluate("theme => { document.documentElement.dataset.theme = theme; }", theme)
        drawn(page, theme)
        sizes = [told.split()[0] for told in page.evaluate(STATE)]
        assert sizes.count("wide") == (0 if width == 360 else len(KINDS) - small)
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert page.evaluate(OUTSIDE) == []
        assert page.evaluate(LOW_TARGETS) == []
        if (width, theme) in ((360, "dark"), (1440, "light")):
            broken = [(rule["id"], [node["html"][:80] for node in rule["nodes"]]) for rule in Axe().run(page).response["violations"]]
            assert broken == []
    assert page.said == []
    assert all(url.startswith(site) for url in page.asked)
    assert sum(url.endswith(".js") and "charts-" in url for url in page.asked) == 1


@pytest.mark.browser
def test_values_are_told_by_keyboard_and_pointer_and_everything_can_be_kept(page, site, tmp_path):
    page.goto(f"{site}?only=curves-algae-cover")
    drawn(page)
    chart = next(chart for chart in all_charts() if chart.key == "curves-algae-cover")
    figure = page.locator("figure[data-chart='curves-algae-cover']")
    place, told = figure.locator(".chart-place"), figure.locator(".chart-told")
    assert place.get_attribute("aria-label") == chart.description
    assert place.get_attribute("role") == "img"
    page.keyboard.press("Tab")
    place.focus()
    assert place.evaluate("node => getComputedStyle(node).outlineStyle") == "solid"
    texts = [row["told"] for row in chart.narrow["layer"][-1]["data"]["values"]]
    for key in ("ArrowRight", "ArrowRight", "End"):
        page.keyboard.press(key)
        assert told.inner_text() in texts
        frame, box = place.bounding_box(), told.bounding_box()
        assert frame["x"] - 1 <= box["x"]
        assert box["x"] + box["width"] <= frame["x"] + frame["width"] + 1
    page.keyboard.press("Escape")
    assert not told.is_visible()
    page.mouse.move(*page.evaluate(FIRST_MARK))
    told.wait_for()
    assert told.inner_text() in texts
    page.mouse.move(2, 2)
    kept = {}
    for kind in ("svg", "png", "csv"):
        with page.expect_download() as waited:
            figure.locator(f"[data-keep={kind}]").press("Enter")
        assert waited.value.suggested_filename == f"curves-algae-cover.{kind}"
        waited.value.save_as(tmp_path / kind)
        kept[kind] = (tmp_path / kind).read_bytes()
    root = ElementTree.fromstring(kept["svg"])
    assert root.get("width") == "320"
    assert b'font-family="Atkinson Hyperlegible Next, sans-serif"' in kept["svg"]
    assert int.from_bytes(kept["png"][16:20], "big") == 640
    rows = kept["csv"].decode("utf-8-sig").splitlines()
    assert rows[0] == ",".join(json.dumps(cell, ensure_ascii=False) for cell in chart.table.head)
    assert len(rows) == 1 + len(chart.table.rows)
    page.evaluate("document.documentElement.dataset.theme = 'dark'")
    drawn(page, "dark")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    assert all(state.endswith("light") for state in page.evaluate(STATE)), "paper is printed light"
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    drawn(page, "dark")
    assert page.said == []


@pytest.mark.browser
def test_without_script_and_without_the_program_the_tables_are_open_and_a_sentence_says_why(browser, site):
    for has_script in (False, True):
        context = browser.new_context(java_script_enabled=has_script)
        page = context.new_page()
        page.route("**/charts.js", lambda route: route.fulfill(status=503, body="no"))
        page.goto(f"{site}?only=drift-0")
        figure = page.locator("figure[data-chart]")
        figure.locator("[data-chart-plain]").wait_for()
        assert "The table below holds the same numbers" in figure.locator("[data-chart-plain]").inner_text()
        figure.locator("table").wait_for()
        assert not figure.locator(".chart-place").is_visible()
        assert not figure.locator("[data-chart-keep]").is_visible()
        context.close()


def test_the_page_holds_the_charts_words_and_its_table_without_any_script(ask):
    text = ask.get("/").content.decode()
    for chart in all_charts():
        assert chart.title.replace("'", "&#x27;") in text
    assert text.count("<details class=\"chart-numbers\" open>") == len(KEYS)
