"""Every page of the product is pictured in docs/pages/, and the list of them knows every address."""

import importlib.util
import sys
from importlib.machinery import SourceFileLoader
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="module", name="script")
def _script():
    """The script scripts/pages as a module."""
    loader = SourceFileLoader("fairtank_pages_script", str(ROOT / "scripts" / "pages"))
    module = importlib.util.module_from_spec(importlib.util.spec_from_loader(loader.name, loader))
    path = list(sys.path)
    loader.exec_module(module)
    yield module
    sys.path[:] = path


def test_every_page_has_its_four_pictures_and_every_address_is_known(script):
    assert script.outdated() == []


def test_an_address_that_nobody_listed_is_told(script, monkeypatch):
    short = tuple(page for page in script.listed.PAGES if page.route != "wall")
    monkeypatch.setattr(script.listed, "PAGES", short)
    assert any(sentence.startswith("The address wall has no picture") for sentence in script.addresses.faults())


def test_a_missing_picture_and_one_of_no_page_are_told(script, tmp_path):
    (tmp_path / "stranger-360-light.webp").write_bytes(b"x")
    late = " ".join(script.readme.late(tmp_path))
    assert "There is no picture of: Shelf; run scripts/pages." in late
    assert "docs/pages/stranger-360-light.webp is the picture of no page" in late
    assert "docs/pages/README.md is out of date" in late


@pytest.mark.usefixtures("script")
def test_a_picture_of_few_colours_is_kept_as_it_is():
    from io import BytesIO

    from page_pictures.camera import packed
    from PIL import Image

    drawn = Image.new("RGB", (64, 48), (251, 250, 246))
    drawn.paste((34, 34, 30), (10, 10, 30, 14))
    png = BytesIO()
    drawn.save(png, "PNG")
    assert Image.open(BytesIO(packed(png.getvalue()))).convert("RGB").tobytes() == drawn.tobytes()


@pytest.mark.usefixtures("script")
def test_paper_and_lines_keep_their_colours_in_a_picture_of_many():
    from io import BytesIO

    from page_pictures.camera import packed
    from PIL import Image

    drawn = Image.new("RGB", (120, 60), (251, 250, 246))
    drawn.paste((0, 114, 178), (5, 5, 115, 7))
    for place in range(100):
        drawn.putpixel((place, 40), (place, 250 - place, 100 + place))
    png = BytesIO()
    drawn.save(png, "PNG")
    kept = Image.open(BytesIO(packed(png.getvalue()))).convert("RGB")
    assert (kept.getpixel((60, 20)), kept.getpixel((60, 6))) == ((251, 250, 246), (0, 114, 178))
    assert len(kept.getcolors()) == 64
