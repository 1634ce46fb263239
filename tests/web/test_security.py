"""Only this machine is answered, and every answer says what its page may load."""

import pytest
from django.conf import settings


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
    assert pages.get("/", headers={"host": host}).status_code == 200


OTHER_HOSTS = ["evil.test", "127.0.0.1.evil.test", "192.168.1.20", "localhost.evil.test:8000", "0.0.0.0", "127.0.0.2", ""]
ADDRESSES = ["/", "/nowhere", "/folder/trial.toml", "/folder/none", "/results/report.html", "/results/report.pdf", "/static/fairtank.css"]
FILES = ["/folder/photos/T1-01.jpg", "/thumbnails/photos/T1-01.jpg", "/results/report.html", "/static/fairtank.css"]


@pytest.mark.parametrize("host", OTHER_HOSTS)
def test_any_other_host_is_refused_without_showing_anything(pages, host):
    answer = pages.get("/", headers={"host": host})
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
    for part in ("base-uri 'none'", "form-action 'none'", "frame-ancestors 'none'"):
        assert part in policy
    assert "unsafe-eval" not in policy
    assert "http:" not in policy
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["X-Frame-Options"] == "DENY"
    assert answer.headers["Referrer-Policy"] == "no-referrer"
    assert answer.headers["Cross-Origin-Resource-Policy"] == "same-origin"


def test_our_own_pages_allow_no_inline_style_and_no_script(pages):
    policy = pages.get("/").headers["Content-Security-Policy"]
    assert "unsafe-inline" not in policy
    assert "script-src" not in policy


def test_nothing_is_stored_and_no_cookie_is_set(pages):
    assert pages.get("/").cookies == {}
    assert settings.DATABASES.get("default", {}).get("ENGINE", "django.db.backends.dummy") == "django.db.backends.dummy"
    assert settings.DEBUG is False


def test_the_key_is_new_at_each_start():
    import subprocess
    import sys

    code = "import fairtank.settings as s; print(s.SECRET_KEY)"
    keys = {subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout for _ in range(2)}
    assert len(keys) == 2


@pytest.mark.published(source="wcag22", where="success criterion 1.4.3: 4.5 to 1 for text", entry="fairtank.css")
def test_text_stands_out_from_its_ground(pages):
    import re

    style = b"".join(pages.get("/static/fairtank.css").streaming_content).decode()
    colours = dict(re.findall(r"--(\w+): (#[0-9a-f]{6})", style))
    for ground in ("paper", "sheet"):
        for ink in ("ink", "soft", "press", "wrong"):
            assert contrast(colours[ink], colours[ground]) >= 4.5, (ink, ground)
    assert contrast("#ffffff", colours["press"]) >= 4.5, "a button"
    assert round(contrast("#000000", "#ffffff"), 1) == 21.0
