"""A film of a judged trial: written beside its poster, its stills and its times, or not at all."""

import hashlib
import re
from collections.abc import Callable
from datetime import date
from pathlib import Path

import numpy as np

from fairtank.card import cards_of_plan
from fairtank.errors import DesignError, InputError
from fairtank.publish.film.content import FilmContent, FilmFiles
from fairtank.publish.film.encode import film_write
from fairtank.publish.film.frames import frames_of
from fairtank.publish.film.making import film_of
from fairtank.publish.film.paint import as_bytes
from fairtank.publish.film.settled import Film
from fairtank.publish.film.stills import before_after, pair_of, poster
from fairtank.publish.film.timeline import timeline_text
from fairtank.publish.film.wishes import FilmWishes
from fairtank.publish.not_read import why_not_read
from fairtank.publish.page_judged import OVER, reading_of
from fairtank.records.services.film_photos import FilmPhotos
from fairtank.records.services.trials import JudgedTrial, result_write
from fairtank.records.store import store_of
from fairtank.trial import TrialFolder

FOLDER = "film"
Progress = Callable[[int, int], None]
NOT_READ = "A film is made once the trial has been read: its curve and its last photos would show what nobody should see yet."
# Written out: the pages translate it as one text.
NOT_READ_IN_PAGES = ("A film is made once the trial has been read: its curve and its last photos would show what nobody should see yet. "
                     "The page “Finding” tells what it waits for.")


def film_make(*, judged: JudgedTrial, out: Path, wishes: FilmWishes | None = None, progress: Progress | None = None,
              today: date | None = None) -> FilmFiles:
    """Write a film and its stills into the folder `film` of the results.

    Parameters
    ----------
    judged : JudgedTrial
        The trial with its findings.
    out : Path
        The folder for results, in which the trial was judged.
    wishes : FilmWishes or None
        What the keeper chose; None for what is usual.
    progress : callable or None
        Called with (frames done, frames in all); whatever it raises ends the film, and nothing half-made is left.
    today : date, optional
        Of the record, for what a trial waits for that was not read; the day on which it is asked where it is not given.

    Returns
    -------
    FilmFiles

    Raises
    ------
    DesignError
        If the trial was not read yet.
    InputError
        If a wish cannot be met.
    NotEnoughDataError
        If no photo may be shown.
    JobError
        If it cannot be written, or the package that encodes is missing.

    References
    ----------
    common_practice (keys from sources.py).
    """
    if reading_of(judged.findings).state != OVER:
        raise DesignError(f"{NOT_READ} {why_not_read(judged.findings, judged.folder.plan, today or date.today())}")
    film = film_of(film_content(judged, out), wishes or FilmWishes())
    place, name = out / FOLDER, film.wishes.name
    place.mkdir(parents=True, exist_ok=True)
    video = place / f"{name}.{film.wishes.form}"
    film_write(frames_of(film), video, form=film.wishes.form, size_px=film.wishes.size_px,
               frames_per_second=film.wishes.frames_per_second, frames=film.timeline.frames, moved=progress)
    times = place / f"{name}.json"
    result_write(times, timeline_text(film.timeline))
    posters, both, pairs = stills_write(film, place)
    return FilmFiles(video, times, film.timeline, *posters, both, pairs, film.wishes.size_px)


def film_content(judged: JudgedTrial, out: Path) -> FilmContent:
    """What a film of a judged trial is made from; photos are opened when they are asked for.

    Parameters
    ----------
    judged : JudgedTrial
    out : Path
        The folder for results.

    Returns
    -------
    FilmContent

    References
    ----------
    common_practice (keys from sources.py).
    """
    folder = judged.folder
    photos = FilmPhotos(folder, judged.measured, store_of(folder.root, out))
    seal = folder.seal.last.code if folder.seal is not None else ""
    return FilmContent(folder.plan, judged.findings, judged.series, photos.units(), photos.picture, folder.events, folder.chores_done, seal,
                       codes_of(folder))


def codes_of(folder: TrialFolder) -> dict[str, str]:
    """What each tank is called while its arm is hidden: the code of its photo card, else a number that only the digest orders.

    Parameters
    ----------
    folder : TrialFolder

    Returns
    -------
    dict
        Unit -> code.

    References
    ----------
    common_practice (keys from sources.py).
    """
    try:
        return {one.unit: one.code for one in (*folder.cards, *cards_of_plan(folder.plan, folder.cards))}
    except InputError:  # there are more units than cards
        mixed = sorted((unit.key for unit in folder.plan.units), key=lambda key: hashlib.sha256(f"{folder.digest} {key}".encode()).digest())
        return {key: str(number) for number, key in enumerate(mixed, start=1)}


def stills_write(film: Film, place: Path) -> tuple[tuple[Path, Path], Path, tuple[tuple[str, Path], ...]]:
    """Write the pictures beside a film.

    Parameters
    ----------
    film : Film
    place : Path
        The folder.

    Returns
    -------
    ((Path, Path), Path, tuple of (str, Path))
        The poster as JPEG and as WebP; all tanks in one picture; each unit with its own.

    References
    ----------
    common_practice (keys from sources.py).
    """
    standing, both = poster(film), place / "before-after.jpg"
    posters = place / f"{film.wishes.name}.jpg", place / f"{film.wishes.name}.webp"
    _picture_write(posters[0], standing, "JPEG")
    _picture_write(posters[1], standing, "WEBP")
    _picture_write(both, before_after(film), "JPEG")
    pairs = []
    for number, one in enumerate(film.photos, start=1):
        pairs.append((one.unit, place / f"tank-{number}-{_safe(one.unit)}.jpg"))
        _picture_write(pairs[-1][1], pair_of(film, one.unit), "JPEG")
    written = {own for _unit, own in pairs}
    for old in set(place.glob("tank-*-*.jpg")) - written:  # of a film with other tanks, or in another order
        old.unlink(missing_ok=True)
    return posters, both, tuple(pairs)


def _safe(unit: str) -> str:
    """A unit's key may hold anything, a file name only what is safe everywhere."""
    return re.sub(r"[^A-Za-z0-9_]+", "-", unit)[:40].strip("-") or "unit"


def _picture_write(place: Path, picture: np.ndarray, form: str) -> None:
    result_write(place, as_bytes(picture, form))
