"""What was seen of a folder's files is used again only while nobody has touched them."""

import os

import pytest

from fairtank.records.folder.seal_contents import contents_of
from fairtank.records.folder.seal_looked import Looked

TABLE = "unit,taken_at,photo\nT1,2026-03-02T18:00,photos/a.jpg\nT2,2026-03-02T18:05,photos/b.jpg\n"


@pytest.fixture
def folder(tmp_path):
    root = tmp_path / "trial"
    (root / "photos").mkdir(parents=True)
    (root / "photos.csv").write_text(TABLE)
    (root / "trial.toml").write_text("[trial]\n")
    for name in "ab":
        (root / "photos" / f"{name}.jpg").write_bytes(name.encode() * 900)
    return root


def looked_at(folder, **more):
    looked = Looked(folder.parent / "looked.json")
    found = contents_of(folder, looked=looked, **more)
    looked.keep()
    return found


def test_a_second_look_sees_the_same_and_reads_neither_tables_nor_pictures(folder, monkeypatch):
    first = looked_at(folder)
    assert first == contents_of(folder)
    assert first.tables["photos.csv"].days == ("2026-03-02", "2026-03-02")
    assert set(first.pictures) == {"photos/a.jpg", "photos/b.jpg"}
    monkeypatch.setattr("fairtank.records.folder.seal_contents.marks_of_table", lambda content: pytest.fail("a table was read again"))
    monkeypatch.setattr("fairtank.records.folder.seal_contents._digest", lambda *given: pytest.fail("a picture was read again"))
    assert looked_at(folder) == first


def test_a_picture_that_was_changed_is_seen_also_with_the_size_and_the_date_of_before(folder):
    picture = folder / "photos" / "a.jpg"
    before, stood = looked_at(folder), picture.stat()
    picture.write_bytes(b"x" * 900)
    os.utime(picture, ns=(stood.st_atime_ns, stood.st_mtime_ns))
    now = looked_at(folder)
    assert now.pictures["photos/a.jpg"] != before.pictures["photos/a.jpg"]
    assert now == contents_of(folder)


def test_a_table_with_a_new_row_an_empty_one_and_a_missing_one_are_seen(folder):
    looked_at(folder)
    (folder / "photos.csv").write_text(TABLE + "\nT1,2026-03-03T18:00,photos/a.jpg\n")
    (folder / "readings.csv").write_text("")
    now = looked_at(folder)
    assert now.tables["photos.csv"].numbers == (2, 3, 5)
    assert now == contents_of(folder) == looked_at(folder)
    (folder / "photos.csv").unlink()
    assert "photos.csv" not in looked_at(folder).tables


def test_notes_that_cannot_be_read_are_made_anew(folder):
    first = looked_at(folder)
    (folder.parent / "looked.json").write_text('{"software": ')
    assert looked_at(folder) == first
    assert (folder.parent / "looked.json").read_text().startswith('{"software":"')


def test_what_may_not_be_looked_at_is_refused_each_time(folder, tmp_path):
    (tmp_path / "secret.jpg").write_bytes(b"s" * 900)
    for _ in range(2):
        found = looked_at(folder, pictures=("../secret.jpg",))
        assert "../secret.jpg" not in found.pictures
