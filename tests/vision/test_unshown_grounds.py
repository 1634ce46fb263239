"""A ground lighter than any that was painted is still ground, and each photo's quality says how new and how close its colours were."""

import numpy as np
import pytest
from tests.vision.pictures import PHOTO, classifier, loaded, tank_picture, view

from fairtank.science.colour import lab_from_srgb
from fairtank.vision.classes import lookup as lookup_file
from fairtank.vision.classes.lookup import CELLS, CLASSES, ColourLookup, Strokes, cell_index, learn_colours
from fairtank.vision.classes.mixture import log_likelihood, mixture, without_lightness
from fairtank.vision.measure import measure_photo

SOIL, LIGHT_SOIL, LEAF, SHINE = (70, 58, 46), (226, 212, 200), (70, 150, 60), (222, 232, 214)


def around(rgb: tuple[int, int, int], count: int, seed: int, spread: float = 10.0) -> np.ndarray:
    """Px around a colour whose light varies more than their tint."""
    chance = np.random.default_rng(seed)
    light = np.exp(chance.normal(0, 0.12, (count, 1)))
    return np.clip(np.array(rgb) * light + chance.normal(0, spread / 3, (count, 3)), 0, 255).astype(np.uint8)


def learnt() -> ColourLookup:
    """Dark soil, and leaves of which one px in fifty shines nearly white."""
    leaf = np.concatenate([around(LEAF, 4900, 1), around(SHINE, 100, 2)])
    return learn_colours((Strokes("plant", "plant", leaf), Strokes("background", "background", around(SOIL, 5000, 3))), np.zeros(CELLS))


def called_plant(found: ColourLookup, rgb: tuple[int, int, int]) -> float:
    return float((found.classes[cell_index(around(rgb, 2000, 9))] == CLASSES.index("plant")).mean())


def test_soil_lighter_than_any_that_was_painted_is_told_by_its_tint(monkeypatch):
    found = learnt()
    assert called_plant(found, LIGHT_SOIL) < 0.1
    monkeypatch.setattr(lookup_file, "_HARDLY_SHOWN", 0.0)
    assert called_plant(learnt(), LIGHT_SOIL) > called_plant(found, LIGHT_SOIL) + 0.2


def test_colours_that_were_painted_stay_what_they_were_painted_as():
    found = learnt()
    assert called_plant(found, LEAF) > 0.99
    assert called_plant(found, SOIL) < 0.01


def test_a_mixture_without_lightness_is_the_whole_mixture_summed_over_lightness():
    parts = mixture(lab_from_srgb(around(LEAF, 800, 4).astype(float)), 3, np.random.default_rng(0))
    tints = np.array([[-30.0, 28], [-20, 20], [-38, 35]])
    steps = np.arange(-150.0, 260, 0.25)
    whole = [0.25 * np.exp(log_likelihood(np.column_stack([steps, np.tile(tint, (len(steps), 1))]), parts)).sum() for tint in tints]
    assert np.exp(log_likelihood(tints, without_lightness(parts))) * np.sqrt(2 * np.pi) == pytest.approx(whole, rel=1e-4)


def test_a_photos_quality_tells_how_new_and_how_close_its_colours_are_and_what_told_them_apart():
    usual = tank_picture()
    tinted = usual.copy()
    tinted[200:400, 200:500] = (250, 0, 250)
    first, second = (measure_photo(PHOTO, loaded(one), view(usual), classifier(), version="t").quality for one in (usual, tinted))
    assert first.new_fraction < 0.01 < 0.1 < second.new_fraction
    assert 0 <= first.closeness <= 0.5
    assert first.classifier == second.classifier == classifier().digest[:12]


def test_a_photo_without_strokes_says_nothing_of_its_map():
    picture = tank_picture()
    found = measure_photo(PHOTO, loaded(picture), view(picture), None, version="t").quality
    assert (found.new_fraction, found.closeness, found.classifier) == (None, None, "")
