"""How the tanks may go, with one chart for each measure."""

from dataclasses import replace
from typing import Any

from fairtank.publish.page_chart import page_chart_json
from fairtank.publish.page_foresight import forecast_caption, forecast_page_charts
from fairtank.records.jobs.progress import Progress
from fairtank.records.models import Job
from fairtank.records.services.answers import answer_keep
from fairtank.records.services.forecasting import forecast_json, trial_forecast
from fairtank.records.services.working import opened, out_of

_ASKED = ("days", "members", "seed", "soil")


def forecast(job: Job, moves: Progress) -> dict[str, Any]:
    """Run the model; given, all of it optional: days, members, seed, soil, as the command's options of these names.

    The content: `text`, which is what the command prints with --json, `charts`, how they are read, and `given`.
    """
    trial = job.trial
    assert trial is not None
    given = {name: job.given[name] for name in _ASKED if name in job.given}
    with opened(trial, "jobs") as root:
        found = trial_forecast(root=root, out=out_of(trial), progress=moves, **given)
    found, plan = replace(found, chart=None, phone_chart=None), found.folder.plan
    content = {"text": forecast_json(found), "charts": [page_chart_json(chart) for chart in forecast_page_charts(found.forecast, plan)],
               "caption": forecast_caption(found.forecast, plan), "given": given}
    answer_keep(trial=trial, kind="forecast", revision=trial.revision, content=content, digest=found.folder.digest)
    return {}
