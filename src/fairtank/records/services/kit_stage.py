"""The folder inside a kit whose photos are reduced or left out: written beside the kit, read as any folder is, and judged once more.

Only when it gives the very findings of the trial itself is it packed.
"""

import shutil
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from fairtank import __version__
from fairtank.errors import JobError
from fairtank.finding import Finding
from fairtank.inference import judge
from fairtank.publish.findings_file import findings_document
from fairtank.publish.kit.facts import LEFT_OUT, MEASURED, REDUCED, TRIAL, VALUES, KitFile
from fairtank.records.audited import audit_told
from fairtank.records.drawn import draw_told
from fairtank.records.exporters.kit_carried import CarriedFolder, SmallPhoto, carried_folder, check_answered
from fairtank.records.exporters.kit_photos import name_by_content, photo_content, reduced, size_px, strokes_reduced
from fairtank.records.exporters.measures import measures_text, quality_text
from fairtank.records.folder import read_folder
from fairtank.records.folder.carried_json import text_from_carried
from fairtank.records.folder.digest import digest_of_bytes, digest_of_files
from fairtank.records.folder.kit_files import AS_MEASURED, CARRIED, digests_text
from fairtank.records.folder.tables import SERIES
from fairtank.records.litres import tank_litres_of
from fairtank.records.sealed import seal_told, sealed_plan
from fairtank.records.services.kit_earlier import ORIGINALS, EarlierKit, digest_without_carried
from fairtank.records.services.measuring import MeasuredTrial
from fairtank.records.services.trials import MEASURES_FILE, QUALITY_FILE, JudgedTrial
from fairtank.records.snapshot import series_of
from fairtank.trial import CarriedValues, TrialFolder

Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Staged:
    """A folder that is ready to be packed. root: where it lies. whats: what each of its files is. left_out: photos that are not there.

    originals: path of a photo -> what the kit holds of it, and which one was measured. digest: over the folder as it reads. folder: as it
    was read.
    """

    root: Path
    whats: dict[str, str]
    left_out: tuple[KitFile, ...]
    originals: dict[str, KitFile]
    digest: str
    folder: TrialFolder


def folder_stage(*, judged: JudgedTrial, paths: list[str], photos: str, root: Path, today: date, earlier: EarlierKit,
                 progress: Progress | None) -> Staged:  # fmt: skip
    """Write the folder of a kit with reduced photos or none, and make sure that it gives the same findings.

    Parameters
    ----------
    judged : JudgedTrial
    paths : list of str
        Every file of the trial.
    photos : str
        `reduced` or `none`.
    root : Path
        An empty folder to write into.
    today : date
        The date on which the trial was read.
    earlier : EarlierKit
        What an earlier kit left in the folder.
    progress : function of photos done and in all, optional

    Returns
    -------
    Staged

    Raises
    ------
    DesignError
        If people looked at photos that are to be left out, and nothing of their answers could go along.
    JobError
        If it would give other findings.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    folder, listed = judged.folder, {photo.path for photo in judged.folder.photos}
    if photos == "none":
        check_answered(judged)
    small = _photos_write(folder, paths, root, progress) if photos == "reduced" else {}
    changed = carried_folder(judged, photos, small)
    whats = {one.path: REDUCED for one in small.values()}
    for path in paths:
        if path not in listed and path not in changed.dropped and path not in changed.texts and path not in (CARRIED, ORIGINALS):
            _copy(folder.root / path, root / path)
            whats[path] = MEASURED if path.startswith(f"{AS_MEASURED}/") else TRIAL
    for path, content in {**changed.texts, **_strokes(folder, small)}.items():
        _put(root / path, content)
        whats[path] = VALUES if path == SERIES.file else TRIAL
    whats.update(_as_measured(judged, root, changed, small, paths))
    originals = _originals(folder, root, earlier, small)
    _put(root / ORIGINALS, digests_text(originals).encode())
    digest = _carried_write(root, changed.carried, photos, earlier.inputs_digest or folder.digest)
    read = read_folder(root)
    check_same(judged, read, today)
    whats |= {ORIGINALS: MEASURED, CARRIED: VALUES}
    return Staged(root, whats, tuple(one for one in originals if one.what == LEFT_OUT), {one.path: one for one in originals}, digest, read)


def _originals(folder: TrialFolder, root: Path, earlier: EarlierKit, small: dict[str, SmallPhoto]) -> list[KitFile]:
    """Each photo as it was measured, and what the kit holds of it; the measured one is that of an earlier kit where there was one."""
    found = dict(earlier.originals)
    for photo in folder.photos:
        before = earlier.what_of(photo.path, folder.file_digests[photo.path])
        was = (before.original_bytes, before.original_sha256) if before else ((folder.root / photo.path).stat().st_size,
                                                                             folder.file_digests[photo.path])
        called = (before.original_path if before else "") or photo.path
        found.pop(photo.path, None)
        if photo.path in small:
            path = small[photo.path].path
            content = (root / path).read_bytes()
            found[path] = KitFile(path, REDUCED, len(content), digest_of_bytes(content), *was, called if called != path else "")
        else:
            found[called] = KitFile(called, LEFT_OUT, 0, "", *was)
    return sorted(found.values(), key=lambda one: one.path)


def _carried_write(root: Path, carried: tuple[CarriedValues, ...], photos: str, inputs_digest: str) -> str:
    """carried.json, which names the digest over all that lies beside it; the digest over everything."""
    software, place = f"fairtank {__version__}", root / CARRIED
    place.write_text(text_from_carried(carried, photos, inputs_digest, software), encoding="utf-8")
    read = read_folder(root)
    text = text_from_carried(carried, photos, inputs_digest, software, digest_without_carried(read))
    place.write_text(text, encoding="utf-8")
    return digest_of_files({**read.file_digests, CARRIED: digest_of_bytes(text.encode())})


def _photos_write(folder: TrialFolder, paths: list[str], root: Path, progress: Progress | None) -> dict[str, SmallPhoto]:
    """Every photo made smaller, by its path as it was measured; each is called by what it is now."""
    small: dict[str, SmallPhoto] = {}
    taken = {path.lower() for path in paths}
    for number, photo in enumerate(folder.photos, start=1):
        content = photo_content(folder.root, photo.path)
        path, made = name_by_content(photo.path, taken), reduced(content, photo.path)
        taken.add(path.lower())
        _put(root / path, made)
        small[photo.path] = SmallPhoto(path, size_px(content, photo.path), size_px(made, path))
        if progress:
            progress(number, len(folder.photos))
    return small


def _strokes(folder: TrialFolder, small: dict[str, SmallPhoto]) -> dict[str, bytes]:
    """Strokes in the size of the smaller photos."""
    colours = [one.rgb for one in folder.label_classes]
    return {label.path: strokes_reduced((folder.root / label.path).read_bytes(), small[label.photo].now, colours)
            for label in folder.labels if label.photo in small}


def _as_measured(judged: JudgedTrial, root: Path, changed: CarriedFolder, small: dict[str, SmallPhoto],
                 paths: list[str]) -> dict[str, str]:
    """Tables and strokes as they were, and every value of every photo, laid aside; what an earlier kit laid aside stays."""
    folder = judged.folder
    strokes = [label.path for label in folder.labels if label.photo in small]
    found = {}
    for path in (*changed.kept, *strokes):
        aside = f"{AS_MEASURED}/{path}"
        if aside not in paths:
            _copy(folder.root / path, root / aside)
            found[aside] = MEASURED
    if judged.measured.measured and not folder.carried:
        for name, text in ((MEASURES_FILE, measures_text(judged.measured.measured)), (QUALITY_FILE,
                                                                                      quality_text(judged.measured.qualities))):
            _put(root / AS_MEASURED / name, text.encode())
            found[f"{AS_MEASURED}/{name}"] = MEASURED
    return found


def check_same(judged: JudgedTrial, read: TrialFolder, today: date) -> None:
    """Refuse a folder that gives another finding than the trial itself, in any number, word or caution."""
    was, now = (findings_document(one, "")["findings"] for one in (judged.findings, judged_without_photos(read, today)))
    odd = [one["measure"] for one, other in zip(was, now, strict=True) if one != other] if len(was) == len(now) else ["the findings"]
    if odd:
        raise JobError(f"Without the photos as they were measured, {', '.join(dict.fromkeys(odd))} would be judged otherwise, so this kit "
                       "was not "
                       "written. Choose a kit with full photos, and please tell the makers of fairtank.")


def judged_without_photos(read: TrialFolder, today: date) -> tuple[Finding, ...]:
    """The findings of a folder by its tables alone, as `trial_judge` gives them where no photo is measured."""
    nothing = MeasuredTrial()
    series, plan = series_of(read, nothing), sealed_plan(read)
    day = (today - plan.start).days
    read_on = None if any(one > day for single in series for one in single.days) else day
    found = judge(plan, series, read.events, earlier=read.spread, tank_litres=tank_litres_of(read), today=read_on)
    return draw_told(read, seal_told(read, audit_told(replace(read, labels=()), nothing, found)))


def _put(place: Path, content: bytes) -> None:
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_bytes(content)


def _copy(source: Path, place: Path) -> None:
    place.parent.mkdir(parents=True, exist_ok=True)
    shutil.copyfile(source, place)
