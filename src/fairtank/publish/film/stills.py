"""Pictures beside the film: the poster that stands for it, each tank's first and last day, and all of them in one picture."""

from collections.abc import Sequence

import numpy as np

from fairtank.publish.film import cards, lettering
from fairtank.publish.film.content import UnitPhotos
from fairtank.publish.film.frames import picture_of_shot
from fairtank.publish.film.items import INK, SOFT, Fill, Item, Photo, Rect, Stroke, Words, rgb_of
from fairtank.publish.film.paint import blank, paint
from fairtank.publish.film.scenes import arm_on
from fairtank.publish.film.settled import Film
from fairtank.publish.film.wishes import NEVER
from fairtank.publish.numbers import shown

_WIDTH_PX = 1920
_WIDEST_PHOTO_PX = 900


def poster(film: Film) -> np.ndarray:
    """The last day of the film, without what would give away a reveal.

    Parameters
    ----------
    film : Film

    Returns
    -------
    array of shape (h, w, 3), uint8
    """
    return picture_of_shot(film, [shot for shot in film.timeline.shots if shot.kind == "hold"][-1])


def before_after(film: Film, photos: Sequence[UnitPhotos] | None = None) -> np.ndarray:
    """First and last day below each other, one column for each tank: every tank that is shown, not the one that shows it best.

    Parameters
    ----------
    film : Film
    photos : sequence of UnitPhotos or None
        Other tanks than those of the film.

    Returns
    -------
    array of shape (h, w, 3), uint8
    """
    own = [one for one in (film.photos if photos is None else photos) if one.days]
    margin, gap = 40, 24
    columns = len(own)
    across = min((_WIDTH_PX - 2 * margin - (columns - 1) * gap) // columns, _WIDEST_PHOTO_PX)
    small = min(max(across // 11, 16), 26) if columns > 3 else across // 22
    scale = across / max(one.width_cm for one in own)
    down = round(scale * max(one.height_cm for one in own))
    label, under = round(3.5 * small), round(1.8 * small)
    size = (2 * margin + columns * across + (columns - 1) * gap, 2 * margin + label + 2 * (down + under))
    picture = blank((size[0] // 2 * 2, size[1] // 2 * 2))
    items: list[Item] = []
    for place, one in enumerate(own):
        x = margin + place * (across + gap)
        items += _column_label(film, one.unit, x, margin, across, small)
        for row, day in enumerate((one.days[0], one.days[-1])):
            wide, high = round(scale * one.width_cm), round(scale * one.height_cm)
            y = margin + label + row * (down + under)
            items.append(Photo(one.unit, day, Rect(x + (across - wide) // 2, y + down - high, wide, high)))
            items.append(Words(f"day {day}", x, y + down + round(0.2 * small), small, SOFT))
    if film.content.seal_code and film.wishes.seal_line:
        told = f"fairtank film, seal {film.content.seal_code}"
        items.append(Words(told, size[0] - margin, size[1] - margin + 2, 20, SOFT, anchor="right"))
    paint(picture, items, film.content.picture)
    return picture


def _column_label(film: Film, unit: str, x: int, y: int, across: int, small: int) -> list[Item]:
    if film.wishes.arms == NEVER:
        called = lettering.fitted(f"Tank {film.content.codes.get(unit, '')}".strip(), across, small, True)
        return [Words(called, x, y + round(1.35 * small), small, INK, True)]
    days = next(one.days for one in film.photos if one.unit == unit)
    look = film.looks[arm_on(film.plan, unit, days[-1]).key]
    colour, thick, left = rgb_of(look.colour), max(small // 5, 3), x + round(2.8 * small)
    middle = y + round(0.62 * small)
    name = "" if look.is_nameless else lettering.fitted(shown(look.label), across, small)
    unit_name = lettering.fitted(shown(unit), across // 2, small)
    return [Stroke(((x + thick / 2, middle), (x + 2.3 * small, middle)), colour, thick, cards.dash_px(look, thick)),
            Words(look.letter, left, y, small, INK, bold=True), Words(unit_name, x + across, y, small, SOFT, anchor="right"),
            Words(name, x, y + round(1.35 * small), small, INK), Fill(Rect(x, y + round(2.95 * small), across, 8), colour)]


def pair_of(film: Film, unit: str) -> np.ndarray:
    """One tank's first and last day.

    Parameters
    ----------
    film : Film
    unit : str
        Its key.

    Returns
    -------
    array of shape (h, w, 3), uint8
    """
    return before_after(film, [one for one in film.photos if one.unit == unit])
