"""The photo card and the corner stickers: their layout in millimetres, their colours, and which markers belong to which card.

A card stands beside a tank in every photo. It says which tank the photo shows, how many px a millimetre takes, and what the camera
made of six known greys and six colours. Whoever prints it, paints it or reads it takes the layout from here.
"""

from dataclasses import dataclass

CARD_WIDTH_MM, CARD_HEIGHT_MM = 60.0, 100.0
# Square markers of an open dictionary: black on white, with a white margin of at least one module around them.
DICTIONARY = "DICT_4X4_250"
MARKER_MM = 16.0
# Top-left corners of the four markers: top-left, top-right, bottom-right, bottom-left of the card.
MARKER_PLACES_MM = ((3.0, 3.0), (41.0, 3.0), (41.0, 81.0), (3.0, 81.0))
STICKER_MM = 12.0  # of a sticker's marker, without its white margin
MOST_CARDS = 31
_FIRST_STICKER = 4 * MOST_CARDS


@dataclass(frozen=True)
class Patch:
    """One field of flat colour: its name, its top-left corner and size on the card [mm], and the sRGB it is printed with."""

    key: str
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    srgb: tuple[int, int, int]


_WIDTH_MM, _HEIGHT_MM, _LEFT_MM, _TOP_MM = 16.0, 12.0, 5.0, 24.0
# Three columns and four rows; greys and colours take turns, so that light falling off across the card reaches both alike.
_FIELDS = (
    ("grey 95", (241, 241, 241)), ("red", (178, 58, 52)), ("grey 20", (48, 48, 48)),
    ("green", (72, 138, 66)), ("grey 65", (158, 158, 158)), ("blue", (50, 78, 150)),
    ("grey 35", (82, 82, 82)), ("yellow", (226, 190, 56)), ("grey 80", (198, 198, 198)),
    ("magenta", (176, 80, 140)), ("grey 50", (119, 119, 119)), ("cyan", (40, 140, 164)),
)  # fmt: skip
PATCHES = tuple(
    Patch(key, _LEFT_MM + 17.0 * (place % 3), _TOP_MM + 13.0 * (place // 3), _WIDTH_MM, _HEIGHT_MM, srgb)
    for place, (key, srgb) in enumerate(_FIELDS)
)
# From dark to light.
GREYS = tuple(sorted((patch for patch in PATCHES if patch.key.startswith("grey")), key=lambda patch: patch.srgb))
COLOURS = tuple(patch for patch in PATCHES if not patch.key.startswith("grey"))


def marker_numbers(card: int) -> tuple[int, int, int, int]:
    """The four markers of a card, in the order of MARKER_PLACES_MM.

    Parameters
    ----------
    card : int
        Number of the card, 0 to 30.

    Returns
    -------
    tuple of int
        Numbers in the dictionary.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> marker_numbers(2)
    (8, 9, 10, 11)
    """
    return 4 * card, 4 * card + 1, 4 * card + 2, 4 * card + 3


def sticker_numbers(card: int) -> tuple[int, int, int, int]:
    """The four corner stickers that go with a card: for the top-left, top-right, bottom-right and bottom-left of the glass.

    Parameters
    ----------
    card : int
        Number of the card, 0 to 30.

    Returns
    -------
    tuple of int
        Numbers in the dictionary.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> sticker_numbers(0)
    (124, 125, 126, 127)
    """
    first = _FIRST_STICKER + 4 * card
    return first, first + 1, first + 2, first + 3
