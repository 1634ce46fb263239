"""The axes of a chart: grid lines, ticks, labels and the title of each, with the box that it takes up."""

import itertools
from dataclasses import dataclass

from fairtank.publish.drawing.figures import coordinate, label_of, whole
from fairtank.publish.drawing.frame import Box, Frame, Scale, around
from fairtank.publish.drawing.known import Spec, must
from fairtank.publish.drawing.lettering import Lettering
from fairtank.publish.drawing.marks import inks, rule

_TICK_PX, _LONGEST_LABEL_PX, _FLUSH_PX = 5, 180.0, 1.0
_FEWEST_TO_THIN = 3
_NO_PATH, _NO_ROOM = '<path d="" pointer-events="none" display="none" />', '<path d="M0,0h0v0h0Z" pointer-events="none" />'


@dataclass(frozen=True)
class Axis:
    """One side's axis as it is told, the settings of all axes, its scale, and the frame beside which it stands."""

    told: Spec
    config: Spec
    scale: Scale
    frame: Frame
    is_below: bool

    @property
    def grid(self) -> str:
        """Its grid lines, where it has any."""
        if not self.told.get("grid", True):
            return ""
        look, frame = inks(stroke=self.config["gridColor"], stroke_width=1, opacity=1), self.frame
        down = frame.height + self.told.get("offset", 0)
        lines = [rule(whole(place), -down, 0, frame.height, look) if self.is_below else rule(0, whole(place), frame.width, 0, look)
                 for place in self._places]
        return self._group(f'<g pointer-events="none">{"".join(lines)}</g>')

    @property
    def svg(self) -> str:
        """Its ticks, labels, line and title."""
        labels, shown = self._labels, self._shown
        look = inks(stroke=self.config["tickColor"], stroke_width=1, opacity=1)
        texts = "".join((label if is_shown else self._label(place, "0")).svg
                        for label, is_shown, place in zip(labels, shown, self._places_with_labels, strict=True))
        parts = [f'<g pointer-events="none">{texts}</g>']
        if self.is_below:
            ticks = "".join(rule(whole(place), 0, 0, _TICK_PX, look) for place in self._places)
            line = rule(0, 0, self.frame.width, 0, inks(stroke=self.config["domainColor"], stroke_width=1, opacity=1))
            parts = [f'<g pointer-events="none">{ticks}</g>', *parts, f'<g pointer-events="none">{line}</g>']
        title = self.title
        if title is not None:
            parts.append(f'<g pointer-events="none">{title.svg}</g>')
        return self._group("".join(parts))

    @property
    def box(self) -> Box:
        """What it takes up, in the frame's own places."""
        own = self._inner_box
        if not self.is_below:
            return around([own, Box(0, 0, 0, self.frame.height)])
        title = self.title
        must(title is None or title.is_measured or (title.box.x1 >= 0 and title.box.x2 <= self.frame.width))
        boxes = [own, Box(0, 0, self.frame.width, own.y2), *([title.box] if title is not None else [])]
        return around(boxes).moved(0, self.frame.height + self.told.get("offset", 0))

    @property
    def _inner_box(self) -> Box:
        """Ticks and those labels that are shown."""
        boxes = [label.box for label, is_shown in zip(self._labels, self._shown, strict=True) if is_shown]
        if self.is_below:
            boxes += [Box(whole(place) - 1, -1, whole(place) + 1, _TICK_PX + 1) for place in self._places]
        return around(boxes or [Box(0, 0, 0, 0)])

    @property
    def _places(self) -> list[float]:
        return self.scale.of(self.told["values"])

    @property
    def _places_with_labels(self) -> list[tuple[float, str]]:
        written = label_of(self.told["format"])
        return [(place, written(value)) for place, value in zip(self._places, self.told["values"], strict=True)]

    @property
    def _labels(self) -> list[Lettering]:
        labels = [self._label(one) for one in self._places_with_labels]
        must(all(label.box.x2 - label.box.x1 < _LONGEST_LABEL_PX for label in labels))
        return labels

    def _label(self, one: tuple[float, str], opacity: str = "1") -> Lettering:
        place, text = one
        size, look = self.config["labelFontSize"], inks(fill=self.config["labelColor"], opacity=opacity)
        if not self.is_below:
            return Lettering([text], -self.config["labelPadding"], place, size, look, "right", "middle")
        align = "left" if abs(place) < _FLUSH_PX else "right" if abs(place - self.frame.width) < _FLUSH_PX else "center"
        return Lettering([text], place, _TICK_PX + self.config["labelPadding"], size, look, align, "top")

    @property
    def _shown(self) -> list[bool]:
        """Which labels are shown: where two would touch, every other one is left out, until none do."""
        boxes = [label.box for label in self._labels]
        kept = list(range(len(boxes)))
        while len(kept) >= _FEWEST_TO_THIN and _do_touch([boxes[index] for index in kept]):
            kept = kept[::2]
        must(len(kept) >= min(_FEWEST_TO_THIN, len(boxes)))
        return [index in kept for index in range(len(boxes))]

    @property
    def title(self) -> Lettering | None:
        """What is drawn along it, where that is told."""
        if self.told["title"] is None:
            return None
        look = inks(fill=self.config["titleColor"], opacity=1)
        return Lettering([self.told["title"]], 0.5 * self.frame.width, self._inner_box.y2 + self.config["titlePadding"],
                         self.config["titleFontSize"], look, "center", "top", self.config["titleFontWeight"])

    def _group(self, content: str) -> str:
        down = self.frame.height + self.told.get("offset", 0) + 0.5 if self.is_below else 0.5
        return f'<g><g transform="translate(0.5,{coordinate(down)})">{_NO_ROOM}<g>{content}</g>{_NO_PATH}</g></g>'


def _do_touch(boxes: list[Box]) -> bool:
    return any(max(after.x1 - before.x2, before.x1 - after.x2, after.y1 - before.y2, before.y1 - after.y2) < 0
               for before, after in itertools.pairwise(boxes))
