"""How arms look: a letter, a colour, a line style and a mark each, so that no reader depends on colour."""

import re
from dataclasses import dataclass

from fairtank.publish.numbers import shortened
from fairtank.trial import Plan

# Okabe and Ito's palette (okabe2008): those of its colours that keep a contrast of 3 : 1 and more on white.
BLUE, VERMILLION, GREEN, PURPLE, BLACK = "#0072B2", "#D55E00", "#009E73", "#CC79A7", "#000000"
PALETTE = (BLUE, VERMILLION, GREEN, BLACK, PURPLE)
DASHES = ((1, 0), (7, 4), (2, 3), (9, 3, 2, 3), (12, 5))
MARKS = ("circle", "square", "triangle-up", "diamond", "cross")
LINE_WORDS = ("solid line", "dashed line", "dotted line", "dash-dot line", "long dashes")
MARK_WORDS = ("circles", "squares", "triangles", "diamonds", "crosses")


@dataclass(frozen=True)
class ArmLook:
    """One arm as it is drawn: key in the plan, letter, label for readers, colour, line style and mark."""

    key: str
    letter: str
    label: str
    colour: str
    dash: tuple[int, ...]
    mark: str
    line_words: str
    mark_words: str

    @property
    def legend(self) -> str:
        """Letter and name, short enough for a chart; an arm without a name of its own is called by its letter."""
        return f"arm {self.letter}" if self.is_nameless else f"{self.letter}  {shortened(self.label, 34)}"

    @property
    def words(self) -> str:
        """Letter and name for a table."""
        return self.letter if self.is_nameless else f"{self.letter}, {self.label}"

    @property
    def is_nameless(self) -> bool:
        """Whether the plan gave the arm no name beside its letter."""
        return self.label == self.letter


def arm_words(look: ArmLook, *, is_swap: bool) -> str:
    """A unit's arm inside a sentence, without its name: `arm R`; in a swap the one it had first, since it has both.

    >>> from types import SimpleNamespace
    >>> arm_words(SimpleNamespace(letter="R"), is_swap=False), arm_words(SimpleNamespace(letter="R"), is_swap=True)
    ('arm R', 'arm R first')
    """
    return f"arm {look.letter}{' first' if is_swap else ''}"


def arm_looks(plan: Plan) -> dict[str, ArmLook]:
    """The look of every arm by its key: the reference comes first, the others follow in the plan's order.

    Where every key is one letter from A to Z, the arms are called by their keys; else the reference is A, the next B and so on.

    Examples
    --------
    >>> from datetime import date
    >>> from fairtank.trial import Arm
    >>> plan = Plan("t", date(2026, 3, 1), 10, "side_by_side", (Arm("B", "changed"), Arm("R", "reference")), (), ())
    >>> [(look.key, look.letter) for look in arm_looks(plan).values()]
    [('R', 'R'), ('B', 'B')]
    """
    lettered = all(re.fullmatch("[A-Z]", arm.key) for arm in plan.arms)
    ordered = sorted(plan.arms, key=lambda arm: arm.role != "reference")
    looks = {}
    for index, arm in enumerate(ordered):
        style = index % len(PALETTE)
        counted = chr(ord("A") + index) if index < 26 else f"A{index - 25}"
        looks[arm.key] = ArmLook(arm.key, arm.key if lettered else counted, arm.label, PALETTE[style], DASHES[style], MARKS[style],
                                 LINE_WORDS[style], MARK_WORDS[style])
    return looks
