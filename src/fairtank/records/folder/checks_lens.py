"""What lens.csv says of the cameras: each once, and each unit photographed by one of them."""

from fairtank.records.folder.nouns import units_named
from fairtank.records.folder.plan_toml import Draft
from fairtank.records.folder.problems import Problems, listed, shown
from fairtank.records.folder.rows import Rows


def check_lens(rows: Rows, draft: Draft, problems: Problems) -> None:
    """A camera stands once, names units that there are, and no unit has two cameras; a row without units stands for all of them."""
    cameras: dict[str, int] = {}
    taken: dict[str, int] = {}
    for row in rows.rows:
        camera = row.values.get("camera")
        if camera is not None and cameras.setdefault(camera, row.number) != row.number:
            problems.add(rows.table.file, row.number, "camera", f"the camera {shown(camera)} is already in row {cameras[camera]}",
                         "each one once")
        if draft.units is None or "units" not in row.values:
            continue
        units, wrong = units_named(row.values["units"], draft.units)
        if wrong:
            read = f"{listed(wrong, most=3)} {'is not a unit' if len(wrong) == 1 else 'are no units'} of trial.toml"
            problems.add(rows.table.file, row.number, "units", read, f"{listed(draft.units)}, parted by ;, or nothing for all")
            continue
        twice = [unit for unit in units or draft.units if taken.setdefault(unit, row.number) != row.number]
        if twice:
            problems.add(rows.table.file, row.number, "units", f"{shown(twice[0])} already has the camera of row {taken[twice[0]]}",
                         "one camera for each unit")
