"""An upload is looked at, freed of its place and kept, or refused as a whole."""

import hashlib

import pytest
from tests.records.placed_photos import MARK, MEDIA, placed

from fairtank.errors import PhotoError
from fairtank.records.gps import without_place
from fairtank.records.photo_facts import facts_of
from fairtank.records.photo_files import PhotoFiles
from fairtank.records.photo_intake import photo_take_in


@pytest.fixture
def files(tmp_path):
    return PhotoFiles(tmp_path / "photos")


@pytest.mark.parametrize("kind", list(MEDIA))
def test_an_upload_is_kept_without_its_place_and_the_digest_is_of_what_is_kept(files, kind):
    content = placed(kind)
    taken = photo_take_in(content, "a.jpg", files=files)
    kept = taken.stored.path.read_bytes()
    assert kept == without_place(content, MEDIA[kind])
    assert MARK not in kept
    assert taken.stored.sha256 == hashlib.sha256(kept).hexdigest()
    assert taken.facts == facts_of(kept, "a.jpg")
    assert (taken.facts.has_gps, taken.had_gps, taken.is_as_it_came) == (False, True, False)
    again = photo_take_in(kept, "a.jpg", files=files)
    assert (again.stored.is_new, again.had_gps, again.is_as_it_came) == (False, False, True)


def test_the_keeper_may_keep_the_place(files):
    content = placed("JPEG")
    taken = photo_take_in(content, "a.jpg", files=files, keep_place=True)
    assert taken.stored.path.read_bytes() == content
    assert (taken.facts.has_gps, taken.is_as_it_came) == (True, True)


def test_of_what_is_refused_nothing_is_kept(files):
    png = placed("PNG")
    start = png.index(b"IDAT") + 204
    busy = placed("JPEG")
    for content, said in ((b"a list of fish", r"notes\.txt holds no picture"), (png[:start] + bytes(100) + png[start + 100:], "is damaged"),
                          (busy[:2] + b"\xff\xfe\0\2" * 100_001 + busy[2:], "The place cannot be taken out")):
        with pytest.raises(PhotoError, match=said):
            photo_take_in(content, "notes.txt", files=files)
    assert not files.root.exists()
