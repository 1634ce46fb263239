"""The folder inside a kit whose photos are smaller or left out: the values that were measured stand in series.csv, to the last digit.

What was said of the photos beside each finding stands in carried.json. Tables and strokes that fit the photos as they were are kept, byte
for byte, in as-measured/: laid over the kit's folder, together with the photos, they give the folder that was judged.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from fairtank.errors import DesignError
from fairtank.records.audited import audit_told
from fairtank.records.folder.kit_files import CARRIED
from fairtank.records.folder.labels import FOLDER as LABELS
from fairtank.records.folder.nouns import FIELDS, values_from_nouns
from fairtank.records.folder.tables import AUDIT, CLASSES, FRAMES, PAIRS, PHOTOS, SCORES, SERIES, ZONES
from fairtank.records.folder.writer import table_text
from fairtank.records.services.trials import JudgedTrial
from fairtank.trial import AuditPoint, CarriedValues, Frame, Series, TrialFolder

OF_PHOTOS = (PHOTOS.file, FRAMES.file, ZONES.file, AUDIT.file, SCORES.file, PAIRS.file, CLASSES.file)
Size = tuple[int, int]


@dataclass(frozen=True)
class SmallPhoto:
    """A photo that was made smaller. path: where it lies in the kit. was, now: its width and height once upright, before and now [px]."""

    path: str
    was: Size
    now: Size


@dataclass(frozen=True)
class CarriedFolder:
    """What is otherwise in the kit's folder. texts: files that are made or made anew, by path. dropped: files that are not there.

    kept: the files, made anew or dropped, that go into as-measured/ as they were. carried: for carried.json.
    """

    texts: dict[str, bytes]
    dropped: frozenset[str]
    kept: tuple[str, ...]
    carried: tuple[CarriedValues, ...]


def carried_folder(judged: JudgedTrial, photos: str, small: Mapping[str, SmallPhoto]) -> CarriedFolder:
    """What is to be written otherwise for a kit with reduced photos or none.

    Parameters
    ----------
    judged : JudgedTrial
        With the photos as they were measured.
    photos : str
        `reduced` or `none`.
    small : mapping of str to SmallPhoto
        By path as it was measured, each photo as it is in the kit; nothing where they are left out.

    Returns
    -------
    CarriedFolder

    Raises
    ------
    DesignError
        If people looked at photos that are to be left out, and their answers give no order of the tanks that could go along.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    folder = judged.folder
    texts: dict[str, bytes] = {}
    if photos == "none":
        dropped = frozenset(path for path in folder.file_digests if path in OF_PHOTOS or path.startswith(f"{LABELS}/"))
    else:
        dropped = frozenset()
        texts.update(_smaller_tables(folder, small))
    series, carried = _carried(judged, photos)
    if carried:
        extra = [dict(cells) for cells in folder.unknown_cells.get(SERIES.file, ())]
        rows = values_from_nouns("series", (*folder.series, *series))
        extra += [{} for _ in range(len(rows) - len(extra))] if extra else []
        texts[SERIES.file] = table_text(SERIES, rows, extra).encode()
    listed = {photo.path for photo in folder.photos}
    kept = tuple(path for path in sorted({*texts, *dropped} - listed) if path in folder.file_digests and path != CARRIED)
    return CarriedFolder(texts, dropped, kept, (*folder.carried, *carried))


def check_answered(judged: JudgedTrial) -> None:
    """Refuse to leave out photos that people looked at where their answers gave no value: nothing of them could be carried."""
    empty = dict.fromkeys(one.measure for one in judged.series if one.scored and not one.days)
    if empty:
        raise DesignError(f"People looked at photos for {', '.join(empty)}, and their answers give no order of the tanks, so that nothing "
                          "could go along in place of these photos. Choose reduced photos; they take little room.")


def _carried(judged: JudgedTrial, photos: str) -> tuple[list[Series], list[CarriedValues]]:
    """The series of measures of the plan that photos gave, and what was said of the photos beside each finding.

    Where no photo goes along these are also people's scores and choices, with what is known of the people.
    """
    folder, ready = judged.folder, {one.measure for one in judged.folder.series}
    eyes = {one.measure: one.eyes for one in judged.series if one.scored and photos == "none"}
    photographed = {value.measure for value in judged.measured.measured} | set(eyes)
    keys = [choice.key for choice in folder.plan.measures if choice.key in photographed and choice.key not in ready]
    series = [one for one in judged.series if one.measure in keys]
    told = []
    for key in keys:
        own = tuple(replace(one, cautions=()) for one in judged.findings if one.measure == key)
        said = audit_told(replace(folder, carried=()), judged.measured, own)
        told.append(CarriedValues(key, tuple((one.reference_arm, one.changed_arm, one.cautions) for one in said), eyes.get(key)))
    return series, told


def _smaller_tables(folder: TrialFolder, small: Mapping[str, SmallPhoto]) -> dict[str, bytes]:
    """Frames and audit points at the places where they stand in the smaller photos, the times of photos said, and photos by their names."""
    nouns: dict[str, Sequence[Any]] = {
        "photos": [replace(one, path=small[one.path].path) for one in folder.photos],
        "frames": [_frame_moved(one, small[one.reference_photo]) for one in folder.frames],
        "audit": [_point_moved(one, small[one.photo]) for one in folder.audit]}
    if any(path != one.path for path, one in small.items()):
        nouns |= {"scores": [replace(one, photo=small[one.photo].path) for one in folder.scores],
                  "pairs": [replace(one, photo_a=small[one.photo_a].path, photo_b=small[one.photo_b].path) for one in folder.pairs]}
    return {FIELDS[field].file: table_text(FIELDS[field], values_from_nouns(field, rows), folder.unknown_cells.get(FIELDS[field].file,
                                                                                                                   ())).encode()
            for field, rows in nouns.items() if rows}


def _frame_moved(frame: Frame, small: SmallPhoto) -> Frame:
    first, second, third, fourth = (_moved(corner, small.was, small.now) for corner in frame.corners)
    return replace(frame, corners=(first, second, third, fourth), reference_photo=small.path)


def _point_moved(point: AuditPoint, small: SmallPhoto) -> AuditPoint:
    x, y = _moved((point.x, point.y), small.was, small.now)
    return replace(point, x=x, y=y, photo=small.path)


def _moved(point: tuple[float, float], old: Size, new: Size) -> tuple[float, float]:
    """A place in a photo [px] where it stands once the photo has another size.

    >>> _moved((1008.0, 756.0), (2016, 1512), (1280, 960))
    (640.0, 480.0)
    """
    return point[0] * new[0] / old[0], point[1] * new[1] / old[1]
