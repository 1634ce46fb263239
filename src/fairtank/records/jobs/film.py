"""A film of a trial, with the finding that it ends on."""

from dataclasses import fields
from datetime import date
from typing import Any

from fairtank.publish.film.wishes import FilmWishes
from fairtank.records.jobs.judge import judged_when_over
from fairtank.records.jobs.progress import Progress
from fairtank.records.models import Job
from fairtank.records.services.answers import answer_keep
from fairtank.records.services.filming import NOT_READ_IN_PAGES, film_make
from fairtank.records.services.working import opened, out_of


def film(job: Job, moves: Progress) -> dict[str, Any]:
    """Judge and film; given, all of it optional: the fields of `FilmWishes`.

    The content: `film`, `poster`, `poster_webp`, `before_after`, `pairs` (unit and file) and `times`, names in `out_of(trial)`; `seconds`,
    `size_px`, `size_bytes`, and `given`.
    """
    trial, today = job.trial, date.today()
    assert trial is not None
    with opened(trial, "jobs") as root:
        judged = judged_when_over(trial, root, moves, today, NOT_READ_IN_PAGES)
        files = film_make(judged=judged, out=out_of(trial), wishes=wishes_of(job.given), progress=moves)
    content = {
        "film": files.film.name, "poster": files.poster_jpg.name, "poster_webp": files.poster_webp.name,
        "before_after": files.before_after.name, "pairs": [[unit, place.name] for unit, place in files.pairs],
        "times": files.timeline_file.name, "seconds": files.timeline.seconds, "size_px": list(files.size_px),
        "size_bytes": files.film.stat().st_size, "given": job.given, "read_on": today.isoformat(),
    }  # fmt: skip
    answer_keep(trial=trial, kind="film", revision=trial.revision, content=content, digest=judged.folder.digest)
    return {"film": files.film.name}


def wishes_of(given: dict[str, Any]) -> FilmWishes:
    """What was asked for, as it was kept with the work; what it does not name is as usual."""
    known = {field.name for field in fields(FilmWishes)}
    told: dict[str, Any] = {name: tuple(value) if isinstance(value, list) else value for name, value in given.items()
                            if name in known}
    return FilmWishes(**told)
