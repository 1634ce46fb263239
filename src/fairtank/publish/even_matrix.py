"""The evenness matrix: factors as rows, tanks as columns in the order of their arms, and beside each row how it lies to the arms.

Each cell holds the value; the dot below it stands left or right of the middle by how many tolerances the tank lies below or above the
middle of the reference arm, and cells beyond the tolerance are shaded. Nothing depends on a hue: the verdict is a word and a shape.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree import ElementTree

from fairtank.planning.evenness.result import Evenness, FactorCheck
from fairtank.planning.evenness.wording import alike
from fairtank.publish.arms import ArmLook
from fairtank.publish.charts import FONT, INK, QUIET_INK, fitted, in_lines, is_narrow, text_px, tidy_svg
from fairtank.publish.even_words import LEANS, ONE_ARM, PERHAPS, UNCHANGED, value_words, verdict_words
from fairtank.publish.level_ruler import Picture
from fairtank.publish.numbers import number, shortened, shown, trimmed, with_unit

_PAGE_ROWS, _PAGE_ROWS_CROWDED = 18, 12  # of one picture on paper
_RULE, _PALE, _DARK = "#d9d5cd", "#e9e5dc", "#cfc9bc"
_LABEL, _WORDS, _GAP = 184.0, 152.0, 3.0
_CELL_HEIGHT, _ROW, _LINE = 25.0, 38.0, 15.0
_NARROW_COLUMNS, _ROOMY = 6, 8
_CELL, _ALL_CELLS = 64.0, 300.0  # as wide as a cell is at most; few cells share the room of several, so that the names of the arms fit
_REACH = 2.0  # tolerances at which a dot stands at the edge of its cell
_LETTERS = "abcdefghijklmnopqrstuvwxyz"
# A shape for each verdict; filled shapes are what a reader must look at.
_SHAPES = {
    "goes with the arms": ("M 0 -6 L 6 0 L 0 6 L -6 0 Z", True), "side effect": ("M 0 -6 L 6 5 L -6 5 Z", True),
    "the change": ("M -5 -5 H 5 V 5 H -5 Z", True), PERHAPS: ("M -5 -5 H 5 V 5 H -5 Z", False),
    "uneven, dealt evenly": ("M -5 -5 L 5 5 M -5 5 L 5 -5", False), ONE_ARM: ("M -5 0 H 0 M 0 -5 V 5", False),
    LEANS: ("M -5 5 H 5 L 5 -5 Z", False), UNCHANGED: ("M 0 -6 L 6 0 L 0 6 L -6 0 Z M 0 -2 V 2", True),
    "within tolerance": ("M -4 0 A 4 4 0 1 0 4 0 A 4 4 0 1 0 -4 0", False), "even": ("M -5 -2.5 H 5 M -5 2.5 H 5", False),
}


def matrix_checks(result: Evenness) -> tuple[FactorCheck, ...]:
    """The factors that are rows: all of which something is known, in the order of the sentences."""
    return tuple(check for check in result.checks if check.values)


def rows_of_page(result: Evenness) -> int:
    """How many rows fit a page of paper at the wide form's width."""
    return _PAGE_ROWS_CROWDED if len(result.units) > _ROOMY else _PAGE_ROWS


def even_matrix(result: Evenness, looks: dict[str, ArmLook], *, key: str, width_px: int,
                checks: Sequence[FactorCheck] | None = None, has_wide_cells: bool = False) -> Picture:
    """The matrix as a drawing.

    Parameters
    ----------
    result : Evenness
        The check.
    looks : dict of str to ArmLook
        How each arm is drawn.
    key : str
        Letters, digits and hyphens; unique on the page.
    width_px : int
        Outer width; below 500 the form for phones. [px]
    checks : sequence of FactorCheck, optional
        The rows; all that something is known of where left out.
    has_wide_cells : bool
        Whether the verdict stands below the title, and leaves its room to the cells, as with many tanks; phones have it so always.

    Returns
    -------
    Picture
        The drawing with its description; its sizes in px.
    """
    rows = matrix_checks(result) if checks is None else tuple(checks)
    sheet = _Narrow(result, looks, width_px) if is_narrow(width_px) else _Wide(result, looks, width_px, has_wide_cells=has_wide_cells)
    svg, height = sheet.drawn(rows)
    words = description(result, looks, rows)
    return Picture(tidy_svg(svg, key=key, description=words), words, width_px, height)


def description(result: Evenness, looks: dict[str, ArmLook], rows: Sequence[FactorCheck]) -> str:
    """The matrix in words: its arms, and the rows by their verdict."""
    arms = "; ".join(f"arm {look.letter} ({shortened(look.label, 40)}): "
                     + ", ".join(shortened(unit, 20) for unit, arm in result.units if arm == look.key) for look in looks.values())
    groups: dict[str, list[str]] = {}
    for check in rows:
        groups.setdefault(verdict_words(check), []).append(check.title)
    return f"Evenness matrix, one row for each factor and one column for each tank. {arms}. " + \
        ". ".join(f"{words[:1].upper() + words[1:]}: {', '.join(titles)}" for words, titles in groups.items()) + "."


@dataclass(frozen=True)
class _Row:
    """One row ready to be drawn: what its cells say, and what its letters mean."""

    check: FactorCheck
    texts: dict[str, str]
    note: str


def _row(check: FactorCheck, units: Sequence[str], room_px: float, size: float) -> _Row:
    """Values as they fit a cell; where one does not, letters stand for them and the note says which."""
    values, texts = dict(check.values), {}
    for unit in units:
        if unit in values:
            value = values[unit]
            texts[unit] = shown(value) if isinstance(value, str) else value_words(value, check, with_its_unit=False).removeprefix("day ")
    is_words = any(isinstance(value, str) for value in values.values())
    if not is_words or check.tolerance is not None:
        return _Row(check, texts, _tolerance_words(check))
    if all(fitted(text, room_px, size) == text for text in texts.values()):
        return _Row(check, texts, "")
    told = list(dict.fromkeys(alike(text) for text in texts.values()))
    letters = {text: _LETTERS[index] if index < len(_LETTERS) else f"{index + 1}" for index, text in enumerate(told)}
    first = {alike(text): text for text in reversed(list(texts.values()))}
    note = ", ".join(f"{letter} {first[text]}" for text, letter in letters.items())
    return _Row(check, {unit: letters[alike(text)] for unit, text in texts.items()}, note)


def _tolerance_words(check: FactorCheck) -> str:
    if not check.tolerance:
        return ""
    if check.unit == "h (clock)":
        return f"alike within {trimmed(number(check.tolerance * 60, 0))} min"
    decimals = 2 if check.tolerance < 0.3 else 1
    unit = check.unit + ("s" if check.unit == "day" and check.tolerance != 1 else "")
    return f"alike within {with_unit(trimmed(number(check.tolerance, decimals)), _unit_drawn(unit))}"


def _unit_drawn(unit: str) -> str:
    """A unit in signs that the charts' typeface has."""
    return unit.replace("\u00b5", "\u03bc").replace("mol m⁻² s⁻¹", "mol/m²/s")


class _Wide:
    """The form for desks and paper: label, cells and verdict beside each other."""

    def __init__(self, result: Evenness, looks: dict[str, ArmLook], width_px: int, *, has_wide_cells: bool) -> None:
        self.result, self.looks, self.width = result, looks, width_px
        self.size = text_px(width_px) - 1.0
        self.units = [unit for unit, _ in result.units]
        self.arm_of = dict(result.units)
        gaps = _GAP * 3 * (len({arm for _, arm in result.units}) - 1)
        # With many tanks the verdict stands below the title, and leaves its room to the cells.
        self.is_crowded = has_wide_cells or len(self.units) > _ROOMY
        beside = 0.0 if self.is_crowded else _WORDS
        count = max(len(self.units), 1)
        self.cell = min((width_px - _LABEL - beside - gaps) / count, max(_CELL, _ALL_CELLS / count))
        self.left: dict[str, float] = {}
        place, before = _LABEL, self.result.units[0][1] if self.units else ""
        for unit, arm in result.units:
            place += _GAP * 3 if arm != before else 0
            before = arm
            self.left[unit] = place
            place += self.cell
        self.end = place

    def drawn(self, rows: Sequence[FactorCheck]) -> tuple[str, float]:
        """The SVG and its height [px]."""
        root = ElementTree.Element("svg", {"font-family": FONT, "font-size": f"{self.size:g}"})
        top = self._head(root)
        for check in rows:
            top = self._line(root, _row(check, self.units, self.cell - 4, self.size), top)
        top = _foot(root, self.width, top, self.looks, self.size)
        return _finished(root, self.width, top), top

    def _head(self, root: ElementTree.Element) -> float:
        for look in self.looks.values():
            own = [unit for unit in self.units if self.arm_of[unit] == look.key]
            if own:
                first, last = self.left[own[0]], self.left[own[-1]] + self.cell - _GAP
                _arm_line(root, look, first, last, 22)
                _text(root, first, 15, fitted(look.legend, last - first + 8, self.size), weight="bold")
        for unit in self.units:
            middle = self.left[unit] + (self.cell - _GAP) / 2
            _text(root, middle, 39, fitted(unit, self.cell - 2, self.size), anchor="middle", fill=QUIET_INK)
        return 46.0

    def _line(self, root: ElementTree.Element, row: _Row, top: float) -> float:
        notes = in_lines(row.note, _LABEL - 10, self.size - 1)[:3] if row.note else []
        title = in_lines(_title(row.check), _LABEL - 10, self.size)[:2]
        height = max(_ROW, 8 + _LINE * (len(title) + len(notes) + self.is_crowded))
        _rule(root, self.width, top)
        for index, line in enumerate(title):
            _text(root, 0, top + 16 + index * _LINE, line, weight="bold" if row.check.verdict == "confounded" else "normal")
        for index, line in enumerate(notes, start=int(self.is_crowded)):
            _text(root, 0, top + 16 + (len(title) + index) * _LINE, line, fill=QUIET_INK, size=self.size - 1)
        for unit in self.units:
            _cell(root, self.left[unit], top + 5, self.cell - _GAP, unit, row, self.size)
        words = verdict_words(row.check)
        left, level = (7.0, top + 12 + len(title) * _LINE) if self.is_crowded else (self.end + 14, top + 17)
        _shape(root, left, level, words)
        _text(root, left + 12, level + 4, words, weight="bold" if row.check.verdict == "confounded" else "normal")
        return top + height


class _Narrow:
    """The form for phones: title and verdict above the cells, which stand in lines of six at most, a line or more for each arm."""

    def __init__(self, result: Evenness, looks: dict[str, ArmLook], width_px: int) -> None:
        self.result, self.looks, self.width = result, looks, width_px
        self.size = float(text_px(width_px))
        self.lines: list[tuple[ArmLook, list[str]]] = []
        for look in looks.values():
            own = [unit for unit, arm in result.units if arm == look.key]
            self.lines += [(look, own[place: place + _NARROW_COLUMNS]) for place in range(0, len(own), _NARROW_COLUMNS)]
        self.indent = 24.0
        most = max((len(own) for _, own in self.lines), default=1)
        self.cell = min((width_px - self.indent) / max(most, 4), 74.0)

    def drawn(self, rows: Sequence[FactorCheck]) -> tuple[str, float]:
        """The SVG and its height [px]."""
        root = ElementTree.Element("svg", {"font-family": FONT, "font-size": f"{self.size:g}"})
        top = 4.0
        for look, own in self.lines:
            _arm_line(root, look, 0, 18, top + 14)
            words = f"{look.words}: {', '.join(own)}"
            for line in in_lines(words, self.width - self.indent, self.size):
                top += _LINE
                _text(root, self.indent, top, line)
            top += 4
        top += 6
        for check in rows:
            top = self._block(root, _row(check, [unit for _, own in self.lines for unit in own], self.cell - 4, self.size), top)
        top = _foot(root, self.width, top, self.looks, self.size)
        return _finished(root, self.width, top), top

    def _block(self, root: ElementTree.Element, row: _Row, top: float) -> float:
        _rule(root, self.width, top)
        words = verdict_words(row.check)
        is_bold = row.check.verdict == "confounded"
        for line in in_lines(_title(row.check), self.width - 8, self.size):
            top += _LINE
            _text(root, 0, top + 2, line, weight="bold" if is_bold else "normal")
        top += _LINE
        _shape(root, 7, top - 2, words)
        _text(root, self.indent, top + 2, words, weight="bold" if is_bold else "normal")
        for line in in_lines(row.note, self.width - self.indent, self.size)[:4] if row.note else []:
            top += _LINE
            _text(root, self.indent, top + 2, line, fill=QUIET_INK)
        top += 7
        for look, own in self.lines:
            _text(root, 0, top + 16, look.letter, weight="bold")
            for column, unit in enumerate(own):
                _cell(root, self.indent + column * self.cell, top, self.cell - _GAP, unit, row, self.size)
            top += _CELL_HEIGHT + 5
        return top + 4


def _foot(root: ElementTree.Element, width: float, top: float, looks: dict[str, ArmLook], size: float) -> float:
    """How the cells are to be read, below the last row; gives the height of the whole."""
    _rule(root, width, top)
    reference = next(iter(looks.values())).letter
    words = (f"Dot: left or right of the tick by how far the tank lies below or above the middle of arm {reference}; at the edge it is two "
             "tolerances or more. Shaded: beyond the tolerance, or another word; dark: more than twice as far. Dashed: not recorded.")
    for line in in_lines(words, width - 8, size):
        top += _LINE
        _text(root, 0, top + 2, line, fill=QUIET_INK, size=size)
    return top + 8


def _title(check: FactorCheck) -> str:
    """The row's name, its part and its unit."""
    unit = "" if check.unit in ("h (clock)", "day", "") or not any(not isinstance(value, str) for _, value in check.values) else check.unit
    day = " (day)" if check.unit == "day" else ""
    part = f", {shortened(check.part, 24)}" if check.part else ""
    return f"{check.title}{part}{day}" + (f" [{_unit_drawn(unit)}]" if unit else "")


def _cell(root: ElementTree.Element, left: float, top: float, width: float, unit: str, row: _Row, size: float) -> None:
    """Value, shade beyond the tolerance, and the dot that stands left or right of the middle."""
    text, deviation = row.texts.get(unit), dict(row.check.deviations).get(unit, 0.0)
    box = {"x": f"{left:.1f}", "y": f"{top:.1f}", "width": f"{width:.1f}", "height": f"{_CELL_HEIGHT:g}"}
    if text is None:
        ElementTree.SubElement(root, "rect", {**box, "fill": "none", "stroke": _RULE, "stroke-dasharray": "2 2"})
        return
    is_word = row.check.tolerance is None
    beyond = abs(deviation) >= 1 if is_word else abs(deviation) > 1
    shade = "#ffffff" if not beyond else _DARK if abs(deviation) > _REACH else _PALE
    ElementTree.SubElement(root, "rect", {**box, "fill": shade, "stroke": "#8d9096" if beyond else _RULE})
    _text(root, left + width / 2, top + (17 if is_word else 14), fitted(text, width - 1, size), anchor="middle",
          weight="bold" if beyond else "normal")
    if is_word:
        return
    middle, line = left + width / 2, top + _CELL_HEIGHT - 5
    reach = width / 2 - 4
    axis = f"M {middle - reach:.1f} {line:.1f} H {middle + reach:.1f} M {middle:.1f} {line - 2.5:.1f} V {line + 2.5:.1f}"
    ElementTree.SubElement(root, "path", {"d": axis, "stroke": "#8d9096", "stroke-width": "0.8", "fill": "none"})
    place = middle + max(-1.0, min(1.0, deviation / _REACH)) * reach
    ElementTree.SubElement(root, "circle", {"cx": f"{place:.1f}", "cy": f"{line:.1f}", "r": "2.6", "fill": INK})


def _shape(root: ElementTree.Element, x: float, y: float, words: str) -> None:
    path, is_filled = _SHAPES.get(words, _SHAPES["even"])
    ElementTree.SubElement(root, "path", {"d": path, "transform": f"translate({x:.1f} {y:.1f})", "fill": INK if is_filled else "none",
                                          "stroke": INK, "stroke-width": "1.6"})


def _arm_line(root: ElementTree.Element, look: ArmLook, first: float, last: float, y: float) -> None:
    ElementTree.SubElement(root, "line", {"x1": f"{first:.1f}", "x2": f"{last:.1f}", "y1": f"{y:g}", "y2": f"{y:g}", "stroke": look.colour,
                                          "stroke-width": "3", "stroke-dasharray": " ".join(str(part) for part in look.dash)})


def _rule(root: ElementTree.Element, width: float, y: float) -> None:
    ElementTree.SubElement(root, "line", {"x1": "0", "x2": f"{width:g}", "y1": f"{y:g}", "y2": f"{y:g}", "stroke": _RULE})


def _text(root: ElementTree.Element, x: float, y: float, text: str, *, anchor: str = "start", weight: str = "normal", fill: str = INK,
          size: float | None = None) -> None:
    own = {"x": f"{x:.1f}", "y": f"{y:.1f}", "text-anchor": anchor, "font-weight": weight, "fill": fill}
    element = ElementTree.SubElement(root, "text", own | ({} if size is None else {"font-size": f"{size:g}"}))
    element.text = text


def _finished(root: ElementTree.Element, width: float, height: float) -> str:
    for name, value in (("xmlns", "http://www.w3.org/2000/svg"), ("width", f"{width:g}"), ("height", f"{height:g}"),
                        ("viewBox", f"0 0 {width:g} {height:g}")):
        root.set(name, value)
    return ElementTree.tostring(root, encoding="unicode")
