"""The room in which a chart is drawn: its size, its two scales, and the box that a drawn thing takes up."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from fairtank.publish.drawing.known import must

Row = dict[str, Any]


@dataclass(frozen=True)
class Box:
    """What a drawn thing takes up [px]: from x1 to x2 to the right and from y1 to y2 downwards."""

    x1: float
    y1: float
    x2: float
    y2: float

    def grown(self, by: float) -> "Box":
        """Larger on all sides."""
        return Box(self.x1 - by, self.y1 - by, self.x2 + by, self.y2 + by)

    def moved(self, x: float, y: float) -> "Box":
        """Elsewhere."""
        return Box(self.x1 + x, self.y1 + y, self.x2 + x, self.y2 + y)

    def inside(self, other: "Box") -> "Box":
        """What of it lies inside another."""
        return Box(max(self.x1, other.x1), max(self.y1, other.y1), min(self.x2, other.x2), min(self.y2, other.y2))


def around_places(xs: Sequence[float], ys: Sequence[float]) -> Box:
    """The box around all of these places."""
    return Box(min(xs), min(ys), max(xs), max(ys))


def around(boxes: Sequence[Box]) -> Box:
    """The box around all of these."""
    return Box(min(box.x1 for box in boxes), min(box.y1 for box in boxes), max(box.x2 for box in boxes), max(box.y2 for box in boxes))


@dataclass(frozen=True)
class Scale:
    """A straight scale: from two values to two places [px]."""

    values: tuple[float, float]
    places: tuple[float, float]

    def of(self, values: Iterable[float]) -> list[float]:
        """The places of values; summed from the lower end, as the renderer does."""
        (low, high), (first, last) = self.values, self.places
        if high < low:
            low, high, first, last = high, low, last, first
        room = high - low
        return [first * (1 - share) + last * share for share in [(value - low) / room for value in values]]


@dataclass(frozen=True)
class Frame:
    """Width and height of the plot [px], where a value lies along each of its sides, and the size of its text [px] with its ink."""

    width: float
    height: float
    x: Scale | None
    y: Scale | None
    text_px: float
    text_ink: str

    @property
    def box(self) -> Box:
        """The plot itself."""
        return Box(0, 0, self.width, self.height)

    def places(self, name: str, told: dict[str, Any], rows: Sequence[Row]) -> list[float]:
        """Where a channel puts each row: `x`, `y`, `x2` or `y2`."""
        if "value" in told:
            return [float(told["value"])] * len(rows)
        scale, field = self.x if name.startswith("x") else self.y, told["field"]
        must(scale is not None)
        assert scale is not None
        return scale.of([row[field] for row in rows])


def scale_of(domains: list[list[float]], places: tuple[float, float]) -> Scale | None:
    """The scale that all layers share; None where no layer has one."""
    if not domains:
        return None
    must(all(domain == domains[0] for domain in domains))
    return Scale((domains[0][0], domains[0][1]), places)
