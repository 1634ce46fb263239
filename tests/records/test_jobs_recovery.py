"""Work of a worker that was killed goes on."""

import os
import signal
import subprocess
import sys
from datetime import timedelta
from pathlib import Path

import pytest
from django.utils import timezone

HERE = Path(__file__).resolve().parent.parent.parent
# One process, so that libraries are loaded once: it splits, one half takes the work and is killed, the other one goes on.
KILLED_AND_GONE_ON = """
import os, signal, time
import django
django.setup()
from django.conf import settings
from django.core.management import call_command
from django.db import connection
from fairtank.records.jobs.queue import enqueue
from fairtank.records.jobs.recovery import recovered
from fairtank.records.jobs.worker import work_once
from fairtank.records.models import Job, Setting
from fairtank.records.services.trail import KEEPER
from tests.records import job_works

job_works.known("count")
settings.MIGRATION_MODULES = dict.fromkeys(("records", "auth", "contenttypes", "sessions", "django_tasks_database"))
call_command("migrate", run_syncdb=True, verbosity=0)
enqueue(kind="count", by=KEEPER, given={"steps": 5, "pause_s": 0.2})
connection.close()
half = os.fork()
if not half:
    work_once()
    os._exit(0)
while not Setting.objects.exists():
    time.sleep(0.02)
os.kill(half, signal.SIGKILL)
_, status = os.waitpid(half, 0)
found = recovered()
Job.objects.update(given={"steps": 5})
work_once()
job = Job.objects.get()
print(os.WTERMSIG(status), found, job.state, job.attempts, job.done, *Setting.objects.order_by("key").values_list("value", flat=True))
"""


@pytest.fixture
def running(shelf, monkeypatch):
    """A piece of work that somebody took and gave a sign of life at some time."""
    from django_tasks_db.models import DBTaskResult
    from tests.records import job_works

    from fairtank.records.jobs import kinds
    from fairtank.records.jobs.queue import enqueue
    from fairtank.records.models import Job
    from fairtank.records.services.trail import KEEPER

    monkeypatch.setitem(kinds.KINDS, "count", job_works.kind("count"))

    def running(silent_s, attempts=1, **more):
        job = enqueue(kind="count", by=KEEPER)
        heard = timezone.now() - timedelta(seconds=silent_s)
        Job.objects.filter(pk=job.pk).update(state="running", attempts=attempts, heartbeat=heard, begun_at=heard, **more)
        DBTaskResult.objects.filter(pk=job.task).update(status="RUNNING", started_at=heard)
        return job

    return running


def _after(job):
    from fairtank.records.jobs.recovery import recovered

    found = recovered()
    job.refresh_from_db()
    return found, job.state


def test_work_that_gave_no_sign_of_life_for_a_minute_waits_again_and_is_done(running):
    from fairtank.records.jobs.worker import work_once

    job = running(61)
    assert _after(job) == (1, "waiting")
    assert work_once()
    job.refresh_from_db()
    assert (job.state, job.attempts) == ("done", 2)


def test_work_that_lives_is_left_alone(running):
    assert _after(running(50)) == (0, "running")


def test_work_whose_lock_is_free_is_abandoned_whenever_it_was_heard_of(running):
    from fairtank.records.jobs.running import lock_of

    job = running(0)
    lock_of(job.pk).parent.mkdir(parents=True)
    lock_of(job.pk).touch()
    assert _after(job) == (1, "waiting")


def test_work_whose_lock_is_held_lives_even_when_it_is_silent(running):
    from fairtank.records.jobs.running import lock_of
    from fairtank.records.locks import locked

    job = running(600)
    with locked(lock_of(job.pk)):
        assert _after(job) == (0, "running")
    assert _after(job) == (1, "waiting")


def _cut_off(job, done, times=1):
    """Its state after it was begun again and cut off, each time at the same place."""
    from fairtank.records.models import Job

    states = []
    for _ in range(times):
        job.refresh_from_db()
        Job.objects.filter(pk=job.pk).update(state="running", attempts=job.attempts + 1, done=done, total=9,
                                             heartbeat=timezone.now() - timedelta(seconds=61))
        states.append(_after(job)[1])
    return states


def test_work_that_is_cut_off_three_times_at_the_same_place_has_failed_with_a_reason(running):
    from fairtank.records.jobs.worker import work_once

    job = running(61)
    assert _after(job) == (1, "waiting")
    assert _cut_off(job, 0, times=2) == ["waiting", "failed"]
    assert (job.reason[:46], job.attempts) == ("This work was cut off 3 times at the same plac", 3)
    assert not work_once()


def test_work_that_gets_further_each_time_is_never_given_up(running):
    job = running(61)
    assert _after(job) == (1, "waiting")
    assert [_cut_off(job, done) for done in range(1, 8)] == [["waiting"]] * 7
    assert _cut_off(job, 7, times=2) == ["waiting", "failed"]


def test_abandoned_work_that_was_asked_to_stop_is_cancelled(running):
    assert _after(running(61, wanted_stop=True)) == (1, "cancelled")


@pytest.mark.parametrize("lost", [{"status": "SUCCESSFUL"}, {"status": "RUNNING"}, None])
def test_work_that_waits_and_that_the_queue_lost_is_handed_in_again(running, lost):
    from django_tasks_db.models import DBTaskResult

    from fairtank.records.jobs.worker import work_once
    from fairtank.records.models import Job

    job, long_ago = running(61), timezone.now() - timedelta(seconds=90)
    Job.objects.filter(pk=job.pk).update(state="waiting", made_at=long_ago)
    tasks = DBTaskResult.objects.filter(pk=job.task)
    if lost is None:
        tasks.delete()
    else:
        tasks.update(started_at=long_ago, **lost)
    assert _after(job) == (1, "waiting")
    assert work_once()
    job.refresh_from_db()
    assert job.state == "done"
    assert _after(job) == (0, "done")


def test_a_worker_that_is_killed_loses_nothing_and_the_next_one_goes_on_where_it_was(tmp_path):
    own = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    own |= {"FAIRTANK_DATA": str(tmp_path), "DJANGO_SETTINGS_MODULE": "fairtank.settings", "PYTHONPATH": str(HERE)}
    told = subprocess.run([sys.executable, "-c", KILLED_AND_GONE_ON], env=own, capture_output=True, cwd=tmp_path, text=True, check=True)
    by, found, state, attempts, done, *steps = told.stdout.split()
    assert (int(by), found, state, attempts, done, len(steps)) == (signal.SIGKILL, "1", "done", "2", "5", 5)
    assert steps[0] == "1"  # done by the one that was killed, and not done again
    assert steps[-1] == "2"
