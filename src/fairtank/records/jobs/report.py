"""The report of a trial, with the finding that it tells."""

from datetime import date
from typing import Any

from fairtank.records.jobs.judge import judged_when_over
from fairtank.records.jobs.progress import Progress
from fairtank.records.models import Job
from fairtank.records.services.answers import answer_keep
from fairtank.records.services.trials import judged_report
from fairtank.records.services.working import opened, out_of

NOT_READ = ("The report is written when the trial was read: its curves would show what nobody should see yet. "
            "The page “Finding” tells on which day that is.")


def report(job: Job, moves: Progress) -> dict[str, Any]:
    """Judge and write; `files` in the content are the names in `out_of(trial)`. A trial that is not over has no report yet."""
    trial, today = job.trial, date.today()
    assert trial is not None
    with opened(trial, "jobs") as root:
        judged = judged_when_over(trial, root, moves, today, NOT_READ)
        moves.ask()
        files = judged_report(judged=judged, out=out_of(trial))
    names = [place.name for place in files.all]
    sizes = {place.name: place.stat().st_size for place in files.all}
    content = {"files": names, "size_bytes": sizes, "read_on": today.isoformat()}
    answer_keep(trial=trial, kind="report", revision=trial.revision, content=content, digest=judged.folder.digest)
    return {"files": names}
