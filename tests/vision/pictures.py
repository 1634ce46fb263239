"""Small made-up photos for the tests of the vision room: a tank-like picture with glass edges, and views of it."""

import io
from datetime import datetime
from functools import lru_cache

import numpy as np
from PIL import Image

from fairtank.trial import Frame, Photo, Zone
from fairtank.vision.classes.classifier import Classifier
from fairtank.vision.classes.lookup import CELLS, ColourLookup, Strokes, cell_index, learn_colours
from fairtank.vision.load import LoadedPhoto
from fairtank.vision.view import View, view_of

GREEN, BROWN, BLUE = (40, 150, 50), (120, 110, 40), (170, 200, 220)
PHOTO = Photo("photos/T1.png", "T1", datetime(2026, 3, 1, 9), 0)
CORNERS = ((150.0, 120.0), (850.0, 120.0), (850.0, 620.0), (150.0, 620.0))


def tank_picture(seed: int = 0, *, plant_top: int = 400) -> np.ndarray:
    """A 1000 x 750 px picture: textured wall, a lit pane between CORNERS with dark glass edges, plants from plant_top down."""
    return _painted(seed, plant_top).copy()


@lru_cache(maxsize=32)
def _painted(seed: int, plant_top: int) -> np.ndarray:
    """What `tank_picture` hands out copies of: many tests ask for the same one."""
    import cv2

    rng = np.random.default_rng(seed)
    wall = cv2.resize(rng.integers(60, 150, (75, 100, 1)).astype(np.uint8), (1000, 750), interpolation=cv2.INTER_CUBIC)
    picture = np.repeat(wall[:, :, None], 3, axis=2)
    picture[120:620, 150:850] = BLUE
    specks = rng.integers(0, 40, (500, 700, 1))
    picture[120:620, 150:850] = np.clip(picture[120:620, 150:850].astype(int) - specks, 0, 255)
    picture[plant_top:620, 250:750] = GREEN
    picture[520:560, 300:400] = BROWN
    for x, y in rng.integers((170, 140), (830, 600), (60, 2)):
        cv2.circle(picture, (int(x), int(y)), int(rng.integers(2, 6)), (60, 60, 60), -1)
    cv2.rectangle(picture, (150, 120), (850, 620), (25, 40, 40), 5)
    return picture


def loaded(picture: np.ndarray) -> LoadedPhoto:
    return LoadedPhoto(picture, picture.shape[1], picture.shape[0])


def view(picture: np.ndarray, mode: str = "fixed", zones: tuple[Zone, ...] = (), corners=CORNERS) -> View:
    return view_of(Frame("T1", "photos/T1.png", mode, "front", corners, 70.0, 50.0), zones, loaded(picture))


@lru_cache
def lookup() -> ColourLookup:
    """Learnt from noisy strokes of the three colours above."""
    rng = np.random.default_rng(5)
    parts = []
    for key, rgb in (("plant", GREEN), ("algae", BROWN), ("background", BLUE), ("background", (60, 60, 60)), ("background", (25, 40, 40))):
        noisy = np.clip(np.array(rgb) + rng.normal(0, 8, (400, 3)), 0, 255).astype(np.uint8)
        parts.append(Strokes(key, key, noisy))
    seen = np.bincount(cell_index(tank_picture()[120:620, 150:850]).ravel(), minlength=CELLS)
    return learn_colours(tuple(parts), seen)


def classifier() -> Classifier:
    return Classifier(lookup())


def encoded(picture: np.ndarray, kind: str = "PNG", **options: object) -> bytes:
    out = io.BytesIO()
    Image.fromarray(picture).save(out, kind, **options)
    return out.getvalue()


def turned(picture: np.ndarray, orientation: int, kind: str = "PNG", **options: object) -> bytes:
    """The file that a camera held otherwise writes: stored px turned, the tag telling how to turn them back."""
    back = {1: 0, 3: 2, 6: 1, 8: 3}[orientation]
    exif = Image.Exif()
    exif[0x0112] = orientation
    return encoded(np.rot90(picture, back), kind, exif=exif.tobytes(), **options)
