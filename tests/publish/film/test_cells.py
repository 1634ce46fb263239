"""Where everything lies: nothing overlaps, nothing leaves the picture, and tanks are drawn to one scale."""

from itertools import combinations

import pytest

from fairtank.publish.film.cells import layout_of
from fairtank.publish.film.content import UnitPhotos
from fairtank.publish.film.wishes import SHAPES, SIZES, FilmWishes

TANKS = tuple(UnitPhotos(f"T{number}", (0,), 45.0, 36.0) for number in range(1, 7))


def overlap(one, two):
    return one.x < two.right and two.x < one.right and one.y < two.bottom and two.y < one.bottom


@pytest.mark.parametrize("with_curve", [True, False])
@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 6])
def test_nothing_overlaps_and_nothing_leaves_the_picture(shape, count, with_curve):
    for size in SIZES:
        wide, high = FilmWishes(shape=shape, size=size).size_px
        layout = layout_of(TANKS[:count], (wide, high), with_curve=with_curve)
        places = [layout.head, layout.foot, *(part for cell in layout.cells for part in (cell.photo, cell.label))]
        places += [layout.curve] if layout.curve else []
        assert (layout.curve is not None) is with_curve
        assert not [pair for pair in combinations(places, 2) if overlap(*pair)]
        assert all(0 <= place.x < place.right <= wide and 0 <= place.y < place.bottom <= high for place in places)
        assert all(value % 2 == 0 for cell in layout.cells for value in (cell.photo.x, cell.photo.y, cell.photo.width, cell.photo.height))


def test_two_tanks_stand_beside_each_other_in_a_wide_film_and_below_each_other_in_a_tall_one():
    rows = {}
    for shape in SHAPES:
        cells = layout_of(TANKS[:2], FilmWishes(shape=shape).size_px, with_curve=True).cells
        rows[shape] = len({cell.photo.y for cell in cells})
    assert (rows["wide"], rows["tall"]) == (1, 2)


def test_a_smaller_tank_is_drawn_smaller_by_as_much():
    small = UnitPhotos("S", (0,), 22.5, 18.0)
    large, little = layout_of((TANKS[0], small), (1920, 1080), with_curve=False).cells
    assert large.photo.width / little.photo.width == pytest.approx(2, rel=0.01)
    assert large.photo.bottom == little.photo.bottom, "they stand on one line"


def test_arms_take_a_column_each_where_there_are_as_many_columns():
    cells = layout_of(TANKS, FilmWishes(shape="tall").size_px, with_curve=True, groups=2).cells
    assert len({cell.photo.x for cell in cells[:3]}) == len({cell.photo.x for cell in cells[3:]}) == 1
    assert {cell.photo.x for cell in cells[:3]} != {cell.photo.x for cell in cells[3:]}


@pytest.mark.parametrize(("shape", "size", "px"), [
    ("wide", "1080p", (1920, 1080)), ("wide", "4k", (3840, 2160)), ("tall", "1080p", (1080, 1920)), ("square", "1080p", (1080, 1080)),
])  # fmt: skip
def test_shapes_and_sizes_are_what_they_are_called(shape, size, px):
    assert FilmWishes(shape=shape, size=size).size_px == px
