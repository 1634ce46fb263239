"""The parts a report is made of. HTML and PDF are drawn from the same blocks, so they cannot say different things."""

from dataclasses import dataclass, field

LONGEST_SHORT_CELL = 28
MOST_NARROW_COLUMNS = 6


@dataclass(frozen=True)
class Words:
    """A paragraph. kind: `plain`, `lead` (the one sentence) or `quiet` (a remark)."""

    text: str
    kind: str = "plain"


@dataclass(frozen=True)
class Bullets:
    """A list of whole sentences."""

    items: tuple[str, ...]


@dataclass(frozen=True)
class Heading:
    """A heading inside a section."""

    text: str


@dataclass(frozen=True)
class Table:
    """A table with a caption. wide: the columns of running text, which share the room that is left; numeric: those of numbers."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    wide: tuple[int, ...] = ()
    numeric: tuple[int, ...] = ()

    @property
    def stacks(self) -> bool:
        """Whether its columns cannot stand beside each other on a phone: each row becomes a short list there."""
        return len(self.head) > MOST_NARROW_COLUMNS or len(self.text_columns) > 1

    @property
    def text_columns(self) -> tuple[int, ...]:
        """The wide columns and any other in which a cell is too long for a column of its own width."""
        return tuple(index for index in range(len(self.head))
                     if index in self.wide or any(len(row[index]) > LONGEST_SHORT_CELL for row in (self.head, *self.rows)))


@dataclass(frozen=True)
class Facts:
    """Pairs of a name and what it is."""

    pairs: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Figure:
    """A chart, drawn wide and, where that differs, narrow for phones. description is its text alternative."""

    key: str
    caption: str
    description: str
    wide: str
    narrow: str = ""


@dataclass(frozen=True)
class Wall:
    """The strip wall: (SVG, description) of each block of days, in longer blocks for a screen and in shorter ones for paper."""

    caption: str
    screen: tuple[tuple[str, str], ...]
    paper: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Picture:
    """One photo as JPEG bytes with its text alternative and what stands under it."""

    jpeg: bytes = field(repr=False)
    description: str = ""
    caption: str = ""


@dataclass(frozen=True)
class Pairs:
    """First and last photo of each unit, side by side: (heading, pictures) for each unit."""

    caption: str
    rows: tuple[tuple[str, tuple[Picture, ...]], ...]


Block = Words | Bullets | Heading | Table | Facts | Figure | Wall | Pairs


@dataclass(frozen=True)
class Section:
    """One section: its key (the anchor), its heading and its blocks."""

    key: str
    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class Document:
    """A whole report: title, question, the one honest sentence for each primary measure, sections, and the line at the foot."""

    title: str
    question: str
    sentences: tuple[str, ...]
    byline: str
    sections: tuple[Section, ...]
    foot: tuple[str, ...]
