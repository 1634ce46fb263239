"""Text in a chart: where it stands, what it takes up, and its element."""

from collections.abc import Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

from fairtank.publish.drawing.figures import coordinate, whole
from fairtank.publish.drawing.frame import Box
from fairtank.publish.drawing.known import FONT
from fairtank.publish.drawing.typeface import is_measured, text_width

_ANCHORS = {"left": "start", "center": "middle", "right": "end"}
# How far below its own place a text's base line lies, in sizes of its type.
_DOWN = {"top": 0.79, "middle": 0.3, "alphabetic": 0.0}
_ABOVE, _LEADING_PX = 0.8, 2  # of its type a text stands above its base line; between two lines


@dataclass(frozen=True)
class Lettering:
    """One text: its lines, its place [px], how it stands to it, its type and its inks (with their own attributes, as they stand)."""

    lines: Sequence[str]
    x: float
    y: float
    size_px: float
    inks: str
    align: str = "left"
    baseline: str = "middle"
    weight: str = ""

    @property
    def box(self) -> Box:
        """What it takes up."""
        down = whole(_DOWN[self.baseline] * self.size_px) - whole(_ABOVE * self.size_px)
        wide = max(text_width(line, self.size_px, self.weight or "normal") for line in self.lines)
        high = self.size_px + (self.size_px + _LEADING_PX) * (len(self.lines) - 1)
        left = self.x - {"left": 0.0, "center": wide / 2, "right": wide}[self.align]
        return Box(left, self.y + down, left + wide, self.y + down + high)

    @property
    def is_measured(self) -> bool:
        """Whether its box is what it takes up, and not only what it may take up at most."""
        return all(is_measured(line, self.weight or "normal") for line in self.lines)

    @property
    def svg(self) -> str:
        """Its element."""
        weight = f' font-weight="{self.weight}"' if self.weight else ""
        y = self.y + whole(_DOWN[self.baseline] * self.size_px)
        told = escape(self.lines[0])
        if len(self.lines) > 1:
            step = coordinate(self.size_px + _LEADING_PX)
            told = f"<tspan>{told}</tspan>" + "".join(f'<tspan x="0" dy="{step}">{escape(line)}</tspan>' for line in self.lines[1:])
        return (f'<text text-anchor="{_ANCHORS[self.align]}" transform="translate({coordinate(self.x)},{coordinate(y)})" '
                f'font-family="{FONT}" font-size="{coordinate(self.size_px)}px"{weight}{self.inks}>{told}</text>')
