"""The sheets of cards and stickers: exact millimetres, room for everything on either paper, the same bytes, nothing of the arms."""

import json
import re

import cv2
import numpy as np
import pytest
from tests.vision.card_pictures import page_pictures

from fairtank import card as layout
from fairtank.errors import InputError
from fairtank.publish.card_pages import (
    CARD_TEMPLATE,
    PAPERS,
    PrintedCard,
    card_sheets,
    cards_pdf,
    marker_modules,
    sticker_sheets,
    stickers_pdf,
)
from fairtank.publish.pdf import TEMPLATES

SEVEN = tuple(PrintedCard(number, code) for number, code in ((30, "WUM"), (3, "KAL"), (17, "TIV"), (8, "REB"), (0, "NOL"), (22, "ZUP"),
                                                            (11, "LIM")))
PX_PER_MM = 10
MAKERS = {"cards": card_sheets, "stickers": sticker_sheets}


def found_markers(picture):
    """Markers as OpenCV's own finder sees them, by number: corners in continuous px."""
    settings = cv2.aruco.DetectorParameters()
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    known = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, layout.DICTIONARY))
    corners, numbers, _ = cv2.aruco.ArucoDetector(known, settings).detectMarkers(cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY))
    return {int(number): found.reshape(4, 2) + 0.5 for number, found in zip(numbers.ravel(), corners, strict=True)}


@pytest.fixture(scope="module")
def card_page():
    return page_pictures(card_sheets(SEVEN, title="A trial"), PX_PER_MM)[0]


def test_markers_lie_where_the_layout_says_to_a_tenth_of_a_mm(card_page):
    """Found on the page by OpenCV's own marker finder, in mm from the card's first marker."""
    markers = found_markers(card_page)
    for one in SEVEN[:6]:
        numbers = layout.marker_numbers(one.card)
        assert set(numbers) <= markers.keys()
        first = markers[numbers[0]][0]
        for number, place in zip(numbers, layout.MARKER_PLACES_MM, strict=True):
            expected = np.array(place) - layout.MARKER_PLACES_MM[0]
            assert (markers[number][0] - first) / PX_PER_MM == pytest.approx(expected, abs=0.1)
            assert np.hypot(*(markers[number][1] - markers[number][0])) / PX_PER_MM == pytest.approx(layout.MARKER_MM, abs=0.1)


def black_columns_mm(page, row_mm, left_mm, right_mm):
    """Where a row of the page is dark, from the first to the last dark px [mm]."""
    row = page[round(row_mm * PX_PER_MM), round(left_mm * PX_PER_MM) : round(right_mm * PX_PER_MM), 1]
    dark = np.flatnonzero(row < 100)
    return left_mm + dark[0] / PX_PER_MM, left_mm + (dark[-1] + 1) / PX_PER_MM


def test_the_line_that_checks_the_printer_is_100_mm_long(card_page):
    rows = [row for row in range(100, 500) if (card_page[row, 100:1150, 1] < 100).sum() > 950]
    left, right = black_columns_mm(card_page, (rows[0] + 0.5) / PX_PER_MM, 5, 150)
    assert right - left == pytest.approx(100, abs=0.3)


def test_the_ruler_of_a_card_is_50_mm_long_and_has_a_tick_for_each_mm(card_page):
    item = card_sheets(SEVEN)["pages"][0][0]
    row = item["y"] + layout.RULER_Y_MM + 1.2
    start = item["x"] + layout.RULER_X_MM
    left, right = black_columns_mm(card_page, row, start - 1.5, start + layout.RULER_MM + 1.5)
    assert (left, right) == pytest.approx((start, start + 50), abs=0.2)
    line = card_page[round(row * PX_PER_MM), round((start - 0.5) * PX_PER_MM) : round((start + 50.5) * PX_PER_MM), 1] < 140
    assert np.count_nonzero(np.diff(line.astype(int)) == 1) == 51


def test_the_fields_are_printed_in_the_colours_of_the_layout(card_page):
    item = card_sheets(SEVEN)["pages"][0][0]
    for patch in layout.PATCHES:
        x, y = item["x"] + patch.x_mm + patch.width_mm / 2, item["y"] + patch.y_mm + patch.height_mm / 2
        assert tuple(card_page[round(y * PX_PER_MM), round(x * PX_PER_MM)]) == patch.srgb


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("kind", MAKERS)
def test_everything_keeps_its_distance_from_the_edge_and_from_each_other(kind, paper):
    data = MAKERS[kind](SEVEN, title="A trial", paper=paper)
    for page in data["pages"]:
        boxes = [(item["x"], item["y"], item["x"] + item["width"], item["y"] + item["height"]) for item in page]
        for place, (left, top, right, bottom) in enumerate(boxes):
            assert min(left, data["width"] - right, data["height"] - bottom) >= 7  # most printers leave 5 mm of the edge blank
            assert top > 50
            for other in boxes[place + 1 :]:
                assert right + 5 <= other[0] or other[2] + 5 <= left or bottom + 5 <= other[1] or other[3] + 5 <= top


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("kind", MAKERS)
def test_the_words_end_above_the_cards(kind, paper):
    """Between the last line of words and the first cut mark a strip of the page is blank."""
    data = MAKERS[kind](SEVEN, title="A trial with quite a long title, as people give it to their trials", paper=paper)
    page = page_pictures(data, 4)[0]
    first = min(item["y"] for item in data["pages"][0])
    strip = page[round((first - 5.0) * 4) : round((first - 3.0) * 4)]
    assert strip.min() == 255


def test_seven_cards_take_two_pages_and_each_is_there_once():
    pages = card_sheets(SEVEN)["pages"]
    assert [len(page) for page in pages] == [6, 1]
    assert [item["number"] for page in pages for item in page] == [one.card for one in SEVEN]


def test_stickers_carry_the_markers_of_their_corners():
    data = sticker_sheets(SEVEN[:2])
    markers = found_markers(page_pictures(data, PX_PER_MM)[0])
    assert markers.keys() == {*layout.sticker_numbers(30), *layout.sticker_numbers(3)}
    for item, number in zip(data["pages"][0], [*layout.sticker_numbers(30), *layout.sticker_numbers(3)], strict=True):
        centre = markers[number].mean(0) / PX_PER_MM
        own = item["markers"][0]
        assert centre == pytest.approx((item["x"] + own["x"] + own["side"] / 2, item["y"] + own["y"] + own["side"] / 2), abs=0.1)
    corners = [item["corner"] for item in data["pages"][0][:4]]
    assert corners == ["top left", "top right", "bottom right", "bottom left"]


def test_the_four_of_a_tank_lie_as_on_the_glass_with_the_words_of_a_row_in_one_line():
    top_left, top_right, bottom_right, bottom_left = sticker_sheets(SEVEN)["pages"][0][:4]
    for one, other in ((top_left, top_right), (bottom_left, bottom_right)):
        assert one["y"] + one["tab_y"] == other["y"] + other["tab_y"]
        assert one["x"] < other["x"]
    assert top_left["x"] == bottom_left["x"]
    assert top_left["y"] + top_left["height"] < bottom_left["y"]


def test_no_words_on_cards_and_stickers_are_smaller_than_6_points():
    sizes = re.findall(r"size: ([0-9.]+)pt", (TEMPLATES / CARD_TEMPLATE).read_text(encoding="utf-8"))
    assert min(map(float, sizes)) >= 6


def test_the_point_that_counts_is_the_outer_corner_of_the_paper_one_module_of_white_beyond_the_marker():
    for item in sticker_sheets(SEVEN[:1])["pages"][0]:
        own, (x, y) = item["markers"][0], item["point"]
        near_x = own["x"] if "left" in item["corner"] else own["x"] + own["side"]
        near_y = own["y"] if "top" in item["corner"] else own["y"] + own["side"]
        assert (abs(x - near_x), abs(y - near_y)) == pytest.approx((2.0, 2.0))


def test_neighbouring_fields_are_a_grey_and_a_colour_or_differ_in_lightness():
    assert len(layout.GREYS) == len(layout.COLOURS) == 6
    levels = [patch.srgb[0] for patch in layout.GREYS]
    assert levels == sorted(levels)
    assert all(patch.width_mm * 3.36 >= 60 for patch in layout.PATCHES)  # px across where 2016 px show 60 cm


def test_the_same_cards_give_the_same_bytes():
    for made in (cards_pdf, stickers_pdf):
        first = made(SEVEN[:2], title="A trial")
        assert first.startswith(b"%PDF")
        assert first == made(SEVEN[:2], title="A trial")
        assert first != made(SEVEN[:2], title="Another trial")


def test_long_codes_and_odd_titles_are_set():
    assert cards_pdf((PrintedCard(1, "LONGCODE"),), title="漢字 <b> #strong[x]").startswith(b"%PDF")


def test_markers_are_those_of_opencv():
    known = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, layout.DICTIONARY))
    for number in (0, 61, 123, 124, 247):
        drawn = cv2.aruco.generateImageMarker(known, number, layout.MARKER_MODULES) > 127
        assert marker_modules(number) == drawn.tolist()


def test_nothing_but_code_and_number_tells_cards_apart():
    text = json.dumps(card_sheets(SEVEN, title="A trial"))
    item = card_sheets(SEVEN)["pages"][0][0]
    assert item.keys() == {"kind", "width", "height", "code", "number", "markers", "fields", "ruler", "code_room", "x", "y"}
    assert "unit" not in text
    assert "arm" in card_sheets(SEVEN)["why"]


@pytest.mark.parametrize(("cards", "paper", "told"), [
    (SEVEN, "a5", "paper is a5; accepted: a4 or letter."), ((), "a4", "the cards to print is none; accepted: one or more."),
    ((PrintedCard(31, "WUM"),), "a4", "card is 31; accepted: 0 to 30."),
])  # fmt: skip
def test_what_cannot_be_printed_is_refused(cards, paper, told):
    for made in (cards_pdf, stickers_pdf):
        with pytest.raises(InputError, match=told):
            made(cards, paper=paper)
