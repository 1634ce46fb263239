"""The parts a report is made of. HTML and PDF are drawn from the same blocks, so they cannot say different things."""

import functools
from collections.abc import Callable
from dataclasses import dataclass, field

LONGEST_SHORT_CELL = 28
MOST_NARROW_COLUMNS = 6
ANSWERED, NOT_RECORDED, DOES_NOT_APPLY = STATES = ("answered", "not recorded", "does not apply")


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
    """Pairs of a name and what it is; caption and head are those of the table that they are on paper, empty for none."""

    pairs: tuple[tuple[str, str], ...]
    caption: str = "The plan"
    head: tuple[str, str] = ("What", "As written down")


@dataclass(frozen=True)
class Folded:
    """A long table behind a short one that says the same: a page opens the long one when it is asked to, paper has the short one only.

    words: what opens the long one.
    """

    short: Table
    full: Table
    words: str


@dataclass(frozen=True)
class Answer:
    """One item of a reporting checklist: its number, what it asks, its state (see STATES), the answer, and the sections that hold it.

    sections: key and title of each.
    """

    number: str
    asks: str
    state: str
    text: str
    sections: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class Checklist:
    """A reporting checklist: its parts, each with a heading and its answers."""

    caption: str
    groups: tuple[tuple[str, tuple[Answer, ...]], ...]


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
    """The strip wall: (SVG, description) of each block of days, in longer blocks for a screen and in shorter ones for paper.

    paper_made makes those for paper.
    """

    caption: str
    screen: tuple[tuple[str, str], ...]
    paper_made: Callable[[], tuple[tuple[str, str], ...]] = field(repr=False, compare=False)

    @functools.cached_property
    def paper(self) -> tuple[tuple[str, str], ...]:
        """The blocks for paper, made when they are asked for: the page on a screen does not wait for them."""
        return self.paper_made()


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


Block = Words | Bullets | Heading | Table | Facts | Folded | Checklist | Figure | Wall | Pairs


@dataclass(frozen=True)
class Section:
    """One section: its key (the anchor), its heading and its blocks. is_box: it is set apart, for a reader in a hurry."""

    key: str
    title: str
    blocks: tuple[Block, ...]
    is_box: bool = False


@dataclass(frozen=True)
class Document:
    """A whole report: title, question, the one honest sentence for each primary measure, sections, and the line at the foot.

    paper: `a4` or `letter`. in_full: the whole sentences, right below, of those that are told shorter.
    """

    title: str
    question: str
    sentences: tuple[str, ...]
    byline: str
    sections: tuple[Section, ...]
    foot: tuple[str, ...]
    paper: str = "a4"
    in_full: tuple[str, ...] = ()


@dataclass(frozen=True)
class OnePage:
    """One page: what stands at its head, the picture, and the blocks below it.

    method: five lines. foot: remarks at the end. in_full: the whole sentences of those that are told shorter.
    """

    title: str
    question: str
    sentences: tuple[str, ...]
    byline: str
    picture: Figure | None
    method: tuple[tuple[str, str], ...]
    table: Table | None
    limits: tuple[str, ...]
    disclosure: str
    seal: str
    foot: tuple[str, ...]
    paper: str = "a4"
    in_full: tuple[str, ...] = ()
