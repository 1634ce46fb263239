"""Work that is cut off, or finds the disk full, leaves nothing half and is neither lost nor done twice."""

import errno
import os
import time
import types
import zipfile
from itertools import pairwise
from pathlib import Path

import pytest
from django.utils import timezone
from tests.records.shelved import filed_shelf  # noqa: F401 - a fixture


def job_of(kind, **more):
    from fairtank.records.models import Job

    return Job.objects.create(kind=kind, state="running", attempts=2, begun_at=timezone.now(), heartbeat=timezone.now(), **more)


def disk_full(*_args, **_named):
    raise OSError(errno.ENOSPC, "No space left on device")


def files_below(root):
    return sorted(path.name for path in root.rglob("*") if path.is_file() and "sqlite3" not in path.name)


def test_a_backup_that_was_cut_off_leaves_one_file_whenever_that_was(filed_shelf):  # noqa: F811
    from fairtank.records.jobs.house import backup
    from fairtank.records.jobs.progress import Progress

    job, place = job_of("backup"), filed_shelf / "backups"
    place.mkdir()
    name = f"fairtank-{job.begun_at:%Y-%m-%d-%H%M%S}-{job.pk}.zip"
    (place / f".{name}.4711.partial").write_bytes(b"half")
    first = backup(job, Progress(job))
    assert [path.name for path in place.iterdir()] == [first["file"]] == [name]
    written = (place / name).stat().st_mtime_ns
    assert backup(job, Progress(job)) == first, "killed after the file lay there, before the row said so"
    assert [path.name for path in place.iterdir()] == [name]
    assert (place / name).stat().st_mtime_ns == written


def test_a_trial_that_was_taken_in_before_the_cut_counts_as_taken_in_once(shelf):
    from fairtank.records.jobs.progress import Progress
    from fairtank.records.jobs.taking_in import take_in
    from fairtank.records.models import Trial

    trial = Trial.objects.create(title="Taken in", slug="taken-in")
    there, gone = shelf / "derived" / "one.zip", shelf / "derived" / "put-away-already.zip"
    there.write_bytes(b"PK")
    for place in (there, gone):
        job = job_of("import", trial=trial, given={"path": str(place), "is_ours": True})
        assert take_in(job, Progress(job)) == {"trial": "taken-in"}
        assert not place.exists()
    assert Trial.objects.count() == 1


def test_what_killed_processes_left_goes_after_a_day_and_what_is_still_wanted_stays(shelf):
    from fairtank.records.jobs.housekeeping import leftovers_delete
    from fairtank.records.jobs.packed import INTAKE
    from fairtank.records.models import Job

    old, intake = time.time() - 90_000, shelf / INTAKE
    for folder in (intake / "fairtank-unpacked", shelf / "derived" / ".backup-x", shelf / "backups", shelf / "derived" / "uploads"):
        folder.mkdir(parents=True)
    wanted = intake / "wanted.zip"
    Job.objects.create(kind="import", state="waiting", given={"path": str(wanted)})
    Job.objects.create(kind="import", state="failed", given={"path": str(intake / "failed.zip")})
    kept = [wanted, shelf / "backups" / "fairtank-1.zip", shelf / "derived" / "uploads" / "a-table.kept"]
    left = [intake / "failed.zip", intake / "never-handed-in.zip", shelf / "backups" / ".fairtank-2.zip.12.partial",
            shelf / "derived" / "uploads" / "tmpabc.upload.jpg"]
    for place in (*kept, *left):
        place.write_bytes(b"x")
    for place in (*kept, *left, intake / "fairtank-unpacked", shelf / "derived" / ".backup-x"):
        os.utime(place, (old, old))
    young = intake / "being-sent.zip"
    young.write_bytes(b"x")
    assert leftovers_delete() == len(left) + 2
    assert files_below(shelf) == sorted(place.name for place in (*kept, young))


def test_pages_that_are_started_again_call_a_worker_for_what_was_handed_in(shelf, monkeypatch):
    from fairtank.cli import serving
    from fairtank.places import WORK_WAITS
    from fairtank.records.models import Job

    monkeypatch.setattr(serving, "end_with_parent", lambda: None)
    monkeypatch.setattr(serving.importlib, "import_module", lambda _: types.SimpleNamespace(answering=lambda: None, application="pages"))
    assert serving.loaded() == "pages"
    assert not (shelf / WORK_WAITS).exists()
    Job.objects.create(kind="check", state="waiting")
    serving.loaded()
    assert (shelf / WORK_WAITS).exists()


def test_a_process_that_dies_as_it_starts_waits_longer_each_time_and_one_that_lived_does_not(monkeypatch):
    from fairtank.cli import pages

    now, started = [1000.0], []
    monkeypatch.setattr(pages, "time", types.SimpleNamespace(monotonic=lambda: now[0]))
    kept = pages.Kept(["nothing"])

    def start():
        started.append(now[0])
        kept.started_at, kept.lived_s = now[0], 0.0

    monkeypatch.setattr(kept, "start", start)
    monkeypatch.setattr(kept, "_group_end", lambda _: None)
    kept.process = types.SimpleNamespace(poll=lambda: 1)
    start()
    while len(started) < 5:
        now[0] += 0.2
        kept.look()
    assert [round(later - earlier) for earlier, later in pairwise(started)] == [3, 6, 9, 12]
    now[0] += 100.0
    kept.look()
    assert started[-1] == now[0]


class Killed(BaseException):
    """In the place of a kill: nothing on the way makes up for it."""


def test_a_restore_killed_between_its_steps_leaves_one_whole_shelf_and_the_other_beside(filed_shelf, tmp_path, monkeypatch):  # noqa: F811
    from django.db import connection

    from fairtank import places
    from fairtank.records.models import Trial
    from fairtank.records.services import restoring
    from fairtank.records.services.backing_up import shelf_backup

    Trial.objects.create(title="As backed up", slug="one")
    made, rename = shelf_backup(path=tmp_path / "shelf.zip"), Path.rename
    Trial.objects.update(title="As it was before")

    def after_restore_killed(before_rename):
        done = []

        def renamed(self, target):
            if len(done) == before_rename:
                raise Killed
            done.append(target)
            return rename(self, target)

        with monkeypatch.context() as patched:
            patched.setattr(Path, "rename", renamed)
            patched.setattr(restoring.shutil, "rmtree", lambda *_args, **_named: None)  # who is killed tidies nothing
            with pytest.raises(Killed):
                restoring.shelf_restore(path=made.path, replace=True)
        connection.close()
        with monkeypatch.context() as patched:
            patched.setenv("FAIRTANK_DATA", str(filed_shelf))
            assert places.data_folder() == filed_shelf
        return Trial.objects.get().title, len(list(tmp_path.glob("data-before-*"))), len(list(tmp_path.glob(".data.*")))

    assert after_restore_killed(0) == ("As it was before", 0, 1)
    assert after_restore_killed(1) == ("As it was before", 0, 2)
    restoring._leftovers_delete(filed_shelf)  # what comes to nothing is deleted by the next restore
    assert after_restore_killed(2) == ("As backed up", 1, 0)


def test_a_full_disk_refuses_a_photo_in_a_sentence_and_keeps_nothing_of_it(shelf, monkeypatch):
    from tests.records.photo_shelf import picture

    from fairtank.errors import JobError
    from fairtank.records import photo_files
    from fairtank.records.photo_intake import photo_take_in

    files = photo_files.PhotoFiles(shelf / "photos")
    monkeypatch.setattr(photo_files.os, "fsync", disk_full)
    with pytest.raises(JobError, match=r"^tank\.jpg could not be kept: .*Nothing of it was stored\. Make room"):
        photo_take_in(picture("T1", 1), "tank.jpg", files=files)
    assert files_below(shelf) == []


def test_a_full_disk_refuses_a_backup_in_a_sentence_and_keeps_nothing_of_it(filed_shelf, monkeypatch):  # noqa: F811
    from fairtank.errors import JobError
    from fairtank.records.services.backing_up import shelf_backup

    monkeypatch.setattr(zipfile.ZipFile, "open", disk_full)
    place = filed_shelf / "backups"
    with pytest.raises(JobError, match=r"cannot be written: .*The shelf is as it was\."):
        shelf_backup(path=place / "shelf.zip")
    assert files_below(filed_shelf) == []
    assert not list((filed_shelf / "derived").glob(".backup-*"))
