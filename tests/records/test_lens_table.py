"""A lens is told from photos of a board, kept in lens.csv, and read back for the units it belongs to."""

import numpy as np
import pytest
from tests.cli.running import run_here
from tests.records.photo_trials import Shape, photo_trial
from tests.vision.boards import POSES, board_photo
from tests.vision.pictures import encoded

from fairtank.cli.commands.lens import said
from fairtank.errors import FolderError, InputError, PhotoError
from fairtank.lens import Lens
from fairtank.records.folder import read_folder
from fairtank.records.services.lens import lens_of_unit, trial_lens

BARREL = Lens("phone", 1500.0, -0.12, 0.04, 0.0, 0)
HEADER = "camera,focal_px,k1,k2,residual_px,pictures,units\n"


@pytest.fixture
def root(tmp_path):
    return photo_trial(tmp_path / "trial", Shape(days=(0, 7), painted=()))


@pytest.fixture(scope="module")
def boards(tmp_path_factory):
    place = tmp_path_factory.mktemp("boards")
    files = []
    for number, pose in enumerate(POSES[:3]):
        files.append(place / f"{number}.png")
        files[-1].write_bytes(encoded(board_photo(BARREL, *pose)))
    return files


def test_a_lens_is_told_kept_and_read_back(root, boards):
    told = trial_lens(root=root, photos=boards, camera="phone", units=("T1",))
    (kept,) = read_folder(root).lens
    assert kept == told.lens
    assert (kept.camera, kept.units, kept.pictures) == ("phone", ("T1",), 3)
    assert told.corner_px == pytest.approx(BARREL.bend_px(1260), abs=5)
    assert told.frame_cm == pytest.approx(0.6, abs=0.1)  # a bow of 5.8 px by hand, at 10 px for each cm
    folder = read_folder(root)
    assert lens_of_unit(folder, "T1") == kept
    assert lens_of_unit(folder, "T2") is None
    first, second, last = said(told)
    assert first.startswith("This lens shifts a point in the photo's corner by ")
    assert " px inwards (of 2016 px across), told from 3 photos to " in first
    assert second.startswith("It ")
    assert last == f"Kept in {root / 'lens.csv'}."


def test_telling_a_camera_again_replaces_its_row_and_keeps_the_others(root, boards):
    (root / "lens.csv").write_text(HEADER + "old,1500,0.01,0,0.2,5,T2\nphone,1400,0.3,0,0.2,5,T1\n")
    trial_lens(root=root, photos=boards, camera="phone", units=("T1",))
    assert [(lens.camera, round(lens.focal_px, -2)) for lens in read_folder(root).lens] == [("old", 1500), ("phone", 1500)]


def test_a_row_without_units_holds_for_all(root):
    (root / "lens.csv").write_text(HEADER + "phone,1400,0.3,0,0.2,5,\n")
    folder = read_folder(root)
    assert lens_of_unit(folder, "T1") == lens_of_unit(folder, "T2") == Lens("phone", 1400, 0.3, 0, 0.2, 5)


@pytest.mark.parametrize(("rows", "sentence"), [
    ("phone,1400,0.3,0,0.2,5,T1\nphone,1400,0.3,0,0.2,5,T2\n", "lens.csv, row 3, column camera: the camera phone is already in row 2"),
    ("one,1400,0.3,0,0.2,5,\ntwo,1400,0.3,0,0.2,5,T2\n", "lens.csv, row 3, column units: T2 already has the camera of row 2"),
    ("one,1400,0.3,0,0.2,5,T9\n", "lens.csv, row 2, column units: T9 is not a unit of trial.toml"),
    ("one,14,0.3,0,0.2,5,\n", "lens.csv, row 2, column focal_px: 14 is out of range"),
])
def test_a_wrong_row_is_named(root, rows, sentence):
    (root / "lens.csv").write_text(HEADER + rows)
    with pytest.raises(FolderError, match=sentence):
        read_folder(root)


def test_a_photo_without_a_board_is_named_with_the_reason_and_the_next_step_is_told(root, boards, capsys):
    other = root / read_folder(root).photos[0].path
    whole = boards[0].with_name("blank.png")
    whole.write_bytes(encoded(np.full_like(board_photo(BARREL, *POSES[0]), 127)))
    ran = run_here(capsys, "lens", root, *boards, whole)
    lines = ran.out.splitlines()
    assert ran.code == 0
    assert lines[0] == f"{whole} was left out: no whole checkerboard was found in it."
    assert "told from 3 photos" in lines[1]
    assert lines[-1].startswith(f"Next: fairtank measure {root}")
    assert "Looking for the board: 0 of 4 photos" in ran.err
    with pytest.raises(PhotoError, match=rf"different sizes.*{other.name}"):
        trial_lens(root=root, photos=[*boards, other])
    with pytest.raises(InputError, match=r"the photo is .*none\.jpg, and there is no such file; accepted: photos of a checkerboard"):
        trial_lens(root=root, photos=[*boards, root / "none.jpg"])
    with pytest.raises(InputError, match="which is a folder"):
        trial_lens(root=root, photos=[*boards, root])


def test_wrong_photos_and_units_are_refused_and_nothing_is_written(root, boards):
    with pytest.raises(InputError, match="the unit is T9; accepted: the units of trial"):
        trial_lens(root=root, photos=boards, units=("T9",))
    with pytest.raises(PhotoError, match="of 1 photos; accepted: at least 3"):
        trial_lens(root=root, photos=[root / read_folder(root).photos[0].path])
    assert not (root / "lens.csv").exists()
    (root / "lens.csv").write_text(HEADER + "old,1500,0.01,0,0.2,5,\n")
    with pytest.raises(InputError, match=r"one camera for each unit, and lens\.csv has old for some of these units"):
        trial_lens(root=root, photos=boards, camera="phone")
