"""What a picture of the film consists of, as a list of plain things: a test can read it, and the painter turns it into px."""

from dataclasses import dataclass

Rgb = tuple[int, int, int]

PAPER: Rgb = (251, 250, 246)
SHEET: Rgb = (242, 239, 230)
INK: Rgb = (34, 34, 30)
SOFT: Rgb = (90, 88, 80)
LINE: Rgb = (207, 202, 187)


@dataclass(frozen=True)
class Rect:
    """A place on the picture: left, top, width, height [px]."""

    x: int
    y: int
    width: int
    height: int

    @property
    def right(self) -> int:
        """The first column behind it."""
        return self.x + self.width

    @property
    def bottom(self) -> int:
        """The first row below it."""
        return self.y + self.height


@dataclass(frozen=True)
class Fill:
    """A place in one colour; opacity 0 to 1."""

    place: Rect
    colour: Rgb
    opacity: float = 1.0


@dataclass(frozen=True)
class Words:
    """One line of text. x: of its left end, middle or right end, as anchor says. y: of its top. size_px: of its letters."""

    text: str
    x: int
    y: int
    size_px: int
    colour: Rgb = INK
    bold: bool = False
    anchor: str = "left"


@dataclass(frozen=True)
class Stroke:
    """A line through points [px], in a style: dash is empty for a solid one."""

    points: tuple[tuple[float, float], ...]
    colour: Rgb
    width_px: int
    dash: tuple[int, ...] = ()


@dataclass(frozen=True)
class Dot:
    """A filled circle."""

    x: float
    y: float
    radius_px: float
    colour: Rgb


@dataclass(frozen=True)
class Photo:
    """The photo of a unit's day. is_veiled: another day is told, and the unit has no photo then."""

    unit: str
    day: int
    place: Rect
    is_veiled: bool = False


Item = Fill | Words | Stroke | Dot | Photo


def rgb_of(colour: str) -> Rgb:
    """A colour written as #rrggbb.

    >>> rgb_of("#0072B2")
    (0, 114, 178)
    """
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)
