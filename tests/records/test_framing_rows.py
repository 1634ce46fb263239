"""Frames and zones drawn in the pages: refused by the rules that a trial folder has, kept as its tables say them."""

from itertools import permutations

import numpy as np
import pytest
from tests.records.photo_shelf import folder_write, trial_take_in

from fairtank.errors import FolderError

SQUARE = ((20.0, 20.0), (620.0, 20.0), (620.0, 460.0), (20.0, 460.0))


@pytest.fixture
def trial(shelf, tmp_path):
    return trial_take_in(folder_write(tmp_path / "trial"))


def _drawn(trial, corners=SQUARE, width_cm=60.0, height_cm=44.0, unit="T1", day=1):
    from fairtank.records.models import Photo
    from fairtank.records.services.framing import FrameDrawn

    return FrameDrawn(Photo.objects.get(trial=trial, unit__key=unit, day=day), "registered", "front", corners, width_cm, height_cm)


def _store(trial, drawn, unit="T1"):
    from fairtank.records.models import Unit
    from fairtank.records.services.framing import frame_store
    from fairtank.records.services.trail import KEEPER

    return frame_store(trial=trial, unit=Unit.objects.get(trial=trial, key=unit), drawn=drawn, by=KEEPER)


def _frameless(trial):
    from fairtank.records.models import Frame

    Frame.objects.filter(trial=trial).delete()
    return trial


def _zones(trial, *zones, unit="T1"):
    from fairtank.records.models import Unit
    from fairtank.records.services.framing import ZoneDrawn, zones_store
    from fairtank.records.services.trail import KEEPER

    zones_store(trial=trial, unit=Unit.objects.get(trial=trial, key=unit), zones=[ZoneDrawn(*zone) for zone in zones], by=KEEPER)


@pytest.mark.usefixtures("_database")
@pytest.mark.parametrize("order", list(permutations(range(4))))
def test_corners_come_into_order_however_they_are_clicked(order):
    from fairtank.records.folder.checks_geometry import is_convex, is_in_order
    from fairtank.records.services.framing import in_order

    rng = np.random.default_rng(order)
    for _ in range(20):
        corners = [(x + across, y + down) for (x, y), (across, down) in zip(((0, 0), (600, 0), (600, 400), (0, 400)),
                                                                         rng.uniform(0, 90, (4, 2)).tolist(), strict=True)]
        found = in_order([corners[place] for place in order])
        assert list(found) == corners
        assert is_in_order(found)
        assert is_convex(found)


@pytest.mark.parametrize(("corners", "said"), [
    (((20, 20), (620, 20), (300, 100), (20, 460)), "a dent"),
    (((20, 20), (700, 20), (620, 460), (20, 460)), "outside the photo"),
    (((20, 20), (70, 20), (70, 460), (20, 460)), "only 50 px long"),
    (((620, 20), (20, 20), (20, 460), (620, 460)), "do not go round"),
    (SQUARE[:3], "Four corners are needed; 3"),
])
def test_corners_that_can_be_no_frame_are_refused_with_the_reason(trial, corners, said):
    from fairtank.errors import PhotoError

    with pytest.raises(PhotoError, match=said):
        _store(trial, _drawn(trial, corners))


def test_a_size_beyond_any_tank_is_refused(trial):
    from fairtank.errors import PhotoError

    with pytest.raises(PhotoError, match="The width is 700 cm; accepted: 1 to 500 cm"):
        _store(trial, _drawn(trial, width_cm=700.0))


def test_a_frame_on_another_units_photo_is_refused(trial):
    from fairtank.errors import InputError

    with pytest.raises(InputError, match="a photo of T1"):
        _store(trial, _drawn(trial, unit="T2"))


def test_a_frame_on_the_same_photo_takes_the_place_of_the_first_and_one_on_another_photo_is_added(trial):
    from fairtank.records.models import Frame

    _store(trial, _drawn(trial, width_cm=62.0))
    assert [frame.width_cm for frame in Frame.objects.filter(unit__key="T1")] == [62.0]
    _store(trial, _drawn(trial, day=8))
    assert Frame.objects.filter(unit__key="T1").count() == 2
    assert trial.trail.first().said == "Drew the frame of T1 on photos/T1-08.jpg."


def test_what_was_drawn_is_a_folder_without_problems_and_reads_back_the_same(trial, tmp_path):
    from fairtank.records.folder import read_folder
    from fairtank.records.services.exporting import trial_export

    _store(trial, _drawn(trial, ((21.24, 20), (620, 22), (618, 460), (20, 455)), 61.5))
    _zones(trial, ("static", "heater", ((5, 3), (7, 3), (7, 22), (5, 22))), ("ignore", "", ((0, 40), (61, 40), (61, 44))))
    folder = read_folder(trial_export(trial=trial, root=tmp_path / "out"))
    frame = next(one for one in folder.frames if one.unit == "T1")
    assert (frame.corners[0], frame.width_cm) == ((21.24, 20.0), 61.5)
    assert [(zone.unit, zone.key, zone.kind) for zone in folder.zones] == [("T1", "heater", "static"), ("T1", "ignore", "ignore")]
    assert folder.zones[0].polygon == ((5, 3), (7, 3), (7, 22), (5, 22))


@pytest.mark.parametrize(("zone", "said"), [
    (("lamp", "", ((0, 0), (5, 0), (5, 5))), "no kind of zone"),
    (("static", "far", ((0, 0), (90, 0), (5, 5))), "outside the frame, at 90.0, 0.0"),
    (("static", "thin", ((0, 0), (5, 5), (10, 10))), "no area"),
    (("static", "two", ((0, 0), (5, 5))), "has 2 corners"),
    (("static", "a;b", ((0, 0), (5, 0), (5, 5))), "no ; or"),
])
def test_zones_that_cannot_be_are_refused_and_none_is_stored(trial, zone, said):
    from fairtank.errors import PhotoError
    from fairtank.records.models import Zone

    with pytest.raises(PhotoError, match=said):
        _zones(trial, ("static", "good", ((0, 0), (5, 0), (5, 5))), zone)
    assert Zone.objects.count() == 0


def test_a_patch_may_stand_beside_the_glass(trial):
    _zones(trial, ("patch", "", ((-20, 10), (-10, 10), (-10, 20))))


def test_zones_of_a_unit_without_a_frame_are_refused(trial):
    from fairtank.errors import InputError

    trial = _frameless(trial)
    with pytest.raises(InputError, match="Draw the frame of T1 first"):
        _zones(trial, ("static", "", ((0, 0), (5, 0), (5, 5))))


def test_a_frame_is_copied_to_units_without_one_at_the_scale_of_their_photos(trial):
    from fairtank.records.models import Frame, Unit, Zone
    from fairtank.records.services.framing import frame_copy
    from fairtank.records.services.trail import KEEPER

    trial = _frameless(trial)
    _store(trial, _drawn(trial))
    _zones(trial, ("static", "heater", ((5, 3), (7, 3), (7, 22), (5, 22))))
    units = {unit.key: unit for unit in Unit.objects.filter(trial=trial)}
    given, left_out = frame_copy(trial=trial, unit=units["T1"], to=[units["T2"]], by=KEEPER)
    assert (given, left_out) == (["T2"], [])
    assert Frame.objects.get(unit=units["T2"]).reference_photo.path == "photos/T2-01.jpg"
    assert Zone.objects.get(unit=units["T2"]).key == "heater"
    assert frame_copy(trial=trial, unit=units["T1"], to=[units["T2"]], by=KEEPER) == ([], ["T2 has a frame already."])


def test_a_frame_that_was_taken_away_is_kept_in_the_trail(trial):
    from fairtank.records.models import Frame
    from fairtank.records.services.framing import frame_remove
    from fairtank.records.services.trail import KEEPER

    frame = Frame.objects.get(unit__key="T2")
    frame_remove(trial=trial, frame=frame, by=KEEPER)
    assert trial.trail.first().before["corners"] == [20, 20, 620, 20, 620, 460, 20, 460]
    assert not Frame.objects.filter(unit__key="T2").exists()


def test_photos_of_a_folder_that_wait_for_a_frame_are_taken_in_and_leave_again_as_they_came(shelf, tmp_path):
    from fairtank.records.folder import read_folder
    from fairtank.records.rows.framed import photos_without_frame
    from fairtank.records.services.exporting import trial_export

    root = folder_write(tmp_path / "waiting")
    (root / "frames.csv").unlink()
    with pytest.raises(FolderError, match=r"frames\.csv: the file is missing, and photos.csv lists photos"):
        read_folder(root)
    trial = trial_take_in(root)
    assert len(photos_without_frame(trial)) == 4
    out = trial_export(trial=trial, root=tmp_path / "out")
    assert (out / "photos.csv").read_bytes() == (root / "photos.csv").read_bytes()
    assert len(read_folder(out, frames_may_wait=True).photos) == 4
