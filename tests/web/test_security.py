"""Only this machine is answered, and every answer says what its page may load."""

import os
import re

import pytest
from django.conf import settings

from fairtank.places import kept_secret


def contrast(first, second):
    """Contrast of two colours as WCAG 2.2 defines it."""

    def luminance(colour):
        shares = [int(colour[i:i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4 for share in shares]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    light, dark = sorted((luminance(first), luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("host", ["127.0.0.1", "127.0.0.1:8000", "localhost", "localhost:8123", "[::1]:8000"])
def test_this_machine_is_answered(pages, host):
    assert pages.get("/folder/", headers={"host": host}).status_code == 200


OTHER_HOSTS = ["evil.test", "127.0.0.1.evil.test", "192.168.1.20", "localhost.evil.test:8000", "0.0.0.0", "127.0.0.2", ""]
STYLE = f"{settings.STATIC_URL}fairtank.css"
ADDRESSES = ["/folder/", "/bench/", "/nowhere", "/folder/trial.toml", "/folder/none", "/results/report.html", "/results/report.pdf", STYLE]
FILES = ["/folder/photos/T1-01.jpg", "/thumbnails/photos/T1-01.jpg", "/results/report.html"]


@pytest.mark.parametrize("host", OTHER_HOSTS)
def test_any_other_host_is_refused_without_showing_anything(pages, host):
    answer = pages.get("/folder/", headers={"host": host})
    assert answer.status_code == 400
    assert "dark break" not in answer.content.decode()
    assert "default-src 'none'" in answer.headers["Content-Security-Policy"]


@pytest.mark.parametrize("address", FILES)
def test_files_too_are_refused_to_other_hosts(pages, address):
    assert pages.get(address, headers={"host": "evil.test"}).status_code == 400


@pytest.mark.parametrize("address", ADDRESSES)
def test_every_answer_carries_the_headers(pages, address):
    answer = pages.get(address)
    answer.close()
    policy = answer.headers["Content-Security-Policy"]
    assert policy.startswith("default-src 'none'")
    assert "base-uri 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "form-action 'none'" in policy or "form-action 'self'" in policy
    assert "unsafe-eval" not in policy
    assert "http:" not in policy
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["X-Frame-Options"] == "DENY"
    assert answer.headers["Referrer-Policy"] == "same-origin"
    assert answer.headers["Cross-Origin-Resource-Policy"] == "same-origin"


@pytest.mark.parametrize("address", ["/folder/", "/bench/", "/nowhere"])
def test_our_own_pages_allow_no_inline_style_and_no_script_but_our_own_files(pages, address):
    policy = pages.get(address).headers["Content-Security-Policy"]
    assert "unsafe" not in policy
    scripts = [part.split() for part in policy.split("; ") if part.startswith("script-src")]
    assert scripts in ([], [["script-src", "'self'"]])


@pytest.mark.parametrize("address", ["/folder/trial.toml", "/folder/photos/T1-01.jpg", "/results/report.html", "/results/report.pdf"])
def test_what_came_from_a_folder_can_send_no_form_and_run_no_script(pages, address):
    answer = pages.get(address)
    answer.close()
    assert "form-action 'none'" in answer.headers["Content-Security-Policy"]
    assert "script-src" not in answer.headers["Content-Security-Policy"]


def test_looking_sets_no_cookie_but_the_one_that_guards_forms(pages):
    cookies = pages.get("/folder/").cookies
    assert set(cookies) <= {"csrftoken"}
    for cookie in cookies.values():
        assert cookie["httponly"]
        assert cookie["samesite"] == "Lax"
    style = pages.get(STYLE)
    style.close()
    assert style.cookies == {}
    assert settings.DEBUG is False


@pytest.mark.usefixtures("shelf")
def test_a_form_without_the_token_of_these_pages_is_refused_with_a_sentence():
    from django.test import Client

    answer = Client(headers={"host": "127.0.0.1"}, enforce_csrf_checks=True).post("/folder/", {"x": "y"})
    assert answer.status_code == 403
    assert "This form was not accepted" in answer.content.decode()


def test_the_key_is_made_once_per_data_folder_and_only_its_owner_can_read_it(tmp_path):
    keys = [kept_secret(place) for place in (tmp_path / "a", tmp_path / "a", tmp_path / "b") if place.mkdir(exist_ok=True) is None]
    assert keys[0] == keys[1] != keys[2]
    assert len(keys[0]) == 67
    assert [path.name for path in (tmp_path / "a").iterdir()] == [".secret"]
    if os.name != "nt":
        assert (tmp_path / "a" / ".secret").stat().st_mode & 0o777 == 0o600


def test_two_that_start_at_once_sign_with_the_same_key(tmp_path):
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(8) as many:
        assert len(set(many.map(lambda _: kept_secret(tmp_path), range(16)))) == 1


def _themes(style):
    """Name of a theme -> its colours, by variable, out of a style sheet."""
    blocks = re.findall(r"(:root[^{]*)\{\s*color-scheme: (light|dark);([^}]*)\}", style)
    return {f"{scheme} {selector.strip()}": dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6})", rules)) for selector, scheme, rules in blocks}


@pytest.mark.published(source="wcag22", where="success criterion 1.4.3: 4.5 to 1 for text", entry="fairtank.css")
def test_text_stands_out_from_its_ground_in_both_themes():
    themes = _themes((settings.STATICFILES_DIRS[0] / "fairtank.css").read_text(encoding="utf-8"))
    assert len(themes) == 3, "light, dark by the system, dark by the keeper"
    for name, colours in themes.items():
        for ground in ("paper", "sheet", "field"):
            for ink in ("ink", "soft", "press", "wrong"):
                assert contrast(colours[ink], colours[ground]) >= 4.5, (name, ink, ground)
        assert contrast(colours["on-press"], colours["press"]) >= 4.5, (name, "a button")
    assert round(contrast("#000000", "#ffffff"), 1) == 21.0


@pytest.mark.published(source="wcag22", where="success criterion 1.4.11: 3 to 1 for the edges of what can be used", entry="fairtank.css")
def test_edges_of_fields_stand_out_in_both_themes():
    for name, colours in _themes((settings.STATICFILES_DIRS[0] / "fairtank.css").read_text(encoding="utf-8")).items():
        for ground in ("paper", "sheet", "field"):
            assert contrast(colours["edge"], colours[ground]) >= 3.0, (name, ground)


def test_both_ways_to_the_dark_theme_give_the_same_colours():
    themes = _themes((settings.STATICFILES_DIRS[0] / "fairtank.css").read_text(encoding="utf-8"))
    first, second = (colours for name, colours in themes.items() if name.startswith("dark"))
    assert first == second
