"""A kit of a trial: the folder with everything that lets somebody else check it or do it again, as one ZIP file."""

import json
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date
from functools import partial
from pathlib import Path

from django.utils.text import slugify

from fairtank import __version__
from fairtank.errors import DesignError, InputError, JobError, plain_reason
from fairtank.publish.findings_file import findings_text
from fairtank.publish.kit.about_photos import about_photos
from fairtank.publish.kit.citation import citation_text
from fairtank.publish.kit.crate import crate_text
from fairtank.publish.kit.facts import (
    ABOUT,
    MEASURED,
    PHOTOS,
    REDUCED,
    REDUCED_PX,
    RESULT,
    TRIAL,
    VALUES,
    WHOLE,
    WITHOUT_PLACE,
    KitFacts,
    KitFile,
    KitWishes,
)
from fairtank.publish.kit.licences import LICENCES, licence_of_text, licence_text
from fairtank.publish.kit.miappe import MiappeField, miappe_fields, miappe_text
from fairtank.publish.kit.readme import readme_text
from fairtank.publish.not_read import why_not_read
from fairtank.publish.page_judged import OVER, reading_of
from fairtank.records.exporters.kit_package import package_text
from fairtank.records.exporters.kit_photos import photo_content, placeless
from fairtank.records.exporters.kit_software import software_text
from fairtank.records.exporters.kit_zip import KitZip, Source, Written
from fairtank.records.exporters.measures import measures_text, quality_text
from fairtank.records.folder import kit_files as names
from fairtank.records.folder.digest import digest_of_bytes, digest_of_files
from fairtank.records.folder.paths import TOML_LIMIT_BYTES
from fairtank.records.folder.tables import SERIES
from fairtank.records.services.kit_earlier import EarlierKit, earlier_kit
from fairtank.records.services.kit_stage import Staged, folder_stage
from fairtank.records.services.trials import FINDINGS_FILE, MEASURES_FILE, QUALITY_FILE, JudgedTrial, trial_judge

Progress = Callable[..., None]
REPORTS = ("report.html", "report.pdf")
_THE_KIT, _FREE = "the kit to write", "a name that is free and ends in .zip"


@dataclass(frozen=True)
class KitMade:
    """A kit that was written. path: where. size_bytes: of the ZIP file. files: in it. miappe: each field. judged: the trial as it was
    judged.

    not_taken: folders inside the trial folder that are no part of the form and were left behind.
    """

    path: Path
    size_bytes: int
    facts: KitFacts
    files: tuple[KitFile, ...]
    miappe: tuple[MiappeField, ...]
    not_taken: tuple[str, ...] = ()


@dataclass
class _Packing:
    """A kit while it is written: what was written so far, and the content of every table in it."""

    archive: KitZip
    files: list[KitFile] = field(default_factory=list)
    tables: dict[str, bytes] = field(default_factory=dict)

    def add(self, path: str, text: str | bytes, what: str) -> None:
        content = text.encode() if isinstance(text, str) else text
        self.archive.add(path, content)
        self.took(KitFile(path, what, len(content), digest_of_bytes(content)), content)

    def took(self, one: KitFile, content: bytes | None = None) -> None:
        self.files.append(one)
        if content is not None and one.path.endswith(".csv"):
            self.tables[one.path] = content


def kit_make(*, root: Path, out: Path, wishes: KitWishes | None = None, progress: Progress | None = None, results: Path | None = None,
             today: date | None = None, judged: JudgedTrial | None = None) -> KitMade:  # fmt: skip
    """Judge a trial folder and write its kit; the same folder, wishes and software give the same bytes.

    Parameters
    ----------
    root : Path
        The trial folder.
    out : Path
        The ZIP file to write.
    wishes : KitWishes, optional
    progress : function of photos done and in all, optional
        Called while photos are measured, and again while they are packed.
    results : Path, optional
        Where a report may lie that was made of the same data; the folder `out` inside the trial folder where it is left out.
    today : date, optional
        The date on which the trial is read.
    judged : JudgedTrial, optional
        The folder as it was judged on that date.

    Returns
    -------
    KitMade

    Raises
    ------
    InputError
        If the kit cannot be written there, or a wish cannot be met.
    FolderError
        With every problem of the folder.
    DesignError
        If the trial goes on: a kit would give away what nobody should see yet.
    JobError
        If writing fails, or reduced photos would give other findings.

    References
    ----------
    data_package, ro_crate, miappe (keys from sources.py).
    """
    wishes, read_on = wishes or KitWishes(), today or date.today()
    _check_wishes(wishes, out)
    judged = judged or trial_judge(root=root, progress=progress, today=read_on)
    _check_read(judged, read_on)
    paths, not_taken = _paths(root, judged)
    earlier = earlier_kit(judged.folder)
    given = max(wishes.photos if judged.folder.photos else "full", earlier.photos, key=PHOTOS.index)
    licence, statement = _licence(root, judged, wishes)
    digest = earlier.inputs_digest or judged.folder.digest
    with _beside(out) as place:
        staged = None if given == earlier.photos else folder_stage(
            judged=judged, paths=[path for path in paths if path != names.LICENCE], photos=given, root=_made(place / "folder"),
            today=read_on,
            earlier=earlier, progress=progress)
        partial_file = place / "kit.zip"
        with partial_file.open("wb") as file, KitZip(file, _word(judged)) as archive:
            packing = _Packing(archive)
            changed = _trial_write(packing, judged, paths, staged, earlier, wishes, progress)
            packing.add(names.LICENCE, statement, TRIAL)
            _results_write(packing, judged, root / "out" if results is None else results, digest, is_whole=given == "full")
            here = staged.digest if staged else digest_of_files({**judged.folder.file_digests, **changed})
            facts = KitFacts(staged.folder if staged else judged.folder, judged.findings, given, licence, digest, here,
                             f"fairtank {__version__}")
            fields = _about_write(packing, facts, sorted(changed), has_own_readme=names.README in paths)
        size = partial_file.stat().st_size
        partial_file.replace(out)
    return KitMade(out, size, facts, tuple(packing.files), fields, not_taken)


def _check_wishes(wishes: KitWishes, out: Path) -> None:
    if wishes.photos not in PHOTOS:
        raise InputError("photos", wishes.photos, ", ".join(PHOTOS))
    if wishes.licence and wishes.licence not in LICENCES:
        raise InputError("the licence", wishes.licence, ", ".join(LICENCES))
    if out.suffix.lower() != ".zip":
        raise InputError(_THE_KIT, out, _FREE)
    if os.path.lexists(out):
        raise InputError(_THE_KIT, f"{out}, which is there already", _FREE, "Nothing was written.")


def _check_read(judged: JudgedTrial, read_on: date) -> None:
    """Refuse the kit of a trial that goes on, and say when it has one and what can be given away until then."""
    if reading_of(judged.findings).state != OVER:
        raise DesignError("A trial has a kit once it was read, for a kit holds every value, and nobody should see those yet. "
                          f"{why_not_read(judged.findings, judged.folder.plan, read_on)} To let somebody repeat the plan before, give them "
                          "trial.toml, setup.toml and schedule.toml of the folder, which hold no value: `fairtank repeat` needs no more.")


@contextmanager
def _beside(out: Path) -> Iterator[Path]:
    """A folder beside the kit for what is half done; it goes away in any case, and a full disk or a closed one is told in a sentence."""
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        place = Path(tempfile.mkdtemp(prefix=f".{out.stem[:40]}.", suffix=".partial", dir=out.parent))
    except OSError as error:
        raise JobError(f"{out} cannot be written: {plain_reason(error)}.") from error
    try:
        yield place
    except OSError as error:
        raise JobError(f"{out} cannot be written: {plain_reason(error)}.") from error
    finally:
        shutil.rmtree(place, ignore_errors=True)


def _made(place: Path) -> Path:
    place.mkdir()
    return place


def _word(judged: JudgedTrial) -> str:
    """The folder inside the ZIP file: the trial's title as one word, wherever the trial lies."""
    return slugify(judged.folder.plan.title)[:50].strip("-") or "trial"


def _paths(root: Path, judged: JudgedTrial) -> tuple[list[str], tuple[str, ...]]:
    """Every file of the trial, as the shelf would take it in, and the folders that stay behind."""
    folder, made = judged.folder, names.made_files(root)
    read = {*folder.file_digests, *(folder.seal.listings if folder.seal else ())}
    beside = {path.name for path in root.iterdir() if path.is_file() and not path.is_symlink() and not path.name.startswith(".")}
    own = {*read, *beside, *names.measured_files(root)} - made
    clash = sorted((own & set(names.ABOUT_FILES)) - {names.README})
    if clash:
        raise InputError(clash[0], "a file of your own in the trial folder", "a name that the kit does not need", "Give it another name.")
    for path in sorted(own - read):
        if not path.startswith(f"{names.AS_MEASURED}/") and (root / path).stat().st_size > TOML_LIMIT_BYTES:
            raise InputError(path, f"{(root / path).stat().st_size / 1e6:.0f} MB",
                             f"files that fairtank does not read up to {TOML_LIMIT_BYTES / 1e6:.0f} MB", "Move it out of the trial folder.")
    inside = {path.partition("/")[0] for path in names.paths_in(root) - own - made if "/" in path} - {names.RESULTS}
    taken = {path.partition("/")[0] for path in own if "/" in path}
    return sorted(own), tuple(sorted(inside - taken))


def _licence(root: Path, judged: JudgedTrial, wishes: KitWishes) -> tuple[str, bytes]:
    """Which licence the kit has, and its statement: the one that was chosen, else the one that lies in the folder, else none."""
    place, plan = root / names.LICENCE, judged.folder.plan
    if not wishes.licence and place.is_file():
        statement = place.read_bytes()
        return licence_of_text(statement.decode("utf-8", "replace")), statement
    key = wishes.licence or "none"
    return key, licence_text(key, plan.title or "This trial", plan.keeper).encode()


def _trial_write(packing: _Packing, judged: JudgedTrial, paths: list[str], staged: Staged | None, earlier: EarlierKit, wishes: KitWishes,
                 progress: Progress | None) -> dict[str, str]:
    """The trial's own files, and which photos lost their place: path -> SHA-256 in the kit."""
    root, photos = judged.folder.root, {photo.path for photo in judged.folder.photos}
    if staged is not None:
        sources = [Source(path, staged.root / path, what) for path, what in sorted(staged.whats.items())]
    else:
        sources = [Source(path, _content(root, path, wishes) if path in photos else root / path, _what(path, photos, earlier))
                   for path in paths if path != names.LICENCE]
    changed, done = dict[str, str](), 0
    for written in packing.archive.add_all(sources):
        one, place = _kit_file(written, judged, staged, earlier), written.source.content
        packing.took(one, place.read_bytes() if isinstance(place, Path) and one.path.endswith(".csv") else None)
        if one.what == WITHOUT_PLACE:
            changed[one.path] = one.sha256
        if written.source.what in (WHOLE, REDUCED):
            done += 1
            if progress:
                progress(done, len(photos))
    for left_out in staged.left_out if staged else earlier.left_out():
        packing.took(left_out)
    return changed


def _what(path: str, photos: set[str], earlier: EarlierKit) -> str:
    """What a file of a folder is that goes into the kit as it lies there."""
    if path in photos:
        return WHOLE
    if path.startswith(f"{names.AS_MEASURED}/"):
        return MEASURED
    return VALUES if earlier.photos != "full" and path in (SERIES.file, names.CARRIED) else TRIAL


def _content(root: Path, path: str, wishes: KitWishes) -> Callable[[], bytes]:
    """What gives the bytes of a photo when its turn comes."""
    read = partial(photo_content, root, path)
    return read if wishes.with_place else lambda: placeless(read(), path)


def _kit_file(written: Written, judged: JudgedTrial, staged: Staged | None, earlier: EarlierKit) -> KitFile:
    """What was written, held against what was read: a photo that is another file now says which one it was."""
    path, what = written.source.path, written.source.what
    if what == REDUCED and staged is not None:
        return staged.originals[path]
    before = judged.folder.file_digests.get(path, written.sha256) if staged is None else written.sha256
    if before == written.sha256:
        return earlier.what_of(path, written.sha256) or KitFile(path, what, written.size_bytes, written.sha256)
    if what != WHOLE:
        raise JobError(f"{path} was changed while the kit was written. Write it again when nobody works on the folder; nothing was kept.")
    return KitFile(path, WITHOUT_PLACE, written.size_bytes, written.sha256, (judged.folder.root / path).stat().st_size, before)


def _results_write(packing: _Packing, judged: JudgedTrial, results: Path, digest: str, *, is_whole: bool) -> None:
    """What was worked out: findings, the values of photos, and a report of the same data where one was made."""
    packing.add(f"{names.RESULTS}/{FINDINGS_FILE}", findings_text(judged.findings, digest), RESULT)
    if judged.measured.measured and is_whole:
        packing.add(f"{names.RESULTS}/{MEASURES_FILE}", measures_text(judged.measured.measured), RESULT)
        packing.add(f"{names.RESULTS}/{QUALITY_FILE}", quality_text(judged.measured.qualities), RESULT)
    if _is_of(results / FINDINGS_FILE, judged.folder.digest):
        for name in REPORTS:
            if (results / name).is_file():
                packing.add(f"{names.RESULTS}/{name}", (results / name).read_bytes(), RESULT)


def _is_of(findings: Path, digest: str) -> bool:
    """Whether findings were worked out from the same data."""
    try:
        return bool(json.loads(findings.read_text(encoding="utf-8"))["inputs_digest"] == digest)
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return False


def _about_write(packing: _Packing, facts: KitFacts, placeless_photos: list[str], *, has_own_readme: bool) -> tuple[MiappeField, ...]:
    """Everything that the kit says about itself; the list of digests comes last."""
    answered = [one.measure for one in facts.folder.carried if one.eyes is not None]
    told = about_photos(placeless_photos, facts.photos, REDUCED_PX, packing.files, answered)
    if told:
        packing.add(names.ABOUT_PHOTOS, told, ABOUT)
    packing.add(names.SOFTWARE, software_text(), ABOUT)
    packing.add(names.CITATION, citation_text(facts), ABOUT)
    fields = miappe_fields(facts, packing.files)
    packing.add(names.MIAPPE, miappe_text(fields), ABOUT)
    readme = names.README_BESIDE if has_own_readme else names.README
    packing.add(readme, readme_text(facts, [*packing.files, *(KitFile(path, ABOUT, 0, "") for path in (names.PACKAGE, names.CRATE,
                                                                                                       names.DIGESTS))],
                                    fields), ABOUT)
    packing.add(names.CRATE, crate_text(facts, packing.files), ABOUT)
    packing.add(names.PACKAGE, package_text(facts, packing.files, packing.tables), ABOUT)
    digests = names.digests_text(sorted(packing.files, key=lambda one: one.path))
    packing.archive.add(names.DIGESTS, digests.encode())
    return fields
