"""Work that tests hand in: it counts, breaks off, or fails in different ways."""

import os
import signal
import time

from fairtank.errors import DesignError
from fairtank.records.jobs.kinds import KINDS, JobKind
from fairtank.records.jobs.queue import stop
from fairtank.records.models import Job, Setting

ROOM = "tests.records.job_works."


def kind(name):
    """A kind of work whose function is one of this file."""
    return JobKind(name, f"Trying {name}", "steps", ROOM + name, is_answer=False)


def known(*names):
    """Put kinds into the list, in a process of its own."""
    KINDS.update({name: kind(name) for name in names})


def count(job, moves):
    """Each step leaves something; what an earlier attempt left is not done again."""
    there = set(Setting.objects.values_list("key", flat=True))
    for step in range(job.given.get("steps", 4)):
        if f"step {step}" not in there:
            Setting.objects.create(key=f"step {step}", value=job.attempts)
        moves(step + 1, job.given.get("steps", 4))
        time.sleep(job.given.get("pause_s", 0))
    return {"counted": Setting.objects.count()}


def stopped_half_way(job, moves):
    """Somebody asks it to stop after its second step."""
    for step in range(4):
        Setting.objects.create(key=f"step {step}", value=step)
        if step == 1:
            stop(job=Job.objects.get(pk=job.pk))
        moves(step + 1, 4)


def refused(job, moves):
    """Fails with a sentence for people."""
    raise DesignError("The plan has no primary measure. Name one.")


def broken(job, moves):
    """Fails as programs do."""
    return {}["secret of the program"]


def taken_over(job, moves):
    """Somebody else was given the row meanwhile."""
    Job.objects.filter(pk=job.pk).update(attempts=job.attempts + 1)
    moves(4, 4)
    Setting.objects.create(key="went on", value=1)


def ended_from_outside(job, moves):
    """Somebody asks this process to end after the first step of the first attempt."""
    for step in range(3):
        there = Setting.objects.count()
        Setting.objects.create(key=f"step {there}", value=step)
        if there == 0:
            os.kill(os.getpid(), signal.SIGTERM)
        moves(step + 1, 3)
