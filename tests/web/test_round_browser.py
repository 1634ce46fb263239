"""The round on a phone: by keyboard, with the connection cut in the middle, and two phones at once."""

import os
import sqlite3
import subprocess
import sys
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from tests.records.photo_trials import damaged_png

LAUNCH = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update"]
PHONE = {"width": 360, "height": 740}
ADDRESS = "trials/a-dark-break-at-midday-invented/round/"
LOW = """[...document.querySelectorAll('main a, main button, summary, main select, main textarea, main input:not([type=hidden])')]
    .filter(node => node.checkVisibility() && (node.closest('label') ?? node).getBoundingClientRect().height < 44
            && node.getBoundingClientRect().height < 44).map(node => node.outerHTML.slice(0, 80))"""


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    """A running trial of two tanks on a shelf of its own; its address and its database."""
    place = tmp_path_factory.mktemp("round")
    variables = {**os.environ, "FAIRTANK_DATA": str(place / "data"), "DJANGO_SETTINGS_MODULE": "fairtank.settings", "TZ": "UTC"}
    code = Path(__file__).with_name("round_site.py")
    server = subprocess.Popen([sys.executable, str(code), str(place), "T1,T2"], env=variables, stdout=subprocess.PIPE, text=True)
    yield server.stdout.readline().strip(), place / "data" / "shelf.sqlite3"
    server.terminate()
    server.communicate(timeout=20)


@pytest.fixture(scope="module")
def browser(chromium):
    """A browser; each phone is a context of its own."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=chromium, args=LAUNCH)
        yield opened
        opened.close()


def photo_file(shade):
    from PIL import Image

    target = BytesIO()
    Image.new("RGB", (800, 600), (shade, 120, 60)).save(target, "JPEG")
    return {"name": f"{shade}.jpg", "mimeType": "image/jpeg", "buffer": target.getvalue()}


def phone_at(browser, address):
    """The round on a new phone; what the page says to the console is kept."""
    page = browser.new_context(viewport=PHONE, timezone_id="UTC").new_page()
    page.said = []
    page.on("pageerror", lambda error: page.said.append(str(error)))
    page.on("console", lambda message: page.said.append(message.text) if "ERR_INTERNET" not in message.text else None)
    page.goto(address)
    return page


def told(page, text):
    """Wait until the line of state says so."""
    page.locator("[data-state]", has_text=text).wait_for(timeout=5000)


def rows(database, question):
    with sqlite3.connect(database) as connection:
        return connection.execute(question).fetchall()


def entered(database):
    return rows(database, "select u.key, r.quantity, r.value from records_reading r join records_unit u on u.id = r.unit_id "
                          "where r.entry is not null and r.removed_at is null order by u.key, r.quantity desc, r.value")


@pytest.mark.browser
def test_a_round_by_keyboard_survives_a_cut_and_a_reload_and_is_stored_once(browser, site):
    address, database = site[0] + ADDRESS, site[1]
    page = phone_at(browser, address)
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert page.evaluate(LOW) == []
    page.set_input_files("#photo-0", photo_file(90))
    page.locator("#reading-0-0").focus()
    page.keyboard.type("7,7")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.textContent") == "Yes, 7,7 is right"
    page.locator("#reading-0-0").fill("24,9")
    page.keyboard.press("Enter")
    page.keyboard.type("6.9")
    page.locator("[data-chore=feed] input").first.focus()
    page.keyboard.press("Space")
    told(page, "Everything you entered is stored.")
    page.locator("#reading-0-1").focus()
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "reading-1-0", "Enter in the last field goes on to the next tank"

    page.context.set_offline(True)
    page.keyboard.type("24.8")
    page.keyboard.press("Enter")
    page.set_input_files("#choose-1", photo_file(150))
    page.locator("#note-1").fill("A snail on the glass.")
    page.locator("#note-1").blur()
    told(page, "3 entries wait for the connection.")
    page.locator("#reading-1-1").press_sequentially("6.8")  # in the middle of typing
    page.context.set_offline(False)
    page.reload()
    fields = [page.locator(name).input_value() for name in ("#reading-1-0", "#reading-1-1", "#note-1")]
    assert fields == ["24.8", "6.8", "A snail on the glass."]
    told(page, "Everything you entered is stored.")
    page.locator("[data-next]").click()
    page.locator("[data-ended-count]", has_text="4 readings, 2 photos, 1 chore, 1 note.").wait_for(timeout=5000)
    assert entered(database) == [("T1", "temperature", 24.9), ("T1", "ph", 6.9), ("T2", "temperature", 24.8), ("T2", "ph", 6.8)]
    assert rows(database, "select path from records_photo order by path") == [("photos/T1-12-1.jpg",), ("photos/T2-12-1.jpg",)]
    assert rows(database, "select note from records_event where entry is not null") == [("A snail on the glass.",)]
    assert rows(database, "select count(*), count(ended_at) from records_round") == [(1, 1)]
    assert page.said == []


@pytest.mark.browser
def test_two_phones_at_once_are_both_kept_and_told_of_each_other(browser, site):
    one, two = (phone_at(browser, site[0] + ADDRESS) for _ in range(2))
    for page, value in ((one, "24.5"), (two, "24.6")):
        page.locator("#reading-0-0").fill(value)
        page.keyboard.press("Enter")
        told(page, "Everything you entered is stored.")
    two.locator("[data-said]", has_text="Another entry of this day says 24.5 °C").wait_for(timeout=5000)
    assert {value for unit, name, value in entered(site[1]) if (unit, name) == ("T1", "temperature")} >= {24.5, 24.6}
    assert one.said == two.said == []


@pytest.mark.browser
def test_a_quantity_that_is_new_is_the_same_field_after_a_reload(browser, site):
    page = phone_at(browser, site[0] + ADDRESS)
    page.locator("details.another summary").first.click()
    for name, text in (("quantity", "nitrate"), ("unit", "mg/L"), ("value", "<0,5")):
        page.locator(f"#new-{name}-0").fill(text)
    page.locator("#new-value-0").press("Enter")
    told(page, "Everything you entered is stored.")
    page.reload()
    fields = page.locator("[data-unit=T1] [data-quantity=nitrate] .line input")
    assert (fields.count(), fields.first.input_value()) == (1, "<0,5")
    assert rows(site[1], "select value, below_detection from records_reading where quantity = 'nitrate'") == [(0.5, 1)]


@pytest.mark.browser
def test_a_reading_that_was_typed_and_not_added_is_stored_when_one_goes_on(browser, site):
    page = phone_at(browser, site[0] + ADDRESS)
    page.locator("details.another summary").first.click()
    page.locator("#new-value-0").fill("12,5")
    told(page, "Not sent yet.")
    page.locator("[data-next]").click()
    page.locator("[data-unit=T1] [data-new] [data-said]", has_text="What was it that was read?").wait_for(timeout=5000)
    assert page.locator("[data-unit=T1]").is_visible()
    page.locator("#new-quantity-0").fill("phosphate")
    page.locator("#new-unit-0").fill("mg/L")
    page.locator("[data-next]").click()
    told(page, "Everything you entered is stored.")
    assert page.locator("[data-unit=T2]").is_visible()
    assert rows(site[1], "select value, unit_of_measure from records_reading where quantity = 'phosphate'") == [(12.5, "mg/L")]
    page.locator("details.another summary").nth(1).click()
    page.locator("#new-quantity-1").fill("phosphate")
    page.locator("#new-value-1").fill("0,")
    page.reload()
    assert page.locator("[data-unit=T2] [data-quantity=phosphate] .line input").input_value() == "0,"
    assert page.said == []


@pytest.mark.browser
def test_the_end_of_a_round_is_told_to_the_computer_also_while_an_entry_is_on_its_way(browser, site):
    page, held = phone_at(browser, site[0] + ADDRESS), []
    page.route("**/round/entries/", lambda route: route.continue_() if held else held.append(route))
    page.locator("#note-0").fill("A leaf floats.")
    page.locator("#note-0").blur()
    while not held:
        page.wait_for_timeout(50)
    for _ in range(2):
        page.locator("[data-next]").click()
    held[0].continue_()
    page.locator("[data-ended-count]", has_text="1 note.").wait_for()
    assert rows(site[1], "select ended_at is not null from records_round order by id desc limit 1") == [(1,)]
    assert page.said == []


@pytest.mark.browser
def test_a_photo_that_turns_out_damaged_after_it_is_stored_is_told_beside_it(browser, site):
    page = phone_at(browser, site[0] + ADDRESS)
    damaged = damaged_png(np.random.default_rng(7).integers(0, 256, (120, 160, 3), np.uint8))
    page.set_input_files("#choose-0", [photo_file(200), {"name": "dim.png", "mimeType": "image/png", "buffer": damaged}])
    page.locator(".shots .trouble", has_text="its file is damaged. Take it again.").wait_for(timeout=5000)
    told(page, "1 entry needs a look: see T1.")
    assert page.locator(".shots [data-shown]").count() == 1, "the other one is shown as the shelf has it"
    assert page.get_by_role("link", name="Its page").get_attribute("href").startswith("/trials/")
