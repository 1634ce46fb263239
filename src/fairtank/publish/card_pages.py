"""The photo cards and the corner stickers as sheets to print: exact millimetres, cut marks, and a line that checks the printer.

A card carries its unit's code in print and nothing else of the trial: whoever scores or paints a photo must not see from it which arm
the tank belongs to.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from fairtank import __version__, card
from fairtank.errors import InputError
from fairtank.publish.numbers import shown
from fairtank.publish.pdf import template_pdf

CARD_TEMPLATE = "card.typ"
# Name as the template knows it, width and height [mm].
PAPERS = {"a4": ("a4", 210.0, 297.0), "letter": ("us-letter", 215.9, 279.4)}
CHECK_MM = 100
EDGE_MM, CARD_GAP_MM, CARDS_ACROSS = 9.0, 6.0, 3
TAB_MM, STICKER_GAP_MM, UNIT_GAP_MM, UNITS_ACROSS = 6.0, 7.0, 10.0, 4
_HEAD_MM = {"cards": 76.0, "stickers": 82.0}
_LETTER_LESS_MM = 14.0
CHECK_WORDS = (f"This line must be {CHECK_MM} mm long. Print at 100 % (\u201cactual size\u201d, never \u201cfit to page\u201d) and "
               "check it with a ruler.")
_CARD_STEPS = (
    "Print on matt white paper of 120 g or more, in colour, all cards of a trial in one go on the same printer.",
    "Measure the line above. Is it not 100 mm long? Then set the printer to 100 % and print again.",
    "Cut along the marks. If you laminate, take matt film and leave 3 mm of film around the paper: paper beside a tank gets wet.",
    "Stand each card upright beside its tank, outside the water, in the plane of the front glass, where the lamp does not mirror in it.",
    "The file cards.csv says which card belongs to which tank. Always the same card, at the same place, in every photo.",
)
_STICKER_STEPS = (
    "Measure the line above. Is it not 100 mm long? Then set the printer to 100 % and print again.",
    "Cut along the marks. The corner with the black triangle is the one that counts: cut it exactly. A tank's four lie as on the glass.",
    "Glue them on the outside of the front glass, dry and clean: the triangle's corner flush with the corner of the glass, edges along its "
    "edges, as the picture shows.",
    "Cover the sticker with clear matt tape. The strip with the words may be cut off at the dotted line once it is clear where it goes.",
    "The frame's width and height are then those of the glass between these four points. The stickers stay for the whole trial, on all "
    "tanks alike.",
)
_WHY_CODE = ("Cards and stickers carry a code instead of the tank's name, drawn by lot: whoever scores or paints a photo cannot tell from "
             "it which arm the tank belongs to.")


@dataclass(frozen=True)
class PrintedCard:
    """One card to print: its number, which sets its markers, and the code that stands on it."""

    card: int
    code: str


def cards_pdf(cards: Sequence[PrintedCard], *, title: str = "", paper: str = "a4") -> bytes:
    """Sheets of photo cards as PDF/UA-1, six on a page.

    Parameters
    ----------
    cards : sequence of PrintedCard
        In the order in which they are printed.
    title : str
        Of the trial.
    paper : str
        `a4` or `letter`.

    Returns
    -------
    bytes
        The same cards give the same bytes.

    Raises
    ------
    InputError
        If the paper is not known, a card's number is out of range, or there is no card.

    References
    ----------
    iso14289, garrido2014 (keys from sources.py).
    """
    return template_pdf(CARD_TEMPLATE, card_sheets(cards, title=title, paper=paper), {})


def stickers_pdf(cards: Sequence[PrintedCard], *, title: str = "", paper: str = "a4") -> bytes:
    """Sheets of corner stickers as PDF/UA-1: four for each card.

    Parameters
    ----------
    cards : sequence of PrintedCard
        In the order in which they are printed.
    title : str
        Of the trial.
    paper : str
        `a4` or `letter`.

    Returns
    -------
    bytes
        The same cards give the same bytes.

    Raises
    ------
    InputError
        If the paper is not known, a card's number is out of range, or there is no card.

    References
    ----------
    iso14289, garrido2014 (keys from sources.py).
    """
    return template_pdf(CARD_TEMPLATE, sticker_sheets(cards, title=title, paper=paper), {})


def card_sheets(cards: Sequence[PrintedCard], *, title: str = "", paper: str = "a4") -> dict[str, Any]:
    """What the template is told of the cards: pages, and the place of everything on them in mm."""
    _check(cards, paper)
    _, width_mm, height_mm = PAPERS[paper]
    top = _top_mm("cards", paper)
    left = (width_mm - CARDS_ACROSS * card.CARD_WIDTH_MM - (CARDS_ACROSS - 1) * CARD_GAP_MM) / 2
    down = int((height_mm - top - EDGE_MM + CARD_GAP_MM) // (card.CARD_HEIGHT_MM + CARD_GAP_MM))
    items = [_card(one) for one in cards]
    pages = []
    for start in range(0, len(items), CARDS_ACROSS * down):
        page = items[start : start + CARDS_ACROSS * down]
        for place, item in enumerate(page):
            item["x"] = left + (place % CARDS_ACROSS) * (card.CARD_WIDTH_MM + CARD_GAP_MM)
            item["y"] = top + (place // CARDS_ACROSS) * (card.CARD_HEIGHT_MM + CARD_GAP_MM)
        pages.append(page)
    return _sheets("Photo cards", title, paper, _CARD_STEPS, pages)


def sticker_sheets(cards: Sequence[PrintedCard], *, title: str = "", paper: str = "a4") -> dict[str, Any]:
    """What the template is told of the stickers: pages, and the place of everything on them in mm."""
    _check(cards, paper)
    _, width_mm, height_mm = PAPERS[paper]
    top = _top_mm("stickers", paper)
    side = card.STICKER_PAPER_MM
    unit_width, unit_height = 2 * side + STICKER_GAP_MM, 2 * (side + TAB_MM) + STICKER_GAP_MM + UNIT_GAP_MM
    left = (width_mm - UNITS_ACROSS * unit_width - (UNITS_ACROSS - 1) * UNIT_GAP_MM) / 2
    down = int((height_mm - top - EDGE_MM + UNIT_GAP_MM) // unit_height)
    pages: list[list[dict[str, Any]]] = []
    for number, one in enumerate(cards):
        place = number % (UNITS_ACROSS * down)
        if place == 0:
            pages.append([])
        for corner in range(4):
            item = _sticker(one, corner)
            # As they go on the glass, so that the words of a row stand in one line.
            right, down_mm = corner in (1, 2), (side + TAB_MM + STICKER_GAP_MM if corner in (2, 3) else 0.0)
            item["x"] = left + (place % UNITS_ACROSS) * (unit_width + UNIT_GAP_MM) + right * (side + STICKER_GAP_MM)
            item["y"] = top + (place // UNITS_ACROSS) * unit_height + down_mm
            pages[-1].append(item)
    return _sheets("Corner stickers", title, paper, _STICKER_STEPS, pages)


def _check(cards: Sequence[PrintedCard], paper: str) -> None:
    if paper not in PAPERS:
        raise InputError("paper", paper, " or ".join(PAPERS))
    if not cards:
        raise InputError("the cards to print", "none", "one or more")
    for one in cards:
        if not 0 <= one.card < card.MOST_CARDS:
            raise InputError("card", one.card, f"0 to {card.MOST_CARDS - 1}")


def _top_mm(kind: str, paper: str) -> float:
    """Where cards begin below the words; the shorter paper leaves them less room."""
    return _HEAD_MM[kind] - (_LETTER_LESS_MM if paper == "letter" else 0.0)


def _sheets(kind: str, title: str, paper: str, steps: Sequence[str], pages: list[list[dict[str, Any]]]) -> dict[str, Any]:
    name, width_mm, height_mm = PAPERS[paper]
    return {
        "title": f"{kind}: {shown(title)}" if title else kind, "kind": kind, "trial": shown(title), "paper": name,
        "width": width_mm, "height": height_mm, "edge": EDGE_MM, "check": CHECK_MM, "check_words": CHECK_WORDS, "steps": list(steps),
        "why": _WHY_CODE, "tight": paper == "letter", "pages": pages, "foot": [f"Made with fairtank {__version__}."],
    }  # fmt: skip


def _card(one: PrintedCard) -> dict[str, Any]:
    """Everything on one card, in mm from its top-left corner."""
    code_x, code_y, code_width, code_height = card.CODE_ROOM_MM
    return {
        "kind": "card", "width": card.CARD_WIDTH_MM, "height": card.CARD_HEIGHT_MM, "code": shown(one.code), "number": one.card,
        "markers": [_marker(number, place, card.MARKER_MM)
                    for number, place in zip(card.marker_numbers(one.card), card.MARKER_PLACES_MM, strict=True)],
        "fields": [[patch.x_mm, patch.y_mm, patch.width_mm, patch.height_mm, "#{:02x}{:02x}{:02x}".format(*patch.srgb)]
                   for patch in card.PATCHES],
        "ruler": [card.RULER_X_MM, card.RULER_Y_MM, card.RULER_MM], "code_room": [code_x, code_y, code_width, code_height],
    }  # fmt: skip


def _sticker(one: PrintedCard, corner: int) -> dict[str, Any]:
    """One sticker: its paper, its marker, its tab on the side of the glass's middle, and the triangle at the corner that counts."""
    is_top, is_left = corner in (0, 1), corner in (0, 3)
    paper_y = 0.0 if is_top else TAB_MM
    margin = card.STICKER_MARGIN_MM
    return {
        "kind": "sticker", "width": card.STICKER_PAPER_MM, "height": card.STICKER_PAPER_MM + TAB_MM, "code": shown(one.code),
        "markers": [_marker(card.sticker_numbers(one.card)[corner], (margin, paper_y + margin), card.STICKER_MM)],
        "corner": card.STICKER_CORNERS[corner], "tab_y": card.STICKER_PAPER_MM if is_top else 0.0, "tab": TAB_MM, "is_top": is_top,
        "point": [0.0 if is_left else card.STICKER_PAPER_MM, 0.0 if is_top else card.STICKER_PAPER_MM + TAB_MM],
        "inward": [1 if is_left else -1, 1 if is_top else -1],
    }  # fmt: skip


def _marker(number: int, place: tuple[float, float], side_mm: float) -> dict[str, Any]:
    """A marker's black square and the white modules in it, as [column, row]."""
    modules = marker_modules(number)
    white = [[column, row] for row, line in enumerate(modules) for column, is_white in enumerate(line) if is_white]
    return {"x": place[0], "y": place[1], "side": side_mm, "module": side_mm / card.MARKER_MODULES, "white": white}


def marker_modules(number: int) -> list[list[bool]]:
    """The modules of a marker with its black frame, row by row, True where white.

    Parameters
    ----------
    number : int
        Number in the dictionary, 0 to 249.

    Returns
    -------
    list of lists of bool
        Six rows of six.

    References
    ----------
    garrido2014 (keys from sources.py).

    Examples
    --------
    >>> [len(row) for row in marker_modules(0)], any(marker_modules(0)[0])
    ([6, 6, 6, 6, 6, 6], False)
    """
    import cv2

    known = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, card.DICTIONARY))
    inner = cv2.aruco.Dictionary.getBitsFromByteList(known.bytesList[number : number + 1], card.MARKER_MODULES - 2)
    blank = [False] * card.MARKER_MODULES
    return [blank, *([False, *(bool(module) for module in line), False] for line in inner), list(blank)]
