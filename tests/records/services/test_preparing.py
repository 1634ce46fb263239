"""What all photos of a folder need first: strokes brought into their frames, and what is said about the tanks' colours."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from tests.records.photo_trials import Shape, photo_path, photo_trial
from tests.vision.pictures import CORNERS, encoded

from fairtank.lens import Lens
from fairtank.records.folder import read_folder
from fairtank.records.services.preparing import task_of
from fairtank.records.services.versions import versions_of
from fairtank.records.store import Store
from fairtank.trial import Label, LabelClass, Zone
from fairtank.vision.audit_points import places_in_frame

PUMP, RGB = "labels/pump.png", (9, 9, 9)
LENSES = [None, Lens("phone", 1500.0, -0.12, 0.04, 0.0, 0), Lens("phone", 1500.0, 0.05, -0.01, 0.0, 0)]


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    root = photo_trial(tmp_path_factory.mktemp("prepared") / "trial", Shape(days=(0,), painted=(), mode="fixed"))
    (root / "labels").mkdir()
    return read_folder(root)


def task(folder, place):
    made, cautions, _ = task_of(folder, Store(place / "store"), versions_of(folder))
    return made, cautions


@pytest.mark.parametrize("lens", LENSES, ids=["unknown", "barrel", "pincushion"])
def test_static_strokes_on_a_bent_photo_leave_out_what_they_were_painted_on(folder, tmp_path, lens):
    """A strip of 2 cm along the upper edge, painted as the lens shows it."""
    y, x = np.mgrid[0:750, 0:1000]
    across, down = places_in_frame(np.stack([x.ravel(), y.ravel()], -1) + 0.5, CORNERS, 70, 50, lens, (1000, 750)).T
    strokes = np.zeros((750, 1000, 3), np.uint8)
    strokes[((across >= 0) & (across < 70) & (down >= 0) & (down < 2)).reshape(750, 1000)] = RGB
    (folder.root / PUMP).write_bytes(encoded(strokes))
    painted = replace(
        folder, lens=() if lens is None else (lens,), labels=(Label(photo_path("T1", 0), PUMP),),
        label_classes=(LabelClass("pump", RGB, "static"),), file_digests={**folder.file_digests, PUMP: repr(lens)},
    )  # fmt: skip
    made, _ = task(painted, tmp_path)
    view = made.counted_views[folder.frames[0]]
    strip_px, margin_px = round(2 * view.px_per_cm[1]), 4
    assert not view.counted[: strip_px - 1].any()
    assert view.counted[strip_px + margin_px :].all()
    assert made.counted_views[folder.frames[1]].counted.all()


def test_static_things_painted_before_the_camera_moved_are_told_to_count_again(folder, tmp_path):
    strokes = np.zeros((750, 1000, 3), np.uint8)
    strokes[300:320, 300:320] = RGB
    (folder.root / PUMP).write_bytes(encoded(strokes))
    moved = replace(folder.frames[0], corners=tuple((x + 20, y) for x, y in CORNERS), reference_photo=photo_path("T1", 7))
    later = replace(folder.photos[0], path=moved.reference_photo, taken_at=folder.photos[0].taken_at + timedelta(days=7), day=7)
    (folder.root / later.path).write_bytes((folder.root / photo_path("T1", 0)).read_bytes())
    painted = replace(
        folder, frames=(*folder.frames, moved), photos=(*folder.photos, later), labels=(Label(photo_path("T1", 0), PUMP),),
        label_classes=(LabelClass("pump", RGB, "static"),), file_digests={**folder.file_digests, PUMP: "a", later.path: "b"},
    )  # fmt: skip
    made, cautions = task(painted, tmp_path)
    assert made.counted_views[moved].counted.all()
    assert cautions[-1] == (
        f"The static things of T1 were painted, but not in a photo of its frame with the reference photo {later.path}, "
        "where they count as anything else. Paint them there, too."
    )


def test_tanks_whose_colours_rest_on_different_things_are_told_of(folder, tmp_path):
    patch = Zone("T1", "white", "patch", ((5.0, 5.0), (12.0, 5.0), (12.0, 12.0), (5.0, 12.0)))
    _, cautions = task(replace(folder, zones=(patch,)), tmp_path)
    assert cautions == (
        "Colours are not comparable between all units, because they rest on different things: T1 on a painted patch; T2 on nothing.",
    )
    assert task(folder, tmp_path)[1] == ()
