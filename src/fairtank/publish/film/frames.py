"""Every frame of a film in order, made while it is asked for: two pictures lie in memory at a time, however long the film is."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fairtank.publish.film.colours import Place, blended, faded, moved_px, put, yuv_of
from fairtank.publish.film.content import UnitPhotos
from fairtank.publish.film.items import Rect
from fairtank.publish.film.likeness import may_fade, outlines
from fairtank.publish.film.paint import blank, clear, paint
from fairtank.publish.film.scenes import items_of, photo_of
from fairtank.publish.film.settled import Film
from fairtank.publish.film.timeline import Shot

Places = tuple[Place, ...]


@dataclass(frozen=True, eq=False)
class Stretch:
    """So many equal frames: pixels is one of them, as `colours.yuv_of` makes it."""

    pixels: np.ndarray
    frames: int


class Seen:
    """The outlines of each tank's last photo, so that they are found once."""

    def __init__(self) -> None:
        """Nothing was seen yet."""
        self._last: dict[str, dict[int, np.ndarray]] = {}

    def outlines(self, film: Film, unit: str, day: int, place: Rect) -> np.ndarray:
        """The outlines of a unit's photo; those of one other day are kept."""
        there = self._last.setdefault(unit, {})
        if day not in there:
            for old in sorted(there)[:-1]:
                del there[old]
            there[day] = outlines(film.content.picture(unit, day, place.width, place.height))
        return there[day]


def picture_of_shot(film: Film, shot: Shot, canvas: np.ndarray | None = None) -> np.ndarray:
    """A shot as a picture.

    Parameters
    ----------
    film : Film
    shot : Shot
    canvas : array of shape (h, w, 3), uint8, or None
        A picture that is not needed any more and is painted over; None for a new one.

    Returns
    -------
    array of shape (h, w, 3), uint8
    """
    picture = blank(film.layout.size_px) if canvas is None else canvas
    clear(picture)
    paint(picture, items_of(film, shot), film.content.picture)
    return picture


def frames_of(film: Film) -> Iterator[Stretch]:
    """The film from its first frame to its last.

    Parameters
    ----------
    film : Film

    Yields
    ------
    Stretch
        Frames that are alike stand together, so that they are converted and painted once.
    """
    shots, seen = film.timeline.shots, Seen()
    canvas = blank(film.layout.size_px)
    here = yuv_of(picture_of_shot(film, shots[0], canvas))
    for place, shot in enumerate(shots):
        yield Stretch(here, shot.frames - shot.dissolve)
        if place + 1 == len(shots):
            return
        following = shots[place + 1]
        coming = yuv_of(picture_of_shot(film, following, canvas))
        yield from _leading_over(film, (shot, following), here, coming, seen)
        here = coming


def _leading_over(film: Film, shots: tuple[Shot, Shot], here: np.ndarray, coming: np.ndarray, seen: Seen) -> Iterator[Stretch]:
    """The frames at the end of a shot in which the next one comes.

    A card fades to empty paper, and the photos come out of it: words over photos can be read by nobody.
    """
    frames = shots[0].dissolve
    shares = [(step + 1) / (frames + 1) for step in range(frames)]
    if {shot.kind for shot in shots} & {"open", "close"}:
        yield from (Stretch(faded(here, 1 - 2 * share) if share < 0.5 else faded(coming, 2 * share - 1), 1) for share in shares)
        return
    plain, photos = fading_places(film, *shots, seen)
    masks = moved_px(here, coming, photos)
    for share in shares:
        yield Stretch(_mixed(here, coming, share, (plain, photos), masks), 1)


def _mixed(here: np.ndarray, coming: np.ndarray, share: float, fading: tuple[Places, Places], masks: list[np.ndarray]) -> np.ndarray:
    """One frame between two pictures: places fade, and what moved in a photo is the one or the other."""
    mixed = blended(here, coming, share, (*fading[0], *fading[1]))
    put(mixed, here if share < 0.5 else coming, fading[1], masks)
    return mixed


def fading_places(film: Film, shot: Shot, following: Shot, seen: Seen) -> tuple[Places, Places]:
    """Which parts of the picture fade into the next shot; everything else changes at once when the next shot begins.

    Photos fade where one sees one tank that changes, the curve always, words only where they lie across the photos.

    Parameters
    ----------
    film : Film
    shot, following : Shot
    seen : Seen

    Returns
    -------
    tuple of places, tuple of places
        Those that fade as they are, and photos that fade but for what moved. Each is (left, top, right, bottom). [px, even]
    """
    width = film.layout.size_px[0]
    places = []
    if film.layout.curve is not None:
        curve = film.layout.curve
        places.append((curve.x // 2 * 2, curve.y // 2 * 2, width, min(curve.bottom, film.layout.foot.y) // 2 * 2))
    fading = [cell.photo for cell, own in zip(film.layout.cells, film.photos, strict=True) if _fades(film, own, shot, following, seen)]
    if "gap" not in (shot.kind, following.kind):
        return tuple(places), tuple((place.x, place.y, place.right, place.bottom) for place in fading)
    if len(fading) < len(film.layout.cells):
        return tuple(places), ()
    top, bottom = min(place.y for place in fading), max(place.bottom for place in fading)  # the words of a gap lie across the photos
    left, right = min(place.x for place in fading), max(place.right for place in fading)
    return (*places, (left, top, right, bottom)), ()


def _fades(film: Film, own: UnitPhotos, shot: Shot, following: Shot, seen: Seen) -> bool:
    """Whether a unit's photos of two shots may fade into each other."""
    one, two = photo_of(own, shot), photo_of(own, following)
    if one == two:
        return True
    if one is None or two is None or any(one < day <= two for day in own.anew):
        return False
    place = next(cell.photo for cell in film.layout.cells if cell.unit == own.unit)
    after = seen.outlines(film, own.unit, two, place)  # its photo was just painted
    return may_fade(seen.outlines(film, own.unit, one, place), after)
