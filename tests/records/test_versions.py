"""Which stored results still hold after a change in the folder: names change with all that values depend on, and with nothing else."""

from dataclasses import replace
from datetime import timedelta

import pytest
from tests.records.photo_trials import CLASSES, Shape, photo_path, photo_trial
from tests.vision.pictures import loaded, tank_picture, view

from fairtank.lens import Lens
from fairtank.records.folder import read_folder
from fairtank.records.services.versions import versions_of
from fairtank.records.store import prepared_bytes
from fairtank.trial import CardOfUnit, Zone
from fairtank.vision.prepare import prepared_photo

LENS = Lens("phone", 1500.0, -0.12, 0.04, 0.2, 5, ("T1",))
OTHER = photo_path("T2", 7)
SQUARE = ((0.0, 0.0), (5.0, 0.0), (5.0, 5.0), (0.0, 5.0))


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return read_folder(photo_trial(tmp_path_factory.mktemp("versions") / "trial", Shape(days=(0, 7), painted=(("T1", 7),), mode="fixed")))


@pytest.mark.parametrize("change", [
    {"lens": (LENS,)}, {"cards": (CardOfUnit("T1", 4, "BAF"),)}, {"zones": (Zone("T1", "sticker", "patch", SQUARE),)},
])  # fmt: skip
def test_what_changes_the_colours_of_one_reference_photo_renames_what_was_prepared_of_every_tank(folder, change):
    assert versions_of(replace(folder, **change)).prepared[OTHER] != versions_of(folder).prepared[OTHER]


@pytest.mark.parametrize("kind", ["floor", "static", "water"])
def test_other_zones_of_one_tank_leave_what_was_prepared_of_another(folder, kind):
    changed = replace(folder, zones=(Zone("T1", "part", kind, SQUARE),))
    assert versions_of(changed).prepared[OTHER] == versions_of(folder).prepared[OTHER]


def test_a_layout_that_comes_later_moves_the_colours_of_no_tank(folder):
    later = replace(folder.frames[0], reference_photo=photo_path("T1", 7), width_cm=90.0)
    changed, before = versions_of(replace(folder, frames=(*folder.frames, later))), versions_of(folder)
    assert changed.targets == before.targets == folder.frames
    assert changed.prepared[OTHER] == before.prepared[OTHER]
    assert changed.prepared[later.reference_photo] != before.prepared[later.reference_photo]


def test_where_photos_begin_late_the_first_week_that_has_any_sets_the_colours(folder):
    delayed = replace(folder, photos=tuple(replace(photo, day=photo.day + 12) for photo in folder.photos))
    assert versions_of(delayed).targets == folder.frames
    apart = tuple(
        replace(photo, day=photo.day + 12 * (photo.unit == "T2"), taken_at=photo.taken_at + timedelta(days=12 * (photo.unit == "T2")))
        for photo in folder.photos
    )
    assert versions_of(replace(folder, photos=apart)).targets == folder.frames[:1]
    before_the_start = tuple(replace(photo, day=photo.day - 30 * (photo.unit == "T1")) for photo in folder.photos)
    assert versions_of(replace(folder, photos=before_the_start)).targets == folder.frames


def test_other_strokes_classes_and_learning_software_rename_values_and_nothing_that_was_prepared(folder, monkeypatch):
    before = versions_of(folder)
    digests = {**folder.file_digests, folder.labels[0].path: "0" * 64}
    for changed in (replace(folder, file_digests=digests), replace(folder, label_classes=CLASSES[:2])):
        assert versions_of(changed).prepared == before.prepared
        assert not set(versions_of(changed).measured.values()) & set(before.measured.values())
    from fairtank.records.services import versions

    real = versions.installed_version
    monkeypatch.setattr(versions, "installed_version", lambda name: "0.1" if name == "scipy" else real(name))
    assert versions_of(folder).prepared == before.prepared
    assert not set(versions_of(folder).measured.values()) & set(before.measured.values())


@pytest.mark.parametrize("kind", ["water", "plant", "backdrop"])
def test_a_zone_that_is_only_told_of_opens_no_photo_again_and_a_prepared_photo_is_the_same_with_it(folder, kind):
    zone = Zone("T1", "part", kind, SQUARE)
    before, after = versions_of(folder), versions_of(replace(folder, zones=(zone,)))
    assert after.prepared == before.prepared
    assert after.measured[photo_path("T1", 7)] != before.measured[photo_path("T1", 7)]
    picture = tank_picture()
    with_zone, without = (prepared_bytes(prepared_photo(loaded(picture), view(picture, zones=zones))) for zones in ((zone,), ()))
    assert with_zone == without
