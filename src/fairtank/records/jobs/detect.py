"""What the trial could show, with cost against the smallest difference."""

from dataclasses import replace
from typing import Any

from fairtank.inference.foresight.showing import Prices
from fairtank.publish.page_chart import page_chart_json
from fairtank.publish.page_foresight import frontier_page_chart
from fairtank.records.jobs.progress import Progress
from fairtank.records.models import Job
from fairtank.records.services.answers import answer_keep
from fairtank.records.services.detecting import detect_json, trial_detect
from fairtank.records.services.working import opened, out_of


def detect(job: Job, moves: Progress) -> dict[str, Any]:
    """Work it out; given, all of it optional: reference, sd, tanks, tank_cost, day_cost, as the command's options of these names.

    The content: `text`, which is what the command prints with --json, `charts`, and `given`.
    """
    trial, given = job.trial, job.given
    assert trial is not None
    prices = Prices(given.get("tank_cost") or 0.0, given.get("day_cost") or 0.0) if {"tank_cost", "day_cost"} & set(given) else None
    with opened(trial, "jobs") as root:
        found = trial_detect(root=root, out=out_of(trial), reference=given.get("reference"), sd=given.get("sd"),
                             tanks=given.get("tanks", "new"), prices=prices, progress=moves)
    found = replace(found, chart=None, phone_chart=None)
    content = {"text": detect_json(found), "charts": [page_chart_json(frontier_page_chart(found.showing))], "given": given}
    answer_keep(trial=trial, kind="detect", revision=trial.revision, content=content, digest=found.folder.digest)
    return {}
