"""The curves as of a day: the same axes, the same frame, the lines as far as that day had brought them."""

from typing import Any

from fairtank.publish.charts import Spec, spread_out
from fairtank.publish.numbers import shortened

_ARM, _PART, _KEY = "arm", "part", "place"


def until_day(spec: Spec, day: int) -> Spec:
    """The description of curves without what came after a day; the axes stay those of the whole.

    The keys beside the ends of the lines move with them. What the plan says beforehand, such as the start of the change, stands from the
    first day on.

    Parameters
    ----------
    spec : dict
        As `curves.curves` makes it.
    day : int
        The last day that is shown.

    Returns
    -------
    dict

    References
    ----------
    common_practice (keys from sources.py).
    """
    ends = _ends(spec, day)
    layers = []
    for layer in spec["layer"]:
        rows = _rows(layer)
        if rows and all(_KEY in row and "column" in row for row in rows):
            moved = [ends[_whose(row)] for row in rows if _whose(row) in ends]
            if moved:
                layers.append({**layer, "data": {"values": moved}})
        elif rows and all("day" in row and ("value" in row and _ARM in row) for row in rows):
            layers.append({**layer, "data": {"values": [row for row in rows if row["day"] <= day]}})
        elif _is_event(layer):
            kept = [{**row, "until": min(row["until"], day + 0.5)} if "until" in row else row for row in rows if row["day"] <= day]
            layers += [{**layer, "data": {"values": kept}}] if kept else []
        else:
            layers.append(layer)
    return {**spec, "layer": layers}


def _is_event(layer: Spec) -> bool:
    """Whether a layer is the bars of events at the foot, or their names: they stand at a height that is counted from the top."""
    height, rows = layer["encoding"].get("y", {}).get("value"), _rows(layer)
    kind = layer["mark"]["type"]
    is_bar = kind == "rect" and layer["encoding"].get("y2", {}).get("value", 0) - (height or 0) < 10
    return bool(rows) and "day" in rows[0] and (is_bar or (kind == "text" and layer["mark"].get("baseline") == "middle" and
                                                           height is not None))


def _whose(row: dict[str, Any]) -> tuple[Any, ...]:
    """By what a key is told from another one: long keys are cut, and may then read alike."""
    return row["t"], row["day"], row["value"]


def _ends(spec: Spec, day: int) -> dict[tuple[Any, ...], dict[str, Any]]:
    """Where each line ends on that day, and where its key stands, so that the keys do not cover each other."""
    keys = {_whose(row): row for layer in spec["layer"] for row in _rows(layer) if _KEY in row and "column" in row}
    lines: dict[str, list[dict[str, Any]]] = {}
    for layer in spec["layer"]:
        if layer["mark"]["type"] == "line":
            for row in _rows(layer):
                lines.setdefault(row[_PART].rpartition(" ")[0], []).append(row)
    hollow = [row for layer in spec["layer"] for row in _rows(layer) if _ARM in row and _PART not in row]
    found: dict[tuple[Any, ...], dict[str, Any]] = {}
    for whose, row in keys.items():
        own = next((rows for unit, rows in lines.items() if shortened(unit, 10) == row["t"] and _ends_at(rows, hollow, row)), [])
        until = [one for one in own if one["day"] <= day]
        if until:
            last = max(until, key=lambda one: int(one["day"]))
            found[whose] = {**row, "day": last["day"], "value": last["value"], "column": last["day"] + row["column"] - row["day"]}
    scale = next((layer["encoding"]["y"]["scale"]["domain"] for layer in spec["layer"] if layer["mark"]["type"] == "line"), (0.0, 1.0))
    room = (scale[1] - scale[0]) * (spec["config"]["text"]["fontSize"] + 1) / spec["height"]
    places = spread_out([one["value"] for one in found.values()], room, *scale)
    return {key: {**one, _KEY: place} for (key, one), place in zip(found.items(), places, strict=True)}


def _rows(layer: Spec) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = layer.get("data", {}).get("values") or []
    return rows


def _ends_at(rows: list[dict[str, Any]], hollow: list[dict[str, Any]], key: dict[str, Any]) -> bool:
    """Whether a line, or a mark off it on a later day, ends where a key points."""
    end = max(rows, key=lambda one: int(one["day"]))
    return (end["day"], end["value"]) == (key["day"], key["value"]) or any(
        (one["day"], one["value"], one[_ARM]) == (key["day"], key["value"], end[_ARM]) and one["day"] > end["day"] for one in hollow)
