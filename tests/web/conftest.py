"""A small invented trial folder with photos and results, and Django's test client to look at it."""

import json
from html import escape

import django
import pytest
from tests import shelf_db  # noqa: F401 - says where the settings and the data are
from tests.web.bench_pages import Sheet

django.setup()  # views and rows can be imported from here on

PLAN = """
[trial]
title = "A dark break at midday (invented)"
question = "Does a dark break at midday keep algae off the <glass>?"
[design]
kind = "side_by_side"
start = 2026-03-01
days = 14
drawn = true
[[arm]]
key = "R"
role = "reference"
name = "no break"
[[arm]]
key = "C"
role = "changed"
name = "dark break"
[[unit]]
key = "T1"
arm = "R"
[[unit]]
key = "T2"
arm = "C"
[[measure]]
key = "algae_cover"
role = "primary"
"""
SENTENCE = "One tank each: the data alone cannot tell."


@pytest.fixture(scope="session", autouse=True)
def _pages_load_soon(_static_files_found_once):
    """Also for clients without a shelf."""


@pytest.fixture(autouse=True)
def _english_afterwards():
    """A page that was asked for in German leaves that language behind in its thread; the next test is not to find it there."""
    from django.utils.translation import deactivate

    yield
    deactivate()


@pytest.fixture
def folder(tmp_path):
    """A trial folder that is in order: two tanks, photos on two days."""
    from PIL import Image

    root = tmp_path / "trial"
    (root / "photos").mkdir(parents=True)
    (root / "trial.toml").write_text(PLAN, encoding="utf-8")
    photos, frames = ["photo,unit,taken_at"], ["unit,reference_photo,mode,view,x1,y1,x2,y2,x3,y3,x4,y4,width_cm,height_cm"]
    for unit in ("T1", "T2"):
        for day in (1, 8):
            name = f"photos/{unit}-{day:02}.jpg"
            Image.new("RGB", (640, 480), (90, 120, 60)).save(root / name, quality=80)
            photos.append(f"{name},{unit},2026-03-{day + 1:02}T12:00:00")
        frames.append(f"{unit},photos/{unit}-01.jpg,fixed,front,20,20,620,20,620,460,20,460,60,36")
    (root / "photos.csv").write_text("\n".join(photos) + "\n", encoding="utf-8")
    (root / "frames.csv").write_text("\n".join(frames) + "\n", encoding="utf-8")
    return root


@pytest.fixture
def out(tmp_path):
    """Results of that folder."""
    root = tmp_path / "results"
    root.mkdir()
    (root / "report.html").write_text("<!doctype html><title>report</title><style>p{}</style><p>The report.</p>", encoding="utf-8")
    (root / "report.pdf").write_bytes(b"%PDF-1.7\n")
    (root / "measures.csv").write_text("photo,unit\n", encoding="utf-8")
    (root / "photos_quality.csv").write_text("photo,quality\n", encoding="utf-8")
    finding = {"measure": "algae_cover", "role": "primary", "sentence": SENTENCE}
    second = {"measure": "plant_cover", "role": "secondary", "sentence": "<script>alert(1)</script>"}
    (root / "findings.json").write_text(json.dumps({"findings": [second, finding]}), encoding="utf-8")
    return root


@pytest.fixture
def pages(folder, out):
    """The test client, with the pages showing that folder and those results."""
    from django.test import Client, override_settings

    with override_settings(FAIRTANK_FOLDER=str(folder), FAIRTANK_OUT=str(out)):
        yield Client(headers={"host": "127.0.0.1"})


@pytest.fixture(scope="module")
def bench():
    """The test client, with no trial folder: the bench alone."""
    from django.test import Client, override_settings

    with override_settings(FAIRTANK_FOLDER="", FAIRTANK_OUT=""):
        yield Client(headers={"host": "127.0.0.1"})


@pytest.fixture
def sheet(bench, monkeypatch):
    """Opens the page of a calculator; painting takes most of a page's time, so that a picture along a range is only its description."""
    from fairtank.publish.calc_chart import described
    from fairtank.web import drawing

    monkeypatch.setattr(drawing, "_svg", lambda picture, width_px: f'<svg aria-label="{escape(described(picture))}"></svg>')

    def opened(key, query=None, **more):
        answer = bench.get(f"/bench/{key}", {**(query or {}), **more})
        assert answer.status_code == 200
        return Sheet(answer.content.decode())

    return opened


@pytest.fixture
def read():
    """The whole of an answer, its file closed."""

    def whole(response):
        content = b"".join(response.streaming_content) if response.streaming else response.content
        response.close()
        return content

    return whole
