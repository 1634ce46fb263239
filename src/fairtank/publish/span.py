"""What lies inside the trial: values and pictures from day 0 to its last day; the rest is counted and not drawn."""

from collections.abc import Sequence
from dataclasses import replace

from fairtank.publish.content import UnitPictures
from fairtank.trial import Photo, Plan, Series


def is_inside(plan: Plan, day: int | None) -> bool:
    """Whether a day is one of the trial's: day 0 to its last day."""
    return day is not None and 0 <= day <= plan.days


def series_inside(plan: Plan, series: Sequence[Series]) -> tuple[Series, ...]:
    """The series without values before day 0 or after the last day; one that has no other value is left out."""
    kept = []
    for one in series:
        places = [place for place, day in enumerate(one.days) if is_inside(plan, day)]
        if len(places) == len(one.days):
            kept.append(one)
        elif places:
            kept.append(replace(one, days=tuple(one.days[place] for place in places), values=tuple(one.values[place] for place in places),
                                ses=tuple(one.ses[place] for place in places) if one.ses else ()))
    return tuple(one for one in kept if one.days)


def pictures_inside(plan: Plan, pictures: Sequence[UnitPictures]) -> tuple[UnitPictures, ...]:
    """The pictures of the trial's own days.

    Where the first or the last photo lies outside, the small picture of the first or last day inside takes its place.

    Parameters
    ----------
    plan : Plan
        For the trial's days.
    pictures : sequence of UnitPictures
        By unit.

    Returns
    -------
    tuple of UnitPictures
        One for each handed over; its pictures are None or empty where none lies inside.
    """
    kept = []
    for own in pictures:
        small = tuple((day, picture) for day, picture in own.thumbnails if is_inside(plan, day))
        first, last = (own.first_day, own.first), (own.last_day, own.last)
        if own.first is not None and not is_inside(plan, own.first_day):
            first = min(small, default=(None, None))
        if own.last is not None and not is_inside(plan, own.last_day):
            last = max(small, default=(None, None))
        kept.append(UnitPictures(own.unit, first[1], first[0], last[1], last[0], small))
    return tuple(kept)


def outside_words(plan: Plan, photos: Sequence[Photo]) -> str:
    """How many photos lie outside the trial's days, as a sentence; empty where none does."""
    count = sum(not is_inside(plan, photo.day) for photo in photos)
    if not count:
        return ""
    counted = "1 photo was" if count == 1 else f"{count} photos were"
    return f"{counted} taken before day 0 or after day {plan.days}: outside the trial, and not shown here."
