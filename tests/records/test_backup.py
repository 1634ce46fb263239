"""A backup holds everything and comes back as it was; one that was tampered with changes nothing."""

import json
import zipfile

import pytest
from tests.records.shelved import damage, filed_shelf, photo_place, shelved  # noqa: F401 - a fixture


@pytest.fixture
def trial(filed_shelf, tmp_path):  # noqa: F811 - the fixture again
    return shelved(tmp_path)


@pytest.fixture
def backup(trial, tmp_path):
    from fairtank.records.services.backing_up import shelf_backup

    return shelf_backup(path=tmp_path / "shelf.zip")


def inside(path):
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_a_backup_holds_every_photo_under_its_digest_and_the_rows(backup, trial):
    import hashlib

    held = inside(backup.path)
    photos = {name.removeprefix("photos/"): content for name, content in held.items() if name.startswith("photos/")}
    assert (len(photos), backup.photos, backup.missing) == (5, 5, ())
    assert all(hashlib.sha256(content).hexdigest() == digest for digest, content in photos.items())
    facts = json.loads(held["backup.json"])
    for name, digest in facts["digests"].items():
        assert hashlib.sha256(held[name]).hexdigest() == digest
    assert [path.name for path in backup.path.parent.iterdir() if "partial" in path.name] == []


def test_what_is_damaged_or_gone_is_told_and_the_rest_is_in_it(trial, tmp_path):
    from fairtank.records.services.backing_up import shelf_backup

    damage(photo_place(trial, 0))
    photo_place(trial, 1).unlink()
    made = shelf_backup(path=tmp_path / "shelf.zip")
    assert len(made.missing) == 2
    assert made.photos == 3


def files_below(root):
    return {path.relative_to(root): path.read_bytes() for path in root.rglob("*") if path.is_file() and "sqlite3" not in path.name
            and path.suffix != ".lock"}


def _to(place, held):
    with zipfile.ZipFile(place, "w") as archive:
        for name, content in held.items():
            archive.writestr(name, content)
    return place


def _spoilt(held, how):
    photo = next(name for name in held if name.startswith("photos/"))
    facts = json.loads(held["backup.json"])
    if how == "photo":
        held[photo] = held[photo][:-1] + bytes([held[photo][-1] ^ 1])
    elif how == "lost photo":
        del held[photo]
    elif how == "database":
        name = next(name for name in held if name.startswith(("shelf", "rows")))
        held[name] = held[name][:5000] + b"X" + held[name][5001:]
    elif how == "strange":
        held["../evil.sh"] = b"x"
    elif how == "newer":
        held["backup.json"] = json.dumps({**facts, "steps": [*facts["steps"], "records.9999_later"]}).encode()
    elif how == "no list":
        del held["backup.json"]
    elif how == "torn list":
        held["backup.json"] = b'{"form": 3'
    return held


def test_a_backup_that_was_tampered_with_is_refused_and_nothing_changes(backup, filed_shelf, tmp_path):  # noqa: F811 - the fixture
    from fairtank.errors import InputError
    from fairtank.records.models import Trial
    from fairtank.records.services.restoring import shelf_restore

    before = files_below(filed_shelf)
    for how, told in (
        ("photo", "is not as it was"), ("lost photo", "What its list names and what it holds differ"), ("database", "is not as it was"),
        ("strange", "which no backup does"), ("newer", "newer than this one"), ("no list", "another kind of ZIP file"),
        ("torn list", "Its list cannot be read"),
    ):
        spoilt = _to(tmp_path / f"{how}.zip", _spoilt(inside(backup.path), how))
        with pytest.raises(InputError, match=told):
            shelf_restore(path=spoilt, replace=True)
        assert Trial.objects.count() == 1, how
        assert files_below(filed_shelf) == before, how
        assert list(filed_shelf.parent.glob(".*coming")) == [], how


def test_a_backup_that_was_cut_short_is_refused(backup, tmp_path):
    from fairtank.errors import InputError
    from fairtank.records.services.restoring import shelf_restore

    content = backup.path.read_bytes()
    (tmp_path / "short.zip").write_bytes(content[: len(content) // 2])
    with pytest.raises(InputError, match="damaged, or no backup"):
        shelf_restore(path=tmp_path / "short.zip", replace=True)


def test_a_shelf_that_holds_something_gives_way_only_when_asked(backup):
    from fairtank.errors import InputError
    from fairtank.records.services.restoring import shelf_restore

    with pytest.raises(InputError, match="--replace"):
        shelf_restore(path=backup.path)


def test_a_backup_in_the_middle_of_a_change_is_refused_at_once(trial, tmp_path):
    from django.db import connection, transaction

    from fairtank.errors import JobError
    from fairtank.records.services.backing_up import shelf_backup

    assert connection.vendor == "sqlite"
    with transaction.atomic(), pytest.raises(JobError, match="in the middle of a change"):
        shelf_backup(path=tmp_path / "shelf.zip")
    assert not list(tmp_path.glob("*.zip"))


def test_nothing_is_restored_while_the_pages_run(backup, filed_shelf):  # noqa: F811
    from fairtank.errors import JobError
    from fairtank.records.database import PAGES_LOCK
    from fairtank.records.locks import locked
    from fairtank.records.services.restoring import shelf_restore

    with locked(filed_shelf / PAGES_LOCK), pytest.raises(JobError, match="are running"):
        shelf_restore(path=backup.path, replace=True)


def test_a_backup_comes_back_and_the_shelf_before_is_kept_beside(backup, trial, filed_shelf):  # noqa: F811 - the fixture again
    from fairtank.records.models import Reading, Trial
    from fairtank.records.rows.texts import texts_of
    from fairtank.records.services.checking import shelf_check
    from fairtank.records.services.restoring import shelf_restore

    before = texts_of(trial)
    secret = filed_shelf / ".secret"
    secret.write_text("signs sessions", encoding="ascii")
    Reading.objects.all().delete()
    trial.title = "Spoilt"
    trial.save()
    damage(photo_place(trial, 0))
    told = shelf_restore(path=backup.path, replace=True)
    assert (told.trials, told.photos, told.missing) == (1, 5, 0)
    assert Reading.objects.count() == 2
    assert texts_of(Trial.objects.get()) == before
    assert shelf_check().faults == ()
    assert secret.read_text(encoding="ascii") == "signs sessions"
    assert (told.kept / "shelf.sqlite3").is_file()
    assert told.kept.parent == filed_shelf.parent


def test_a_backup_comes_back_into_an_empty_shelf(backup, filed_shelf, tmp_path):  # noqa: F811 - the fixture again
    from fairtank.records.models import Trial
    from fairtank.records.services.restoring import shelf_restore
    from fairtank.records.services.trash import trial_forget

    trial_forget(Trial.objects.get())
    told = shelf_restore(path=backup.path)
    assert (told.trials, told.photos, told.kept) == (1, 5, None)
    assert sorted(path.name for path in tmp_path.iterdir() if "before" in path.name) == []
