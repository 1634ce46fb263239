"""Work behind the pages: handed in, done, stopped, failed."""

import time
from datetime import timedelta

import pytest
from django.utils import timezone

from fairtank.errors import InputError


@pytest.fixture
def known(shelf, monkeypatch):
    """Kinds of work for tests are in the list."""
    from tests.records import job_works

    from fairtank.records.jobs import kinds

    for name in ("count", "stopped_half_way", "refused", "broken", "taken_over", "ended_from_outside"):
        monkeypatch.setitem(kinds.KINDS, name, job_works.kind(name))
    return shelf


@pytest.fixture
def trial(shelf):
    from fairtank.records.models import Trial

    return Trial.objects.create(slug="glass", title="One cover glass more")


@pytest.fixture
def handed_in(known):
    """Hands in work as the keeper."""
    from fairtank.records.jobs.queue import enqueue
    from fairtank.records.services.trail import KEEPER

    def handed_in(kind, trial=None, **given):
        return enqueue(kind=kind, by=KEEPER, trial=trial, given=given)

    return handed_in


@pytest.fixture
def after(handed_in):
    """The row after one piece of work was taken from the queue and done."""
    from fairtank.records.jobs.worker import work_once

    def after(kind, trial=None, **given):
        job = handed_in(kind, trial, **given)
        assert work_once()
        job.refresh_from_db()
        return job

    return after


def _steps():
    from fairtank.records.models import Setting

    return sorted(Setting.objects.values_list("key", flat=True))


def test_work_that_was_handed_in_is_done_once(after):
    from fairtank.records.jobs.worker import work_once

    job = after("count", steps=3)
    assert (job.state, job.done, job.total, job.attempts, job.result) == ("done", 3, 3, 1, {"counted": 3})
    assert job.begun_at <= job.heartbeat <= job.ended_at
    assert not work_once()


def test_the_task_of_the_queue_holds_nothing_but_the_key_of_the_row(handed_in):
    from django_tasks_db.models import DBTaskResult

    job = handed_in("count", secret="what somebody typed")
    assert DBTaskResult.objects.get(pk=job.task).args_kwargs == {"args": [job.pk], "kwargs": {}}


def test_the_same_work_for_the_same_trial_that_waits_is_not_handed_in_twice(handed_in, trial):
    from fairtank.records.models import Job

    first = handed_in("count", trial, steps=2)
    assert handed_in("count", trial, steps=2) == first
    assert handed_in("count", trial, steps=3) != first
    assert handed_in("broken", trial) != first
    assert Job.objects.count() == 3


def test_work_on_no_trial_is_handed_in_as_often_as_it_is_asked(handed_in):
    assert handed_in("count") != handed_in("count")


def test_a_task_that_was_handed_in_twice_does_nothing_the_second_time(after):
    from fairtank.records.jobs.running import OVER, run

    job = after("count")
    assert run(job.pk) == OVER
    job.refresh_from_db()
    assert job.attempts == 1


@pytest.mark.parametrize(("kind", "refusal"), [("dust", "the work is dust; accepted: one of measure"), ("judge", "the trial is not given")])
def test_work_that_nobody_can_do_is_refused(handed_in, kind, refusal):
    with pytest.raises(InputError, match=refusal):
        handed_in(kind)


def test_work_that_waits_is_cancelled_at_once(handed_in):
    from fairtank.records.jobs.queue import stop
    from fairtank.records.jobs.worker import work_once

    job = stop(job=handed_in("count"))
    assert (job.state, job.is_over) == ("cancelled", True)
    assert not work_once()
    assert _steps() == []


def test_work_that_is_stopped_half_way_keeps_what_it_stored(after):
    job = after("stopped_half_way")
    assert (job.state, job.reason) == ("cancelled", "")
    assert _steps() == ["step 0", "step 1"]


def test_what_is_over_cannot_be_stopped_any_more(after):
    from fairtank.records.jobs.queue import stop

    assert stop(job=after("count")).state == "done"


def test_a_refusal_is_told_as_it_is(after):
    job = after("refused")
    assert (job.state, job.reason) == ("failed", "The plan has no primary measure. Name one.")


def test_a_fault_of_the_program_is_told_in_words_and_written_down_whole(after, known):
    job = after("broken")
    assert job.state == "failed"
    assert "a fault of fairtank, not of your trial" in job.reason
    assert f"log/jobs.log, entry of job {job.pk}" in job.reason
    assert "secret" not in job.reason
    assert "Traceback" not in job.reason
    told = (known / "log" / "jobs.log").read_text(encoding="utf-8")
    assert f"job {job.pk}, broken" in told
    assert "KeyError: 'secret of the program'" in told


def test_a_full_disk_is_told_as_such(after, monkeypatch):
    import errno

    from tests.records import job_works

    def full(job, moves):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(job_works, "count", full)
    assert after("count").reason.startswith("The disk is full.")


def test_a_run_whose_row_was_given_to_somebody_else_ends_and_changes_nothing(after):
    job = after("taken_over")
    assert (job.state, job.attempts) == ("running", 2)
    assert _steps() == []


def test_work_on_a_trial_that_was_taken_away_is_not_begun(handed_in, trial):
    from fairtank.records.jobs.worker import work_once
    from fairtank.records.models import Trial

    job = handed_in("count", trial)
    Trial.everything.filter(pk=trial.pk).update(removed_at=timezone.now())
    assert work_once()
    job.refresh_from_db()
    assert (job.state, job.reason, _steps()) == ("cancelled", "The trial was taken away.", [])


def test_two_pieces_of_work_on_one_trial_come_one_after_the_other(handed_in, trial):
    from fairtank.records.jobs.worker import work_once
    from fairtank.records.models import Job

    first, second = handed_in("count", trial), handed_in("broken", trial)
    Job.objects.filter(pk=first.pk).update(state="running", heartbeat=timezone.now())
    assert work_once()  # the task of the first does nothing
    assert work_once()
    second.refresh_from_db()
    assert second.state == "waiting"
    assert not work_once()  # it is looked at again after a while, not at once


def test_a_process_that_ends_puts_its_work_back_and_the_attempt_is_not_counted(handed_in):
    from fairtank.records.jobs.progress import ENDING
    from fairtank.records.jobs.worker import work_once

    job = handed_in("count")
    ENDING.set()
    try:
        assert work_once()
    finally:
        ENDING.clear()
    job.refresh_from_db()
    assert (job.state, job.attempts, _steps()) == ("waiting", 0, ["step 0"])
    assert work_once()
    job.refresh_from_db()
    assert (job.state, len(_steps())) == ("done", 4)


def test_a_worker_that_is_asked_to_end_finishes_its_step_and_leaves_the_rest_to_the_next(handed_in):
    import signal
    import threading

    from fairtank.records.jobs.worker import work_forever

    assert threading.current_thread() is threading.main_thread()  # else nobody would hear the signal
    before = signal.getsignal(signal.SIGTERM)
    job = handed_in("ended_from_outside")
    work_forever()
    job.refresh_from_db()
    assert (job.state, job.attempts, _steps()) == ("waiting", 0, ["step 0"])
    assert signal.getsignal(signal.SIGTERM) == before


def test_a_worker_with_a_parent_ends_when_nothing_is_left_and_is_called_by_the_next_piece_of_work(handed_in, monkeypatch, shelf):
    from django.test import TestCase

    from fairtank.places import WORK_WAITS
    from fairtank.records.jobs import worker
    from fairtank.records.jobs.recovery import work_is_left

    monkeypatch.setattr(worker, "_RENEWED_S", 0.05)
    monkeypatch.setattr(worker, "PAUSE_S", 0.02)
    with TestCase.captureOnCommitCallbacks(execute=True):
        job = handed_in("count")
    assert (shelf / WORK_WAITS).exists()
    assert work_is_left()
    worker.work_forever(with_parent=True)
    job.refresh_from_db()
    assert (job.state, work_is_left(), (shelf / WORK_WAITS).exists()) == ("done", False, False)
    with TestCase.captureOnCommitCallbacks(execute=True):
        handed_in("count")
    assert (shelf / WORK_WAITS).exists()


def test_the_shelf_is_tidied_once_a_day_by_a_worker_that_has_nothing_else_to_do(shelf, monkeypatch):
    import os

    from django.contrib.sessions.backends.db import SessionStore
    from django.contrib.sessions.models import Session

    from fairtank.records.jobs.housekeeping import tidied_daily

    over, valid = SessionStore(), SessionStore()
    over.set_expiry(-60)
    over.create()
    valid.create()
    assert tidied_daily()
    assert [row.pk for row in Session.objects.all()] == [valid.session_key]
    assert not tidied_daily()
    long_ago = time.time() - 25 * 3600
    os.utime(shelf / "derived" / "tidied", (long_ago, long_ago))
    assert tidied_daily()


def test_progress_is_written_at_most_once_a_second_and_at_the_end(handed_in):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from fairtank.records.jobs.worker import work_once

    handed_in("count", steps=200)
    with CaptureQueriesContext(connection) as asked:
        begun = time.monotonic()
        assert work_once()
        took_s = time.monotonic() - begun
    changes = [one["sql"] for one in asked if one["sql"].startswith('UPDATE "records_job"')]
    beats = [sql for sql in changes if '"heartbeat"' in sql and '"done"' in sql]
    assert 2 <= len(beats) <= 2 + took_s


def test_what_was_over_for_30_days_is_forgotten(after, handed_in):
    from django_tasks_db.models import DBTaskResult

    from fairtank.records.jobs.recovery import old_forgotten
    from fairtank.records.models import Job

    old, new, waiting = after("count"), after("count"), handed_in("count")
    long_ago = timezone.now() - timedelta(days=31)
    Job.objects.filter(pk=old.pk).update(ended_at=long_ago)
    Job.objects.filter(pk=waiting.pk).update(made_at=long_ago)
    DBTaskResult.objects.filter(pk=old.task).update(finished_at=long_ago)
    old_forgotten()
    assert set(Job.objects.all()) == {new, waiting}
    assert {str(task.pk) for task in DBTaskResult.objects.all()} == {new.task, waiting.task}
