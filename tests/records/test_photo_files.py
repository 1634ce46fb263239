"""A photo that was kept is whole, whatever happens to its writer, and what does not belong there is named."""

import hashlib
import io
import os
import signal
import subprocess
import sys
import threading
import tracemalloc

import pytest

from fairtank.errors import InputError
from fairtank.records.photo_files import PhotoFiles

PHOTO = bytes(range(256)) * 20
SHA = hashlib.sha256(PHOTO).hexdigest()


@pytest.fixture
def files(tmp_path):
    return PhotoFiles(tmp_path / "photos")


def lying(files) -> list[str]:
    """Every file below the root, hidden ones too."""
    return sorted(path.relative_to(files.root).as_posix() for path in files.root.rglob("*") if not path.is_dir())


def test_a_photo_is_kept_byte_for_byte_under_its_digest(files):
    stored = files.put(io.BytesIO(PHOTO))
    assert (stored.sha256, stored.size_bytes, stored.is_new) == (SHA, len(PHOTO), True)
    assert stored.path == files.path_of(SHA) == files.root / SHA[:2] / SHA[2:4] / SHA
    assert stored.path.read_bytes() == PHOTO
    assert stored.path.stat().st_mode & 0o222 == 0, "a link in a trial folder shares this file"
    assert files.has(SHA)
    assert lying(files) == [f"{SHA[:2]}/{SHA[2:4]}/{SHA}"]


def test_the_digest_is_that_of_a_published_example(files):
    # FIPS 180-2, appendix B.1, from memory: the message abc.
    stored = files.put([b"a", b"", b"bc"])
    assert stored.sha256 == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_the_same_photo_is_kept_once(files):
    first, second = files.put([PHOTO]), files.put(PHOTO[i:i + 100] for i in range(0, len(PHOTO), 100))
    assert (first.is_new, second.is_new) == (True, False)
    assert first.sha256 == second.sha256
    assert len(lying(files)) == 1


def test_all_photos_are_listed_in_order(files):
    assert list(files.iterate()) == []
    digests = {files.put([bytes((number,)) * 10]).sha256 for number in range(12)}
    assert list(files.iterate()) == sorted(digests)


def test_of_several_writers_of_one_photo_exactly_one_is_told_that_it_is_new(files):
    together, told = threading.Barrier(8), []

    def chunks():
        yield PHOTO[:999]
        together.wait()
        yield PHOTO[999:]

    writers = [threading.Thread(target=lambda: told.append(files.put(chunks()))) for _ in range(8)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert sorted(one.is_new for one in told) == [False] * 7 + [True]
    assert {one.sha256 for one in told} == {SHA}
    assert files.check().is_clean
    assert len(lying(files)) == 1


def test_a_disk_without_hard_links_keeps_photos_too(files, monkeypatch):
    def no_links(*_):
        raise OSError("no hard links here")

    monkeypatch.setattr(os, "link", no_links)
    assert files.put([PHOTO]).is_new
    assert not files.put([PHOTO]).is_new
    assert files.check().n_whole == 1
    assert len(lying(files)) == 1


# A writer for each moment: it dies by SIGKILL in the middle of a photo, with the photo written, and with the photo linked to its name.
KILLED = """
import os, signal, sys
from pathlib import Path
from fairtank.records.photo_files import PhotoFiles

die = lambda *_: os.kill(os.getpid(), signal.SIGKILL)

def chunks():
    yield b"first half"
    if moment == "middle":
        die()
    yield moment.encode()

def linked_then_dead(draft, path, link=os.link):
    link(draft, path)
    die()

for moment in ("middle", "written", "linked"):
    child = os.fork()
    if child == 0:
        os.link = {"middle": os.link, "written": die, "linked": linked_then_dead}[moment]
        PhotoFiles(Path(sys.argv[1])).put(chunks())
    print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]))
"""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="kills forked writers")
def test_a_killed_writer_leaves_whole_photos_and_one_hidden_file_that_tidying_removes(files):
    told = subprocess.run([sys.executable, "-c", KILLED, str(files.root)], capture_output=True, text=True, check=True, timeout=60)
    assert told.stdout.split() == [str(-signal.SIGKILL)] * 3, told.stderr
    kept = hashlib.sha256(b"first halflinked").hexdigest()
    found = files.check()
    assert (found.n_whole, found.damaged, found.strays, len(found.unfinished)) == (1, (), (), 3)
    assert list(files.iterate()) == [kept]
    assert files.tidy() == (), "a young one may still be written to"
    assert set(files.tidy(older_than_s=0)) == set(found.unfinished)
    assert files.check().unfinished == ()
    assert files.path_of(kept).read_bytes() == b"first halflinked"
    assert files.put([b"first half", b"middle"]).is_new


def test_a_stream_that_breaks_off_leaves_nothing(files):
    def chunks():
        yield PHOTO
        raise ConnectionError("the phone is gone")

    with pytest.raises(ConnectionError):
        files.put(chunks())
    assert lying(files) == []


def test_an_empty_or_over_long_photo_is_refused_and_leaves_nothing(files):
    with pytest.raises(InputError, match=r"a\.jpg is empty \(0 bytes\); accepted: a whole photo\."):
        files.put(io.BytesIO(b""), called="a.jpg")
    with pytest.raises(InputError, match=r"the photo is longer than 2 MB; accepted: a photo of at most 2 MB\."):
        files.put((bytes(500_000) for _ in iter(int, 1)), most_bytes=2_000_000)  # a stream without an end
    assert files.put([bytes(2_000_000)], most_bytes=2_000_000).size_bytes == 2_000_000
    assert files.check().n_whole == 1


def test_a_large_photo_is_never_held_as_a_whole(files):
    tracemalloc.start()
    try:
        files.put(bytes(100_000) for _ in range(200))
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert peak < 4_000_000


def test_a_check_names_damaged_photos_and_strays(files):
    whole, spoilt = files.put([PHOTO]), files.put([b"another photo"])
    spoilt.path.chmod(0o600)
    spoilt.path.write_bytes(b"another phot0")
    (files.root / "notes.txt").write_text("a stray")
    (files.root / ".coming-x").write_text("no name that a writer gives")
    misplaced = whole.path.parent / spoilt.sha256
    misplaced.write_bytes(b"another photo")
    link = files.path_of("f" * 64)
    link.parent.mkdir(parents=True)
    link.symlink_to(whole.path)
    read = []
    found = files.check(read.append)
    assert (found.n_whole, found.damaged, found.unfinished, found.is_clean) == (1, (spoilt.sha256,), (), False)
    assert set(found.strays) == {files.root / "notes.txt", files.root / ".coming-x", misplaced, link}
    assert read == [1, 2]
    assert files.tidy(older_than_s=0) == ()
    assert not files.has("f" * 64)


def test_a_damaged_photo_is_made_whole_when_it_comes_again(files):
    path = files.put([PHOTO]).path
    path.chmod(0o600)
    path.write_bytes(PHOTO[:-1])
    assert files.put([PHOTO]).is_new
    assert path.read_bytes() == PHOTO
    assert files.check().is_clean


def test_a_discarded_photo_is_gone_and_a_fresh_one_can_be_spared(files):
    files.put([PHOTO])
    os.utime(files.path_of(SHA), (1000, 1000))
    assert not files.put([PHOTO]).is_new  # counts as put now
    assert not files.discard(SHA, idle_s=60)
    assert files.discard(SHA)
    assert not files.discard(SHA)
    assert not files.has(SHA)


@pytest.mark.parametrize("digest", ["", "../../etc/passwd", "A" * 64, "a" * 63, "a" * 64 + "\n"])
def test_what_is_no_digest_never_becomes_a_path(files, digest):
    with pytest.raises(InputError, match=r"the digest of a photo is .*; accepted: 64 digits and letters from a to f"):
        files.path_of(digest)
