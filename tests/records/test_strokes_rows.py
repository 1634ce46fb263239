"""Strokes painted in the pages: the same pictures as in a folder, refused by the same rules; and photos taken away with their strokes."""

import numpy as np
import pytest
from tests.records.photo_shelf import folder_write, runs_of, trial_take_in

BARS = ((0, 100, 100, 200, 110), (1, 300, 200, 400, 212), (2, 50, 300, 90, 320), (2, 500, 30, 540, 44))


@pytest.fixture
def trial(shelf, tmp_path):
    return trial_take_in(folder_write(tmp_path / "trial"))


def _photo(trial, path="photos/T1-01.jpg"):
    from fairtank.records.models import Photo

    return Photo.objects.get(trial=trial, path=path)


def _keep(trial, *bars, photo=None):
    from fairtank.records.services.strokes import classes_of, numbers_from_runs, strokes_keep
    from fairtank.records.services.trail import KEEPER

    shown = photo or _photo(trial)
    numbers = numbers_from_runs(runs_of(640, 480, *bars), shown, len(classes_of(trial)))
    strokes_keep(trial=trial, photo=shown, numbers=numbers, by=KEEPER)


@pytest.mark.usefixtures("_database")
@pytest.mark.parametrize("seed", range(20))
def test_a_painting_comes_back_from_its_runs(seed):
    from fairtank.records.models import Photo
    from fairtank.records.services.strokes import numbers_from_runs, runs_from_numbers

    rng = np.random.default_rng(seed)
    numbers = rng.choice(np.array([0, 1, 2, 255], np.uint8), tuple(rng.integers(1, 8, 2)))
    photo = Photo(width_px=numbers.shape[1], height_px=numbers.shape[0])
    assert (numbers_from_runs(runs_from_numbers(numbers), photo, 3) == numbers).all()


@pytest.mark.usefixtures("_database")
@pytest.mark.parametrize("size", [(640, 480), (4032, 3024), (3001, 4001), (8160, 6120)])
def test_painting_a_large_photo_again_loses_nothing(size):
    from fairtank.records.models import Photo
    from fairtank.records.services.strokes import at_full_size, painting_size, step_of

    photo = Photo(width_px=size[0], height_px=size[1])
    width, height = painting_size(photo)
    numbers = np.random.default_rng(4).integers(0, 4, (height, width)).astype(np.uint8)
    full = at_full_size(numbers, photo)
    assert full.shape == (size[1], size[0])
    assert max(width, height) <= 2048
    assert (full[::step_of(photo), ::step_of(photo)] == numbers).all()


def test_strokes_are_the_picture_that_a_folder_holds(trial, tmp_path):
    from fairtank.records.folder import read_folder
    from fairtank.records.services.exporting import trial_export
    from fairtank.vision.classes.strokes import load_strokes

    _keep(trial, *BARS)
    folder = read_folder(trial_export(trial=trial, root=tmp_path / "out"))
    assert [(label.photo, label.path) for label in folder.labels] == [("photos/T1-01.jpg", "labels/T1-01.png")]
    assert [kind.key for kind in folder.label_classes] == ["plant", "algae", "background"]
    numbers = load_strokes(folder.root / "labels/T1-01.png", folder.label_classes)
    assert [int((numbers == place).sum()) for place in range(3)] == [1000, 1200, 1360]


def test_how_much_was_painted_is_told_by_strokes_and_photos(trial):
    from fairtank.records.services.strokes import painted_of

    _keep(trial, *BARS)
    _keep(trial, BARS[0], photo=_photo(trial, "photos/T2-01.jpg"))
    assert [(one.key, one.strokes, one.photos) for one in painted_of(trial)] == [("plant", 2, 2), ("algae", 1, 1), ("background", 2, 1)]


def test_an_empty_painting_takes_the_strokes_away_and_the_trail_knows_them(trial):
    from fairtank.records.models import Stroke

    _keep(trial, *BARS)
    digest = Stroke.objects.get().sha256
    _keep(trial)
    assert not Stroke.objects.exists()
    assert trial.trail.first().before["sha256"] == digest


@pytest.mark.parametrize(("bars", "said"), [(((0, 0, 0, 7, 7),), "Only 49 px"), (((0, 0, 0, 640, 300),), "62 % of the photo")])
def test_too_little_and_too_much_are_refused(trial, bars, said):
    from fairtank.errors import PhotoError

    with pytest.raises(PhotoError, match=said):
        _keep(trial, *bars)


@pytest.mark.usefixtures("_database")
@pytest.mark.parametrize("runs", [[], [0], [-1, 5], [-1, 640 * 480 + 1], [7, 640 * 480], [-2, 640 * 480], [0, -5, 0, 640 * 480 + 5]])
def test_runs_that_are_no_painting_of_this_photo_are_refused(runs):
    from fairtank.errors import InputError
    from fairtank.records.models import Photo
    from fairtank.records.services.strokes import numbers_from_runs

    with pytest.raises(InputError, match="the painting is"):
        numbers_from_runs(runs, Photo(width_px=640, height_px=480), 3)


def test_a_class_of_ones_own_counts_as_what_was_said(trial):
    from fairtank.records.services.strokes import class_add, classes_of
    from fairtank.records.services.trail import KEEPER

    class_add(trial=trial, key=" red  stem ", rgb=(230, 159, 0), counts_as="plant", by=KEEPER)
    assert [(kind.key, kind.counts_as) for kind in classes_of(trial)][-1] == ("red stem", "plant")
    assert len(classes_of(trial)) == 4


@pytest.mark.parametrize(("key", "rgb", "counts_as", "said"), [
    ("Plant", (1, 2, 3), "plant", "no other class has"), ("moss", (0, 158, 115), "plant", "a colour that no other class has"),
    ("moss", (1, 2, 3), "fish", "what it counts as"), ("a;b", (1, 2, 3), "plant", "cannot be used as a key"),
    ("", (1, 2, 3), "plant", "empty"),
])
def test_a_class_that_cannot_be_is_refused(trial, key, rgb, counts_as, said):
    from fairtank.errors import InputError
    from fairtank.records.services.strokes import class_add
    from fairtank.records.services.trail import KEEPER

    with pytest.raises(InputError, match=said):
        class_add(trial=trial, key=key, rgb=rgb, counts_as=counts_as, by=KEEPER)


def test_a_photo_taken_away_takes_what_refers_to_it_along_and_brings_it_back(trial, tmp_path):
    from fairtank.records.folder import read_folder
    from fairtank.records.models import AuditPoint, Photo, Score, Stroke
    from fairtank.records.services.exporting import trial_export
    from fairtank.records.services.photo_removal import photo_bring_back, photo_remove
    from fairtank.records.services.trail import KEEPER

    photo = _photo(trial, "photos/T1-08.jpg")
    _keep(trial, *BARS, photo=photo)
    _keep(trial, *BARS)
    AuditPoint.objects.create(trial=trial, photo=photo, x=50, y=60, answer="plant", rater="keeper")
    Score.objects.create(trial=trial, photo=photo, measure="algae_cover", value=2)
    photo_remove(trial=trial, photo=photo, by=KEEPER)
    without = read_folder(trial_export(trial=trial, root=tmp_path / "without"))
    assert (len(without.photos), len(without.labels), len(without.audit), len(without.scores)) == (3, 1, 0, 0)
    photo_bring_back(trial=trial, photo=Photo.everything.get(pk=photo.pk), by=KEEPER)
    again = read_folder(trial_export(trial=trial, root=tmp_path / "again"))
    assert (len(again.photos), len(again.labels), len(again.audit), len(again.scores)) == (4, 2, 1, 1)
    assert Stroke.objects.count() == 2


def test_the_photo_of_a_frame_stays(trial):
    from fairtank.errors import InputError
    from fairtank.records.services.photo_removal import photo_remove
    from fairtank.records.services.trail import KEEPER

    with pytest.raises(InputError, match="Draw the frame of T1 on another photo first"):
        photo_remove(trial=trial, photo=_photo(trial), by=KEEPER)


@pytest.mark.usefixtures("_database")
def test_what_is_laid_over_a_photo_lies_where_its_frame_lies():
    from io import BytesIO

    from PIL import Image

    from fairtank.records.services.teaching import NOT_COUNTED, class_overlay

    classes = np.zeros((40, 60), np.uint8)
    classes[:20, :30], classes[20:, 30:] = 1, NOT_COUNTED
    shown = np.asarray(Image.open(BytesIO(class_overlay(classes, ((100, 50), (700, 50), (700, 450), (100, 450)), (800, 500)))))
    assert shown.shape == (500, 800, 4)
    assert shown[150, 200].tolist() == [0, 158, 115, 110]  # plant
    assert shown[350, 600].tolist() == [120, 120, 120, 110]  # not counted
    assert shown[150, 600, 3] == shown[20, 400, 3] == 0  # background, and outside the frame
