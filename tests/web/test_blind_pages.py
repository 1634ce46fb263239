"""The blind table in the pages: what it shows tells nothing, and a link opens it alone."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from tests.records.photo_trials import Shape, photo_trial
from tests.records.test_seats import EYES

LAUNCH = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update"]
SHAPE = Shape(days=(0, 7, 14, 21), painted=(), mode="fixed", shrink=5)
# Unit keys, arm keys with their names, file names, days as words, dates of photos, keys of rows.
TELLING = re.compile(r"\bT[12]\b|plain\b|dimmed|made-up|photos/|\.jpg|\bday \d|2026-03|photo_?id|\bunit\b|algae_by_eye", re.IGNORECASE)
WANTED = {"measure": "algae_by_eye", "way": "score", "rater": "Mira", "where": "link", "count": "8", "top": "10",
          "question": "How bad is it?"}


def trial_write(root):
    """A trial with photos, and two measures that people judge."""
    photo_trial(root, SHAPE)
    plan = (root / "trial.toml").read_text(encoding="utf-8")
    plan = plan.replace("blinded = false", "blinded = true")
    (root / "trial.toml").write_text(plan + EYES, encoding="utf-8")
    return root


@pytest.fixture(name="root", scope="module")
def _root(tmp_path_factory):
    return trial_write(tmp_path_factory.mktemp("blind") / "t")


@pytest.fixture(name="page")
def _page(asked, root):
    """The address of the blind table of a trial on the shelf."""
    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.trail import KEEPER

    return f"/trials/{trial_import(root=root, by=KEEPER).slug}/blind/"


@pytest.fixture
def stranger(page):
    """Somebody at another machine, with forms checked as in earnest."""
    from django.test import Client

    return Client(enforce_csrf_checks=True, headers={"host": "127.0.0.1"}, REMOTE_ADDR="192.168.1.9")


def link_in(answer):
    """The link that a page shows, without its host."""
    return re.search(r'value="http://[^/]+(/rate/[^"]+)"', answer.content.decode())[1]


def made(asked, page, **more):
    answer = asked.post(f"{page}seat", {**WANTED, **more})
    assert answer.status_code == 200, answer.content.decode()
    return link_in(answer)


def token_in(answer):
    return re.search(r'name="task" value="([^"]+)"', answer.content.decode())[1]


def test_what_a_link_shows_tells_neither_tank_arm_nor_day(asked, stranger, page):
    link = made(asked, page)
    tokens = []
    for _ in range(10):
        answer = stranger.get(link)
        content = answer.content.decode()
        assert not TELLING.search(content.replace(link, "")), TELLING.search(content)
        assert not TELLING.search(str(answer.headers))
        assert not answer.cookies
        assert not stranger.cookies
        assert set(re.findall(r'(?:href|action|src)="(?!/static/)([^"]+)"', content)) <= {
            f"{link}/answer", f"{link}/undo", f"{link}/{token_in(answer)}/0"}
        tokens.append(token_in(answer))
        picture = stranger.get(f"{link}/{tokens[-1]}/0")
        assert picture["Content-Type"] == "image/jpeg"
        assert b"Exif" not in picture.content
        assert b"photos/" not in picture.content
        assert {"Last-Modified", "ETag", "Content-Disposition"}.isdisjoint(picture.headers)
        stranger.post(f"{link}/answer", {"task": tokens[-1], "answer": "5"})
    assert len(set(tokens)) == 10  # eight photos, two of them twice: a repeat has another word
    thanks = stranger.get(link).content.decode()
    assert "Thank you" in thanks
    assert not TELLING.search(thanks.replace(link, ""))


def test_a_link_is_alone_needs_no_cookie_and_leads_nowhere(asked, stranger, page):
    link = made(asked, page)
    answer = stranger.get(link)
    assert (answer["Referrer-Policy"], answer["X-Robots-Tag"], answer["Cache-Control"]) == ("no-referrer", "noindex, nofollow", "no-store")
    assert 'name="robots"' in answer.content.decode()
    assert 'name="referrer"' in answer.content.decode()
    assert stranger.get(page).status_code == 403
    seat = re.search(r"blind/(\d+)/", asked.get(page).content.decode())[1]
    assert asked.get(f"{page}{seat}/").status_code == 404  # who was invited answers for themself


def test_a_link_that_is_wrong_over_or_taken_back_opens_nothing_and_guesses_are_counted(asked, stranger, page):
    from datetime import timedelta

    from django.utils import timezone

    from fairtank.records.models import Score, Seat

    link = made(asked, page)
    token = token_in(stranger.get(link))
    Seat.objects.update(expires_at=timezone.now() - timedelta(seconds=1))
    for answer in (stranger.get(link), stranger.post(f"{link}/answer", {"task": token, "answer": "5"}), stranger.get(f"{link}/{token}/0")):
        assert answer.status_code == 404
        assert answer["Referrer-Policy"] == "no-referrer"
        assert b"opens nothing" in answer.content
    Seat.objects.update(expires_at=timezone.now() + timedelta(days=1))
    assert stranger.get(link).status_code == 200
    asked.post(f"{page}{Seat.objects.get().pk}/unlink")
    assert stranger.get(link).status_code == 404
    assert not Score.objects.exists()
    assert [stranger.get(f"/rate/{number:043d}").status_code for number in range(9)][-1] == 429


def test_answers_come_once_however_often_they_are_sent_and_the_last_is_taken_back(asked, stranger, page):
    from fairtank.records.models import Score

    link = made(asked, page)
    token = token_in(stranger.get(link))
    for _ in range(3):
        assert stranger.post(f"{link}/answer", {"task": token, "answer": "7"}).status_code == 303
    part = stranger.post(f"{link}/answer", {"task": token, "answer": "7"}, headers={"HX-Request": "true"}).content.decode()
    assert Score.objects.get().value == 7.0
    assert "1 of 10" in part
    assert "<html" not in part
    assert stranger.post(f"{link}/undo").status_code == 303
    assert not Score.objects.exists()
    assert token_in(stranger.get(link)) == token
    assert stranger.post(f"{link}/answer", {"task": token, "answer": "7.5"}).status_code == 422
    assert stranger.post(f"{link}/answer", {"task": "../../etc", "answer": "7"}).status_code == 422
    assert not Score.objects.exists()


def test_a_forged_form_reaches_no_seat_without_a_link(asked, page):
    from django.test import Client

    asked.post(f"{page}seat", {**WANTED, "where": "here"})
    seat = re.search(r"blind/(\d+)/", asked.get(page).content.decode())[1]
    keeper = Client(enforce_csrf_checks=True, headers={"host": "127.0.0.1"})
    token = token_in(keeper.get(f"{page}{seat}/"))
    assert keeper.post(f"{page}{seat}/answer", {"task": token, "answer": "1"}).status_code == 403


def test_two_photos_are_compared_and_the_choice_is_a_row_of_the_folder(asked, stranger, page):
    from fairtank.records.models import PairChoice

    link = made(asked, page, measure="more_algae", way="pairs", rater="Jon", count="4")
    answer = stranger.get(link)
    assert answer.content.decode().count("<img") == 2
    assert not TELLING.search(answer.content.decode().replace(link, ""))
    stranger.post(f"{link}/answer", {"task": token_in(answer), "answer": "b"})
    choice = PairChoice.objects.get()
    assert (choice.more, choice.rater) == ("b", "Jon")
    assert choice.photo_a.unit_id != choice.photo_b.unit_id


def test_the_page_takes_as_many_queries_however_many_answers_there_are(asked, page):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    asked.post(f"{page}seat", {**WANTED, "where": "here"})
    table = re.search(rf"{page}\d+/", asked.get(page).content.decode())[0]

    def count():
        with CaptureQueriesContext(connection) as found:
            asked.get(page), asked.get(table)
        return len(found)

    before = count()
    for number in range(6):
        asked.post(f"{table}answer", {"task": token_in(asked.get(table)), "answer": str(number)})
    assert count() <= before
    assert before < 40


@pytest.mark.parametrize(("more", "said"), [({"rater": " "}, "The name is missing"), ({"count": "many"}, "How many photos is not a whole"),
                                            ({"measure": "no"}, "The measure is no; accepted"), ({"count": "9999"}, "2 to 600")])
def test_a_seat_that_cannot_be_made_says_why(asked, page, more, said):
    from fairtank.records.models import Seat

    answer = asked.post(f"{page}seat", {**WANTED, **more})
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not Seat.objects.exists()


@pytest.fixture(name="site", scope="module")
def _site(tmp_path_factory):
    """A seat of scores and one of pairs behind links, served."""
    place = tmp_path_factory.mktemp("served")
    variables = {**os.environ, "FAIRTANK_DATA": str(place / "data"), "DJANGO_SETTINGS_MODULE": "fairtank.settings"}
    code = Path(__file__).with_name("blind_site.py")
    server = subprocess.Popen([sys.executable, str(code), str(place)], env=variables, stdout=subprocess.PIPE, text=True)
    yield server.stdout.readline().split()
    server.terminate()
    server.communicate(timeout=20)


@pytest.fixture(name="phone")
def _phone(chromium):
    """A page of 360 px that is touched; an error in its script fails the test."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=LAUNCH)
        page = browser.new_context(viewport={"width": 360, "height": 740}, has_touch=True).new_page()
        page.said = []
        page.on("pageerror", lambda error: page.said.append(str(error)))
        yield page
        browser.close()


LOW = """[...document.querySelectorAll('button, summary')].filter(one => one.checkVisibility() && one.getBoundingClientRect().height < 44)
    .map(one => one.outerHTML)"""
LOADED = "[...document.images].every(one => one.complete && one.naturalWidth)"


def wait_done(page, count):
    """Until so many are answered and the next picture is there."""
    page.locator(f"[role=status]:text-matches('^{count} of')").wait_for(timeout=5000)
    for _ in range(100):
        if page.evaluate(LOADED):
            return
        page.wait_for_timeout(20)
    raise AssertionError("a picture did not come")


@pytest.mark.browser
def test_by_keyboard_and_by_swipe_on_a_phone(site, phone):
    scores, pairs = site
    phone.goto(scores, wait_until="load")
    assert phone.evaluate(LOW) == []
    assert phone.evaluate("document.documentElement.scrollWidth") == 360
    wait_done(phone, 0)
    for number, keys in enumerate((["7"], ["x"], ["ArrowRight", "ArrowRight", " "]), start=1):
        for key in keys:
            phone.keyboard.press(key)
        wait_done(phone, number)
    phone.keyboard.press("Backspace")
    wait_done(phone, 2)
    swipe(phone, 40, 300)
    wait_done(phone, 3)
    phone.goto(pairs, wait_until="load")
    wait_done(phone, 0)
    for number, move in enumerate(((250, 60), (60, 250)), start=1):
        swipe(phone, *move)
        wait_done(phone, number)
    phone.keyboard.press(" ")
    wait_done(phone, 3)
    assert phone.said == []


def swipe(page, start, end):
    """A finger that slides across the first photo."""
    touch = page.context.new_cdp_session(page)
    top = page.locator(".shot").first.bounding_box()["y"] + 60
    steps = [start + (end - start) * part / 5 for part in range(6)]
    for kind, points in (("touchStart", steps[:1]), *(("touchMove", [x]) for x in steps[1:]), ("touchEnd", [])):
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": top} for x in points]})
