"""The photo card and the corner stickers: their layout in millimetres, their colours, and which markers belong to which card.

A card stands beside a tank in every photo. It says which tank the photo shows, how many px a millimetre takes, and what the camera
made of six known greys and six colours. Whoever prints it, paints it or reads it takes the layout from here.
"""

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fairtank.errors import InputError
from fairtank.trial import CardOfUnit, Plan

CARD_WIDTH_MM, CARD_HEIGHT_MM = 60.0, 100.0
# Square markers of an open dictionary, each 4 x 4 modules within a black frame of one module: black on white, with a white margin of at
# least one module around them.
DICTIONARY = "DICT_4X4_250"
MARKER_MODULES = 6
MARKER_MM = 16.0
# Top-left corners of the four markers: top-left, top-right, bottom-right, bottom-left of the card.
MARKER_PLACES_MM = ((3.0, 3.0), (41.0, 3.0), (41.0, 81.0), (3.0, 81.0))
# The ruler: where its zero lies, how long it is; its ticks point down, one for each mm.
RULER_X_MM, RULER_Y_MM, RULER_MM = 5.0, 71.4, 50
# Room for the code in print, between the two lower markers: x, y, width, height.
CODE_ROOM_MM = (22.0, 83.0, 16.0, 12.0)
STICKER_MM = 12.0  # of a sticker's marker, without its white margin
STICKER_MARGIN_MM = 2.0  # one module of white on every side: the paper of a sticker is cut there
# The point of a sticker that lies on the glass corner is the outer corner of its PAPER, not of its marker: a marker that touched the dark
# rim of a tank would lose the white around it and could not be found.
STICKER_PAPER_MM = STICKER_MM + 2 * STICKER_MARGIN_MM
STICKER_CORNERS = ("top left", "top right", "bottom right", "bottom left")
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


# Edge to edge: 60 px and more across in a photo of 2016 px that shows 60 cm. What reads them keeps to their inner part.
_WIDTH_MM, _HEIGHT_MM, _LEFT_MM, _TOP_MM = 18.0, 12.0, 3.0, 22.0
_COLUMNS = 3
# Three columns and four rows; greys and colours take turns, so that light falling off across the card reaches both alike.
_FIELDS = (
    ("grey 95", (241, 241, 241)), ("red", (178, 58, 52)), ("grey 20", (48, 48, 48)),
    ("green", (72, 138, 66)), ("grey 65", (158, 158, 158)), ("blue", (58, 84, 146)),
    ("grey 35", (82, 82, 82)), ("yellow", (226, 190, 56)), ("grey 80", (198, 198, 198)),
    ("magenta", (176, 80, 140)), ("grey 50", (119, 119, 119)), ("cyan", (40, 140, 164)),
)  # fmt: skip
PATCHES = tuple(
    Patch(key, _LEFT_MM + _WIDTH_MM * (place % _COLUMNS), _TOP_MM + _HEIGHT_MM * (place // _COLUMNS), _WIDTH_MM, _HEIGHT_MM, srgb)
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


# Codes are a consonant, a vowel and a consonant, so that they can be said aloud; letters that are taken for others are left out.
_CONSONANTS, _VOWELS = "BDFGKLMNPRSTVZ", "AEIOU"
# Words and names that nobody wants on a card, and words of this trade and of trials.
_UNWANTED = (
    "BAD BAG BAN BED BIG BUG BUM BUT DAD DAM DEF DIK DUM FAG FAT FED FUK FUN FUT GAG GAK GAS GOD GUN GUT KAK KIK KIL KOK KUK",
    "KUM KUN KUT LAB LED LUL MAD MED MOF MUM NAG NAZ NEG NET NIG NIP NUT PED PIG PIK PIS POF POP POT PUS PUT RAP RAT RED REF",
    "ROT RUM SAD SED SEK SEL SIK SIN SOD SOT SUK TIT TOD TOT VAG VET VUL ZIT",
)


def cards_by_lot(units: Sequence[str], seed: int | None, taken: Iterable[CardOfUnit] = (),
                 avoid: Iterable[str] = ()) -> tuple[CardOfUnit, ...]:
    """A card and a code for each unit, drawn by lot from a seed, so that neither tells anything of the unit.

    Any two codes differ in at least two of their three letters: one that is misread is no other one.

    Parameters
    ----------
    units : sequence of str
        Keys of the units that have no card yet.
    seed : int or None
        Of the plan; None counts as a seed of its own. The same seed gives the same cards.
    taken : iterable of CardOfUnit
        Cards that other units have already.
    avoid : iterable of str
        Words that must not become a code: keys of units, arms and tanks.

    Returns
    -------
    tuple of CardOfUnit
        In the order of `units`.

    Raises
    ------
    InputError
        If there are more units than cards.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> [one.unit for one in cards_by_lot(("T1", "T2"), 7)]
    ['T1', 'T2']
    """
    taken = tuple(taken)
    free = [number for number in range(MOST_CARDS) if number not in {one.card for one in taken}]
    if len(units) > len(free):
        raise InputError("the units that need a card", len(units), f"at most {len(free)}",
                         f"There are {MOST_CARDS} different cards; take the others away from tanks that are in no photo.")
    numbers = sorted(free, key=lambda number: _lot(seed, "card", number))
    unwanted = set(" ".join(_UNWANTED).split()) | {word.upper() for word in avoid}
    words = sorted((first + vowel + last for first in _CONSONANTS for vowel in _VOWELS for last in _CONSONANTS),
                   key=lambda word: _lot(seed, "code", word))
    codes = [one.code.upper() for one in taken]
    drawn: list[str] = []
    for word in words:
        if len(drawn) == len(units):
            break
        if word not in unwanted and all(_apart(word, other) >= 2 for other in (*codes, *drawn)):
            drawn.append(word)
    return tuple(CardOfUnit(unit, number, code) for unit, number, code in zip(units, numbers[:len(units)], drawn, strict=True))


def cards_of_plan(plan: Plan, taken: tuple[CardOfUnit, ...] = ()) -> tuple[CardOfUnit, ...]:
    """Cards for the units of a plan that have none yet.

    Parameters
    ----------
    plan : Plan
        Its seed draws the lot; a plan without one is drawn from its title and its start.
    taken : tuple of CardOfUnit
        What other units have already.

    Returns
    -------
    tuple of CardOfUnit
        In the order of the plan's units.

    Raises
    ------
    InputError
        If there are more units than cards.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    given = {one.unit for one in taken}
    seed = plan.seed
    if seed is None:
        seed = int.from_bytes(hashlib.sha256(f"{plan.title} {plan.start}".encode()).digest()[:6])
    return cards_by_lot([unit.key for unit in plan.units if unit.key not in given], seed, taken, telling_words(plan))


def plain_word(text: str) -> str:
    """A word as a card would carry it: letters and digits alone, small.

    >>> plain_word("Ka-L")
    'kal'
    """
    return "".join(sign for sign in text.casefold() if sign.isalnum())


def telling_words(plan: Plan) -> dict[str, str]:
    """Words that would tell on a card which tank or arm it stands for, and what each of them names.

    Parameters
    ----------
    plan : Plan

    Returns
    -------
    dict from word to str
        The words as `plain_word` makes them; `a unit`, `a tank` or `an arm`.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    named = [(word, "an arm") for arm in plan.arms for word in (arm.key, arm.name)]
    named += [(unit.tank, "a tank") for unit in plan.units] + [(unit.key, "a unit") for unit in plan.units]
    return {plain_word(word): what for word, what in named if plain_word(word)}


def _lot(seed: int | None, *words: object) -> bytes:
    """A place in a lot: the same on every machine and in every version of Python."""
    return hashlib.sha256(" ".join(map(str, ("photo cards", seed, *words))).encode()).digest()


def _apart(one: str, other: str) -> int:
    """In how many letters two codes differ."""
    return sum(a != b for a, b in zip(one, other, strict=False)) + abs(len(one) - len(other))
