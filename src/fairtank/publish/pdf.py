"""The report as PDF/UA-1: the same blocks as the page, set by Typst, tagged for screen readers, the same bytes every time."""

import json
import re
import tempfile
import unicodedata
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from fairtank.publish.blocks import (
    Block,
    Bullets,
    Checklist,
    Document,
    Facts,
    Figure,
    Folded,
    Heading,
    OnePage,
    Pairs,
    Table,
    Wall,
    Words,
)

TEMPLATES = Path(__file__).parent / "templates"
FONTS = Path(__file__).parent / "fonts"
# Signs above this are not in any of the typefaces at hand, but for Hebrew and Arabic presentation forms.
_FIRST_UNSET = 0x2E80
_SET_AFTER_ALL = ((0xFB1D, 0xFDFF), (0xFE70, 0xFEFC), (0xFFFD, 0xFFFD))
# How much of the page's width curves take: so that two of them, with their sentences, stand on a page.
CURVES_SHARE = 0.82
# Signs that every report has; a test sets them all, so that they need no probe.
KNOWN_SIGNS = frozenset("\u00a0°±²³µμ·×“”‘’…–—−≤≥äöüÄÖÜßéèàçñ³⁻¹⁺₂₃₄ΔΣ√")
_PROBE = """#set document(title: "probe", date: none)
#set text(font: ("Atkinson Hyperlegible Next", "Libertinus Serif", "DejaVu Sans Mono"), lang: "en")
#text(sys.inputs.signs) #strong(sys.inputs.signs)
"""
NAMED_SIGNS_NOTE = ("Signs that the typefaces of this paper version do not have are given by their name in square brackets; the HTML "
                    "version shows them as they were written.")


def pdf_bytes(report: Document) -> bytes:
    """The whole document as PDF/UA-1.

    Parameters
    ----------
    report : Document
        The blocks.

    Returns
    -------
    bytes
        A tagged PDF; the same blocks give the same bytes.

    References
    ----------
    iso14289 (keys from sources.py).
    """
    with tempfile.TemporaryDirectory() as name:
        folder, missing = Path(name), missing_signs(_report_texts(report))
        data = _with_named_signs(_report_data(report, _Files(folder, missing)), missing)
        (folder / "report.typ").write_bytes((TEMPLATES / "report.typ").read_bytes())
        return _compiled(folder / "report.typ", {"report": json.dumps(data, ensure_ascii=False)})


def one_page_pdf(page: OnePage) -> bytes:
    """The one page as PDF/UA-1.

    Parameters
    ----------
    page : OnePage
        What stands on it.

    Returns
    -------
    bytes
        A tagged PDF; the same page gives the same bytes.

    References
    ----------
    iso14289 (keys from sources.py).
    """
    picture, file = page.picture, "picture.svg"
    data: dict[str, Any] = {
        "title": page.title, "question": page.question, "sentences": list(page.sentences), "in_full": list(page.in_full),
        "byline": page.byline, "paper": page.paper,
        "picture": None if picture is None else {"caption": picture.caption, "description": picture.description, "file": file},
        "method": [list(line) for line in page.method], "limits": list(page.limits), "disclosure": page.disclosure, "seal": page.seal,
        "table": None if page.table is None else {"caption": page.table.caption, "head": list(page.table.head),
                                                  "rows": [list(row) for row in page.table.rows]}, "foot": list(page.foot)}
    return template_pdf("one_page.typ", data, {} if picture is None else {file: picture.wide})


def template_pdf(template: str, data: dict[str, Any], pictures: dict[str, str]) -> bytes:
    """A template of this room, filled with data, as PDF/UA-1.

    Parameters
    ----------
    template : str
        Name of the file in `templates`; it reads its data from the input `report`.
    data : dict
        What the template says; `foot` is a list of remarks to which a note on signs may be added.
    pictures : dict of str to str
        SVG by the file name under which the template finds it.

    Returns
    -------
    bytes
        A tagged PDF; the same data give the same bytes.

    References
    ----------
    iso14289 (keys from sources.py).
    """
    with tempfile.TemporaryDirectory() as name:
        folder, missing = Path(name), missing_signs((*_texts(data), *pictures.values()))
        unset = {ord(sign): "?" for sign in missing}
        for file, svg in pictures.items():
            (folder / file).write_bytes(svg.translate(unset).encode())
        (folder / template).write_bytes((TEMPLATES / template).read_bytes())
        return _compiled(folder / template, {"report": json.dumps(_with_named_signs(data, missing), ensure_ascii=False)})


def _compiled(source: Path, inputs: dict[str, str]) -> bytes:
    import typst

    pdf: bytes = typst.compile(str(source), root=str(source.parent), font_paths=[str(FONTS)], ignore_system_fonts=True, sys_inputs=inputs,
                               format="pdf",
                               pdf_standards=["ua-1"])
    return pdf


# blocks as data ------------------------------------------------------------------------------------------------------


def _report_data(report: Document, files: "_Files") -> dict[str, Any]:
    return {"title": report.title, "short_title": report.title if len(report.title) <= 80 else report.title[:79] + "…",
            "question": report.question,
            "sentences": list(report.sentences), "in_full": list(report.in_full), "byline": report.byline,
            "foot": list(report.foot), "paper": report.paper,
            "sections": [{"key": section.key, "title": section.title, "is_box": section.is_box,
                          "blocks": [_block(part, files) for part in section.blocks]}
                         for section in report.sections]}


class _Files:
    """Pictures laid into the folder in which the document is set, under names of our own.

    Without a folder nothing is laid down: the words alone are asked for. In a chart there is no room for a sign's name: one that no
    typeface has becomes a question mark there; the tables have its name.
    """

    def __init__(self, folder: Path | None, missing: set[str]) -> None:
        self.folder, self.count = folder, 0
        self.unset = {ord(sign): "?" for sign in missing}

    def add(self, content: bytes, ending: str) -> str:
        self.count += 1
        name = f"picture{self.count}.{ending}"
        if self.folder is not None:
            (self.folder / name).write_bytes(content)
        return name

    def add_svg(self, svg: str) -> str:
        if self.folder is None:
            return ""
        return self.add((svg.translate(self.unset) if self.unset else svg).encode(), "svg")


def _block(part: Block, files: _Files) -> dict[str, Any]:
    if isinstance(part, Words):
        return {"kind": "Words", "style": part.kind, "text": part.text}
    if isinstance(part, Heading):
        return {"kind": "Heading", "text": part.text}
    if isinstance(part, Bullets):
        return {"kind": "Bullets", "items": list(part.items)}
    if isinstance(part, Facts):
        return {"kind": "Facts", "pairs": [list(pair) for pair in part.pairs], "caption": part.caption, "head": list(part.head)}
    if isinstance(part, Folded):
        return _block(part.short, files)
    if isinstance(part, Checklist):
        return {"kind": "Checklist", "caption": part.caption, "groups": [
            {"heading": heading, "answers": [
                {"number": one.number, "asks": one.asks, "state": one.state, "text": one.text,
                 "sections": [{"key": key, "title": title} for key, title in one.sections]} for one in answers]}
            for heading, answers in part.groups]}
    if isinstance(part, Table):
        return {"kind": "Table", "caption": part.caption, "head": list(part.head), "rows": [list(row) for row in part.rows],
                "wide": list(part.text_columns),
                "numeric": list(part.numeric)}
    if isinstance(part, Figure):
        return {"kind": "Figure", "caption": part.caption, "description": part.description, "file": files.add_svg(part.wide),
                "share": CURVES_SHARE if part.key.startswith(("curves", "secondary")) else 1.0}
    if isinstance(part, Wall):
        return {"kind": "Wall", "caption": part.caption,
                "parts": [{"file": files.add_svg(svg), "description": words} for svg, words in part.paper]}
    assert isinstance(part, Pairs)
    return {"kind": "Pairs", "caption": part.caption, "rows": [
        {"heading": heading, "pictures": [{"file": files.add(picture.jpeg, "jpg"), "description": picture.description,
                                           "caption": picture.caption}
                                          for picture in pictures]} for heading, pictures in part.rows]}


# signs without a glyph -----------------------------------------------------------------------------------------------


def _with_named_signs(data: dict[str, Any], missing: set[str]) -> dict[str, Any]:
    """The data with every sign that no typeface has replaced by its name, and a note at the foot where that was done.

    PDF/UA refuses a sign without a glyph; leaving it out would change what somebody wrote.
    """
    if not missing:
        return data
    names = {ord(sign): f"[{unicodedata.name(sign, f'U+{ord(sign):04X}').lower()}]" for sign in missing}
    named: dict[str, Any] = _mapped(data, lambda text: text.translate(names))
    named["foot"].append(NAMED_SIGNS_NOTE)
    return named


def missing_signs(texts: Iterable[str]) -> set[str]:
    """The signs of these texts that none of the typefaces at hand can show."""
    signs = {sign for sign in set().union(*(text for text in texts if not text.isascii())) if ord(sign) > 0x7E} - KNOWN_SIGNS
    unset = {sign for sign in signs if ord(sign) >= _FIRST_UNSET and not any(first <= ord(sign) <= last for first, last in _SET_AFTER_ALL)}
    with tempfile.TemporaryDirectory() as name:
        probe = Path(name) / "probe.typ"
        probe.write_text(_PROBE, encoding="utf-8")
        return unset | _unset_among(sorted(signs - unset), probe)


def _unset_among(signs: list[str], probe: Path) -> set[str]:
    """By halves: the signs with which the probe cannot be set."""
    import typst

    if not signs:
        return set()
    try:
        _compiled(probe, {"signs": " ".join(signs)})
    except typst.TypstError:
        if len(signs) == 1:
            return {signs[0]}
        middle = len(signs) // 2
        return _unset_among(signs[:middle], probe) | _unset_among(signs[middle:], probe)
    return set()


def _report_texts(report: Document) -> Iterable[str]:
    """Every text of a report that paper shows: the words of the data, and those inside its charts."""
    for section in report.sections:
        for part in section.blocks:
            if isinstance(part, Figure):
                yield part.wide
            elif isinstance(part, Wall):
                yield from (_without_pictures(svg) for svg, _ in part.paper)
    yield from _texts(_report_data(report, _Files(None, set())))


def _without_pictures(svg: str) -> str:
    """An SVG without the photos inside it, which hold no sign and most of its length."""
    return re.sub(r'"data:image/[^"]*"', '""', svg)


def _texts(value: Any) -> Iterable[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for item in value.values():
            yield from _texts(item)
    elif isinstance(value, (list, tuple)):
        for item in value:
            yield from _texts(item)


def _mapped(value: Any, change: Callable[[str], str]) -> Any:
    if isinstance(value, str):
        return change(value)
    if isinstance(value, dict):
        return {key: _mapped(item, change) for key, item in value.items()}
    if isinstance(value, list):
        return [_mapped(item, change) for item in value]
    return value
