"""Charts made light: what a drawing says many times it says once, so that a page with many charts stays small."""

import re
from collections import Counter
from xml.etree import ElementTree

_SVG = "{http://www.w3.org/2000/svg}"
_MOVED = re.compile(r"translate\((-?[\d.]+(?:e-?\d+)?),\s*(-?[\d.]+(?:e-?\d+)?)\)")
_LONG = re.compile(r"-?\d+\.\d{2,}(?:e-?\d+)?|-?\d+(?:\.\d+)?e-?\d+")
_FEWEST = 4


def compacted(svg: str) -> str:
    """The same drawing in fewer signs: equal marks are drawn from one, numbers have one decimal, what is never seen is left out.

    Its texts lose their typeface, which the page's style gives them.

    Parameters
    ----------
    svg : str
        As `charts.tidy_svg` makes it, with the ids of one chart.

    Returns
    -------
    str

    References
    ----------
    common_practice (keys from sources.py).
    """
    ElementTree.register_namespace("", _SVG.strip("{}"))
    root = ElementTree.fromstring(svg)
    key = next((one.attrib["id"] for one in root.iter() if "id" in one.attrib), root.attrib.get("data-key", "marks"))
    _drop_unseen(root)
    for element in root.iter():
        for name in ("font-family", "pointer-events", "version"):
            element.attrib.pop(name, None)
        if element.attrib.get("opacity") == "1":
            del element.attrib["opacity"]
        if element.attrib.get("stroke-dasharray") in ("1,0", "1 0"):
            del element.attrib["stroke-dasharray"]
        if element.attrib.get("font-weight") == "normal":
            del element.attrib["font-weight"]
        for name in ("d", "transform", "x", "y", "x2", "y2", "width", "height"):
            if name in element.attrib and element is not root:
                element.set(name, _LONG.sub(_rounded, element.attrib[name]))
    _marks_once(root, key)
    return ElementTree.tostring(root, encoding="unicode")


def _rounded(found: "re.Match[str]") -> str:
    return f"{round(float(found[0]), 1):g}"


def _drop_unseen(root: ElementTree.Element) -> None:
    """Paths without ink and groups that hold nothing."""
    kept = {id(inner) for clip in root.iter(f"{_SVG}clipPath") for inner in clip.iter()}
    parents = [(parent, child) for parent in root.iter() for child in parent]
    for parent, child in parents:
        is_blank = child.tag == f"{_SVG}path" and "fill" not in child.attrib and "stroke" not in child.attrib
        if id(child) not in kept and (is_blank or child.attrib.get("display") == "none"):
            parent.remove(child)
    while True:
        empty = [(parent, child) for parent in root.iter() for child in parent if child.tag == f"{_SVG}g" and not len(child)]
        if not empty:
            return
        for parent, child in empty:
            parent.remove(child)


def _marks_once(root: ElementTree.Element, key: str) -> None:
    """Paths that differ in their place only become uses of one."""
    def look(element: ElementTree.Element) -> tuple[tuple[str, str], ...]:
        return tuple(sorted((name, value) for name, value in element.attrib.items() if name != "transform"))

    paths = [one for one in root.iter(f"{_SVG}path") if _MOVED.fullmatch(one.attrib.get("transform", ""))]
    often = [own for own, count in Counter(map(look, paths)).items() if count >= _FEWEST]
    if not often:
        return
    names = {own: f"{key}-m{number}" for number, own in enumerate(often)}
    held = ElementTree.Element(f"{_SVG}defs")
    root.insert(0, held)
    for own, name in names.items():
        ElementTree.SubElement(held, f"{_SVG}path", {**dict(own), "id": name})
    for one in paths:
        own, place = look(one), _MOVED.fullmatch(one.attrib["transform"])
        if own in names and place is not None:
            one.tag, one.attrib = f"{_SVG}use", {"href": f"#{names[own]}", "x": place[1], "y": place[2]}
