"""The picture of a claim check: drawn at its width in the house type, in words, with no colour that means anything."""

import json
import re
from xml.etree import ElementTree

import pytest

from fairtank.planning.claims import carbon_dioxide_claim, light_claim, nutrient_claim, oxygen_claim
from fairtank.publish import charts
from fairtank.publish.claim_chart import claim_chart, claim_figure, claim_spec, description, rows_of

CLAIMS = {
    "oxygen": oxygen_claim(50, 20, 0.07, "rippled"),
    "oxygen, no plants": oxygen_claim(50, 20, 0.07, "agitated", plants="none"),
    "carbon dioxide, soft water": carbon_dioxide_claim(60, 0.18, "gentle", 0.6, 6.5, said_rise_mg_l=5),
    "nitrate": nutrient_claim("nitrate", 60, 10, times=2),
    "iron": nutrient_claim("iron", 60, 0.1, mass_mg=3),
    "light": light_claim(10, 50),
}
SVG = "{http://www.w3.org/2000/svg}"


def drawn(claim, width_px=charts.WIDE_PX):
    return ElementTree.fromstring(claim_chart(claim, width_px=width_px))


def texts_of(root):
    return [element.text or "" for element in root.iter(f"{SVG}text")]


@pytest.mark.parametrize("width_px", [charts.NARROW_PX, 360, charts.WIDE_PX])
@pytest.mark.parametrize("name", CLAIMS)
def test_it_is_drawn_at_its_width_in_the_house_type(name, width_px):
    root = drawn(CLAIMS[name], width_px)
    assert float(root.get("width")) == width_px
    sizes = [float(element.get("font-size").removesuffix("px")) for element in root.iter(f"{SVG}text")]
    assert min(sizes) >= 12
    assert {element.get("font-family") for element in root.iter(f"{SVG}text")} == {charts.FONT}
    assert not any("…" in text for text in texts_of(root)), "no label is cut"


@pytest.mark.parametrize("name", CLAIMS)
def test_it_is_one_image_with_words_for_it(name):
    claim, root = CLAIMS[name], drawn(CLAIMS[name])
    assert root.get("role") == "img"
    assert root.get("aria-label") == description(claim)
    assert "in this tank" in description(claim)
    assert not [element for element in root.iter() if element is not root and ("role" in element.attrib or "style" in element.attrib)]


@pytest.mark.parametrize("name", CLAIMS)
def test_every_range_of_the_claim_stands_in_it(name):
    claim, texts = CLAIMS[name], texts_of(drawn(CLAIMS[name]))
    rows = rows_of(claim)
    assert (rows[0].low, rows[0].high, rows[0].is_claim) == (claim.low, claim.high, True)
    assert {(row.low, row.high) for row in rows[1:-1]} == {(one.low, one.high) for one in claim.meanwhile if one.high > 0}
    assert rows[-1].high == claim.meter_error
    for row in rows:
        assert any(text.lower().startswith(row.label) for text in texts)


def test_the_band_ends_where_two_readings_begin_to_tell():
    claim = CLAIMS["oxygen"]
    band = next(layer for layer in claim_spec(claim, width_px=320)["layer"] if layer["mark"]["type"] == "rect")
    assert band["data"]["values"][0]["x2"] == pytest.approx(claim.smallest_seen)
    soft = claim_spec(CLAIMS["carbon dioxide, soft water"], width_px=320)
    band = next(layer for layer in soft["layer"] if layer["mark"]["type"] == "rect")
    assert band["data"]["values"][0]["x2"] == band["encoding"]["x"]["scale"]["domain"][1], "where nothing can be told, all of it is grey"


def test_the_dotted_lines_stand_at_half_of_what_the_plants_may_do():
    claim = CLAIMS["oxygen"]
    dotted = [layer for layer in claim_spec(claim, width_px=320)["layer"] if layer["mark"].get("strokeDash") == [2, 2]]
    assert {layer["data"]["values"][0]["x"] for layer in dotted} == {claim.rival.high / 2}
    assert "Dotted: half of what the plants may do." in texts_of(drawn(claim))
    assert not any(text.startswith("Dotted") for text in texts_of(drawn(CLAIMS["oxygen, no plants"])))


@pytest.mark.parametrize("name", CLAIMS)
def test_no_colour_tells_good_from_bad(name):
    """All inks are greys: a red or a green would be read as a verdict."""
    spec = json.dumps(claim_spec(CLAIMS[name], width_px=680))
    inks = {ink.lower() for ink in re.findall(r"#[0-9a-fA-F]{6}", spec)}
    assert inks
    for ink in inks:
        channels = [int(ink[place:place + 2], 16) for place in (1, 3, 5)]
        assert max(channels) - min(channels) < 16


def test_the_figure_holds_both_widths_and_shares_no_id():
    figure = claim_figure(CLAIMS["nitrate"], "claim-1")
    assert figure.description == description(CLAIMS["nitrate"])
    widths = [float(ElementTree.fromstring(svg).get("width")) for svg in (figure.wide, figure.narrow)]
    assert widths == [charts.WIDE_PX, charts.NARROW_PX]
    ids = [set(re.findall(r'\bid="([^"]+)"', svg)) for svg in (figure.wide, figure.narrow)]
    assert not ids[0] & ids[1]


def test_a_meter_far_too_coarse_does_not_shrink_the_claim_to_nothing():
    claim = oxygen_claim(1, 20, 0.07, "agitated", meter_error_mg_l=5, plants="none")
    spec = claim_spec(claim, width_px=320)
    edge = spec["layer"][0]["data"]["values"][0]["x2"]
    assert edge <= 4.3 * max(claim.high, claim.meter_error)
    drawn(claim)
