"""The words for a video or an article about a trial, with what a text of the keeper's is held against."""

from datetime import date
from typing import Any

from fairtank.publish.strength.kept import findings_plain, series_plain
from fairtank.records.jobs.judge import judged_when_over
from fairtank.records.jobs.progress import Progress
from fairtank.records.models import Job
from fairtank.records.services.answers import answer_keep
from fairtank.records.services.wording import NOT_READ_IN_PAGES, words_of
from fairtank.records.services.working import opened, out_of


def words(job: Job, moves: Progress) -> dict[str, Any]:
    """Judge, and put the words together; given: `kit_link`, which may be missing.

    The content: `texts` by the name of their file, `findings` and `series` for the check, and `film`, the film whose times they follow.
    """
    trial, today = job.trial, date.today()
    assert trial is not None
    with opened(trial, "jobs") as root:
        judged = judged_when_over(trial, root, moves, today, NOT_READ_IN_PAGES)
        told = words_of(judged=judged, out=out_of(trial), kit_link=str(job.given.get("kit_link", "")))
    content = {"texts": told.texts, "film": told.film, "findings": findings_plain(judged.findings), "series": series_plain(judged.series),
               "given": job.given, "read_on": today.isoformat()}
    answer_keep(trial=trial, kind="words", revision=trial.revision, content=content, digest=judged.folder.digest)
    return {"files": sorted(told.texts)}
