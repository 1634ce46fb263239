"""The evenness matrix: legible with twelve tanks and forty factors, told apart without any hue, and described in words."""

import re
from datetime import date
from xml.etree import ElementTree

import pytest
from tests.publish.even_results import ARMS, result_of, twelve_by_forty

from fairtank.publish.arms import arm_looks
from fairtank.publish.charts import NARROW_PX, WIDE_PX
from fairtank.publish.even_matrix import even_matrix, matrix_checks, rows_of_page
from fairtank.publish.even_section import even_blocks
from fairtank.publish.even_words import NOTHING_KNOWN
from fairtank.trial import Plan

LOOKS = arm_looks(Plan("", date(2026, 3, 1), 1, "side_by_side", ARMS, (), ()))
SMALL = {"temperature": [24.0, 24.1, 25.2, 25.3], "lamp_model": ["A", "B", "A", "B"], "tools": ["own", "own", None, None]}


def drawn(result, width_px):
    picture = even_matrix(result, LOOKS, key="even", width_px=width_px)
    return picture, ElementTree.fromstring(picture.svg)


def texts(root):
    return ["".join(element.itertext()) for element in root.iter("{http://www.w3.org/2000/svg}text")]


@pytest.mark.parametrize("width_px", [WIDE_PX, NARROW_PX])
def test_no_text_is_smaller_than_twelve_px_and_all_lies_inside(width_px):
    picture, root = drawn(twelve_by_forty(), width_px)
    sizes = [float(size) for size in re.findall(r'font-size="([\d.]+)"', picture.svg)]
    assert min(sizes) >= 12
    for element in root.iter():
        for name in ("x", "cx", "x1", "x2"):
            if name in element.attrib and "%" not in element.attrib[name]:
                assert -0.1 <= float(element.attrib[name]) <= width_px


@pytest.mark.parametrize("width_px", [WIDE_PX, NARROW_PX])
def test_every_factor_and_every_tank_is_there(width_px):
    result = twelve_by_forty()
    _, root = drawn(result, width_px)
    told = " ".join(texts(root))
    assert len(matrix_checks(result)) >= 40
    assert all(f"T{number}" in told for number in range(1, 13))
    cells = list(root.iter("{http://www.w3.org/2000/svg}rect"))
    assert len(cells) == 12 * len(matrix_checks(result))


@pytest.mark.parametrize("width_px", [WIDE_PX, NARROW_PX])
def test_numbers_in_cells_are_not_cut(width_px):
    _, root = drawn(result_of("RRRRRRCCCCCC", {"conductivity": [412.0 + place for place in range(12)], "light_on": [10.5] * 12}), width_px)
    told = texts(root)
    assert {"412", "423", "10:30"} <= set(told)
    assert not any("…" in text for text in told)


def test_a_verdict_is_a_word_and_a_shape_and_no_hue():
    picture, root = drawn(result_of("RRCC", SMALL), WIDE_PX)
    told = texts(root)
    assert {"goes with the arms", "uneven, dealt evenly", "known of some"} <= set(told)
    colours = set(re.findall(r'(?:fill|stroke)="(#[0-9a-fA-F]{6})"', picture.svg))
    greys = colours - {look.colour for look in LOOKS.values()}
    for colour in greys:
        parts = [int(colour[place:place + 2], 16) for place in (1, 3, 5)]
        assert max(parts) - min(parts) <= 24, colour


def test_the_dot_stands_left_or_right_of_the_tick_by_the_tolerances():
    _, root = drawn(result_of("RRCC", {"temperature": [24.0, 24.0, 24.5, 23.5]}), WIDE_PX)
    dots = [float(one.attrib["cx"]) for one in root.iter("{http://www.w3.org/2000/svg}circle")]
    cells = list(root.iter("{http://www.w3.org/2000/svg}rect"))
    middles = [float(one.attrib["x"]) + float(one.attrib["width"]) / 2 for one in cells]
    away = [dot - middle for dot, middle in zip(dots, middles, strict=True)]
    assert abs(away[0]) < 0.1
    assert abs(away[1]) < 0.1
    assert away[2] == pytest.approx(-away[3], abs=0.2)
    assert away[2] > 5


def test_what_is_not_recorded_is_an_empty_dashed_cell():
    _, root = drawn(result_of("RRCC", {"tools": ["own", "own", None, None]}), WIDE_PX)
    dashed = [one for one in root.iter("{http://www.w3.org/2000/svg}rect") if "stroke-dasharray" in one.attrib]
    assert len(dashed) == 2


def test_words_too_long_for_a_cell_are_letters_with_a_key():
    long = "the long lamp of the left shelf"
    _, root = drawn(result_of("RRCC", {"lamp_model": [long, long, "B", "B"]}), WIDE_PX)
    told = texts(root)
    assert "a" in told
    assert "b" in told
    assert any(text.startswith("a the long lamp") for text in told)


def test_the_picture_is_described_by_arms_and_verdicts():
    picture, root = drawn(result_of("RRCC", SMALL), NARROW_PX)
    assert root.attrib["aria-label"] == picture.description
    assert "Goes with the arms: Water temperature." in picture.description
    assert "arm R (one): T1, T2" in picture.description


def test_the_section_of_the_report_splits_long_matrices_and_says_when_nothing_is_known():
    result = twelve_by_forty()
    figures = [block for block in even_blocks(result, LOOKS) if type(block).__name__ == "Figure"]
    assert len(figures) == -(-len(matrix_checks(result)) // rows_of_page(result))
    assert [block.text for block in even_blocks(result_of("RRCC", {}), LOOKS)] == [NOTHING_KNOWN]
    assert even_blocks(None, LOOKS) == ()


def test_a_place_within_reach_is_not_shaded():
    _, root = drawn(result_of("RRCC", {"place": ["1", "2", "1", "2"]}), WIDE_PX)
    assert {one.attrib["fill"] for one in root.iter("{http://www.w3.org/2000/svg}rect")} == {"#ffffff"}
