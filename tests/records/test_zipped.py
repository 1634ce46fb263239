"""ZIP files that were put together to do harm, or are broken: each is refused with a sentence, and nothing of it stays."""

import struct
import warnings
import zipfile

import pytest
from tests.records.kit_trials import PLAN

from fairtank.errors import InputError
from fairtank.records.folder.zipped import folder_at


def packed(place, *entries):
    with zipfile.ZipFile(place, "w") as archive, warnings.catch_warnings():
        warnings.simplefilter("ignore")  # about names that stand twice, which is what is tried
        for name, content in entries:
            archive.writestr(name, content)
    return place


@pytest.mark.parametrize(("entries", "said"), [
    ((("t/trial.toml", PLAN), ("t/trial.toml", "other")), r"t/trial\.toml is in it twice"),
    ((("t/trial.toml", PLAN), ("t/photos", "x"), ("t/photos/a.jpg", "y")), "t/photos is both in it"),
    ((("t/trial.toml", PLAN), ("t/photos/a.jpg/b", "y"), ("t/photos/a.jpg", "x")), r"t/photos/a\.jpg is both in it"),
    ((("t/trial.toml", PLAN), ("t//x.csv", "y")), "has an empty part"), ((("t/trial.toml", PLAN), ("t/../../x", "y")), "leads out of the "
                                                                                                                       "folder"),
    ((("a/trial.toml", PLAN), ("b/trial.toml", PLAN)), "Several folders in it have a trial.toml"), ((("t/notes", "x"),), "No folder in it "
                                                                                                                         "has a"),
])  # fmt: skip
def test_names_that_play_tricks_are_refused_before_anything_is_unpacked(tmp_path, entries, said):
    place = packed(tmp_path / "kit.zip", *entries)
    with pytest.raises(InputError, match=said), folder_at(place, beside=tmp_path):
        raise AssertionError("it was unpacked")
    assert [path.name for path in tmp_path.iterdir()] == ["kit.zip"]


def test_the_file_whose_check_sum_does_not_fit_is_named(tmp_path):
    place = packed(tmp_path / "kit.zip", ("t/trial.toml", PLAN))
    content = bytearray(place.read_bytes())
    content[content.index(b"[trial]") + 2] ^= 1
    place.write_bytes(bytes(content))
    with pytest.raises(InputError, match=r"trial\.toml in it is damaged: it was altered after it was packed"), folder_at(place):
        raise AssertionError("it was unpacked")


def test_a_size_that_is_said_too_small_does_not_unpack_to_more(tmp_path):
    """The head says 10 bytes; what is unpacked may not be longer than said, so the check sum cannot fit."""
    place = tmp_path / "kit.zip"
    with zipfile.ZipFile(place, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("t/trial.toml", PLAN * 3000)
    content = bytearray(place.read_bytes())
    directory = content.rindex(b"PK\x01\x02")
    struct.pack_into("<L", content, directory + 24, 10)
    place.write_bytes(bytes(content))
    with pytest.raises(InputError, match=r"trial\.toml in it is damaged"), folder_at(place, beside=tmp_path):
        raise AssertionError("it was unpacked")
    assert [path.name for path in tmp_path.iterdir()] == ["kit.zip"]


def test_only_what_is_asked_for_is_unpacked(tmp_path):
    place = packed(tmp_path / "kit.zip", ("t/trial.toml", PLAN), ("t/photos/trial.toml", "deep"), ("t/photos/a.jpg", "x"))
    with folder_at(place, only=("trial.toml",)) as root:
        assert [path.relative_to(root).as_posix() for path in root.rglob("*")] == ["trial.toml"]
