"""What each shot shows, as a list of items."""

from datetime import timedelta

from fairtank.publish.film import cards, lettering
from fairtank.publish.film.cells import Cell
from fairtank.publish.film.content import UnitPhotos
from fairtank.publish.film.growing import curve_items
from fairtank.publish.film.items import INK, LINE, PAPER, SHEET, SOFT, Fill, Item, Photo, Rect, Stroke, Words, rgb_of
from fairtank.publish.film.notes import note_in
from fairtank.publish.film.settled import Film, is_named
from fairtank.publish.film.timeline import Shot
from fairtank.publish.numbers import shown
from fairtank.trial import Arm, Plan, Unit


def items_of(film: Film, shot: Shot) -> list[Item]:
    """Everything that a shot shows, in the order in which it is painted.

    Parameters
    ----------
    film : Film
    shot : Shot
        Of the film's timeline.

    Returns
    -------
    list of Item
    """
    foot = _foot(film, shot)
    if shot.kind == "open":
        return cards.opening_items(film) + foot
    if shot.kind == "close":
        closing = [one for one in film.timeline.shots if one.kind == "close"]
        return cards.closing_items(film, closing.index(shot)) + foot
    items = _head(film, shot)
    for cell, own in zip(film.layout.cells, film.photos, strict=True):
        items += _label(film, shot, cell) + _photo(film, shot, cell, own)
    if film.curve is not None and film.layout.curve is not None and shot.day is not None:
        arm_of = {cell.unit: arm_on(film.plan, cell.unit, shot.day).key for cell in film.layout.cells} if is_named(film, shot.kind) else {}
        items += curve_items(film.curve, film.layout.curve, film.layout.small_px, shot.until or shot.day, film.looks, arm_of)
    return items + (_gap(film, shot) if shot.kind == "gap" else []) + foot


def arm_on(plan: Plan, unit: str, day: int) -> Arm:
    """The arm of a unit on a day: in a swap it changes.

    Parameters
    ----------
    plan : Plan
    unit : str
        Its key.
    day : int
        Of the trial.

    Returns
    -------
    Arm
    """
    own: Unit = next(one for one in plan.units if one.key == unit)
    if plan.kind != "swap":
        return plan.arm(own.arm)
    first = own.first_arm or own.arm
    return plan.arm(first) if day < plan.swap_day else next(arm for arm in plan.arms if arm.key != first)


def day_words(shot: Shot) -> str:
    """The day, or the days of a gap, as the counter tells them.

    >>> day_words(Shot("gap", 0, 10, 12, 15)), day_words(Shot("day", 0, 10, 12))
    ('Days 12 to 15', 'Day 12')
    """
    if shot.kind == "gap" and shot.until != shot.day:
        return f"Days {shot.day} to {shot.until}"
    return f"Day {shot.day}"


def _head(film: Film, shot: Shot) -> list[Item]:
    """The question, and the day of the trial."""
    layout, small = film.layout, film.layout.small_px
    big, body = round(2.1 * small), round(1.25 * small)
    counter = day_words(shot)
    of_all = f" of {film.plan.days}"
    beside = of_all + (f", {(film.plan.start + timedelta(days=shot.day or 0)).isoformat()}" if film.wishes.date else "")
    right = layout.head.right
    question = shown(film.plan.question) or shown(film.plan.change) or shown(film.plan.title)
    widest = lettering.width_px(f"Day {film.plan.days}", big, True) + lettering.width_px(beside, body)
    if layout.head_rows == 1:
        top = (layout.head.height - round(big * 1.25)) // 2
        left = right - max(widest, lettering.width_px(counter, big, True) + lettering.width_px(beside, body))
        lines = _lines(question, right - widest - 3 * body - layout.head.x, body)
        begin = (layout.head.height - round(len(lines) * body * lettering.LINE_HEIGHT)) // 2
    else:
        top, left = round(0.55 * layout.margin_px), layout.head.x
        lines = _lines(question, layout.head.width, body)
        begin = top + round(1.3 * big)
    items: list[Item] = [Words(counter, left, top, big, INK, bold=True)]
    items.append(Words(beside, left + lettering.width_px(counter, big, True), top + round((big - body) * 0.95), body, SOFT))
    step = round(body * lettering.LINE_HEIGHT)
    return items + [Words(line, layout.head.x, begin + number * step, body, SOFT) for number, line in enumerate(lines)]


def _lines(text: str, room_px: int, size_px: int) -> list[str]:
    """Two lines at most."""
    lines = lettering.wrapped(text, room_px, size_px)
    return lines if len(lines) < 3 else [lines[0], lettering.fitted(" ".join(lines[1:]), room_px, size_px)]


def _label(film: Film, shot: Shot, cell: Cell) -> list[Item]:
    """Letter, name, line style and colour of the arm; or the code of the tank while its arm is hidden."""
    small, place = film.layout.small_px, cell.label
    body, bar = round(1.2 * small), max(round(small / 4), 2)
    top = place.bottom - bar - round(0.35 * small) - round(1.2 * body)
    under = Rect(cell.photo.x, place.bottom - bar, cell.photo.width, bar)
    if not is_named(film, shot.kind):
        text = lettering.fitted(f"Tank {film.content.codes.get(cell.unit, '')}".strip(), place.width, body, True)
        return [Words(text, cell.photo.x, top, body, INK, bold=True), Fill(under, LINE)]
    look = film.looks[arm_on(film.plan, cell.unit, shot.day or 0).key]
    thick, colour = max(round(small / 5), 2), rgb_of(look.colour)
    middle = top + round(0.62 * body)
    line = (2.3 if cell.photo.width > 16 * body else 1.5) * body
    left = cell.photo.x + round(line + 0.5 * body)
    unit = lettering.fitted(shown(cell.unit), cell.photo.width // 3, body)
    letter = f"{look.letter}  "
    named = left + lettering.width_px(letter, body, True)
    room = cell.photo.right - lettering.width_px(unit, body) - body - named
    name = "" if look.is_nameless else lettering.fitted(shown(look.label), room, body)
    return [Stroke(((cell.photo.x + thick / 2, middle), (cell.photo.x + line, middle)), colour, thick, cards.dash_px(look, thick)),
            Words(letter.strip(), left, top, body, INK, bold=True), Words(name, named, top, body, INK),
            Words(unit, cell.photo.right, top, body, SOFT, anchor="right"),
            Fill(under, colour)]


def _photo(film: Film, shot: Shot, cell: Cell, own: UnitPhotos) -> list[Item]:
    """The unit's photo of the day; its last one before, veiled and with its day, where there is none that day."""
    day, seen = photo_of(own, shot), shot.day or 0
    if day is None:
        return [Fill(cell.photo, SHEET), *_chip(film, cell, "no photo yet")]
    if shot.kind != "gap" and day == seen:
        return [Photo(cell.unit, day, cell.photo)]
    return [Photo(cell.unit, day, cell.photo, is_veiled=True), *_chip(film, cell, f"photo of day {day}")]


def photo_of(own: UnitPhotos, shot: Shot) -> int | None:
    """The day of the photo that stands for a unit during a shot: the last one by then; None before its first."""
    return max((day for day in own.days if day <= (shot.day or 0)), default=None)


def _chip(film: Film, cell: Cell, text: str) -> list[Item]:
    """A few words in the lower left corner of a photo."""
    size = film.layout.small_px
    wide, high = lettering.width_px(text, size) + size, round(1.7 * size)
    place = Rect(cell.photo.x + size // 2, cell.photo.bottom - high - size // 2, min(wide, cell.photo.width - size), high)
    return [Fill(place, PAPER, 0.92), Words(text, place.x + size // 2, place.y + round(0.22 * size), size, INK)]


def _gap(film: Film, shot: Shot) -> list[Item]:
    """That nothing was photographed, across the photos."""
    size = round(1.7 * film.layout.small_px)
    text = f"{day_words(shot)}: no photo"
    cells = film.layout.cells
    left, right = min(cell.photo.x for cell in cells), max(cell.photo.right for cell in cells)
    rows = sorted({cell.photo.bottom for cell in cells})
    row = [cell.photo for cell in cells if cell.photo.bottom == rows[(len(rows) - 1) // 2]]  # a row's middle: no label is hidden
    top, bottom = min(place.y for place in row), max(place.bottom for place in row)
    wide, high = lettering.width_px(text, size, True) + 2 * size, round(2.2 * size)
    place = Rect((left + right - wide) // 2, (top + bottom - high) // 2, wide, high)
    rim = Rect(place.x - 2, place.y - 2, place.width + 4, place.height + 4)
    return [Fill(rim, SOFT), Fill(place, PAPER), Words(text, (left + right) // 2, place.y + round(0.42 * size), size, INK, True, "middle")]


def _foot(film: Film, shot: Shot) -> list[Item]:
    """The diary's note at the left, and at the right where the film comes from."""
    layout, small = film.layout, film.layout.small_px
    items: list[Item] = []
    top = layout.foot.y + (layout.foot.height - round(1.5 * small)) // 2
    code = film.content.seal_code
    line = f"fairtank film, seal {code}" if code else "fairtank film"
    room = layout.foot.width
    if film.wishes.seal_line:
        items.append(Words(line, layout.foot.right, top, small, SOFT, anchor="right"))
        room -= lettering.width_px(line, small) + 2 * small
    note = note_in(film.timeline, film.notes, shot)
    if note:
        items.append(Words(lettering.fitted(note, room, round(1.15 * small)), layout.foot.x, top - round(0.1 * small), round(1.15 * small),
                           INK))
    return items
