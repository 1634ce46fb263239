"""Whether frames, zones, audit points and label pictures lie where their photos are."""

from collections.abc import Mapping, Sequence

from fairtank.records.folder.checks import RowSets
from fairtank.records.folder.pictures import Picture
from fairtank.records.folder.plan_toml import Draft
from fairtank.records.folder.problems import Problems, shown
from fairtank.records.folder.rows import Row
from fairtank.records.folder.tables import CORNERS

Pictures = Mapping[str, Picture]
CORNERS_ACCEPTED = "top-left, top-right, bottom-right and bottom-left corner, in this order"
EDGE_PX = 1.0
EDGE_CM = 0.5


def check_corners(row_sets: RowSets, pictures: Pictures, problems: Problems) -> None:
    """The four corners form a convex shape in the right order, inside the reference photo."""
    rows = row_sets["frames"]
    for row in rows.rows:
        numbers = [row.values.get(name) for name in CORNERS]
        if None in numbers:
            continue
        corners = [(float(x), float(y)) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]  # type: ignore[arg-type]
        picture = pictures.get(row.values.get("reference_photo", ""))
        if picture:
            _check_inside(rows.table.file, row, corners, picture, problems)
        if not is_in_order(corners):
            problems.add(rows.table.file, row.number, "x1 to y4", "the corners do not go round the frame in order", CORNERS_ACCEPTED)
        elif not is_convex(corners):
            problems.add(rows.table.file, row.number, "x1 to y4", "the corners form a shape with a dent or no area", CORNERS_ACCEPTED)


def is_in_order(corners: Sequence[tuple[float, float]]) -> bool:
    """Whether left corners lie left of right ones and upper above lower ones (y runs downwards)."""
    (x1, y1), (x2, y2), (x3, y3), (x4, y4) = corners
    return x1 < x2 and x4 < x3 and y1 < y4 and y2 < y3


def is_convex(corners: Sequence[tuple[float, float]]) -> bool:
    """Whether walking from corner to corner always turns the same way, clockwise as seen (y runs downwards)."""
    return all(
        (bx - ax) * (cy - by) - (by - ay) * (cx - bx) > 1e-9
        for (ax, ay), (bx, by), (cx, cy) in (tuple(corners[(start + step) % 4] for step in range(3)) for start in range(4))
    )


def _check_inside(file: str, row: Row, corners: Sequence[tuple[float, float]], picture: Picture, problems: Problems) -> None:
    for number, corner in enumerate(corners, start=1):
        for letter, value, size in zip("xy", corner, (picture.width, picture.height), strict=True):
            if not -EDGE_PX <= value <= size + EDGE_PX:
                read = f"{value:g} lies outside the reference photo"
                problems.add(file, row.number, f"{letter}{number}", read, f"a number from 0 to {size}")


def check_zones(row_sets: RowSets, draft: Draft, problems: Problems) -> None:
    """A zone lies inside the frame of its unit; a unit with photos and no frame was told of before."""
    photographed = {row.values.get("unit") for row in row_sets["photos"].rows}
    named = row_sets["frames"].rows and row_sets["frames"].is_sure("unit")
    sizes: dict[str, tuple[float, float]] = {}
    framed = set()
    for row in row_sets["frames"].rows:
        unit, width, height = (row.values.get(name) for name in ("unit", "width_cm", "height_cm"))
        framed.add(unit)
        if unit is not None and width is not None and height is not None:
            before = sizes.get(unit, (0.0, 0.0))
            sizes[unit] = max(before[0], width), max(before[1], height)
    rows = row_sets["zones"]
    for row in rows.rows:
        unit, polygon = row.values.get("unit"), row.values.get("polygon")
        if unit is None or polygon is None:
            continue
        if unit not in framed:
            if named and unit not in photographed and (draft.units is None or unit in draft.units):
                problems.add(rows.table.file, row.number, "unit", f"{shown(unit)} has no frame in frames.csv", "a unit with a frame")
            continue
        width, height = sizes.get(unit, (float("inf"), float("inf")))
        # A patch may lie beside the glass, where it stays dry; further off than the frame is wide it would not be in the photo.
        beside = max(width, height) if row.values.get("kind") == "patch" else EDGE_CM
        outside = [(x, y) for x, y in polygon if not (-beside <= x <= width + beside and -beside <= y <= height + beside)]
        if outside:
            x, y = outside[0]
            problems.add(rows.table.file, row.number, "polygon", f"the point {x:g} {y:g} lies outside the frame",
                         f"x from 0 to {width:g} and y from 0 to {height:g} cm")


def check_audit(row_sets: RowSets, pictures: Pictures, problems: Problems) -> None:
    """An audit point lies inside its photo."""
    rows = row_sets["audit"]
    for row in rows.rows:
        picture = pictures.get(row.values.get("photo", ""))
        if picture:
            for name, size in (("x", picture.width), ("y", picture.height)):
                value = row.values.get(name)
                if value is not None and value > size:
                    problems.add(rows.table.file, row.number, name, f"{value:g} lies outside the photo", f"a number from 0 to {size}")
