"""The words of a calculator's docstring as pages show them: other calculators that are named in it become links to their pages."""

import inspect
import re
from dataclasses import dataclass

from fairtank import registry
from fairtank.registry import Entry


@dataclass(frozen=True)
class Piece:
    """A piece of text; key: the calculator that it leads to, empty for plain words."""

    text: str
    key: str = ""


@dataclass(frozen=True)
class Note:
    """A paragraph, or an item of a list."""

    pieces: tuple[Piece, ...]
    is_item: bool


def pieces_of(text: str) -> tuple[Piece, ...]:
    """A text with the calculators that stand in it between backticks told by their titles.

    >>> pieces_of("The inverse of `vessel.layer_depth_mm`.")
    (Piece(text='The inverse of ', key=''), Piece(text='Depth of a layer', key='layer_depth_mm'), Piece(text='.', key=''))
    """
    known = {entry.key: entry for entry in registry.entries("calculator")}
    found = []
    for place, part in enumerate(re.split(r"`+([^`]*)`+", text)):
        entry = known.get(part.rpartition(".")[2]) if place % 2 else None
        if part:
            found.append(Piece(part) if entry is None else Piece(entry.title, entry.key))
    return tuple(found)


def plain_words(text: str) -> str:
    """The same as one text without links."""
    return "".join(piece.text for piece in pieces_of(text))


def notes_of(entry: Entry) -> tuple[Note, ...]:
    """What the docstring says between its first sentence and its parameters; words to choose from stand as they do in the fields."""
    text = inspect.cleandoc(entry.function.__doc__ or "").split("\nParameters\n")[0].partition("\n\n")[2]
    for choice in (choice for declared in entry.inputs for choice in declared.choices if "_" in choice):
        text = re.sub(rf"(?<![\w`]){re.escape(choice)}(?![\w`])", choice.replace("_", " "), text)
    lines = [" ".join(line.split()) for part in text.split("\n\n") for line in re.split(r"(?:^|\n)(?=- )", part)]
    return tuple(Note(pieces_of(line.removeprefix("- ")), line.startswith("- ")) for line in lines if line)
