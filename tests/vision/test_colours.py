"""Strokes become one lookup: the colours painted are told apart, and what strokes leave open is marked."""

import numpy as np
import pytest
from tests.vision.pictures import BLUE, BROWN, GREEN, lookup

from fairtank.errors import NotEnoughDataError
from fairtank.vision.classes.lookup import CELLS, CLASSES, Strokes, cell_index, learn_colours


def cluster(rgb: tuple[int, int, int], count: int = 500, spread: float = 8.0, seed: int = 1) -> np.ndarray:
    return np.clip(np.array(rgb) + np.random.default_rng(seed).normal(0, spread, (count, 3)), 0, 255).astype(np.uint8)


@pytest.mark.parametrize(("rgb", "name"), [(GREEN, "plant"), (BROWN, "algae"), (BLUE, "background")])
def test_painted_colours_come_out_as_their_class(rgb, name):
    fresh = cluster(rgb, 2000, seed=9)
    answers = lookup().classes[cell_index(fresh)]
    assert (answers == CLASSES.index(name)).mean() > 0.99


def test_the_lookup_is_the_same_every_time():
    first, second = lookup(), lookup()
    assert np.array_equal(first.classes, second.classes)
    assert np.array_equal(first.unsure, second.unsure)


def test_the_order_of_stroke_classes_does_not_matter():
    colours = {"plant": GREEN, "algae": BROWN, "background": BLUE}
    parts = [Strokes(name, name, cluster(rgb)) for name, rgb in colours.items()]
    seen = np.zeros(CELLS)
    assert np.array_equal(learn_colours(tuple(parts), seen).classes, learn_colours(tuple(parts[::-1]), seen).classes)


def test_classes_that_count_as_plant_are_one_class_in_the_answer():
    red = (170, 50, 60)
    named = (("plant", "plant", GREEN), ("plant_red", "plant", red), ("background", "background", BLUE))
    parts = tuple(Strokes(key, counts_as, cluster(rgb)) for key, counts_as, rgb in named)
    answers = learn_colours(parts, np.zeros(CELLS)).classes
    assert (answers[cell_index(cluster(red, seed=4))] == 1).mean() > 0.99


def test_without_algae_strokes_nothing_is_called_algae():
    parts = (Strokes("plant", "plant", cluster(GREEN)), Strokes("background", "background", cluster(BLUE)))
    learnt = learn_colours(parts, np.zeros(CELLS))
    assert not learnt.has_algae
    assert set(np.unique(learnt.classes)) == {0, 1}


def test_a_rare_class_is_called_less_often_where_colours_overlap():
    leaf, stone = cluster((100, 120, 90), 2000, 25), cluster((120, 110, 100), 2000, 25)
    parts = (Strokes("plant", "plant", leaf), Strokes("background", "background", stone))
    often = np.bincount(cell_index(cluster((100, 120, 90), 20000, 25, seed=3)), minlength=CELLS)
    rarely = np.bincount(cell_index(cluster((120, 110, 100), 20000, 25, seed=3)), minlength=CELLS)
    assert learn_colours(parts, rarely).classes.sum() < learn_colours(parts, often).classes.sum()


def test_a_colour_painted_as_two_classes_is_marked_as_unsure():
    both = (150, 150, 150)
    plant = np.concatenate([cluster((60, 140, 60)), cluster(both, seed=2)])
    background = np.concatenate([cluster((100, 140, 220)), cluster(both, seed=3)])
    learnt = learn_colours((Strokes("plant", "plant", plant), Strokes("background", "background", background)), np.zeros(CELLS))
    unsure = {rgb: bool(learnt.unsure[int(cell_index(np.array(rgb, np.uint8)))]) for rgb in (both, (60, 140, 60), (100, 140, 220))}
    assert unsure == {both: True, (60, 140, 60): False, (100, 140, 220): False}


@pytest.mark.parametrize("kept", [("plant", "algae"), ("background",), ()])
def test_too_few_strokes_are_refused_with_the_counts(kept):
    colours = {"plant": GREEN, "algae": BROWN, "background": BLUE}
    parts = tuple(Strokes(name, name, cluster(rgb, 500 if name in kept else 10)) for name, rgb in colours.items())
    with pytest.raises(NotEnoughDataError, match=r"background \d+, plant \d+, algae \d+"):
        learn_colours(parts, np.zeros(CELLS))
