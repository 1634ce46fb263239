"""Every page there is: its HTML is valid, axe finds nothing in it on light and on dark paper, and at 360 px it does not scroll sideways."""

import re
from collections import Counter
from typing import NamedTuple
from urllib.parse import urlsplit

import pytest
from tests.web import judged_trials, round_site
from tests.web.people import HOST, LAN_ADDRESS, account, hosted, in_home_network, logged_in, stranger, visitor_of_site
from tests.web.planned_trials import planned_trial
from tests.web.test_roles import address_of, all_routes

LAUNCH = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update"]
KEEPERS = "http://127.0.0.1"
# Not pages of this product: what a folder holds and what was written from it, which other tests look at; files and pictures.
ELSEWHERE = {"result": "tests/web/test_browser.py", "file": "tests/web/test_files.py", "thumbnail": "tests/web/test_files.py"}
FILE = re.compile(r"\.(html|pdf|csv|toml|json|zip|ics|jpg|js|ico)$|/files/|/papers/|/backups/|empty\."
                  r"|/picture$|/film/<str:name>|/words/<str:name>|/(?:page|picture)/<path:name>|<str:stamp>|/map/|<int:which>")
# The trial for which the pages below a part of an address have most to show; all others show the one that runs.
HAS_MOST = {**dict.fromkeys(("plan", "even", "show", "forecast", "draw", "seal", "schedule", "equal", "build", "members"), "planned"),
            **dict.fromkeys(("wall", "photo", "frame", "labels", "audit", "blind"), "measured"),
            **dict.fromkeys(("", "finding", "publish", "site", "charts", "film", "words", "kit", "watch", "readings"), "judged")}
NOT_AT_HOME = {"login", "account", "account_password", "accounts", "members", "invited", "pair"}  # with accounts, or in a home network
QUICK = {"resultTypes": ["violations"], "preload": False, "reporter": "no-passes", "selectors": False, "iframes": False}
AXE = {**QUICK, "rules": {"target-size": {"enabled": True}}}
DARK = {**QUICK, "runOnly": ["color-contrast"]}
FOUND = """options => axe.run(document, options)
    .then(found => found.violations.map(rule => [rule.id, rule.nodes.map(node => node.html.slice(0, 90))]))"""
WIDE = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


class Shown(NamedTuple):
    """A page as it was answered: its name, its address with the host, its headers and its text."""

    name: str
    address: str
    headers: dict[str, str]
    text: str


@pytest.fixture(scope="module")
def answered(_database, tmp_path_factory):
    """Every page, by the addresses of the routes; and what each of them loads besides. What is stored is gone afterwards."""
    from django.conf import settings
    from django.db import transaction

    root = tmp_path_factory.mktemp("pages")
    with pytest.MonkeyPatch.context() as patch, transaction.atomic():
        patch.setattr(settings, "DATA", root / "data")
        (root / "data" / "photos").mkdir(parents=True)
        yield _walked(root)
        transaction.set_rollback(True)


def _walked(root):
    from django.test import Client

    keeper, pages, parts = Client(headers={"host": "127.0.0.1"}), [], {}
    empty = _told(keeper, KEEPERS, [("shelf, empty", "/")], parts)
    trials = _trials(root)
    values = _values(keeper, trials)
    missed = {}
    for name, pattern, _view in all_routes():
        if name in ELSEWHERE or FILE.search(pattern):
            continue
        address = values.get(name) or _address(pattern, trials)
        answer = keeper.get(address)
        is_html = answer.headers["Content-Type"].startswith("text/html") and not answer.streaming
        if answer.status_code in (286, 301, 302, 303, 405) or not is_html:
            answer.close()
        elif answer.status_code == 200:
            pages += _told(keeper, KEEPERS, [(name, address)], parts) if answer.content.lstrip().startswith(b"<!doctype") else []
        elif name not in NOT_AT_HOME:
            missed[name] = (address, answer.status_code)
    begun, judged, planned = (trials[name].get_absolute_url() for name in ("begun", "judged", "planned"))
    more = [("plan, first question", f"{begun}plan/"), ("trial, planned", planned), ("finding, nothing yet", f"{planned}finding/"),
            ("round, not yet", f"{planned}round/"), ("readings, none", f"{planned}readings/"), ("draw, done", f"{judged}draw/"),
            ("material, kinds", "/materials/new/"), ("not found", "/trials/none/"),
            ("refused", "/bench/carbonate?ph=66&alkalinity_dkh=4+dGH&temp_c=25"),
            ("claim", "/bench/oxygen_claim"), ("control", "/bench/control_health"),
            ("range refused", "/bench/carbonate?temp_c=25&alkalinity_dkh=4&ph=6.6&range-step=-1")]
    pages += empty + _told(keeper, KEEPERS, more, parts)
    with hosted():
        account("helen", is_keeper=True)
        logged = logged_in("helen")
        pages += _told(visitor_of_site(), f"https://{HOST}", [("login", "/login/"), ("invited", "/invited/")], parts)
        pages += _told(logged, f"https://{HOST}", [("account", "/account/"), ("accounts", "/accounts/")], parts)
        pages += _told(logged, f"https://{HOST}", [("members", f"{judged}members/")], parts)
    with in_home_network():
        pages += _told(stranger(), f"http://{LAN_ADDRESS}:8321", [("pair", "/pair"), ("stranger", "/")], parts)
    return pages, parts, missed


def _trials(root):
    """A trial in each state: begun, planned, running, measured from photos, judged."""
    from tests.records.photo_shelf import folder_write, trial_take_in
    from tests.records.test_seats import EYES
    from tests.web.conftest import PLAN

    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.shelf_trials import trial_begin
    from fairtank.records.services.trail import KEEPER

    judged = judged_trials.shelved(root / "judged", readings=1)
    for kind in ("judge", "watch", "words"):
        assert judged_trials.worked_out(judged, kind).state == "done"
    return {"begun": trial_begin(by=KEEPER), "planned": planned_trial(), "judged": judged,
            "running": trial_import(root=round_site.folder_write(root / "running"), by=KEEPER),
            "measured": trial_take_in(folder_write(root / "measured", plan=PLAN + EYES))}


def _address(pattern, trials):
    """The address of a route, of the trial for which it has most to show."""
    kind = HAS_MOST.get(pattern.removeprefix("trials/<slug:slug>/").partition("/")[0], "running")
    return address_of(pattern).replace("/a-trial/", f"/{trials[kind].slug}/")


def _values(keeper, trials):
    """Addresses of rows: a row of each sort is written down."""
    from django.urls import reverse

    from fairtank.records.jobs.queue import enqueue
    from fairtank.records.models import Material, Photo, Reading, Tank
    from fairtank.records.services.seats import SeatWanted, seat_link_make, seat_make
    from fairtank.records.services.trail import KEEPER

    planned, running, measured, judged = (trials[name] for name in ("planned", "running", "measured", "judged"))
    keeper.post("/tanks/new/", {"key": "box", "length_cm": "45", "width_cm": "28", "height_cm": "36", "glass_mm": "6",
                                "water_line_cm": "32", "rim": "open", "dividers": "0"})
    keeper.post("/materials/new/", {"kind": "layer", "key": "clay", "title": "baked clay", "bulk_density_kg_l": "0.9",
                                    "particle_density_kg_l": "1.9", "pack": "9 L"})
    tank, material = Tank.objects.get(), Material.objects.get()
    build = f"{planned.get_absolute_url()}build/setup/"
    mark = re.search(r'name="mark" value="([^"]*)"', keeper.get(f"{build}tanks/").content.decode())[1]
    keeper.post(f"{build}tanks/", {"mark": mark, **{f"tank-{unit.key}": tank.pk for unit in planned.units.all()}})
    mark = re.search(r'name="mark" value="([^"]*)"', keeper.get(f"{build}layer/0/").content.decode())[1]
    keeper.post(f"{build}layer/0/", {"mark": mark, "material": "clay", "mass_kg": "5"})
    looked = keeper.post(reverse("readings_import", args=[running.slug]), {"pasted": round_table(running)})["Location"]
    seats = [seat_make(trial=measured, by=KEEPER, wanted=SeatWanted(measure, way, rater, 4), seed=5)
             for measure, way, rater in (("algae_by_eye", "score", "Ada"), ("more_algae", "pairs", "Mira"))]
    photo = Photo.objects.filter(trial=measured).first()
    unit, reading = measured.units.first(), Reading.objects.filter(trial=running).first()
    return {
        "photo": reverse("photo", args=[measured.slug, photo.pk]), "compare": f"{reverse('compare', args=[measured.slug])}?left={photo.pk}",
        "frame_unit": reverse("frame_unit", args=[measured.slug, unit.pk]),
        "labels_photo": reverse("labels_photo", args=[measured.slug, photo.pk]),
        "tank": reverse("tank", args=[tank.pk]), "material": reverse("material", args=[material.pk]),
        "material_new": "/materials/new/?kind=layer", "calculator": "/bench/carbonate", "readings_import_look": looked,
        "diary_entry": reverse("diary_entry", args=[running.slug, "readings", reading.pk]),
        "equal_factor": reverse("equal_factor", args=[planned.slug, "lamp_age"]),
        "build_line": f"{build}layer/1/", "build_weigh_unit": reverse("build_weigh_unit", args=[planned.slug, planned.units.first().key]),
        "blind_table": reverse("blind_table", args=[measured.slug, seats[0].pk]),
        "rate": f"/rate/{seat_link_make(seat=seats[1], by=KEEPER)}",
        "job": reverse("job", args=[enqueue(kind="even", trial=planned, by=KEEPER).pk]),
        "pooled": reverse("pooled", args=[enqueue(kind="pool", trial=judged, by=KEEPER, given={"trials": [judged.pk]}).pk]),
    }


def round_table(trial):
    """A table of readings to look at, with a name that is not known."""
    return f"tank\tdate\tKH\tNO3 (mg/L NO3)\nT1\t{trial.start} 18:00\t5,5\t<0,5\nT2\t{trial.start} 18:05\t6\t12\nT9\t{trial.start}\t6\t12\n"


def _told(client, host, named, parts):
    """The pages at these addresses; what they load goes into parts."""
    found = []
    for name, address in named:
        answer = client.get(address, secure=host.startswith("https"))
        assert answer.headers["Content-Type"].startswith("text/html"), (name, address)
        headers = {key.lower(): value for key, value in answer.items() if key.lower() != "content-length"}
        found.append(Shown(name, host + address, headers, answer.content.decode()))
        for part in set(re.findall(r'(?:src|href)="(/[^"]+)"', found[-1].text)):
            if re.search(r"\.(css|js|png|svg|jpg)(\?|$)|/photo/\d+/|/rate/.+/\d$|/blind/.+/\d$", part) and host + part not in parts:
                parts[host + part] = _part(client, part, host)
        for part in ("fonts/AtkinsonHyperlegibleNext-Regular.ttf", "fonts/AtkinsonHyperlegibleNext-Bold.ttf"):
            parts.setdefault(f"{host}/static/{part}", None)
    return found


def _part(client, address, host):
    answer = client.get(address, secure=host.startswith("https"))
    content = b"".join(answer.streaming_content) if answer.streaming else answer.content
    answer.close()
    return answer.status_code, answer.headers.get("Content-Type", ""), content


def test_no_page_is_forgotten(answered):
    pages, _parts, missed = answered
    assert missed == {}, "say in this file of which row these addresses are, or why no page is there"
    named = {page.name for page in pages}
    assert {"shelf", "trial", "round", "wall", "finding", "publish", "rate", "login", "pair", "not found"} <= named


def faults_of(text):
    """What an outside parser of HTML and our own eyes find wrong in a page."""
    import html5lib

    parser = html5lib.HTMLParser(html5lib.getTreeBuilder("etree"), namespaceHTMLElements=False)
    tree = parser.parse(text)
    found = [f"{code} {more} at line {place[0]}" for place, code, more in parser.errors]
    nodes = list(tree.iter())
    ids = Counter(node.get("id") for node in nodes if node.get("id") is not None)
    found += [f"id {one!r} is there {count} times" for one, count in ids.items() if count > 1 or not one or " " in one]
    for name in ("for", "aria-labelledby", "aria-describedby", "aria-controls", "list"):
        wanted = [one for node in nodes for one in (node.get(name) or "").split()]
        found += [f"{name}={one!r} leads nowhere" for one in wanted if one not in ids]
    tags = Counter(node.tag for node in nodes if isinstance(node.tag, str))
    found += [f"{tags[tag]} {tag}" for tag in ("h1", "main", "title") if tags[tag] != 1]
    found += [] if tree.get("lang") else ["no lang"]
    for node in nodes:
        if node.tag in ("a", "button", "summary", "label", "h1", "h2", "h3", "legend", "th"):
            words = "".join(node.itertext()) + (node.get("aria-label") or "") + "".join(img.get("alt") or "" for img in node.iter("img"))
            if not words.strip() and node.get("aria-hidden") != "true" and node.get("hidden") is None:
                found.append(f"an empty {node.tag}")
        if node.tag == "img" and node.get("alt") is None:
            found.append("img without alt")
        if node.tag == "a" and not node.get("href") and node.get("href") != "":
            found.append("a link without an address")
    return found


def test_every_page_is_valid_html(answered):
    found = {page.name: faults for page in answered[0] if (faults := faults_of(page.text))}
    assert found == {}


def test_the_checker_finds_what_is_wrong():
    wrong = ('<!doctype html><html><head><title>x</title></head><body><main><p id="a"><div id="a"></p><label for="b"></label></main>'
             '</body></html>')
    told = " ".join(faults_of(wrong))
    assert all(one in told for one in ("unexpected-end-tag", "'a' is there 2 times", "for='b'", "0 h1", "no lang", "an empty label"))


def has_modules(page):
    """Whether a page has a program of its own, which runs once in a window."""
    return 'type="module"' in page.text


def shown(screen, page, before):
    """Load a page; one without modules is written into the window of one before of the same policy, where axe is at full speed already."""
    one, other = ((urlsplit(it.address)[:2], it.headers["content-security-policy"]) for it in (page, before))
    if page is before or has_modules(page) or one != other:
        screen.goto(page.address)
    else:
        screen.evaluate("address => history.replaceState(null, '', address)", page.address)
        screen.set_content(page.text)


@pytest.mark.browser
@pytest.mark.published(source="wcag22", where="rules of axe-core for WCAG 2.2 A and AA and best practices", entry="web/templates")
def test_every_page_is_clean_by_axe_on_both_papers_and_does_not_scroll_sideways_at_360_px(answered, chromium):
    from axe_playwright_python.sync_playwright import Axe
    from playwright.sync_api import sync_playwright

    pages, parts, _missed = answered
    there = {page.address.partition("#")[0]: page for page in pages}

    def given(route):
        url = route.request.url
        if url in there:
            route.fulfill(status=200, headers=there[url].headers, body=there[url].text)
        elif parts.get(url):
            status, sort, content = parts[url]
            route.fulfill(status=status, content_type=sort, body=content)
        else:
            route.fulfill(status=404, body="")

    found = {}
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=chromium, args=LAUNCH)
        screen = browser.new_page(viewport={"width": 360, "height": 740}, reduced_motion="reduce")
        screen.route("**/*", given)
        screen.add_init_script(script=Axe().axe_script)
        seen_dark, before = set(), pages[0]
        for page in sorted(pages, key=has_modules):
            shown(screen, page, before)
            before = page
            screen.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
            faults = [("wide", wide)] if (wide := screen.evaluate(WIDE)) > 0 else []
            faults += screen.evaluate(FOUND, AXE)
            looks = set(re.findall(r'[a-z_]+[.]css|class="[^"]*"', page.text))
            if looks - seen_dark:  # what looks like others that were asked on dark paper is not asked again
                seen_dark |= looks
                screen.evaluate("document.documentElement.dataset.theme = 'dark'")
                faults += [("dark", *one) for one in screen.evaluate(FOUND, DARK)]
            if faults:
                found[page.name] = faults
        browser.close()
    assert urlsplit(pages[0].address).hostname == "127.0.0.1"
    assert found == {}
