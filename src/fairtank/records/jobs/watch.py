"""Whether the tanks drift apart, with one chart for each factor."""

from dataclasses import replace
from typing import Any

from fairtank.publish.page_chart import page_chart_json
from fairtank.publish.page_watch import watch_caption, watch_charts
from fairtank.publish.watch_words import table_rows
from fairtank.records.jobs.progress import Progress
from fairtank.records.models import Job
from fairtank.records.services.answers import answer_keep
from fairtank.records.services.watching import trial_watch, watch_json
from fairtank.records.services.working import opened, out_of


def watch(job: Job, moves: Progress) -> dict[str, Any]:
    """Compare; the content: `text`, which is what the command prints with --json, `charts`, how they are read, `rows` of all factors."""
    trial = job.trial
    assert trial is not None
    with opened(trial, "jobs") as root:
        found = replace(trial_watch(root=root, out=out_of(trial)), chart=None, phone_chart=None)
    moves.ask()
    plan = found.folder.plan
    content = {"text": watch_json(found), "charts": [page_chart_json(chart) for chart in watch_charts(found.watch, plan)],
               "caption": watch_caption(plan), "rows": table_rows(found.watch, plan)}
    answer_keep(trial=trial, kind="watch", revision=trial.revision, content=content, digest=found.folder.digest)
    return {}
