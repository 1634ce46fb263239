"""A kit's ZIP file is what the ZIP module of Python writes of the same files, to the byte, and its digests are those of what went in."""

import hashlib
import io
import zipfile

import numpy as np
import pytest

from fairtank.records.exporters import kit_zip
from fairtank.records.exporters.kit_zip import KitZip, Source

SIZES = {"empty": 0, "small": 700, "a piece": 1 << 10, "a little more": (1 << 10) + 1, "several": 7_777}


@pytest.fixture
def files(tmp_path, monkeypatch):
    """Photos and texts, handed over as bytes and as places, one of them too long to be held."""
    monkeypatch.setattr(kit_zip, "_PIECE_BYTES", 1 << 10)
    monkeypatch.setattr(kit_zip, "_WHOLE_BYTES", 9_000)
    draw = np.random.default_rng(8)
    made = {f"photos/{name} ä.jpg": draw.bytes(size) for name, size in SIZES.items()}
    made |= {"trial.toml": b"text\n" * 900, "photos/long.png": draw.bytes(20_000), "README.md": b"more\n"}
    sources = []
    for number, (path, content) in enumerate(made.items()):
        place = tmp_path / f"{number}"
        place.write_bytes(content)
        sources.append(Source(path, place if number % 2 else lambda content=content: content, "photo"))
    return made, sources


def packed(sources):
    target = io.BytesIO()
    with KitZip(target, "trial") as archive:
        archive.add("first.txt", b"first " * 50)
        written = list(archive.add_all(sources))
        archive.add("last.txt", b"last " * 50)
    return target.getvalue(), written


def test_the_file_is_the_one_that_the_zip_module_writes(files):
    made, sources = files
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w") as archive:
        for path, content in {"first.txt": b"first " * 50, **made, "last.txt": b"last " * 50}.items():
            entry = zipfile.ZipInfo(f"trial/{path}", (1980, 1, 1, 0, 0, 0))
            entry.external_attr, entry.create_system = 0o644 << 16, 3
            archive.writestr(entry, content, zipfile.ZIP_STORED if path.startswith("photos/") else zipfile.ZIP_DEFLATED)
    content, _ = packed(sources)
    assert content == target.getvalue()
    assert zipfile.ZipFile(io.BytesIO(content)).testzip() is None


def test_each_digest_is_that_of_the_bytes_in_the_file(files):
    made, sources = files
    content, written = packed(sources)
    archive = zipfile.ZipFile(io.BytesIO(content))
    assert [one.source for one in written] == sources
    for one in written:
        inside = archive.read(f"trial/{one.source.path}")
        assert inside == made[one.source.path]
        assert (one.size_bytes, one.sha256) == (len(inside), hashlib.sha256(inside).hexdigest())


def test_no_more_files_are_read_than_are_held_at_a_time(monkeypatch):
    read, done = [], []

    def content(number):
        read.append(number)
        return bytes(2_000)

    sources = (Source(f"{number}.jpg", lambda number=number: content(number), "photo") for number in range(30))
    with KitZip(io.BytesIO(), "trial") as archive:
        for one in archive.add_all(sources):
            done.append(one)
            assert len(read) - len(done) <= kit_zip.AHEAD
    assert len(done) == len(read) == 30


def test_a_file_that_cannot_be_read_ends_it_with_the_reason():
    def broken():
        raise OSError("the disk is gone")

    with KitZip(io.BytesIO(), "trial") as archive, pytest.raises(OSError, match="the disk is gone"):
        list(archive.add_all([Source("1.jpg", lambda: b"1", "photo"), Source("2.jpg", broken, "photo")]))
