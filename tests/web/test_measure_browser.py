"""Strokes and frames in a real browser: painted, undone, kept; corners clicked, pushed by keys, kept with a zone; the wall by keys."""

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

LAUNCH = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update"]
TRIAL = "trials/a-dark-break-at-midday-invented/"
PAINTED = "fairtankEasel.pixels.numbers.reduce((sum, one) => sum + (one !== 255), 0)"
LOW = """[...document.querySelectorAll('main a, main button, summary, main select, main input:not([type=hidden])')]
    .filter(node => node.checkVisibility() && (node.closest('label') ?? node).getBoundingClientRect().height < 44
            && node.getBoundingClientRect().height < 44).map(node => node.outerHTML.slice(0, 90))"""
WIDE = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    """The trial on a shelf of its own, served."""
    place = tmp_path_factory.mktemp("measure")
    root = Path(__file__).parents[2]
    variables = {**os.environ, "FAIRTANK_DATA": str(place / "data"), "DJANGO_SETTINGS_MODULE": "fairtank.settings", "TZ": "UTC",
                 "PYTHONPATH": os.pathsep.join((str(root), os.environ.get("PYTHONPATH", "")))}
    code = "import sys; from pathlib import Path; from tests.web.measured_trial import serve; serve(Path(sys.argv[1]))"
    server = subprocess.Popen([sys.executable, "-c", code, str(place)], env=variables, stdout=subprocess.PIPE, text=True)
    yield server.stdout.readline().strip() + TRIAL
    server.terminate()
    server.communicate(timeout=20)


@pytest.fixture(scope="module")
def page(chromium, site):
    """A page that fails the test on any error of a script or of the policy."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=LAUNCH)
        opened = browser.new_page(viewport={"width": 1200, "height": 900})
        faults = []
        opened.on("pageerror", lambda error: faults.append(str(error)))
        opened.on("console", lambda line: faults.append(line.text) if line.type == "error" else None)
        yield opened
        browser.close()
    assert faults == []


def _until(page, what, asked=True):
    """Waits for an expression; the policy of the pages forbids the browser's own way of waiting, which makes code of a text."""
    for _ in range(200):
        if page.evaluate(what) == asked:
            return
        time.sleep(0.05)
    raise AssertionError(f"never came true: {what}")


def test_a_stroke_is_painted_undone_done_again_and_kept(page, site):
    page.goto(f"{site}labels/1/")
    box = page.locator("[data-easel]").bounding_box()
    page.mouse.move(box["x"] + 100, box["y"] + 100)
    page.mouse.down()
    page.mouse.move(box["x"] + 300, box["y"] + 180, steps=5)
    page.mouse.up()
    painted = page.evaluate(PAINTED)
    assert painted > 500
    page.keyboard.press("2")
    for key in ("Space", "ArrowDown", "ArrowDown", "ArrowRight", "Space"):
        page.keyboard.press(key)
    both = page.evaluate(PAINTED)
    assert both > painted
    page.keyboard.press("Control+z")
    assert page.evaluate(PAINTED) == painted
    page.keyboard.press("Control+Shift+z")
    assert page.evaluate(PAINTED) == both
    page.click("[data-do=keep]")
    _until(page, "fairtankEasel.saved")
    page.reload()
    assert page.evaluate(PAINTED) == both


def test_the_photo_comes_nearer_round_the_middle_and_never_leaves_its_place(page, site):
    page.goto(f"{site}labels/1/")
    page.locator("[data-easel]").focus()
    for key in ("+", "+", "Shift+ArrowRight", "Shift+ArrowRight", "Shift+ArrowRight"):
        page.keyboard.press(key)
    near = page.evaluate("[fairtankEasel.scale, fairtankEasel.x, fairtankEasel.y]")
    page.keyboard.press("0")
    whole = page.evaluate("[fairtankEasel.scale, fairtankEasel.x, fairtankEasel.y]")
    assert near[0] == pytest.approx(1.96 * whole[0])
    assert near[1] < 0
    assert whole[1:] == [0, 0]


def test_corners_are_clicked_in_any_order_pushed_by_a_px_and_kept_with_a_zone(page, site):
    page.goto(f"{site}frame/1/")
    page.click("[data-again]")
    page.locator("[data-stage]").scroll_into_view_if_needed()
    box = page.locator("[data-stage]").bounding_box()

    def click(x, y):
        page.mouse.click(box["x"] + box["width"] * x / 640, box["y"] + box["height"] * y / 480)

    for x, y in ((600, 440), (40, 30), (600, 30), (40, 440)):
        click(x, y)
    assert page.inner_text("[data-check]") == "These corners can be a frame."
    before = [float(page.input_value(f"#{name}1")) for name in "xy"]
    assert before == [pytest.approx(40, abs=1), pytest.approx(30, abs=1)]
    page.locator(".handle.corner").first.focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Shift+ArrowDown")
    pushed = [pytest.approx(before[0] + 1, abs=0.11), pytest.approx(before[1] + 10, abs=0.11)]
    assert [float(page.input_value(f"#{name}1")) for name in "xy"] == pushed
    page.click("[data-zone-draw]")
    page.locator("[data-stage]").scroll_into_view_if_needed()
    box = page.locator("[data-stage]").bounding_box()
    for x, y in ((100, 100), (200, 100), (200, 200)):
        click(x, y)
    page.click("[data-zone-close]")
    page.click("[data-keep]")
    page.wait_for_load_state()
    assert "The frame of T1 is kept." in page.inner_text(".told")
    assert page.input_value("#zones").startswith("static | static | ")
    assert float(page.input_value("#x1")) == pytest.approx(before[0] + 1, abs=0.11)


def test_the_wall_goes_from_photo_to_photo_by_keys_and_opens_two(page, site):
    page.goto(f"{site}wall/")
    page.locator(".wall-shot[tabindex='0']").focus()
    page.keyboard.press("ArrowDown")
    assert page.evaluate("document.activeElement.getAttribute('aria-label')").startswith("T2, day 8. The photo is blurred")
    page.keyboard.press("Home")
    assert page.evaluate("document.activeElement.getAttribute('aria-label')") == "T2, day 0. no photo"
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    page.wait_for_url("**/compare?left=*")
    split = page.locator("#split")
    split.focus()
    page.keyboard.press("End")
    assert page.evaluate("document.querySelector('.left img').style.clipPath") == "inset(0px 0% 0px 0px)"


def test_on_a_phone_nothing_is_wider_than_the_page_or_lower_than_a_fingertip(page, site):
    page.goto(f"{site}audit/")
    page.fill("#points", "4")
    page.click("main form button")
    page.wait_for_selector("#point")
    page.wait_for_load_state("load")
    page.keyboard.press("1")
    _until(page, "document.querySelector('.standing p').textContent", "1 of 4 answered.")
    page.set_viewport_size({"width": 360, "height": 740})
    found = []
    for place in ("wall/", "wall/compare?left=1", "photo/1/", "frame/", "frame/1/", "labels/", "labels/1/", "audit/"):
        page.goto(site + place)
        found += [(place, "wide")] * (page.evaluate(WIDE) > 0) + [(place, low) for low in page.evaluate(LOW)]
    assert found == []
