"""Brush strokes: inside their class, few, and in every class."""

from dataclasses import replace

import numpy as np
import pytest

from fairtank.simulation import render_photo, scenario, strokes, strokes_on

SIZE = (1024, 768)


@pytest.fixture(scope="module")
def drawn():
    midday = replace(scenario("midday"), photo_size=SIZE)
    photo = midday.label_photos[3]
    truth = render_photo(midday, photo.unit, photo.day, SIZE).truth
    return midday, photo, truth, strokes_on(midday, truth, photo, 1)


def test_strokes_never_leave_their_class(drawn):
    midday, _, truth, picture = drawn
    for kind, code in zip(midday.label_classes, (1, 2, 0), strict=True):
        assert (truth.label[(picture == kind.rgb).all(-1)] == code).all()


def test_strokes_have_only_class_colours_on_black(drawn):
    midday, _, _, picture = drawn
    colours = {tuple(colour) for colour in np.unique(picture.reshape(-1, 3), axis=0).tolist()}
    assert colours == {(0, 0, 0), *(kind.rgb for kind in midday.label_classes)}


def test_strokes_take_about_one_to_two_percent_of_the_pixels(drawn):
    *_, picture = drawn
    assert 0.8 < 100 * picture.any(-1).mean() < 2.2


def test_the_same_hand_draws_the_same_strokes_and_another_hand_others(drawn):
    midday, photo, truth, picture = drawn
    assert (strokes(midday, photo, 1) == picture).all()
    assert (strokes_on(midday, truth, photo, 2) != picture).any()
