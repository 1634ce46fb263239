"""A text in pieces, those that were flagged apart from the rest, so that a page can mark them in their place."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from fairtank.publish.strength.check import Flag


@dataclass(frozen=True)
class Piece:
    """A stretch of a text. numbers: of the flags whose words it holds, counted from 1; ends: of those whose words end with it."""

    text: str
    numbers: tuple[int, ...] = ()
    ends: tuple[int, ...] = ()


def pieces_of(text: str, flags: Sequence[Flag]) -> tuple[Piece, ...]:
    """The whole text in order; put together the pieces are the text again.

    Parameters
    ----------
    text : str
    flags : sequence of Flag
        Of this text; they may lie in each other.

    Returns
    -------
    tuple of Piece

    Examples
    --------
    >>> one = Flag(3, 8, "works", "It works.", "certainty", "", "")
    >>> [(piece.text, piece.numbers, piece.ends) for piece in pieces_of("It works.", [one])]
    [('It ', (), ()), ('works', (1,), (1,)), ('.', (), ())]
    """
    edges = sorted({0, len(text), *(flag.start for flag in flags), *(flag.end for flag in flags)})
    pieces = []
    for first, last in pairwise(edges):
        held = [(number, flag) for number, flag in enumerate(flags, start=1) if flag.start < last and first < flag.end]
        ends = tuple(number for number, flag in held if flag.end == last)
        pieces.append(Piece(text[first:last], tuple(number for number, _ in held), ends))
    return tuple(pieces)
