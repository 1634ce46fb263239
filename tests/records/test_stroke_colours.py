"""Whether a stroke picture holds a colour: told alike for few colours and for a whole photo, with and without transparency."""

import io

import numpy as np
import pytest
from PIL import Image

from fairtank.records.folder.pictures import holds_colour

STROKE, OTHER = (213, 94, 0), (0, 158, 115)


def png(pixels: np.ndarray, mode: str, **more) -> bytes:
    held, image = io.BytesIO(), Image.fromarray(pixels, "RGBA")
    (image.convert("RGB").quantize(8) if mode == "P" else image.convert(mode)).save(held, "PNG", **more)
    return held.getvalue()


@pytest.mark.parametrize("mode", ["RGB", "RGBA", "P"])
@pytest.mark.parametrize("ground", ["plain", "photo"])
def test_a_stroke_is_found_on_any_ground_by_exactly_its_colour(mode, ground):
    pixels = np.full((40, 40, 4), 255, np.uint8)
    if ground == "photo" and mode != "P":
        pixels[..., :3] = np.random.default_rng(1).integers(1, 255, (40, 40, 3))
    pixels[5, 5:9, :3] = STROKE
    assert holds_colour(png(pixels, mode), (STROKE, OTHER))
    assert not holds_colour(png(pixels, mode), (OTHER, (213, 94, 1)))


@pytest.mark.parametrize(("covers", "is_found"), [(128, True), (127, False)])
@pytest.mark.parametrize("is_photo", [False, True])
def test_a_stroke_that_at_most_half_covers_is_none(covers, is_found, is_photo):
    pixels = np.zeros((40, 40, 4), np.uint8)
    if is_photo:
        pixels[...] = np.random.default_rng(2).integers(1, 255, (40, 40, 4))
    pixels[3, 3] = (*STROKE, covers)
    assert holds_colour(png(pixels, "RGBA"), (STROKE,)) is is_found


def test_a_colour_that_a_picture_without_alpha_calls_transparent_is_none():
    pixels = np.full((20, 20, 4), 255, np.uint8)
    pixels[:10, :, :3] = STROKE
    assert holds_colour(png(pixels, "RGB"), (STROKE,))
    assert not holds_colour(png(pixels, "RGB", transparency=STROKE), (STROKE,))
