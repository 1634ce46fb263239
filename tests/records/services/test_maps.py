"""Maps of a measured folder: one for each usable photo, of the same classes that the values were read off, and no photo is opened again."""

from datetime import datetime

import numpy as np
import pytest
from PIL import Image
from tests.cli.running import run_here
from tests.records.photo_trials import Shape, photo_trial, picture_of, read, saved

from fairtank.errors import JobError
from fairtank.records.services.maps import MAPS_PAGE, map_name, maps_write, scenes_of
from fairtank.records.services.measuring import folder_measure
from fairtank.records.store import Store
from fairtank.trial import Photo
from fairtank.vision.quality.verdicts import NOT_USABLE


@pytest.fixture(scope="module")
def measured(tmp_path_factory):
    """A folder of four photos, one of them over-exposed to uselessness, its store and what was measured."""
    root = photo_trial(tmp_path_factory.mktemp("maps") / "trial", Shape(days=(0, 7), mode="fixed", painted=(("T1", 7),)))
    lost = root / "photos" / "T2-07.jpg"
    lost.write_bytes(saved(np.clip(picture_of("T2", 7).astype(int) * 3 + 120, 0, 255).astype(np.uint8)))
    store = Store(root / ".fairtank")
    return root, store, folder_measure(folder=read(root), store=store, workers=1)


def test_every_usable_photo_gets_its_map_and_a_place_on_the_page(measured, tmp_path):
    root, store, found = measured
    steps = []
    page = maps_write(root=root, out=tmp_path, store=store, measured=found, progress=lambda *step: steps.append(step))
    assert page == tmp_path / MAPS_PAGE
    assert [row.quality == NOT_USABLE for row in found.qualities] == [False, False, False, True]
    pictures = sorted(path.name for path in (tmp_path / "maps").iterdir())
    assert pictures == ["T1-day-0-photo-1.jpg", "T1-day-7-photo-3.jpg", "T2-day-0-photo-2.jpg"]
    for name in pictures:
        with Image.open(tmp_path / "maps" / name) as picture:
            assert picture.width == 480
    text = page.read_text(encoding="utf-8")
    assert all(f'src="maps/{name}"' in text for name in pictures)
    assert text.count("no photo that could be used") == 1
    assert steps == [(1, 4, 0), (2, 4, 0), (3, 4, 0)]


def test_the_map_shows_the_classes_that_the_values_were_read_off(measured):
    root, store, found = measured
    values = {(row.photo, row.measure): row.value for row in found.measured if row.zone == ""}
    for photo, scene in scenes_of(read(root), store, found):
        for number, key in ((1, "plant_cover"), (2, "algae_cover")):
            share = 100 * float((scene.classes == number)[scene.view.counted].mean())
            assert values[photo.path, key] == pytest.approx(share, rel=1e-5, abs=1e-9)


def test_maps_are_drawn_without_opening_a_photo(measured, monkeypatch, tmp_path):
    def opened(*_):
        raise AssertionError("a photo was opened")

    monkeypatch.setattr("fairtank.vision.load.decoded_photo", opened)
    root, store, found = measured
    assert maps_write(root=root, out=tmp_path, store=store, measured=found) is not None


@pytest.mark.parametrize(("unit", "name"), [
    ("T1", "T1-day-3-photo-12.jpg"), ("../../etc/x", "etc-x-day-3-photo-12.jpg"), ("left #1?", "left-1-day-3-photo-12.jpg"),
    ("水槽", "unit-day-3-photo-12.jpg"), ("a" * 80, "a" * 40 + "-day-3-photo-12.jpg"),
])  # fmt: skip
def test_a_map_stays_in_its_folder_whatever_the_tank_is_called(unit, name):
    assert map_name(Photo("photos/a.jpg", unit, datetime(2026, 3, 4, 18), 3), 12) == name


def test_without_strokes_there_is_no_map_and_the_command_says_so(capsys, tmp_path):
    root = photo_trial(tmp_path / "trial", Shape(days=(0, 7), painted=(), mode="fixed"))
    ran = run_here(capsys, "measure", root, "--out", tmp_path / "out", "--workers", "1", "--maps")
    assert ran.code == 0
    assert ran.out.splitlines()[-1] == "No map was drawn: no photo that can be used was told into plants, algae and background."
    assert not (tmp_path / "out" / MAPS_PAGE).exists()


def test_the_command_draws_maps_only_when_it_is_asked_to(capsys, measured, tmp_path):
    root = measured[0]
    plain = run_here(capsys, "measure", root, "--out", tmp_path / "out", "--workers", "1")
    assert "Maps:" not in plain.out
    assert not (tmp_path / "out" / "maps").exists()
    asked = run_here(capsys, "measure", root, "--out", tmp_path / "out", "--workers", "1", "--maps")
    assert asked.out.splitlines()[-1] == f"Maps: {tmp_path / 'out' / MAPS_PAGE}"
    assert (tmp_path / "out" / MAPS_PAGE).exists()


def test_a_place_that_cannot_be_written_is_told(measured, tmp_path):
    root, store, found = measured
    (tmp_path / "maps").write_text("a file where a folder is needed", encoding="utf-8")
    with pytest.raises(JobError, match=r"cannot be written: .* Choose another folder with --out"):
        maps_write(root=root, out=tmp_path, store=store, measured=found)
