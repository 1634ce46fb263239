"""A round is over: its photos are measured, once anybody drew where the glass stands in them."""

from fairtank.records.jobs.queue import enqueue
from fairtank.records.models import Frame, Job, Photo, Round, Trial
from fairtank.records.rows.framed import photos_without_frame
from fairtank.records.services.trail import By


def round_measure(*, trial: Trial, found: Round, by: By) -> Job | None:
    """Hand in the measuring of what a round brought; None while it goes on, or where no photo of it has a frame.

    Parameters
    ----------
    trial : Trial
    found : Round
        Of that trial.
    by : By

    Returns
    -------
    Job or None

    References
    ----------
    common_practice (keys from sources.py).
    """
    if found.ended_at is None or not Frame.objects.filter(trial=trial).exists():
        return None
    taken = set(Photo.objects.filter(trial=trial, round=found).values_list("pk", flat=True))
    return enqueue(kind="measure", trial=trial, by=by) if taken - photos_without_frame(trial) else None
