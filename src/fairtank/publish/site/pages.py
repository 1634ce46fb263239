"""The files of the public page, one after the other: the page itself, its script, its type, its pictures."""

import base64
import hashlib
import json
from collections.abc import Iterator
from importlib import resources
from typing import Any

from fairtank import __version__
from fairtank.publish.arms import ArmLook, arm_looks, arm_words
from fairtank.publish.charts import FONTS_FOLDER
from fairtank.publish.document import byline, headline, primary_of, whole_sentences
from fairtank.publish.numbers import shown
from fairtank.publish.page import FACES, TEMPLATES
from fairtank.publish.phrases import plain_text
from fairtank.publish.site.content import LargePicture, SiteContent
from fairtank.publish.site.link_picture import link_picture, link_words
from fairtank.publish.site.sections import told_of
from fairtank.publish.site.style import style_text
from fairtank.publish.site.touch import TouchChart
from fairtank.publish.site.wall import CELL_PX, WallBlock, wall_blocks
from fairtank.publish.span import pictures_inside
from fairtank.publish.strip_wall import left_out
from fairtank.trial import Plan

PAGE, LINK_PICTURE = "index.html", "preview.png"
# What the page lays beside itself under fixed names; a file of the keeper's must not be called so.
OWN_FILES = frozenset((PAGE, LINK_PICTURE, "page.js", "icon.svg"))
OWN_FOLDERS = frozenset(("type", "wall", "photos"))


def site_files(content: SiteContent) -> Iterator[tuple[str, bytes]]:
    """Each file of the page with its name, the page itself last: where it lies, all that it shows lies beside it.

    Parameters
    ----------
    content : SiteContent
        The trial and what lies beside the page.

    Yields
    ------
    (str, bytes)
        A name with slashes, and the content; the same bytes for the same trial.

    References
    ----------
    wcag22 (keys from sources.py).
    """
    report = content.report
    plan, looks = report.folder.plan, arm_looks(report.folder.plan)
    inside = pictures_inside(plan, report.pictures)
    wall = wall_blocks(plan, inside, looks, left_out(plan, report.folder.events, report.qualities))
    yield from ((strip.name, strip.webp) for block in wall for strip in block.strips)
    yield from ((name, one.webp) for name, one in named_pictures(content.large))
    primary = primary_of(report)
    preview = link_picture(report, primary) if primary else b""
    if preview:
        yield LINK_PICTURE, preview
    for _weight, name in FACES:
        yield f"type/{name}", (FONTS_FOLDER / name).read_bytes()
    yield "type/OFL.txt", (FONTS_FOLDER / "OFL.txt").read_bytes()
    for name in ("page.js", "icon.svg"):
        yield name, (resources.files("fairtank.publish") / "templates" / "site" / name).read_bytes()
    yield PAGE, page_text(content, wall, looks, has_preview=bool(preview)).encode()


def named_pictures(large: tuple[LargePicture, ...]) -> list[tuple[str, LargePicture]]:
    """Each picture with the name of its file; a unit's key may hold signs that no file name should."""
    units = {unit: number for number, unit in enumerate(dict.fromkeys(one.unit for one in large))}
    return [(f"photos/{units[one.unit]}-day-{one.day:03d}.webp", one) for one in large]


def page_text(content: SiteContent, wall: tuple[WallBlock, ...], looks: dict[str, ArmLook], *, has_preview: bool) -> str:
    """The page. Everything people wrote is escaped by the template; only charts made here are put in as they are."""
    import jinja2

    environment = jinja2.Environment(loader=jinja2.FileSystemLoader((TEMPLATES / "site", TEMPLATES)), autoescape=True,
                                     undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    environment.filters["size"] = size_words
    environment.filters["data"] = _data
    report, style = content.report, style_text(looks)
    plan, primary = report.folder.plan, primary_of(report)
    pictures = _pictures(content, looks)
    left, right = _opening_pair(plan, pictures)
    return environment.get_template("page.html").render(
        title=shown(plan.title) or "A trial without a title", question=shown(plan.question) or shown(plan.change),
        headline=headline(primary), in_full=whole_sentences(primary), byline=byline(plan),
        told=told_of(report, has_kit=content.kit is not None), site=content,
        style=style, style_digest="sha256-" + base64.b64encode(hashlib.sha256(style.encode()).digest()).decode("ascii"),
        link_words=plain_text(link_words(*primary)) if primary else "Nothing was judged.", has_preview=has_preview, wall=wall,
        cell_px=CELL_PX, wall_days=sum(len(block.days) for block in wall),
        looks=looks, arm_of={unit.key: looks[unit.arm] for unit in plan.units}, places=list(looks), shown=shown,
        pictures=pictures, left=left, right=right, digest=shown(report.inputs_digest),
        software=shown(report.software) or f"fairtank {__version__}",
    ) + "\n"


def size_words(size_bytes: int) -> str:
    """A file's size as people read it.

    >>> size_words(900), size_words(48_200), size_words(2_340_000), size_words(1_500_000_000)
    ('900 bytes', '48 kB', '2.3 MB', '1.5 GB')
    """
    for limit, divisor, unit, places in ((1e3, 1, "bytes", 0), (1e6, 1e3, "kB", 0), (1e9, 1e6, "MB", 1)):
        if size_bytes < limit:
            return f"{size_bytes / divisor:.{places}f} {unit}"
    return f"{size_bytes / 1e9:.1f} GB"


def _data(chart: TouchChart) -> str:
    """Where a chart's values stand, as JSON that can stand inside a page."""
    return json.dumps(chart.points, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c").replace("\u00a0", " ")


def _pictures(content: SiteContent, looks: dict[str, ArmLook]) -> list[dict[str, Any]]:
    """The pictures to compare: what a page and its script need of each."""
    plan = content.report.folder.plan
    arms, is_swap = {unit.key: looks[unit.arm] for unit in plan.units}, plan.kind == "swap"
    return [{"src": name, "unit": shown(one.unit), "arm": arms[one.unit].letter, "day": one.day, "width": one.width_px, "height":
             one.height_px, "words": f"{shown(one.unit)}, {arm_words(arms[one.unit], is_swap=is_swap)} ({shown(arms[one.unit].label)}), "
                                      f"day {one.day}"}
            for name, one in named_pictures(content.large)]


def _opening_pair(plan: Plan, pictures: list[dict[str, Any]]) -> tuple[dict[str, Any] | None, dict[str, Any] | None]:
    """The last day's photos of the first reference unit and of the first changed one."""
    last: dict[str, dict[str, Any]] = {one["unit"]: one for one in pictures}
    found = []
    for is_reference in (True, False):
        keys = [shown(unit.key) for unit in plan.units if (plan.arm_of(unit.key).role == "reference") is is_reference]
        found.append(next((last[key] for key in keys if key in last), None))
    return (found[0], found[1]) if all(found) else (None, None)
