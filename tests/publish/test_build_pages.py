"""Build sheets on paper: one page for each unit, nothing cut off, nothing of the arms, what people wrote stays what they wrote."""

import io
import re
from dataclasses import replace
from functools import cache

import pytest
from tests.planning import setups

from fairtank.build import Device, Layer, Material, Piece, Planting
from fairtank.planning.buildsheet import build_sheet
from fairtank.planning.side_effects import side_effects
from fairtank.publish.build_pages import BuildContent, Place, sheets_pdf, weakest_glass
from fairtank.publish.side_effect_words import side_effect_text
from fairtank.science.cautions import CAUTIONS

CASES = {make.__name__: make for make in (setups.midday, setups.soil_under_cap, setups.three_bays)}
HOSTILE = '<b> #panic("boo") *bold* $x$ שלום 🐟'


def content_of(setup, **places):
    sheet = build_sheet(setup)
    return BuildContent("Two ways (invented)", setup, sheet, side_effects(setup, sheet), places)


def pages_of(data: bytes) -> list[str]:
    from pypdf import PdfReader

    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(data)).pages]


def page_count(data: bytes) -> int:
    from pypdf import PdfReader

    return len(PdfReader(io.BytesIO(data)).pages)


@cache
def made(name: str) -> tuple[BuildContent, bytes, list[str]]:
    content = content_of(CASES[name]())
    data = sheets_pdf(content)
    return content, data, pages_of(data)


@pytest.fixture(scope="module", params=CASES)
def case(request):
    return made(request.param)


def test_every_unit_has_exactly_one_page_and_what_to_know_follows(case):
    content, _, pages = case
    units = [facts.unit for facts in content.sheet.units]
    assert [page.split()[0] for page in pages[: len(units)]] == units
    assert len(pages) == len(units) + 1
    assert pages[-1].startswith("What the change brings besides itself")


def test_a_page_holds_every_line_and_a_place_to_sign(case):
    content, _, pages = case
    for facts, page in zip(content.sheet.units, pages, strict=False):
        for line in content.sheet.lines_of(facts.unit):
            assert line.title in page
        for words in ("Planned", "Weighed", "Batch", "Done", "Weighed by", "Date", f"{facts.net_l:.1f} L", "kN/m²", "safety"):
            assert words in page, words


def test_the_last_page_holds_side_effects_notices_and_cautions(case):
    content, _, pages = case
    for sentence in (*side_effect_text(content.effects), *content.sheet.cautions):
        assert " ".join(sentence.replace("\u00a0", " ").split()) in pages[-1].replace("\u00a0", " ")
    for key in content.sheet.caution_keys:
        assert CAUTIONS[key].text in pages[-1]


def test_nothing_on_a_page_names_an_arm(case):
    content, _, pages = case
    arms = {arm for _, arm in content.setup.arms}
    for page in pages[:-1]:
        assert "arm" not in re.findall(r"[a-z]+", page.lower())
        assert not {f"arm {arm}" for arm in arms} & set(page.split())


def test_the_document_is_tagged_titled_and_says_that_it_is_ua_1(case):
    from pypdf import PdfReader

    reader = PdfReader(io.BytesIO(case[1]))
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"].startswith("en")
    assert reader.metadata.title == "Build sheets: Two ways (invented)"
    assert re.search(rb"<pdfuaid:part>\s*1\s*</pdfuaid:part>", root["/Metadata"].get_data())


def test_the_same_build_gives_the_same_bytes():
    content = content_of(setups.soil_under_cap())
    assert sheets_pdf(content) == sheets_pdf(content)


def test_where_a_unit_stands_is_on_its_page_and_its_neighbours_are_drawn():
    pages = pages_of(sheets_pdf(content_of(setups.three_bays(), left=Place("shelf 2", ("right", "middle", "left")))))
    assert pages[0].startswith("left tank long, shelf 2 Build sheet")
    assert re.search(r"right middle left front", pages[0])
    assert re.search(r"left middle right front", pages[1])


def crowded():
    """A tank with 33 lines, a third of them with long notes."""
    setup = setups.soil_under_cap()
    stems = tuple(Material(f"stem{number}", "plant", f"stem plant number {number}") for number in range(1, 13))
    devices = tuple(Device(f"pump{number}", "pump", f"small pump {number}", power_w=1.0, flow_l_h=60.0) for number in range(1, 7))
    stones = tuple(Piece("lava_rock", 0.1 + 0.01 * number) for number in range(3))
    return replace(setup, materials=(*setup.materials, *stems), devices=(*setup.devices, *devices), rocks=stones,
                   plantings=tuple(Planting(stem.key, "background", "bunched", count=3) for stem in stems))


def test_thirty_lines_still_stand_on_one_page():
    content = content_of(crowded())
    counts = [len(content.sheet.lines_of(facts.unit)) for facts in content.sheet.units]
    assert min(counts) >= 30
    pages = pages_of(sheets_pdf(content))
    assert len(pages) == 3
    for line in content.sheet.lines_of("A"):
        assert line.title in pages[0]
    assert "Weighed by" in pages[0]
    assert "notes are cut short here; in full they stand in build.csv" in pages[0]


def test_what_cannot_stand_on_one_page_goes_on_overleaf_with_its_head():
    setup = crowded()
    more = tuple(Device(f"lamp{number}", "lamp", f"spot lamp {number} " + "with a long name " * 4, power_w=1.0) for number in range(50))
    pages = pages_of(sheets_pdf(content_of(replace(setup, devices=(*setup.devices, *more), light=()))))
    assert len(pages) > 5
    assert pages[1].startswith("What Planned Within Weighed")
    assert sum("Weighed by" in page for page in pages) == 2


def test_what_people_wrote_stays_text():
    setup = setups.soil_under_cap()
    materials = tuple(replace(material, title=HOSTILE, batch=HOSTILE) if material.key == "pond_soil" else material
                      for material in setup.materials)
    tanks = tuple(replace(tank, title=HOSTILE) for tank in setup.tanks)
    content = replace(content_of(replace(setup, materials=materials, tanks=tanks)), title=HOSTILE, places={"A": Place(HOSTILE)})
    text = pages_of(sheets_pdf(content))
    for words in ('<b> #panic("boo") *bold* $x$', "[fish]"):
        assert words in text[0]
    assert "given by their name in square brackets" in text[-1]


@pytest.mark.parametrize("name", ["x" * 40, "a tank with a name", "水"])
def test_a_unit_of_any_name_keeps_its_page(name):
    setup = setups.soil_under_cap()
    setup = replace(setup, places=((name, "left"), ("B", "right")), arms=((name, "R"), ("B", "C")))
    assert page_count(sheets_pdf(content_of(setup))) == 3


def test_weak_glass_is_said_on_the_page_in_plain_words():
    setup = setups.soil_under_cap()
    thin = replace(setup, tanks=tuple(replace(tank, glass_mm=3.0) for tank in setup.tanks))
    content = content_of(thin)
    name, safety = weakest_glass(content.sheet.tanks[0])
    assert (name, safety < 3.8) == ("front and back", True)
    assert f"Safety of the glass {safety:.1f}: below 3.8, the least that is usual. Ask a glazier before any water goes in." in \
        pages_of(sheets_pdf(content))[0]


def test_glass_that_was_not_screened_comes_before_all_other():
    tank = content_of(setups.soil_under_cap()).sheet.tanks[0]
    panes = (tank.panes[0], replace(tank.panes[1], panel=None))
    assert weakest_glass(replace(tank, panes=panes)) == ("sides", None)


def test_units_with_the_same_side_effect_are_told_together():
    setup = setups.midday()
    sheet = build_sheet(setup)
    cover = Device("lid", "cover", "cover glass", shade_fraction=0.08, is_change=True, scope=setups.CHANGED)
    covered = replace(setup, devices=(*setup.devices, cover))
    said = side_effect_text(side_effects(covered, build_sheet(covered)))
    assert said
    assert all(sentence.startswith("In T2, T4 and T5") for sentence in said)
    assert side_effect_text(side_effects(replace(setup, devices=setup.devices[:3]), sheet)) == ()


def test_a_bed_of_one_layer_without_doses_leaves_their_table_out():
    setup = replace(setups.hand_worked(), layers=(Layer("grit", depth_mm=50),))
    pages = pages_of(sheets_pdf(content_of(setup)))
    assert "What the doses build up to" not in pages[-1]
    assert "What the doses build up to" in made("three_bays")[2][-1]
