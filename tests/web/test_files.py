"""Files are served only if they were found by walking the folder; what they contain is never run."""

import os
import re

import pytest
from django.conf import settings
from django.http import HttpResponseBase

SECRET = "this must stay where it is"


@pytest.mark.parametrize("address", [
    "/folder/../secret.txt", "/folder/..%2fsecret.txt", "/folder/%2e%2e/secret.txt", "/folder/%2e%2e%2fsecret.txt",
    "/folder/photos/../../secret.txt", "/folder/....//secret.txt", "/folder/..\\secret.txt", "/folder/..%5csecret.txt",
    "/folder//etc/passwd", "/folder/%2fetc%2fpasswd",
    "/folder/photos%00.jpg", "/folder/./trial.toml", "/folder/photos/../trial.toml", "/folder/%c0%ae%c0%ae/secret.txt",
    "/results/../secret.txt", "/results/..%2ftrial%2ftrial.toml", "/thumbnails/..%2fsecret.jpg",
    "/static/../settings.py", "/static/..%2fwsgi.py", f"{settings.STATIC_URL}../settings.py", f"{settings.STATIC_URL}..%2f..%2fwsgi.py",
])
def test_an_address_that_tries_to_leave_the_folder_finds_nothing(pages, folder, address):
    (folder.parent / "secret.txt").write_text(SECRET, encoding="utf-8")
    answer = pages.get(address)
    assert answer.status_code == 404
    assert SECRET not in answer.content.decode()


@pytest.mark.skipif(not hasattr(os, "symlink"), reason="no symbolic links here")
def test_links_are_not_followed(pages, folder):
    (folder.parent / "secret.txt").write_text(SECRET, encoding="utf-8")
    (folder / "link.txt").symlink_to(folder.parent / "secret.txt")
    (folder / "up").symlink_to(folder.parent, target_is_directory=True)
    assert pages.get("/folder/link.txt").status_code == 404
    assert pages.get("/folder/up/secret.txt").status_code == 404
    assert "link.txt" not in pages.get("/folder/").content.decode()


def test_a_folder_swapped_for_a_link_after_it_was_found_is_refused(folder):
    from fairtank.web.contents import files_in, still_inside

    found = files_in(folder)["photos/T1-01.jpg"]
    assert still_inside(found, folder)
    (folder / "photos").rename(folder.parent / "elsewhere")
    (folder / "photos").symlink_to(folder.parent / "elsewhere", target_is_directory=True)
    assert not still_inside(found, folder)


def test_hidden_files_are_neither_listed_nor_served(pages, folder):
    (folder / ".token").write_text(SECRET, encoding="utf-8")
    (folder / ".git").mkdir()
    (folder / ".git" / "config").write_text(SECRET, encoding="utf-8")
    assert ".token" not in pages.get("/folder/").content.decode()
    assert pages.get("/folder/.token").status_code == 404
    assert pages.get("/folder/.git/config").status_code == 404


@pytest.mark.parametrize("name", [
    "<script>alert(1)<!-- -->.jpg", '" onerror="alert(1).jpg', "'><img src=x onerror=alert(1)>.csv", "a&b=c?d#e%2f.txt",
    "{{ 7*7 }}{% now %}.md", "javascript:alert(1).txt",
    "Algen täglich – größer.txt", "back\\slash.txt",
])
def test_a_hostile_file_name_is_text_and_still_reachable(pages, folder, read, name):
    (folder / name).write_text("harmless", encoding="utf-8")
    page = pages.get("/folder/").content.decode()
    page = page[page.index("<main"):]
    assert "<script" not in page
    assert "<img src=x" not in page
    assert 'onerror="' not in page
    assert "49" not in page.replace("T1-", "")
    from urllib.parse import quote

    assert f'href="/folder/{quote(name)}"' in page
    answer = pages.get("/folder/" + quote(name))
    assert answer.status_code == 200
    assert read(answer) == b"harmless"


def test_names_that_cannot_be_shown_are_left_out(pages, folder):
    (folder / "two\nlines.txt").write_text("x", encoding="utf-8")
    (folder / "turned\u202egpj.txt").write_text("x", encoding="utf-8")
    page = pages.get("/folder/").content.decode()
    assert "lines.txt" not in page
    assert "\u202e" not in page


@pytest.mark.parametrize(("name", "content"), [
    ("page.html", "<script>alert(1)</script>"), ("drawing.svg", "<svg onload='alert(1)'/>"), ("sheet.xlsx", "PK"), ("no-ending", "x"),
])
def test_other_kinds_of_files_are_offered_for_download_only(pages, folder, read, name, content):
    (folder / name).write_text(content, encoding="utf-8")
    answer = pages.get(f"/folder/{name}")
    assert answer.headers["Content-Type"] == "application/octet-stream"
    assert answer.headers["Content-Disposition"].startswith("attachment")
    assert "sandbox" in answer.headers["Content-Security-Policy"]
    assert read(answer) == content.encode()


def test_a_table_is_shown_as_text_and_a_photo_as_it_was_taken(pages, folder, read):
    table, photo = pages.get("/folder/photos.csv"), pages.get("/folder/photos/T1-01.jpg")
    assert table.headers["Content-Type"] == "text/plain; charset=utf-8"
    assert read(table) == (folder / "photos.csv").read_bytes()
    assert photo.headers["Content-Type"] == "image/jpeg"
    assert read(photo) == (folder / "photos" / "T1-01.jpg").read_bytes()


def test_a_thumbnail_is_small_upright_and_without_exif(pages, folder):
    from io import BytesIO

    from PIL import Image

    turned = Image.Exif()
    turned[0x0112] = 6
    Image.new("RGB", (2000, 1000), (10, 200, 30)).save(folder / "photos" / "T1-01.jpg", exif=turned)
    answer = pages.get("/thumbnails/photos/T1-01.jpg")
    assert answer.headers["Content-Type"] == "image/jpeg"
    small = Image.open(BytesIO(answer.content))
    assert small.size == (160, 320)
    assert not small.getexif()


def test_what_is_not_a_photo_has_no_thumbnail(pages, folder):
    (folder / "photos" / "broken.jpg").write_bytes(b"\xff\xd8\xff nothing")
    (folder / "photos" / "empty.jpg").write_bytes(b"")
    for name in ("photos/broken.jpg", "photos/empty.jpg", "photos.csv", "nowhere.jpg"):
        assert pages.get(f"/thumbnails/{name}").status_code == 404


def test_the_report_is_served_as_it_is_and_cannot_run_a_script(pages, out, read):
    answer = pages.get("/results/report.html")
    policy = answer.headers["Content-Security-Policy"]
    assert answer.headers["Content-Type"] == "text/html; charset=utf-8"
    assert "default-src 'none'" in policy
    assert "script-src" not in policy, "what default-src forbids stays forbidden"
    assert read(answer) == (out / "report.html").read_bytes()


def test_only_the_results_hold_a_page_that_is_shown_as_one(pages, folder, out, read):
    for place in (folder, out):
        (place / "other.html").write_text("<script>alert(1)</script>", encoding="utf-8")
    (folder / "report.html").write_text("<script>alert(1)</script>", encoding="utf-8")
    for address in ("/folder/report.html", "/folder/other.html", "/results/other.html"):
        answer = pages.get(address)
        assert answer.headers["Content-Disposition"].startswith("attachment")
        read(answer)


def test_the_style_sheet_and_both_fonts_are_there(pages, read):
    style = read(pages.get(f"{settings.STATIC_URL}fairtank.css")).decode()
    fonts = re.findall(r'url\("([^"]+)"\)', style)
    assert len(fonts) == 2
    for name in fonts:
        assert read(pages.get(f"{settings.STATIC_URL}{name}"))[:4] == b"\x00\x01\x00\x00"
    assert pages.get(f"{settings.STATIC_URL}settings.py").status_code == 404


def test_fixed_files_are_kept_by_the_browser_until_their_address_changes(pages):
    answer = pages.get(f"{settings.STATIC_URL}fairtank.css")
    answer.close()
    assert "immutable" in answer.headers["Cache-Control"]
    assert re.fullmatch(r"/static/[0-9a-f]{10}/", settings.STATIC_URL)


def test_answers_are_of_djangos_kind(pages):
    assert isinstance(pages.get("/static/none"), HttpResponseBase)
