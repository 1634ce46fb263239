"""What only some onlookers see: work under way, trials taken together, people and their phones, a folder as it lies on disk."""

import shutil
import tempfile
from datetime import timedelta
from pathlib import Path

from page_pictures.makers import by, worked

PASSWORD = "seven quiet pearl danios"


def work_begun(found: dict[str, str]) -> None:
    """A piece of work in the middle of it."""
    from django.utils import timezone

    from fairtank.records.models import Job, Trial

    now = timezone.now()
    job = Job.objects.create(trial=Trial.objects.get(slug=found["running"]), kind="measure", by="Quorim", state="running",
                             done=34, total=58, left_s=95, attempts=1, begun_at=now - timedelta(seconds=130), heartbeat=now)
    found["job"] = str(job.pk)


def work_ended(found: dict[str, str]) -> None:
    """It was only for its picture."""
    from fairtank.records.models import Job

    Job.objects.filter(pk=found["job"]).delete()


def trials_pooled(found: dict[str, str]) -> None:
    """Four invented trials of one question, taken together."""
    from fairtank.records.jobs.queue import enqueue
    from fairtank.records.services.examples import example_make
    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.shelf_pool import pool_ask

    trials = []
    with tempfile.TemporaryDirectory() as place:
        for seed in range(1, 5):
            root = Path(place) / f"repeat-{seed}"
            example_make(design="side_by_side", root=root, seed=seed)
            trials.append(trial_import(root=root, by=by(), title=f"Repeat {seed} in other tanks (invented)"))
            enqueue(kind="judge", trial=trials[-1], by=by())
    worked()
    found["pooled"] = str(pool_ask(trials=trials, by=by()).pk)
    worked()


def people_made(found: dict[str, str]) -> None:
    """Phones that are paired, accounts, and members of the running trial."""
    from django.contrib.auth import get_user_model

    from fairtank.records.models import Member, Trial
    from fairtank.records.services.accounts import account_add
    from fairtank.records.services.members import invitation_make
    from fairtank.records.services.pairing import code_make, phone_pair

    found["phone_secret"] = phone_pair(code=code_make(by=by()), name="Kitchen phone")[1]
    phone_pair(code=code_make(by=by()), name="Mira's phone")
    owner = account_add(name="quorim", password=PASSWORD, by=by(), is_keeper=True)
    Trial.objects.update(owner=owner)
    trial = Trial.objects.get(slug=found["running"])
    for name, role in (("mira", "rater"), ("tavo", "helper")):
        Member.objects.create(trial=trial, user=account_add(name=name, password=PASSWORD, by=by(), begins_trials=False), role=role)
    invitation_make(trial=trial, role="reader", by=by(), note="Ostrevel club")
    assert get_user_model().objects.count() == 3


def folder_copied(demo: Path, work: Path) -> Path:
    """The demo folder with its results, to be shown as it lies on disk."""
    target = work / "dark-break"
    if not target.exists():
        shutil.copytree(demo / "midday", target)
    return target
