"""The level ruler: to scale, with the litres that are in the tank at each level, and everything inside its frame."""

import itertools
import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from fairtank.build import Tank
from fairtank.planning.sheet import LayerFacts, UnitFacts
from fairtank.publish.level_ruler import bed_top_mm, level_at, level_ruler, litres_at, tank_plan

TANK = Tank("T1", 450, 280, 360, 5, 315)
LAYERS = (LayerFacts("base", 1.6, 22.0, 22.0, 22.0), LayerFacts("cap <b>&", 5.4, 48.0, 33.0, 63.0))
FACTS = UnitFacts("T1", "T1", 1.0, 440.0, 270.0, 315.0, 37.42, 33.0, 28.0, 5.0, LAYERS)


def drawn(picture):
    """The elements of a drawing by their name without its address."""
    return [(element.tag.split("}")[-1], element) for element in ElementTree.fromstring(picture.svg).iter()]


def texts(picture):
    return [element.text for name, element in drawn(picture) if name == "text"]


def test_a_centimetre_of_water_is_the_floor_times_a_centimetre():
    assert litres_at(FACTS, 315.0) == 33.0
    assert litres_at(FACTS, 305.0) == pytest.approx(33.0 - 44.0 * 27.0 * 1.0 / 1000)
    assert level_at(FACTS, litres_at(FACTS, 200.0)) == pytest.approx(200.0)


def test_the_bed_is_as_high_as_its_highest_end():
    assert bed_top_mm(FACTS) == 85.0
    assert bed_top_mm(replace(FACTS, layers=())) == 0.0


def test_the_drawing_is_to_the_scale_that_it_names():
    picture = level_ruler(TANK, FACTS, key="r")
    scale = float(re.search(r"to scale, 1 : ([0-9.]+)", " ".join(texts(picture)))[1])
    water = next(element for name, element in drawn(picture) if name == "rect" and element.get("fill") == "#e4eff3")
    assert float(water.get("width")) * scale == pytest.approx(270.0, abs=0.05)
    assert float(water.get("height")) * scale == pytest.approx(315.0, abs=0.05)
    slope = [element for name, element in drawn(picture) if name == "polygon"][2]
    corners = [tuple(map(float, corner.split(","))) for corner in slope.get("points").split()]
    assert (corners[0][1] - corners[3][1]) * scale == pytest.approx(33.0, abs=0.05)
    assert (corners[1][1] - corners[2][1]) * scale == pytest.approx(63.0, abs=0.05)


def test_levels_and_layers_are_named_and_what_people_wrote_stays_text():
    said = texts(level_ruler(TANK, FACTS, key="r", change_fraction=0.3))
    assert "water line 31.5 cm" in said
    assert "33.0 L of water" in said
    assert "30 % change: to 23.2 cm" in said  # 33 L x 0.3 = 9.9 L; 9900 cm³ / (44.0 x 27.0 cm²) = 8.33 cm below 31.5 cm
    assert "cap <b>& 3.3 to 6.3 cm" in said
    assert "base 2.2 cm" in said
    assert "<b>" not in level_ruler(TANK, FACTS, key="r").svg


def test_a_change_that_would_reach_the_bed_is_not_drawn():
    assert not any("change" in text for text in texts(level_ruler(TANK, FACTS, key="r", change_fraction=0.9)))
    assert not any("change" in text for text in texts(level_ruler(TANK, FACTS, key="r")))


@pytest.mark.parametrize("tank", [
    TANK, Tank("T", 900, 450, 450, 8, 410, 10, "braced"), Tank("T", 300, 60, 1500, 12, 1400), Tank("T", 5000, 4000, 1900, 25, 1800),
    Tank("T", 60, 60, 60, 2, 50)], ids=["usual", "braced", "tall", "huge", "tiny"])
@pytest.mark.parametrize("room", [(56.0, 64.0), (56.0, 38.0)])
def test_everything_lies_inside_the_drawing(tank, room):
    net_l = (tank.inner_width_mm * 0.9) * (tank.length_mm * 0.9) * tank.water_mm / 1e6
    facts = replace(FACTS, inner_length_mm=tank.length_mm * 0.9, inner_width_mm=tank.inner_width_mm, water_mm=tank.water_mm, net_l=net_l,
                    layers=tuple(replace(layer, front_mm=tank.water_mm / 9, back_mm=tank.water_mm / 5) for layer in LAYERS))
    picture = level_ruler(tank, facts, key="r", change_fraction=0.25, room_mm=room)
    for name, element in drawn(picture):
        for at, most in (("x", picture.width_mm), ("y", picture.height_mm), ("x1", picture.width_mm), ("y2", picture.height_mm)):
            if name in ("text", "rect", "line") and at in element.attrib:
                assert -0.01 <= float(element.get(at)) <= most + 0.01, (name, element.attrib)
    glass = [element for name, element in drawn(picture) if name == "rect" and element.get("fill") == "#dbe5e6"]
    assert max(float(element.get("width")) for element in glass) <= room[0] + 0.01
    assert max(float(element.get("height")) for element in glass) <= room[1] + 0.01


def test_a_drawing_is_one_image_with_its_words_and_ids_of_its_own():
    first, second = level_ruler(TANK, FACTS, key="one", change_fraction=0.3), level_ruler(TANK, FACTS, key="two")
    assert first.svg.count('role="img"') == 1
    assert first.description == ("Section of T1 from front to back: water line 31.5 cm above the inner bottom, 33.0 L of water. Bed from "
                                 "the "
                                 "bottom up: base 2.2 cm; cap <b>& 3.3 to 6.3 cm. A change of 30 % lowers the water to 23.2 cm.")
    ids = [set(re.findall(r'id="([^"]+)"', picture.svg)) for picture in (first, second)]
    assert ids[0]
    assert not ids[0] & ids[1]
    assert first.svg == level_ruler(TANK, FACTS, key="one", change_fraction=0.3).svg


def test_many_thin_layers_keep_their_names_apart():
    thin = tuple(LayerFacts(f"layer {number}", 0.1, 4.0, 4.0, 4.0) for number in range(6))
    picture = level_ruler(TANK, replace(FACTS, layers=thin), key="r")
    named = [element for name, element in drawn(picture) if name == "text" and (element.text or "").startswith("layer")]
    places = sorted(float(element.get("y")) for element in named)
    assert len(places) == 6
    assert all(after - before > 2.5 for before, after in itertools.pairwise(places))
    assert places[-1] <= picture.height_mm


def test_a_divided_tank_is_drawn_from_above_with_the_own_compartment_dark():
    tank = Tank("long", 900, 400, 400, 8, 360, dividers=2, divider_glass_mm=6)
    picture = tank_plan(tank, ("left", "middle", ""), "middle", key="p")
    assert texts(picture) == ["left", "middle", None, "front"]
    dark = [element for name, element in drawn(picture) if name == "rect" and element.get("fill") == "#4d5860"]
    assert len(dark) == 1
    # Three equal bays in 900 mm less two walls of 8 and two dividers of 6: 290.67 mm each, on 52 mm of paper.
    assert float(dark[0].get("width")) == pytest.approx(290.667 * 52 / 900, abs=0.01)
    assert "from left to right: left, middle, none; this page is about middle" in picture.description
