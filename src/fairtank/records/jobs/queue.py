"""Work is handed in, and asked to stop."""

from typing import Any

from django.db import transaction
from django.utils import timezone

from fairtank.errors import InputError
from fairtank.records.jobs.carrier import handed_in, withdrawn
from fairtank.records.jobs.kinds import KINDS
from fairtank.records.models import Job, Trial
from fairtank.records.services.trail import By


def enqueue(*, kind: str, by: By, trial: Trial | None = None, given: dict[str, Any] | None = None) -> Job:
    """Hand in a piece of work; the same for the same trial that waits already is given back instead.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    by : By
    trial : Trial, optional
        What it is about.
    given : mapping, optional
        What it is asked, fit for JSON.

    Returns
    -------
    Job
        That waits.

    Raises
    ------
    InputError
        If there is no such kind, or it needs a trial.

    References
    ----------
    common_practice (keys from sources.py).
    """
    if kind not in KINDS:
        raise InputError("the work", kind, f"one of {', '.join(KINDS)}")
    if trial is None and KINDS[kind].is_answer:
        raise InputError("the trial", "not given", "the trial that this work is about")
    asked = given or {}
    with transaction.atomic():
        if trial is not None:
            Trial.everything.select_for_update().get(pk=trial.pk)  # two who ask at once come one after the other
            for there in Job.objects.filter(trial=trial, kind=kind, state="waiting", wanted_stop=False):
                if there.given == asked:
                    return there
        job = Job.objects.create(kind=kind, trial=trial, subject=str(trial or "")[:300], by=by.name[:100], user=by.user, given=asked)
        job.task = handed_in(job.pk)
        job.save(update_fields=["task"])
    return job


def stop(*, job: Job) -> Job:
    """Ask a piece of work to stop: what waits is cancelled at once, what runs stops at its next step and keeps what it stored.

    Parameters
    ----------
    job : Job
        Any; one that is over stays as it is.

    Returns
    -------
    Job
        As it is now.

    References
    ----------
    common_practice (keys from sources.py).
    """
    with transaction.atomic():
        if Job.objects.filter(pk=job.pk, state="waiting").update(state="cancelled", wanted_stop=True, ended_at=timezone.now()):
            withdrawn(job.task)
        else:
            Job.objects.filter(pk=job.pk, state="running").update(wanted_stop=True)
    job.refresh_from_db()
    return job
