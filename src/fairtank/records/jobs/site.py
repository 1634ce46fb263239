"""The public page of a trial, and its charts to take away, with the finding that they show."""

import shutil
from datetime import date
from pathlib import Path
from typing import Any

from fairtank.publish.chart_export.files import ChartWishes
from fairtank.records.exporters.plain_zip import folder_pack
from fairtank.records.jobs.judge import judged_when_over
from fairtank.records.jobs.progress import Progress
from fairtank.records.models import Job, Trial
from fairtank.records.services import charting, siting
from fairtank.records.services.answers import answer_keep
from fairtank.records.services.trials import JudgedTrial
from fairtank.records.services.working import opened, out_of

NOT_READ = ("This is made when the trial was read: it would show what nobody should see yet. "
            "The page “Finding” tells on which day that is.")
SITE_ZIP, CHARTS_ZIP = "site.zip", "charts.zip"


def site(job: Job, moves: Progress) -> dict[str, Any]:
    """Make the public page; given, all of it optional: `address`, and `kit` and `film`, names of files in `out_of(trial)`.

    The content: `files`, the names in the folder `site` of `out_of(trial)`; `size_bytes` of the ZIP file `site.zip` beside it; `given`.
    """
    trial, today = job.trial, date.today()
    assert trial is not None
    out = out_of(trial)
    with opened(trial, "jobs") as root:
        judged = _judged(trial, root, moves, today)
        place = siting.site_write(judged=judged, out=out, kit=_there(out, job.given.get("kit")), film=_there(out, job.given.get("film")),
                                  address=job.given.get("address", ""), progress=moves)
    return _kept(trial, judged, place, out / SITE_ZIP, "site", job.given, today)


def charts(job: Job, moves: Progress) -> dict[str, Any]:
    """Draw the charts; given: `shapes`, `themes`, `forms` and `series`, as `ChartWishes` has them.

    The content: as of `site`, for the folder `charts` and the ZIP file `charts.zip`.
    """
    trial, today = job.trial, date.today()
    assert trial is not None
    out = out_of(trial)
    with opened(trial, "jobs") as root:
        judged = _judged(trial, root, moves, today)
        shutil.rmtree(out / charting.FOLDER, ignore_errors=True)  # what was drawn before is no part of what is wished for now
        charting.charts_write(judged=judged, out=out, wishes=wishes_of(job.given), progress=moves)
    return _kept(trial, judged, out / charting.FOLDER, out / CHARTS_ZIP, "charts", job.given, today)


def wishes_of(given: dict[str, Any]) -> ChartWishes:
    """What was asked for, as it was kept with the work."""
    return ChartWishes(tuple(given["shapes"]), tuple(given["themes"]), tuple(given["forms"]), bool(given["series"]))


def _judged(trial: Trial, root: Path, moves: Progress, today: date) -> JudgedTrial:
    judged = judged_when_over(trial, root, moves, today, NOT_READ)
    moves.ask()
    return judged


def _there(out: Path, name: Any) -> Path | None:
    """A file of the results by its name, where it is still there."""
    place = out / str(name or "")
    return place if name and place.is_file() and place.resolve().is_relative_to(out.resolve()) else None


def _kept(trial: Trial, judged: JudgedTrial, place: Path, packed: Path, kind: str, given: dict[str, Any], today: date) -> dict[str, Any]:
    folder_pack(place, packed, top=f"{trial.slug}-{kind}")
    files = sorted(one.relative_to(place).as_posix() for one in place.rglob("*") if one.is_file())
    content = {"files": files, "size_bytes": packed.stat().st_size, "given": given, "read_on": today.isoformat()}
    answer_keep(trial=trial, kind=kind, revision=trial.revision, content=content, digest=judged.folder.digest)
    return {"files": len(files)}
