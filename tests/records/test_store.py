"""The store of results: what comes out is what went in, a damaged file counts as none, nothing is ever half written."""

import dataclasses
import json
import os
import pickle
import shutil
from datetime import datetime, timedelta

import numpy as np
import pytest
from tests.vision.pictures import PHOTO, classifier, loaded, tank_picture, view

from fairtank.records.store import FOLDER_NAME, ReadOnlyStore, Store, prepared_of, store_of
from fairtank.vision.measure import PhotoResult, measure_photo, unusable
from fairtank.vision.spots import SpotNote

SHA, VERSION = "ab" * 32, "1-0123456789ab"


@pytest.fixture(scope="module")
def fresh() -> PhotoResult:
    """A real result: a made-up photo, measured."""
    picture = tank_picture()
    return measure_photo(PHOTO, loaded(picture), view(picture), classifier(), version=VERSION)


@pytest.fixture
def store(tmp_path, fresh) -> Store:
    """A store that holds that result."""
    made = Store(tmp_path / FOLDER_NAME)
    made.put(SHA, VERSION, fresh)
    return made


def files(store: Store) -> list[str]:
    return sorted(str(path.relative_to(store.root)) for path in store.root.rglob("*") if path.is_file())


def test_a_stored_result_equals_the_fresh_one_value_for_value(store, fresh):
    kept = store.get(PHOTO, SHA, VERSION)
    assert len(kept.measured) > 5
    assert kept.measured == fresh.measured
    assert kept.quality == fresh.quality
    assert kept.thumbnail == fresh.thumbnail
    assert [row.value.hex() for row in kept.measured] == [float(row.value).hex() for row in fresh.measured]


def test_a_photo_that_gave_nothing_is_stored_with_its_reason(store):
    lost = unusable(PHOTO, "Der Schärfe fehlt alles: 0 %.", VERSION)
    store.put("cd" * 32, VERSION, lost)
    kept = store.get(PHOTO, "cd" * 32, VERSION)
    assert (kept.measured, kept.quality, kept.thumbnail) == ((), lost.quality, b"")


def test_a_standard_error_comes_back_and_none_stays_none(store, fresh):
    rows = (dataclasses.replace(fresh.measured[0], se=0.1 + 0.2), dataclasses.replace(fresh.measured[1], se=None, zone="bed"))
    store.put(SHA, VERSION, PhotoResult(rows, fresh.quality, b"\x00\xff"))
    kept = store.get(PHOTO, SHA, VERSION)
    assert (kept.measured, kept.thumbnail) == (rows, b"\x00\xff")


def test_day_time_unit_and_path_come_from_the_photo_as_it_is_listed_now(store):
    listed = dataclasses.replace(PHOTO, path="photos/new name.png", unit="T9", taken_at=PHOTO.taken_at + timedelta(days=3), day=3)
    kept = store.get(listed, SHA, VERSION)
    assert (kept.quality.photo, kept.quality.unit, kept.quality.day) == ("photos/new name.png", "T9", 3)
    assert {(row.photo, row.unit, row.taken_at, row.day) for row in kept.measured} == {
        ("photos/new name.png", "T9", datetime(2026, 3, 4, 9), 3)
    }


def test_another_version_or_another_photo_is_another_result(store, fresh):
    assert store.get(PHOTO, SHA, "2-0123456789ab") is None
    assert store.get(PHOTO, "cd" * 32, VERSION) is None
    other = PhotoResult((), fresh.quality, b"other")
    store.put(SHA, "2-0123456789ab", other)
    assert store.get(PHOTO, SHA, VERSION).thumbnail == fresh.thumbnail
    assert store.get(PHOTO, SHA, "2-0123456789ab").thumbnail == b"other"


def test_a_cut_off_file_counts_as_no_result_wherever_it_was_cut(store):
    place = store.path(SHA, VERSION)
    whole = place.read_bytes()
    for length in [*range(0, len(whole) - 1, len(whole) // 40), len(whole) - 1]:
        place.write_bytes(whole[:length])
        assert store.get(PHOTO, SHA, VERSION) is None, length


@pytest.mark.parametrize("content", [
    b"", b"null", b"[]", b"{}", b'"text"', b"7", b"\xff\xfe\x00", b"{not json", b'{"measured": [], "thumbnail": ""}',
    b'{"measured": [], "quality": {}, "thumbnail": ""}', b'{"measured": [[1]], "quality": {"reasons": []}, "thumbnail": ""}',
    b'{"measured": 5, "quality": 5, "thumbnail": 5}',
])  # fmt: skip
def test_a_file_with_other_content_counts_as_no_result(store, content):
    store.path(SHA, VERSION).write_bytes(content)
    assert store.get(PHOTO, SHA, VERSION) is None


def test_a_thumbnail_that_is_no_text_of_base64_counts_as_no_result(store):
    place = store.path(SHA, VERSION)
    content = json.loads(place.read_text(encoding="utf-8"))
    place.write_text(json.dumps({**content, "thumbnail": "A"}), encoding="utf-8")
    assert store.get(PHOTO, SHA, VERSION) is None


def test_a_folder_in_the_place_of_a_result_counts_as_no_result(store):
    place = store.path(SHA, VERSION)
    place.unlink()
    place.mkdir()
    assert store.get(PHOTO, SHA, VERSION) is None


def test_putting_leaves_one_whole_file_and_no_draft(store):
    assert files(store) == [f"photos/{VERSION}/{SHA}.json"]
    store.put(SHA, VERSION, unusable(PHOTO, "No.", VERSION))
    assert files(store) == [f"photos/{VERSION}/{SHA}.json"]
    assert store.get(PHOTO, SHA, VERSION).quality.reasons == ("No.",)


def test_a_put_that_fails_leaves_the_result_that_was_there(store, fresh, monkeypatch):
    def full_disk(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full_disk)
    with pytest.raises(OSError, match="No space left"):
        store.put(SHA, VERSION, unusable(PHOTO, "No.", VERSION))
    assert store.get(PHOTO, SHA, VERSION).measured == fresh.measured


def test_a_draft_left_behind_by_a_killed_run_is_no_result(store):
    place = store.path("cd" * 32, VERSION)
    shutil.copy(store.path(SHA, VERSION), place.with_suffix(".4711.tmp"))
    assert store.get(PHOTO, "cd" * 32, VERSION) is None


def test_a_store_that_was_thrown_away_is_built_again(store, fresh):
    shutil.rmtree(store.root)
    assert store.get(PHOTO, SHA, VERSION) is None
    store.put(SHA, VERSION, fresh)
    assert store.get(PHOTO, SHA, VERSION).measured == fresh.measured


def test_spots_come_back_bit_for_bit_because_the_next_photo_is_compared_with_them(store, fresh):
    note = SpotNote(np.array([[1.1, 0.1 + 0.2]]), np.array([0.07], np.float32), np.eye(5, dtype=bool), 123.25)
    store.put(SHA, VERSION, dataclasses.replace(fresh, spots=note))
    kept = store.get(PHOTO, SHA, VERSION).spots
    assert [part.tobytes() for part in (kept.places, kept.radius_cm, kept.open_water)] == [
        part.tobytes() for part in (note.places, note.radius_cm, note.open_water)]
    assert kept.open_cm2 == 123.25


def test_prepared_photos_are_whole_files_under_their_own_version(store):
    assert store.prepared_get(SHA, "2p-1") is None
    store.prepared_put(SHA, "2p-1", b"one")
    store.prepared_put(SHA, "2p-1", b"two")
    assert store.prepared_get(SHA, "2p-1") == b"two"
    assert store.prepared_get(SHA, "2p-2") is None
    assert [name for name in files(store) if name.startswith("prepared")] == [f"prepared/2p-1/{SHA}.photo"]


def test_what_the_last_two_ways_of_measuring_made_stays_and_older_things_go(store, fresh):
    for version in ("2p-1", "2p-2", "2p-3"):
        store.prepared_put(SHA, version, b"one")
        store.put(SHA, version, fresh)
        store.cautions_put(version, ())
        store.tidy({version})
    assert files(store) == sorted(["ways.json", *(f"{room}/2p-{number}{end}" for number in (2, 3) for room, end in (
        ("prepared", f"/{SHA}.photo"), ("photos", f"/{SHA}.json"), ("cautions", ".json")))])
    store.tidy({"2p-2"})
    store.tidy({"2p-3"})
    assert store.prepared_get(SHA, "2p-2") == b"one"


def test_tidying_again_writes_nothing_and_a_damaged_note_loses_only_the_older_way(store):
    store.prepared_put(SHA, "2p-1", b"one")
    store.tidy({"2p-1"})
    notes = store.root / "ways.json"
    before = notes.stat().st_mtime_ns
    store.tidy({"2p-1"})
    assert notes.stat().st_mtime_ns == before
    notes.write_text("{", encoding="utf-8")
    store.prepared_put(SHA, "2p-2", b"two")
    store.tidy({"2p-2"})
    assert store.prepared_get(SHA, "2p-1") is None
    assert store.prepared_get(SHA, "2p-2") == b"two"


def test_a_store_that_may_not_write_holds_this_runs_results_and_hands_none_to_other_processes(tmp_path, fresh):
    only = ReadOnlyStore(tmp_path / FOLDER_NAME)
    only.put(SHA, VERSION, fresh)
    only.prepared_put(SHA, VERSION, b"one")
    only.cautions_put("all", ())
    only.tidy({VERSION})
    assert only.get(PHOTO, SHA, VERSION).measured == fresh.measured
    assert pickle.loads(pickle.dumps(only)).get(PHOTO, SHA, VERSION) is None
    assert list(tmp_path.iterdir()) == []


def test_cautions_are_kept_as_they_are_and_unknown_ones_are_none(store):
    assert store.cautions_get("known") is None
    store.cautions_put("none", ())
    store.cautions_put("known", ("Erste.", "Zweite µ."))
    assert store.cautions_get("none") == ()
    assert store.cautions_get("known") == ("Erste.", "Zweite µ.")
    (store.root / "cautions" / "known.json").write_text('{"cautions": ["Ers', encoding="utf-8")
    assert store.cautions_get("known") is None


def test_the_store_lies_in_the_trial_folder(tmp_path):
    assert store_of(tmp_path).root == tmp_path / ".fairtank"
    assert store_of(tmp_path, tmp_path / "out").root == tmp_path / ".fairtank"


def test_tidying_deletes_nothing_but_versions_and_follows_no_link_out_of_the_store(store, tmp_path):
    mine = tmp_path / "mine"
    (mine / "letters").mkdir(parents=True)
    (mine / "list.txt").write_text("eggs", encoding="utf-8")
    (mine / "2-0123456789ab").mkdir()
    (store.root / "prepared").symlink_to(mine)
    (store.root / "photos" / "2p-abcdef012345").symlink_to(mine)
    (store.root / "photos" / "notes").mkdir()
    store.tidy({"3-0123456789ab"})
    assert sorted(path.name for path in mine.iterdir()) == ["2-0123456789ab", "letters", "list.txt"]
    assert [path.name for path in (store.root / "photos").iterdir()] == ["notes"]


def test_a_file_that_nests_without_end_counts_as_none(store):
    nested = "[" * 200_000
    for place in (store.path(SHA, VERSION), store.root / "views" / "2v-1.json", store.root / "cautions" / "1.json"):
        place.parent.mkdir(exist_ok=True)
        place.write_text(nested, encoding="utf-8")
    assert store.get(PHOTO, SHA, VERSION) is None
    assert store.view_get("2v-1") is None
    assert store.cautions_get("1") is None
    (store.root / "ways.json").write_text('{"ways": [[["nested"]], 1]}', encoding="utf-8")
    store.tidy({"3-0123456789ab"})
    assert prepared_of(nested.encode() + b"\n") is None


def test_a_result_that_lacks_a_part_of_the_quality_counts_as_none(store):
    place = store.path(SHA, VERSION)
    content = json.loads(place.read_text(encoding="utf-8"))
    for name in content["quality"]:
        less = {**content, "quality": {key: value for key, value in content["quality"].items() if key != name}}
        place.write_text(json.dumps(less), encoding="utf-8")
        assert store.get(PHOTO, SHA, VERSION) is None, name
