"""Part of a demo trial as a trial folder: the photos that were painted, the first of each tank, and some days of some tanks."""

from collections.abc import Iterable
from pathlib import Path

from fairtank.records.folder import write_tables
from fairtank.simulation import render_photo, scenario, strokes_on

_STROKE_SEED = 1


def few_photos_write(root: Path, shown: Iterable[tuple[str, int]], name: str = "midday") -> None:
    """Render the photos and write the folder, if it is not there with all of them. shown: (unit, day) of the photos that are wanted."""
    from PIL import Image

    planned = scenario(name)
    painted = set(planned.labelled)
    wanted = painted | {(unit.key, 0) for unit in planned.plan.units} | set(shown)
    photos = [photo for photo in planned.photos if (photo.unit, photo.day) in wanted]
    if (root / "trial.toml").exists() and all((root / photo.path).exists() for photo in photos):
        return
    for folder in ("photos", "labels"):
        (root / folder).mkdir(parents=True, exist_ok=True)
    for photo in photos:
        place, label = root / photo.path, root / "labels" / f"{Path(photo.path).stem}.png"
        is_painted = (photo.unit, photo.day) in painted
        if place.exists() and (label.exists() or not is_painted):
            continue
        rendered = render_photo(planned, photo.unit, photo.day)
        place.write_bytes(rendered.jpeg_bytes(quality=90))
        if is_painted:
            Image.fromarray(strokes_on(planned, rendered.truth, photo, _STROKE_SEED)).save(label)
    write_tables(root, planned.plan, photos=photos, frames=planned.frames, zones=planned.zones, label_classes=planned.label_classes,
                 cards=planned.cards_of_units)
