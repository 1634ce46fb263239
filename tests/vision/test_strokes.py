"""Strokes are read by their exact colour, whatever they were painted on."""

import numpy as np
import pytest
from PIL import Image
from tests.vision.pictures import CORNERS, GREEN, tank_picture, view

from fairtank.errors import PhotoError
from fairtank.trial import LabelClass
from fairtank.vision.classes.strokes import UNPAINTED, gathered, load_strokes, stroke_picture
from fairtank.vision.view import rectified, relative

PLANT, GROUND = LabelClass("plant", (0, 158, 115), "plant"), LabelClass("background", (0, 0, 0), "background")
CLASSES = (PLANT, GROUND)


def strokes_on(ground: tuple[int, ...]) -> np.ndarray:
    layers = np.full((750, 1000, len(ground)), ground, np.uint8)
    opaque = (255,) if len(ground) == 4 else ()
    layers[450:460, 300:400] = (*PLANT.rgb, *opaque)
    layers[200:210, 300:350] = (*GROUND.rgb, *opaque)
    return layers


GROUNDS = {"photo": (90, 80, 70), "white": (255, 255, 255), "clear": (0, 0, 0, 0), "faint": (*PLANT.rgb, 100)}


@pytest.mark.parametrize("ground", GROUNDS.values(), ids=GROUNDS.keys())
def test_only_whole_strokes_count_on_any_ground(tmp_path, ground):
    Image.fromarray(strokes_on(ground)).save(tmp_path / "a.png")
    numbers = load_strokes(tmp_path / "a.png", CLASSES)
    assert [(numbers == number).sum() for number in (0, 1)] == [1000, 500]
    assert set(np.unique(numbers)) == {0, 1, UNPAINTED}


def test_strokes_gathered_give_the_photos_colours_under_each_stroke():
    numbers = np.full((750, 1000), UNPAINTED, np.uint8)
    numbers[450:460, 300:400] = 0
    picture = tank_picture()
    framed = rectified(picture, relative(CORNERS, 1000), view(picture).width_px, view(picture).height_px)
    plant, ground = gathered(CLASSES, (stroke_picture("a.jpg", framed, numbers, relative(CORNERS, 1000), view(picture)),))
    assert len(plant.pixels) == pytest.approx(1000, rel=0.05)
    assert (plant.pixels == GREEN).all(axis=1).mean() > 0.95  # the rest are the small dots of the picture
    assert len(ground.pixels) == 0


def test_strokes_that_are_no_png_are_refused_with_their_name(tmp_path):
    (tmp_path / "b.png").write_bytes(b"no picture")
    with pytest.raises(PhotoError, match=r"b\.png cannot be read as a PNG picture of strokes"):
        load_strokes(tmp_path / "b.png", CLASSES)
