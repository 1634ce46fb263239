"""What keeps the pages safe whoever asks: tokens, limits, headers, types of uploads, the trail, and no secret in the repository."""

import math
import re
import subprocess
from pathlib import Path

import pytest
from tests.web.people import PHONE_ADDRESS, hosted, in_home_network, keeper, phone, stranger, visitor_of_site
from tests.web.round_site import folder_write
from tests.web.test_roles import address_of, all_routes

REPOSITORY = Path(__file__).resolve().parents[2]
# Behind a rater's link: who does not know its secret cannot make another browser send a form there.
WITHOUT_TOKEN = {"rate", "rate_answer", "rate_undo", "rate_picture"}
HEADERS = {"X-Content-Type-Options": ("nosniff",), "X-Frame-Options": ("DENY",), "Referrer-Policy": ("same-origin", "no-referrer"),
           "Cross-Origin-Resource-Policy": ("same-origin",), "Cross-Origin-Opener-Policy": ("same-origin",)}
# They draw pictures or pack a program, kept for later, which takes seconds.
SLOW = {"plan_covers", "chart_bundle", "chart_bundle_newest"}


@pytest.fixture
def trial(shelf, tmp_path):
    """A running trial of two tanks."""
    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.trail import KEEPER

    return trial_import(root=folder_write(tmp_path / "trial"), by=KEEPER, title="a trial")


def test_no_address_takes_a_form_without_the_token_of_these_pages(shelf):
    client = keeper(enforce_csrf_checks=True)
    for name, pattern, _view in all_routes():
        if name in WITHOUT_TOKEN:
            assert "<str:secret>" in pattern
            continue
        answer = client.post(address_of(pattern), {"x": "y"})
        assert answer.status_code == 403, name
        assert "This form was not accepted" in answer.content.decode(), name


def test_a_token_of_another_visitor_and_a_form_from_elsewhere_are_refused(shelf):
    with in_home_network():
        one, other = keeper(enforce_csrf_checks=True), keeper(enforce_csrf_checks=True)
        token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', one.get("/").content.decode())[1]
        other.get("/")
        assert other.post("/phones/code/", {"csrfmiddlewaretoken": token}).status_code == 403
        assert one.post("/phones/code/", {"csrfmiddlewaretoken": token}, headers={"origin": "http://evil.test"}).status_code == 403
        assert one.post("/phones/code/", {"csrfmiddlewaretoken": token}, headers={"origin": "http://127.0.0.1"}).status_code == 200


def test_every_answer_carries_the_headers_whoever_asks_and_is_for_no_other_site(trial):
    with hosted():
        client, secure = visitor_of_site(), visitor_of_site().get("/login/")
        assert secure.headers["Strict-Transport-Security"] == "max-age=31536000; includeSubDomains; preload"
        answers = [client.get(address_of(pattern)) for _name, pattern, _view in all_routes()]
        plain = client.get("/login/", headers={"x-forwarded-proto": "http"})
        assert (plain.status_code, plain.headers["Location"]) == (301, "https://tanks.example.org/login/")
    with in_home_network():
        answers += [stranger().get(place) for place in ("/", "/pair", "/nowhere", "/static/none.css")]
    for answer in answers:
        for name, values in HEADERS.items():
            assert answer.headers[name] in values, (answer.request["PATH_INFO"], name)
        assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
        assert "Access-Control-Allow-Origin" not in answer.headers
        assert "no-store" in answer.headers["Cache-Control"] or "static" in answer.request["PATH_INFO"]
        assert answer.streaming or not answer.content or "charset=utf-8" in answer.headers["Content-Type"]


def test_opening_a_page_changes_nothing(trial):
    from fairtank.records.models import Change, Document, Job, Round

    counted = [one.objects.count() for one in (Change, Document, Round)]
    client = keeper(raise_request_exception=False)
    for name, pattern, _view in all_routes():
        if name not in SLOW:
            answer = client.get(address_of(pattern))
            answer.close()
            assert answer.status_code < 500, name
    assert [one.objects.count() for one in (Change, Document, Round)] == counted
    assert not Job.objects.exists()


@pytest.mark.parametrize(("sent", "said"), [({"title": "x" * (9 * 2**20)}, "larger than 8 MB"),
                                            ({f"f{n}": "" for n in range(5001)}, "5000 fields")])  # fmt: skip
def test_more_than_a_form_can_hold_is_refused_with_a_sentence(shelf, sent, said):
    answer = keeper().post("/trials/new/", sent)
    assert answer.status_code == 400
    assert said in answer.content.decode()


def test_more_files_than_a_form_can_hold_are_refused(shelf):
    from django.core.files.uploadedfile import SimpleUploadedFile

    answer = keeper().post("/trials/new/", {f"f{n}": SimpleUploadedFile("a.jpg", b"x") for n in range(21)})
    assert answer.status_code == 400
    assert "20 files" in answer.content.decode()


HOSTILE = {"x.svg": b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>', "x.exe": b"MZ\x90",
           "x.html": b"<html><script>alert(1)</script></html>", "x.php": b"<?php system('id'); ?>",
           "x.jpg": b"GIF89a<script>alert(1)</script>", "../../x.jpg": b"\xff\xd8\xff\xe0"}


@pytest.mark.parametrize("name", HOSTILE)
def test_what_is_no_photo_is_not_stored_whatever_its_name_says(trial, shelf, name):
    from django.core.files.uploadedfile import SimpleUploadedFile

    file = SimpleUploadedFile(name, HOSTILE[name], content_type="image/jpeg")
    answer = keeper().post(f"/trials/{trial.slug}/round/photo/", {"unit": "T1", "photo": file, "key": "a" * 24, "day": "12"})
    assert answer.status_code == 422
    assert answer.json()["state"] == "refused"
    assert "photo" in answer.json()["said"] or "picture" in answer.json()["said"], answer.json()
    assert not [path for path in (shelf / "photos").rglob("*") if path.is_file()]


def test_a_photo_is_served_as_what_it_is_found_to_be_and_can_run_nothing(trial):
    from io import BytesIO

    from django.core.files.uploadedfile import SimpleUploadedFile
    from PIL import Image

    from fairtank.records.models import Photo
    from fairtank.records.selectors.photos import STAMP_SIGNS

    made = BytesIO()
    Image.new("RGB", (64, 48), (90, 120, 60)).save(made, "PNG")
    file = SimpleUploadedFile("x.html", made.getvalue() + b"<script>alert(1)</script>", content_type="text/html")
    client = keeper()
    stored = client.post(f"/trials/{trial.slug}/round/photo/", {"unit": "T1", "photo": file, "key": "a" * 24, "day": "12"})
    assert stored.status_code == 200, stored.content
    photo = Photo.objects.get()
    answer = client.get(f"/trials/{trial.slug}/photo/{photo.pk}/full/{photo.sha256[:STAMP_SIGNS]}")
    assert (answer.status_code, answer.headers["Content-Type"]) == (200, "image/png")
    assert "sandbox" in answer.headers["Content-Security-Policy"]


@pytest.mark.parametrize("wanted", ["https://evil.test/", "//evil.test", "/\\evil.test", "javascript:alert(1)"])
def test_no_form_leads_to_another_site(trial, wanted):
    answer = keeper().post(f"/trials/{trial.slug}/work-out/even/", {"next": wanted})
    assert answer.status_code == 303
    assert re.fullmatch(r"/jobs/\d+/", answer.headers["Location"])


@pytest.mark.parametrize("name", ["../shelf.sqlite3", "..%2f..%2f.secret", "%2e%2e/.secret", "/etc/passwd", "..\\.secret", "%00.jpg"])
def test_no_address_becomes_a_path(shelf, name):
    (shelf / ".secret").write_text("the secret of the sessions", encoding="utf-8")
    for begin in ("/folder/", "/results/", "/thumbnails/", "/static/"):
        answer = keeper().get(f"{begin}{name}")
        assert answer.status_code in (301, 404), begin
        assert b"the secret of the sessions" not in b"".join(answer)


def test_the_trail_tells_who_did_what_and_cannot_be_written_to(trial):
    there = f"/trials/{trial.slug}/"
    with in_home_network():
        client = phone("Kitchen phone")
        note = {"on": trial.start.isoformat(), "kind": "note", "note": "Filter <b>hums</b>.", "effect": "keep", "units": "T1", "late": "x"}
        written = client.post(f"{there}diary/add/", {**note, "entry": "a" * 24})
        assert written.status_code == 302, written.content.decode()
        assert keeper().post(f"{there}rename/", {"title": "Another title"}).status_code == 303
        page = client.get(f"{there}trail/").content.decode()
    assert re.search(r"Another title.*?<span class=\"which\">keeper</span>", page, re.DOTALL)
    assert '<span class="which">phone Kitchen phone</span>' in page
    assert "<b>hums" not in page
    assert keeper().post(f"{there}trail/").status_code == 405


def test_what_others_wrote_is_shown_as_text(trial):
    from fairtank.records.models import Device, Trial

    nasty = "<script>alert(1)</script>\"'><img src=x>"
    Trial.objects.update(title=nasty)
    with in_home_network():
        phone("<img src=x onerror=alert(1)>")
        assert Device.objects.exists()
        for place in ("/", f"/trials/{trial.slug}/", f"/trials/{trial.slug}/trail/", "/phones/"):
            page = keeper().get(place).content.decode()
            assert "<img src=x" not in page
            assert "<script>alert" not in page


def bits_per_sign(text):
    """How evenly the signs of a text are spread: words have 2 to 3.5, made-up keys more."""
    return -sum(share * math.log2(share) for share in (text.count(sign) / len(text) for sign in set(text)))


def secrets_in(text):
    """What looks like a key or a password that was written down."""
    what = r"(?:secret|token|passw(?:or)?d|api_?key|access_?key|credential)"
    named = re.findall(rf"(?i){what}\w*[\"']?\s*[:=]\s*[\"']([\w+/=.\-]{{16,}})[\"']", text)
    keys = re.findall(r"-----BEGIN (?:\w+ )?PRIVATE KEY-----\s+[A-Za-z0-9+/]{20}|\b(?:AKIA|ghp_|xox[bp]-)\w{16,}", text)
    return [found for found in named if bits_per_sign(found) > 3.6 and re.search(r"\d", found)] + keys


def test_no_secret_is_written_down_in_the_repository():
    made = "q7Zt" + "Xw29LmB4" + "vRkE81uP"
    assert secrets_in(f'API_KEY = "{made}"') == [made]
    assert secrets_in('password = "seven quiet pearl danios"') == []
    listed = subprocess.run(["git", "ls-files", "-co", "--exclude-standard"], cwd=REPOSITORY, capture_output=True, text=True, check=True)
    kinds = (".py", ".toml", ".js", ".html", ".yml", ".json", ".cfg", ".env", ".md")
    paths = [REPOSITORY / name for name in listed.stdout.splitlines() if name.endswith(kinds)]
    assert len(paths) > 500
    assert {str(path): found for path in paths if path.is_file() and (found := secrets_in(path.read_text(encoding="utf-8")))} == {}


def test_no_file_of_the_data_folder_is_for_others_on_this_machine(tmp_path, monkeypatch):
    from fairtank.places import data_folder

    monkeypatch.setenv("FAIRTANK_DATA", str(tmp_path / "data"))
    assert data_folder().stat().st_mode & 0o077 == 0


def test_an_address_that_was_told_to_wait_is_counted_for_itself(shelf):
    with in_home_network():
        for _ in range(11):
            last = stranger().post("/pair", {"code": "x", "name": "x"})
        assert last.status_code == 429
        other = stranger().post("/pair", {"code": "x", "name": "x"}, REMOTE_ADDR=PHONE_ADDRESS.replace("77", "78"))
        assert other.status_code == 422
