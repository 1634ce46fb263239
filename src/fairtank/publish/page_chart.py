"""One chart of a page: the descriptions that the report draws too, with the same numbers as a table and words for those who hear it."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from fairtank.publish.blocks import Table
from fairtank.publish.charts import Spec
from fairtank.publish.page_inks import INKS, MARK, in_names

_SHORT_ROWS = 3  # a list this short is written where it stands
_FIGURES = 6  # of a value that is only drawn; a pixel needs fewer


@dataclass(frozen=True)
class PageChart:
    """One chart of a page.

    key: letters, digits and hyphens, unique on the page. title: what is seen, with its numbers. description: the text alternative. caption:
    how to read it; may be empty. wide, narrow: Vega-Lite for desks and for phones, in the inks of light paper. table: the same numbers as
    people read them.
    """

    key: str
    title: str
    description: str
    caption: str
    wide: Spec
    narrow: Spec
    table: Table

    @property
    def drawn(self) -> dict[str, Any]:
        """What the browser draws from: both descriptions with inks by name, the rows that they share once, the inks of both papers."""
        rows: dict[str, str] = {}
        told = {size: _with_shared_rows(in_names(spec), rows) for size, spec in (("wide", self.wide), ("narrow", self.narrow))}
        return {**told, "rows": {name: json.loads(text) for text, name in rows.items()},
                "inks": {theme: {name: both[place] for name, both in INKS.items()} for place, theme in enumerate(("light", "dark"))}}

    @property
    def cells(self) -> tuple[tuple[tuple[str, bool], ...], ...]:
        """The rows of the table, each cell with whether it is a number that stands to the right."""
        return tuple(tuple((cell, place in self.table.numeric) for place, cell in enumerate(row)) for row in self.table.rows)

    @property
    def head(self) -> tuple[tuple[str, bool], ...]:
        """The head of the table, each cell with whether numbers stand below it."""
        return tuple((cell, place in self.table.numeric) for place, cell in enumerate(self.table.head))


def _with_shared_rows(spec: Spec, rows: dict[str, str]) -> Spec:
    """The description with its longer lists of rows held once under a name of their own, in as many figures as drawing needs."""
    layers = []
    for layer in spec["layer"]:
        values = layer.get("data", {}).get("values")
        if values is not None:
            values = [{name: float(f"{value:.{_FIGURES}g}") if isinstance(value, float) else value for name, value in row.items()}
                      for row in values]
            layer = {**layer, "data": {"values": values}}
            if len(values) > _SHORT_ROWS:
                layer["data"] = {"name": rows.setdefault(json.dumps(values), f"rows{len(rows)}")}
        layers.append(layer)
    return {**spec, "layer": layers, "background": MARK + "paper", "config": {**spec["config"], "aria": False}}


def page_chart_json(chart: PageChart) -> dict[str, Any]:
    """The chart as what JSON can hold, to be kept beside a result.

    Parameters
    ----------
    chart : PageChart
        Any.

    Returns
    -------
    dict
        Texts, numbers, lists and dicts only.

    References
    ----------
    common_practice (keys from sources.py).
    """
    told: dict[str, Any] = json.loads(json.dumps(vars(chart) | {"table": vars(chart.table)}))
    return told


def page_chart_from_json(told: Mapping[str, Any]) -> PageChart:
    """The chart that was kept.

    Parameters
    ----------
    told : mapping
        What `page_chart_json` gave.

    Returns
    -------
    PageChart
        Equal to the one that was kept.

    References
    ----------
    common_practice (keys from sources.py).
    """
    table = told["table"]
    rows = tuple(tuple(row) for row in table["rows"])
    kept = Table(table["caption"], tuple(table["head"]), rows, tuple(table["wide"]), tuple(table["numeric"]))
    return PageChart(**{**told, "table": kept})


def with_touch(spec: Spec, points: Sequence[tuple[float, float, str]], *, size: int = 160) -> Spec:
    """The description with one more layer, unseen, that tells a value where it is pointed at; all other layers stay as they are.

    Parameters
    ----------
    spec : dict
        A layered description whose axes are quantitative.
    points : sequence of (float, float, str)
        Place along and upwards in the units of the axes, and the words: a value as people read it, with its unit.
    size : int
        How far from the place a pointer still counts, as Vega-Lite's point size. [px²]

    Returns
    -------
    dict
        Vega-Lite; the same dict where there are no points.
    """
    axes = next((layer["encoding"] for layer in spec["layer"] if all("field" in layer["encoding"].get(axis, {}) for axis in "xy")), None)
    if not points or axes is None:
        return spec
    values = [{"x": x, "y": y, "told": words.replace("\u00a0", " ")} for x, y, words in points]
    touch = {"data": {"values": values}, "mark": {"type": "point", "filled": True, "opacity": 0, "size": size, "color": "#000000"},
             "encoding": {"x": {**axes["x"], "field": "x"}, "y": {**axes["y"], "field": "y"},
                          "tooltip": {"field": "told", "type": "nominal"}}}
    return {**spec, "layer": [*spec["layer"], touch]}
