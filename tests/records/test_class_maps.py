"""Pictures of classes for the pages: drawn for what was measured, found again by photo and version, what does not count marked."""

from types import SimpleNamespace

import numpy as np
import pytest
from tests.records.photo_shelf import folder_write, trial_take_in


@pytest.fixture
def trial(shelf, tmp_path):
    return trial_take_in(folder_write(tmp_path / "trial"))


def test_classes_are_drawn_once_for_each_photo_and_version(trial, monkeypatch):
    from fairtank.records.jobs import class_maps
    from fairtank.records.models import Photo, Result
    from fairtank.records.services.measuring import MeasuredTrial
    from fairtank.trial import PhotoQuality

    drawn, shown = [], Photo.objects.get(trial=trial, path="photos/T1-08.jpg")
    counted = np.ones((4, 6), bool)
    counted[0] = False

    def measured(*, folder, store, progress):
        progress(len(folder.photos), len(folder.photos), 0)
        known = ("usable", (), None, None, None, None, None, "4-0")
        return MeasuredTrial(qualities=tuple(PhotoQuality(photo.path, photo.unit, photo.day, *known) for photo in folder.photos))

    def scenes(folder, store, measured):
        drawn.append(folder.digest)
        photo = next(photo for photo in folder.photos if photo.path == shown.path)
        yield photo, SimpleNamespace(classes=np.full((4, 6), 2, np.uint8), view=SimpleNamespace(counted=counted))

    monkeypatch.setattr(class_maps, "folder_measure", measured)
    monkeypatch.setattr(class_maps, "scenes_of", scenes)
    for _ in range(2):
        assert class_maps.class_maps(SimpleNamespace(trial=trial), lambda done, total, stored=0: None) == {"photos": 1}
    found = class_maps.classes_drawn(trial, shown.sha256, "4-0")
    assert found.tolist() == [[3] * 6] + [[2] * 6] * 3
    assert class_maps.classes_drawn(trial, shown.sha256, "4-1") is None
    assert Result.objects.get(trial=trial, kind="maps").content == {"photos": 1}
    assert len(drawn) == 2
