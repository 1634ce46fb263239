"""A photo to be looked at: the same frame and the same colours as the picture that is measured, at any size."""

import numpy as np
from tests.vision.pictures import encoded, tank_picture

from fairtank.science.srgb import linear_from_srgb, srgb_from_linear
from fairtank.trial import Frame
from fairtank.vision.colour.correction import Correction, uncorrected
from fairtank.vision.load import decoded_photo
from fairtank.vision.showing import corrected, shown_photo
from fairtank.vision.view import view_of

CORNERS = ((150.0, 100.0), (850.0, 100.0), (850.0, 600.0), (150.0, 600.0))


def test_colours_are_corrected_in_linear_light_band_by_band():
    rng = np.random.default_rng(4)
    picture = rng.integers(0, 256, (150, 40, 3), np.uint8)
    levels = linear_from_srgb(np.arange(256) / 255)
    mixing = np.array([[0.9, 0.1, 0.0], [0.0, 1.0, 0.0], [0.05, 0.0, 0.95]])
    found = Correction("card", np.stack([0.8 * levels, levels, 1.1 * levels]), mixing)
    light = np.stack([found.tables[channel][picture[..., channel]] for channel in range(3)], axis=-1) @ found.matrix.T
    expected = np.round(srgb_from_linear(np.clip(light, 0, 1)) * 255)
    assert np.abs(corrected(picture, found).astype(int) - expected).max() <= 1
    assert np.abs(corrected(picture, uncorrected()).astype(int) - picture).max() <= 1


def test_a_photo_is_shown_in_its_frame_at_any_size_and_decoded_as_large_as_it_needs():
    content = encoded(tank_picture(1, plant_top=450), "JPEG", quality=95)
    view = view_of(Frame("T1", "a.jpg", "fixed", "front", CORNERS, 70.0, 50.0), (), decoded_photo(content, "a.jpg"))
    whole = tank_picture(1, plant_top=450)[100:600, 150:850].astype(int)
    small, large = (shown_photo(content, "a.jpg", CORNERS, view, width, height) for width, height in ((70, 50), (700, 500)))
    assert (small.shape, large.shape) == ((50, 70, 3), (500, 700, 3))
    assert np.abs(large.astype(int) - whole).mean() < 4
    blocks = whole.reshape(50, 10, 70, 10, 3).mean(axis=(1, 3))
    assert np.abs(small - blocks).mean() < 12
