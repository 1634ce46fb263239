"""The public page of a finished trial as a folder that any web space serves."""

import hashlib
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from fairtank.errors import InputError, JobError, plain_reason
from fairtank.publish.findings_file import findings_text
from fairtank.publish.report import write_report
from fairtank.publish.site.content import Beside, Film, SiteContent
from fairtank.publish.site.pages import PAGE, site_files
from fairtank.records.exporters.measures import measures_text
from fairtank.records.services.charting import read_check
from fairtank.records.services.filming import FOLDER as FILM_FOLDER
from fairtank.records.services.pictures import unit_pictures
from fairtank.records.services.site_pictures import large_pictures
from fairtank.records.services.trials import FINDINGS_FILE, MEASURES_FILE, JudgedTrial, out_check, report_content, result_write
from fairtank.records.services.wording import kept_film, words_of
from fairtank.records.site_address import address_of

FOLDER = "site"
FILM_FORMS = {".mp4": "video/mp4", ".webm": "video/webm"}
_POSTERS, _CAPTIONS, _PIECE_BYTES = (".webp", ".jpg", ".png"), ".vtt", 1 << 20
_REPORT_WORDS = {
    "report.html": "The whole report, as one page that needs nothing else.", "report.pdf": "The whole report for print.",
}
_ONE_PAGE_WORDS = {".html": "The report on one page.", ".pdf": "The report on one page, for print."}


def site_write(*, judged: JudgedTrial, out: Path, kit: Path | None = None, film: Path | None = None, address: str = "",
               progress: Callable[..., None] | None = None) -> Path:
    """Write the public page into the folder `site` of `out`, whole or not at all; one that lies there is replaced.

    Parameters
    ----------
    judged : JudgedTrial
        A trial that was read.
    out : Path
        The folder for results.
    kit : Path, optional
        The kit's file, to be offered beside the page.
    film : Path, optional
        A film as MP4 or WebM; its other form, its poster and its captions are taken along where they lie beside it under the same name.
    address : str
        Where the page will stand, for the picture that a link to it shows; empty where that is not known.
    progress : callable, optional
        Told (done, total, 0).

    Returns
    -------
    Path
        The folder; its `index.html` is the page.

    Raises
    ------
    DesignError
        If the trial is not over.
    InputError
        If a file is not there, or the address is none.
    JobError
        If the folder cannot be written.

    References
    ----------
    common_practice (keys from sources.py).
    """
    read_check(judged)
    out_check(out, judged.folder)
    stands_at = address_of(address)
    _given_check(kit, film)
    with _placed(out / FOLDER) as place:
        content = SiteContent(replace(report_content(judged), pictures=unit_pictures(judged.folder, judged.measured)),
                              large_pictures(judged.folder, judged.measured, progress), address=stands_at)
        files = _beside(judged, content, place)
        content = replace(content, files=files, kit=_kit(kit, place), film=_film(film, place, _captions(judged, out, film)))
        for name, made in site_files(content):
            result_write(place / name, made)
    return out / FOLDER


def _given_check(kit: Path | None, film: Path | None) -> None:
    a_film = "a file that ends in .mp4 or .webm"
    for what, given, accepted in (("the kit", kit, "the file that “fairtank kit” wrote"), ("the film", film, a_film)):
        if given is not None and not given.is_file():
            raise InputError(what, given, accepted, "Look at its name, or leave it out.")
    if film is not None and film.suffix.lower() not in FILM_FORMS:
        raise InputError("the film", film.name, a_film)


@contextmanager
def _placed(target: Path) -> Iterator[Path]:
    """A folder beside the place where it will stand; put there when all of it is written."""
    if target.exists() and not (target / PAGE).is_file() and not (target.is_dir() and not any(target.iterdir())):
        raise InputError("the folder for the page", target, "one that is not there yet, or holds such a page",
                         "Choose another one with --out, or move what lies there.")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        draft = Path(tempfile.mkdtemp(dir=target.parent, prefix=f".{target.name}-"))
        draft.chmod(0o755)
    except OSError as error:
        raise JobError(f"{target} cannot be written: {plain_reason(error)}. Choose another folder with --out.") from error
    try:
        yield draft
        if target.exists():
            old = draft.with_name(f"{draft.name}-old")
            os.replace(target, old)
            os.replace(draft, target)
            shutil.rmtree(old)
        else:
            os.replace(draft, target)
    finally:
        shutil.rmtree(draft, ignore_errors=True)


def _beside(judged: JudgedTrial, content: SiteContent, place: Path) -> tuple[Beside, ...]:
    """The report, the findings and the values of the photos, as files beside the page."""
    report = write_report(content.report, place)
    result_write(place / FINDINGS_FILE, findings_text(judged.findings, judged.folder.digest))
    told = [(one.name, _REPORT_WORDS.get(one.name, _ONE_PAGE_WORDS.get(one.suffix, ""))) for one in report.all]
    told.append((FINDINGS_FILE, "Every number of the findings, for programs."))
    if judged.measured.measured and not judged.folder.carried:  # else the findings rest on other photos than those that were measured
        result_write(place / MEASURES_FILE, measures_text(judged.measured.measured))
        told.append((MEASURES_FILE, "Every value of every photo, with its quality."))
    return tuple(Beside(name, words, (place / name).stat().st_size) for name, words in told)


def _kit(kit: Path | None, place: Path) -> Beside | None:
    if kit is None:
        return None
    name = f"kit/{kit.name}"
    words = "The kit: plan, tables, photos and seal. With it somebody else can check every number, or do the trial again."
    return Beside(name, words, kit.stat().st_size, _copied(kit, place / name))


def _captions(judged: JudgedTrial, out: Path, film: Path | None) -> str:
    """The captions of the film that was made last into these results; empty for another film, which brings its own or none."""
    kept = kept_film(judged, out) if film is not None and film.parent.resolve() == (out / FILM_FOLDER).resolve() else None
    if film is None or kept is None or kept.film.name != film.name:
        return ""
    return words_of(judged=judged, out=out, film=kept).texts.get("captions.vtt", "")


def _film(film: Path | None, place: Path, told: str) -> Film | None:
    """The film with what lies beside it under its name, its first form first."""
    if film is None:
        return None
    forms = [film, *(other for suffix in FILM_FORMS if (other := film.with_suffix(suffix)) != film and other.is_file())]
    poster = next((one for suffix in _POSTERS if (one := film.with_suffix(suffix)).is_file()), None)
    captions = film.with_suffix(_CAPTIONS)
    names = {one: f"film/{one.name}" for one in (*forms, *([poster] if poster else []), *([captions] if captions.is_file() else []))}
    for one, name in names.items():
        _copied(one, place / name)
    if told and captions not in names:
        names[captions] = f"film/{captions.name}"
        result_write(place / names[captions], told)
    return Film(tuple((names[one], FILM_FORMS[one.suffix.lower()]) for one in forms), names[poster] if poster else "",
                names.get(captions, ""), film.stat().st_size)


def _copied(source: Path, target: Path) -> str:
    """Copy a file piece by piece; its SHA-256."""
    digest = hashlib.sha256()
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with source.open("rb") as given, target.open("wb") as made:
            while piece := given.read(_PIECE_BYTES):
                digest.update(piece)
                made.write(piece)
    except OSError as error:
        raise JobError(f"{source.name} cannot be copied: {plain_reason(error)}.") from error
    return digest.hexdigest()
