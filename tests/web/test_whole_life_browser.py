"""The whole life of a trial in the pages, from an empty shelf to a report that is written: with a finger on a phone, and by keys alone."""

import math
import re
from datetime import date, timedelta

import pytest
from tests.records.conftest import picture_bytes
from tests.web.keepers import LAUNCH, ByKeys, ByTouch, own_shelf, work_done

DAYS = 42
ANSWERS = {
    "change": "half of the food", "reference": "all of the food", "title": "Half of the food (invented)", "primary": "canopy height",
    "tanks": "6", "start_past": "yes", "blinded": "no",
}
MOST_QUESTIONS = 80
# What decides is a water test, so that no photo has to be measured: the text of the plan says so.
BY_PHOTO = re.compile(r"(?s)\[\[measure\]\].*?(?=\n\[(?!\[measure)|\Z)")
BY_TEST = '[[measure]]\nkey = "nitrate"\nrole = "primary"\ntitle = "Nitrate"\nunit_of_measure = "mg/L NO3"\nscale = "log"\nmargin = 0.3\n'
LOT_WORDS = "This is the draw that counts. Whoever draws until the draw pleases has chosen."
SENTENCE, MORE = "Any difference is smaller than would matter.", "Nitrate under half of the food was"


@pytest.fixture
def pages(chromium, _database, tmp_path, monkeypatch):
    """An empty shelf's address, and a browser for it.

    The pictures of tanks with much and little cover, which take seconds to paint, are other tests' matter. The server, not the browser,
    leaves them out: a browser that is asked to answer for the server fetches every file anew for every page.
    """
    from playwright.sync_api import sync_playwright

    dot = tmp_path / "dot.jpg"
    dot.write_bytes(picture_bytes())
    monkeypatch.setattr("fairtank.web.views.plan.picture_of", lambda _key: dot)
    with own_shelf(tmp_path / "data") as address, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=LAUNCH)
        yield address, browser
        browser.close()


def planned(keeper, start, parts):
    """The questions of so many parts one by one, the rest as it is proposed; then another measure by the text of the plan."""
    keeper.press("Plan my first trial")
    keeper.sees("Now its plan, one question after the other", "Part 1 of 5")
    for _ in range(MOST_QUESTIONS):
        if keeper.heading() == "Every question is answered":
            break
        if int(re.search(r"Part (\d)", keeper.text())[1]) > parts:
            keeper.press("Take what is proposed for the rest of this part")
            continue
        key = keeper.page.input_value("form.question-form [name=key]")
        keeper.answers(start.isoformat() if key == "start" else ANSWERS.get(key))
    keeper.press("Make the plan")
    keeper.sees("The plan is made.", "Canopy height decides", "Smallest difference that matters: from 15 cm")
    keeper.follow("Change its text")
    keeper.type("The text", BY_PHOTO.sub(BY_TEST, keeper.page.input_value("#text")), pasted=True)
    keeper.press("Take this text")
    keeper.sees("The plan was taken.", "Nitrate decides")
    assert "cm to" not in keeper.text(), "what was answered of another measure is not told of this one"


def prepared(keeper):
    """What else differs, what it could show, the lot, the seal, and one tank weighed in."""
    keeper.follow("How even are the tanks?")
    keeper.sees("nothing that is recorded goes along with the arms")
    keeper.go("What it can show")
    keeper.sees("you would notice nitrate at")
    keeper.follow("Go to the draw")
    keeper.tick(LOT_WORDS)
    keeper.press("Draw")
    keeper.sees("The lot has spoken")
    keeper.follow("Go to the seal")
    keeper.press("Seal the plan")
    keeper.sees("The plan is sealed", "nothing was recorded yet")
    keeper.go("Build")
    keeper.sees("All 6 tanks are built alike.")
    keeper.follow("Weigh in")
    keeper.follow("T1…")
    keeper.type("Weighed", "9.04")
    keeper.press("Keep what was weighed")
    keeper.sees("1 of 5 weighed.")


def round_gone(keeper, start, day=None):
    """A round through all tanks, of today or of a day that is past: a reading of each, and a chore to tick off."""
    keeper.go("Run")
    if day is not None:
        keeper.unfold("For another day")
        keeper.type("Day of the round", (start + timedelta(days=day)).isoformat())
        keeper.press("Show that day")
        keeper.type("Why it is entered later", "Written on paper at the tank.")
    for number in range(6):
        keeper.type("Nitrate mg/L NO3", f"21.{number}")
        if day is None:
            keeper.tick("Trim, in all tanks alike")
        keeper.taps("Finish the round" if number == 5 else "Next: …")
    keeper.page.locator("[data-ended-count]", has_text="6 readings").wait_for()


def table_of(start, days):
    """Cells as a spreadsheet copies them: tank, date, nitrate and temperature."""
    rows = ["tank\tdate\tNO3 (mg/L NO3)\ttemperature (°C)"]
    rows += [f"T{tank}\t{start + timedelta(days=day)}\t{20.5 + math.sin(tank * 7 + day) + 0.2 * tank:.1f}\t{24.5 + math.sin(day) / 9:.1f}"
             for day in days for tank in range(1, 7)]
    return "\n".join(rows)


def brought_in(keeper, start):
    """The days that were written into a spreadsheet."""
    keeper.go("Readings")
    keeper.follow("Take in a table, a spreadsheet or a logger's file")
    keeper.type("Cells, with their headings", table_of(start, range(0, 40, 3)), pasted=True)
    keeper.press("Look at it")
    keeper.sees("168 readings of nitrate, temperature in 6 tanks")
    keeper.press("Store these 168 readings")
    keeper.sees("168 readings stored.")


def worked_out(keeper, button="Work it out"):
    """Ask for an answer, and wait until it stands in the page."""
    keeper.press(button)
    assert work_done() == 1
    keeper.page.get_by_text("Worked out just now").wait_for()
    keeper.page.wait_for_load_state()


def ended(keeper):
    """An event, the drift watch, the finding and the report."""
    keeper.go("Diary")
    keeper.follow("Write down an event or a deviation")
    keeper.tick("T2")
    keeper.type("What happened, in a few words", "Fed twice by mistake.")
    keeper.press("Write it down")
    keeper.sees("Written down.", "Fed twice by mistake.")
    keeper.go("Drift")
    worked_out(keeper)
    keeper.sees("No drift was found")
    keeper.go("Judge")
    keeper.sees("Not judged yet")
    worked_out(keeper)
    keeper.sees(SENTENCE, MORE)
    first = keeper.page.locator("main > *:not(.told)")
    assert first.nth(0).evaluate("node => node.tagName") == "H1"
    assert first.nth(1).inner_text().startswith(SENTENCE), "the sentence stands first"
    keeper.go("Publish")
    worked_out(keeper, "Write the report")
    page, paper = keeper.keep("Keep the page…"), keeper.keep("Keep the PDF…")
    assert SENTENCE in page.path().read_text(encoding="utf-8")
    assert paper.path().read_bytes().startswith(b"%PDF-")


def life(keeper, address, *, parts):
    """All of it."""
    start = date.today() - timedelta(days=DAYS)
    keeper.opens(address)
    keeper.sees("Your shelf is empty", "change one thing in some of them")
    planned(keeper, start, parts)
    prepared(keeper)
    round_gone(keeper, start)
    brought_in(keeper, start)
    if isinstance(keeper, ByTouch):
        round_gone(keeper, start, 41)
    ended(keeper)
    keeper.go("Shelf")
    keeper.sees("Half of the food (invented)", SENTENCE)
    assert keeper.said == []


@pytest.mark.browser
def test_the_whole_life_of_a_trial_with_a_finger_at_360_px(pages):
    address, browser = pages
    screen = browser.new_context(viewport={"width": 360, "height": 740}, has_touch=True, is_mobile=True, timezone_id="UTC")
    life(ByTouch(screen.new_page()), address, parts=3)


@pytest.mark.browser
def test_the_whole_life_of_a_trial_by_keys_alone_at_1440_px(pages):
    address, browser = pages
    keeper = ByKeys(browser.new_context(viewport={"width": 1440, "height": 900}, timezone_id="UTC").new_page())
    life(keeper, address, parts=3)
