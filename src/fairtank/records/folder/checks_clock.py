"""Whether the clock of the camera went right: times in photos.csv beside those that the photos carry, and beside their running numbers."""

import re
from collections.abc import Mapping
from datetime import timedelta
from itertools import pairwise
from typing import Any

from fairtank.records.folder.pictures import Picture
from fairtank.records.folder.problems import Problems
from fairtank.records.folder.rows import Rows

# A summer-time change and a keeper's rounding stay below this. Common practice, no source.
FARTHEST = timedelta(hours=1, minutes=30)
_MOST_TOLD = 3


def check_clock(rows: Rows, pictures: Mapping[str, Picture], doubts: Problems) -> None:
    """Times that contradict the photo's own, and photos whose running numbers go up while their times go down, are told."""
    told = 0
    for row in rows.rows:
        picture, taken_at = pictures.get(row.values.get("photo", "")), row.values.get("taken_at")
        if picture is None or picture.taken_at is None or taken_at is None or abs(taken_at - picture.taken_at) <= FARTHEST:
            continue
        if (told := told + 1) <= _MOST_TOLD:
            read = f"{taken_at:%Y-%m-%d %H:%M} stands here, but the photo itself says {picture.taken_at:%Y-%m-%d %H:%M}"
            doubts.add(rows.table.file, row.number, "taken_at", f"{read}; look which is right, and set the camera's clock", "")
    if told > _MOST_TOLD:
        doubts.add(rows.table.file, None, "taken_at", f"in {told - _MOST_TOLD} further rows too the photo itself gives another time", "")
    _check_numbers(rows, doubts)


def _check_numbers(rows: Rows, doubts: Problems) -> None:
    """Cameras number photos as they take them."""
    series: dict[str, list[tuple[int, Any, str]]] = {}
    for row in rows.rows:
        path, taken_at = row.values.get("photo"), row.values.get("taken_at")
        found = re.fullmatch(r"(.*?)(\d{3,6})\.\w+", path or "")
        if found and taken_at is not None:
            series.setdefault(found[1], []).append((int(found[2]), taken_at, path))  # type: ignore[arg-type]
    for own in series.values():
        ordered = sorted(own)
        for (_, before, first), (_, after, second) in pairwise(ordered):
            if before - after > FARTHEST:
                read = f"{second} comes after {first} by its number, but before it by its time; was the camera's clock changed"
                doubts.add(rows.table.file, None, "taken_at", read, "")
                break
