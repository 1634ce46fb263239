"""Several finished trials taken together."""

from typing import Any

from fairtank.records.jobs.progress import Progress
from fairtank.records.models import Job, Trial
from fairtank.records.services.shelf_pool import pool_report, pooled_content, shelf_pool


def pool(job: Job, moves: Progress) -> dict[str, Any]:
    """Judge each trial and pool them; given: `trials`, their keys, and which `measure` and `arm` are meant. See `pooled_content`."""
    trials = list(Trial.objects.filter(pk__in=job.given["trials"]).order_by("start", "pk"))
    together = shelf_pool(trials=trials, measure=job.given.get("measure", ""), arm=job.given.get("arm", ""), progress=moves)
    pool_report(job=job, together=together)
    return pooled_content(together, trials)
