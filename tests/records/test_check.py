"""A check finds what was planted, names it, and finds nothing where nothing is wrong."""

import os
import time
from datetime import timedelta

import pytest
from tests.records.shelved import damage, filed_shelf, photo_place, shelved  # noqa: F401 - a fixture


@pytest.fixture
def trial(shelf, tmp_path):
    return shelved(tmp_path)


def check():
    from fairtank.records.services.checking import shelf_check

    return shelf_check()


def test_a_shelf_on_which_nothing_happened_is_clean(trial):
    found = check()
    assert (found.faults, found.notes) == ((), ())
    assert found.counts == {"trials": 1, "photos": 5}


def test_an_empty_shelf_is_clean(shelf):
    assert check().is_clean


def test_one_flipped_bit_of_one_photo_is_found_and_the_photo_named(trial):
    damage(photo_place(trial, 1))
    (fault,) = check().faults
    assert trial.photo_set.order_by("pk")[1].path in fault
    assert trial.title in fault
    assert "bytes have changed" in fault


def test_a_photo_that_is_gone_is_named(trial):
    photo_place(trial, 2).unlink()
    (fault,) = check().faults
    assert trial.photo_set.order_by("pk")[2].path in fault
    assert "is missing" in fault


def test_strokes_that_are_gone_are_named(trial):
    from fairtank.records.models import Stroke
    from fairtank.records.shelf_photos import photo_files

    photo_files().path_of(Stroke.objects.get().sha256).unlink()
    (fault,) = check().faults
    assert "labels/" in fault


def test_a_photo_that_no_row_names_is_told_and_harms_nothing(trial):
    from fairtank.records.shelf_photos import photo_files

    photo_files().put(iter([b"nobody knows me"]))
    found = check()
    assert found.is_clean
    assert found.notes == ("1 photos are kept that no row names; they go by themselves a day after they came.",)


def test_something_else_among_the_photos_is_told(trial, shelf):
    (shelf / "photos" / "holiday.txt").write_text("x", encoding="utf-8")
    assert check().notes == ("holiday.txt lies among the photos and is none of them. Look at it, and move it elsewhere.",)


def test_a_day_that_does_not_follow_from_its_time_is_found(trial):
    from fairtank.records.models import Reading

    Reading.objects.filter(trial=trial, value=6.8).update(day=3)
    (fault,) = check().faults
    assert "1 rows of readings.csv stand on another day" in fault


def test_a_row_that_was_changed_behind_the_back_of_its_table_is_found(trial):
    from fairtank.records.models import Reading

    Reading.objects.filter(trial=trial, value=6.8).update(value=7.0)
    (fault,) = check().faults
    assert "the rows of readings.csv are not what its text says" in fault


def test_a_row_that_was_changed_with_a_note_is_in_order(trial):
    from fairtank.records.models import Reading
    from fairtank.records.services.trail import KEEPER, noted

    Reading.objects.filter(trial=trial, value=6.8).update(value=7.0)
    noted(by=KEEPER, verb="change", said="Mended it.", trial=trial, tables=("readings",))
    assert check().is_clean


def test_a_plan_that_is_gone_is_found(trial):
    from fairtank.records.models import Document

    Document.objects.filter(trial=trial, path="trial.toml").delete()
    (fault,) = check().faults
    assert "its plan, trial.toml, is gone" in fault


def test_a_reference_that_leads_nowhere_is_found(filed_shelf):  # noqa: F811 - the fixture again
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("PRAGMA foreign_keys=OFF")
        cursor.execute("INSERT INTO records_arm (trial_id, key, role, name, place) VALUES (999, 'R', 'reference', '', 0)")
    (fault,) = check().faults
    assert fault == "1 rows of records_arm refer to rows of records_trial that are not there. Restore a backup: fairtank restore."


def test_a_database_that_is_damaged_is_said_to_be(filed_shelf):  # noqa: F811 - the fixture again
    from django.db import connection

    from fairtank.records.models import Setting

    Setting.objects.bulk_create(Setting(key=f"key {number}", value="x" * 500) for number in range(300))
    connection.cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    place = filed_shelf / "shelf.sqlite3"
    content = bytearray(place.read_bytes())
    content[-60_000:-20_000] = bytes(40_000)
    place.write_bytes(content)
    (fault,) = check().faults
    assert fault.startswith("The database is damaged (")


def test_half_written_files_are_told_once_they_are_old(trial, shelf):
    place = shelf / "derived" / ".photos.csv.77.tmp"
    place.parent.mkdir(exist_ok=True)
    place.write_text("half", encoding="utf-8")
    assert check().notes == ()
    os.utime(place, (time.time() - 7200,) * 2)
    (note,) = check().notes
    assert ".photos.csv.77.tmp" in note


def test_work_that_gives_no_sign_of_life_is_told(trial):
    from django.utils import timezone

    from fairtank.records.models import Job

    Job.objects.create(trial=trial, kind="judge", state="running", heartbeat=timezone.now() - timedelta(minutes=11))
    Job.objects.create(trial=trial, kind="judge", state="running", heartbeat=timezone.now())
    found = check()
    assert found.is_clean
    assert found.notes[0].startswith("1 pieces of work gave no sign of life for 10 minutes.")


def test_what_is_wrong_is_the_exit_code_of_the_command(trial, capsys):
    from tests.cli.running import run_here

    photo_place(trial).unlink()
    ran = run_here(capsys, "check")
    assert ran.code == 1
    assert "the photo is missing" in ran.out
