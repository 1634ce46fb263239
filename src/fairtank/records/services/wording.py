"""The words that go with a film of a trial, written as files; and a text of the keeper's held against what was found."""

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from fairtank.errors import DesignError, InputError, NotEnoughDataError
from fairtank.finding import Finding
from fairtank.publish.film.content import FilmFiles
from fairtank.publish.film.making import film_of
from fairtank.publish.film.timeline import Timeline, timeline_from
from fairtank.publish.film.wishes import FORMATS, FilmWishes
from fairtank.publish.page_judged import OVER, reading_of
from fairtank.publish.strength.check import Flag, text_check
from fairtank.publish.video_words.alt_texts import alt_text_table, alt_texts
from fairtank.publish.video_words.captions import srt_text, vtt_text
from fairtank.publish.video_words.chapters import chapters_text
from fairtank.publish.video_words.content import WordsContent
from fairtank.publish.video_words.cues import cues_of
from fairtank.publish.video_words.description import description_text
from fairtank.publish.video_words.outline import outline_text
from fairtank.records.services.filming import FOLDER as FILM_FOLDER
from fairtank.records.services.filming import film_content
from fairtank.records.services.trials import JudgedTrial, report_content, result_write
from fairtank.trial import Series

FOLDER = "words"
ENDINGS = (".txt", ".md", ".srt", ".vtt")
MOST_SIGNS = 50_000
NOT_READ_IN_PAGES = "Words are written when the trial was read: they would tell what nobody should know yet."
NOT_READ = ("Words are written, and a text is checked, when the trial was read: they would tell what nobody should know yet. "
            "`fairtank judge` tells on which day that is.")


@dataclass(frozen=True)
class WordFiles:
    """Where the words lie.

    chapters, srt, vtt: None where there is no photo for a film. timeline: by which their times were taken. film: the name of the film that
    has these times; empty where none was made yet.
    """

    description: Path
    outline: Path
    alt_texts: Path
    chapters: Path | None
    srt: Path | None
    vtt: Path | None
    timeline: Timeline | None
    film: str = ""

    @property
    def all(self) -> tuple[Path, ...]:
        """Every file that was written."""
        told = (self.description, self.outline, self.alt_texts, self.chapters, self.srt, self.vtt)
        return tuple(place for place in told if place is not None)


def words_make(*, judged: JudgedTrial, out: Path, film: FilmFiles | None = None, kit_link: str = "") -> WordFiles:
    """Write all words into the folder `words` of the results.

    Parameters
    ----------
    judged : JudgedTrial
        The trial with its findings.
    out : Path
        The folder for results, in which the trial was judged.
    film : FilmFiles or None
        The film to which the times belong; None for the one that was made last into these results, else for one without wishes.
    kit_link : str
        The address at which others find the kit.

    Returns
    -------
    WordFiles

    Raises
    ------
    DesignError
        If the trial was not read yet.
    JobError
        If they cannot be written.

    References
    ----------
    common_practice (keys from sources.py).
    """
    told = words_of(judged=judged, out=out, film=film, kit_link=kit_link)
    place = out / FOLDER
    place.mkdir(parents=True, exist_ok=True)
    for name, text in told.texts.items():
        result_write(place / name, text)
    paths = {name: place / name for name in told.texts}
    return WordFiles(paths["description.txt"], paths["outline.md"], paths["alt-texts.csv"], paths.get("chapters.txt"),
                     paths.get("captions.srt"), paths.get("captions.vtt"), told.timeline, told.film)


@dataclass(frozen=True)
class Words:
    """The words of a trial: texts by the name of their file, the times that they follow, and the name of the film that has these times."""

    texts: dict[str, str]
    timeline: Timeline | None
    film: str = ""


def words_of(*, judged: JudgedTrial, out: Path, film: FilmFiles | None = None, kit_link: str = "") -> Words:
    """All words of a trial; nothing is written. Parameters as for `words_make`."""
    _check_read(judged.findings)
    film = film or kept_film(judged, out)
    timeline = film.timeline if film is not None else usual_timeline(judged, out)
    seal = judged.folder.seal
    content = WordsContent(report_content(judged), timeline, seal.last.code if seal is not None else "", kit_link.strip())
    texts = {"description.txt": description_text(content), "outline.md": outline_text(content),
             "alt-texts.csv": alt_text_table(alt_texts(content, film))}
    if timeline is not None:
        cues = cues_of(content)
        texts |= {"chapters.txt": chapters_text(content), "captions.srt": srt_text(cues), "captions.vtt": vtt_text(cues)}
    return Words(texts, timeline, film.film.name if film is not None else "")


def kept_film(judged: JudgedTrial, out: Path) -> FilmFiles | None:
    """The film that was made last into the folder for results, with its stills; None where there is none."""
    place = out / FILM_FOLDER
    times = sorted(place.glob("film-*.json"), key=lambda file: file.stat().st_mtime) if place.is_dir() else []
    films = [file for time in times[-1:] for form in FORMATS for file in [time.with_suffix(f".{form}")] if file.is_file()]
    if not films:
        return None
    timeline = timeline_from(json.loads(times[-1].read_text(encoding="utf-8")))
    named = {re.sub(r"[^A-Za-z0-9_]+", "-", unit.key)[:40].strip("-") or "unit": unit.key for unit in judged.folder.plan.units}
    stills = sorted(place.glob("tank-*-*.jpg"), key=lambda file: int(file.stem.split("-")[1]))
    pairs = tuple((named[key], file) for file in stills for key in [file.stem.split("-", 2)[2]] if key in named)
    return FilmFiles(films[0], times[-1], timeline, times[-1].with_suffix(".jpg"), times[-1].with_suffix(".webp"),
                     place / "before-after.jpg", pairs, (0, 0))


def usual_timeline(judged: JudgedTrial, out: Path) -> Timeline | None:
    """The times of a film as it is made without wishes; None where there is no photo to show."""
    if not judged.folder.photos:
        return None
    try:
        return film_of(film_content(judged, out), FilmWishes()).timeline
    except (NotEnoughDataError, InputError):  # no photo that can be shown, or more tanks than one film shows without a choice
        return None


def text_flags(*, findings: Sequence[Finding], text: str, series: Sequence[Series] = (), ending: str = ".txt") -> tuple[Flag, ...]:
    """What in a text claims more than the findings of a trial that was read carry.

    Parameters
    ----------
    findings : sequence of Finding
        All of the trial.
    text : str
        At most 50 000 signs.
    series : sequence of Series
        What was recorded, for numbers of single days.
    ending : str
        Of the file's name, one of ENDINGS.

    Returns
    -------
    tuple of Flag

    Raises
    ------
    DesignError
        If the trial was not read yet.
    InputError
        If the text is too long.

    References
    ----------
    common_practice (keys from sources.py).
    """
    _check_read(findings)
    if len(text) > MOST_SIGNS:
        raise InputError("The text", f"{len(text)} signs", f"at most {MOST_SIGNS}", "Check it in parts.")
    return text_check(text, findings, series=series, ending=ending)


def file_text(place: Path) -> str:
    """A text file that is to be checked.

    Raises
    ------
    InputError
        If it is not there, is no text in UTF-8, or has another ending than ENDINGS.
    """
    name = "The text to check"
    accepted = f"a text file in UTF-8: {', '.join(ENDINGS[:-1])} or {ENDINGS[-1]}"
    if place.suffix.lower() not in ENDINGS:
        raise InputError(name, place, accepted)
    if not place.is_file():
        raise InputError(name, f"{place}, which is {'a folder' if place.is_dir() else 'not there'}", accepted)
    try:
        return place.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(name, place, accepted, "Save it as UTF-8.") from error


def _check_read(findings: Sequence[Finding]) -> None:
    if reading_of(findings).state != OVER:
        raise DesignError(NOT_READ)
