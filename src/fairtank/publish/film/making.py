"""A film before its first frame: which tanks are shown in which order, where, when, and what is told beside them."""

from collections import Counter
from collections.abc import Sequence

from fairtank.errors import InputError, NotEnoughDataError
from fairtank.finding import Finding
from fairtank.publish.arms import arm_looks
from fairtank.publish.film.cards import closing_pages, reading_seconds
from fairtank.publish.film.cells import layout_of
from fairtank.publish.film.content import FilmContent, UnitPhotos
from fairtank.publish.film.growing import growing_curve
from fairtank.publish.film.notes import notes_of
from fairtank.publish.film.settled import Film, Page
from fairtank.publish.film.timeline import timeline_of
from fairtank.publish.film.wishes import AT_THE_END, BY_ARM, BY_PLAN, MOST_UNITS, SHOWN, FilmWishes, wishes_check
from fairtank.publish.numbers import in_a_row, shown
from fairtank.publish.span import is_inside
from fairtank.trial import Plan

_SHORTEST_OPEN_S, _LONGEST_OPEN_S, _SHORTEST_CLOSE_S, _LONGEST_CLOSE_S = 2.5, 3.5, 4.0, 7.0


def film_of(content: FilmContent, wishes: FilmWishes) -> Film:
    """Settle a film.

    Parameters
    ----------
    content : FilmContent
        The trial, its findings and the way to its photos.
    wishes : FilmWishes

    Returns
    -------
    Film

    Raises
    ------
    InputError
        If a wish cannot be met.
    NotEnoughDataError
        If there is no photo to show.
    """
    wishes_check(wishes)
    looks = arm_looks(content.plan)
    photos = _ordered(content, wishes, list(looks))
    days = sorted({day for one in photos for day in one.days})
    if not days:
        timeline_of((), frames_per_second=wishes.frames_per_second)  # says what is missing
    findings = primary_of(content.findings)
    curve = growing_curve(content.plan, content.series, findings, content.events, [one.unit for one in photos]) if wishes.curve else None
    layout = layout_of(photos, wishes.size_px, with_curve=curve is not None, groups=_groups(content.plan, photos, wishes))
    closing = closing_pages(findings, layout) if wishes.cards else ()
    open_s, close_s = _card_seconds(content.plan, closing, wishes)
    timeline = timeline_of(days, frames_per_second=wishes.frames_per_second, seconds_per_day=wishes.seconds_per_day, open_s=open_s,
                           close_s=close_s, has_reveal=wishes.arms == AT_THE_END)
    names = {one.unit: shown(one.unit) if wishes.arms == SHOWN else content.codes.get(one.unit, "") for one in photos}
    notes = notes_of(content, names) if wishes.captions else ()
    return Film(content, wishes, looks, photos, layout, timeline, curve, notes, closing)


def primary_of(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The findings that a film tells: those of the primary measure, as the report does."""
    return tuple(finding for finding in findings if finding.role == "primary") or tuple(findings[:1])


def _ordered(content: FilmContent, wishes: FilmWishes, arms: list[str]) -> tuple[UnitPhotos, ...]:
    """The units that are shown, in their order; days outside the trial are left out."""
    plan, by_unit = content.plan, {one.unit: one for one in content.photos}
    keys = [unit.key for unit in plan.units]
    unknown = [unit for unit in wishes.units if unit not in keys]
    if unknown:
        raise InputError("The tanks in the film", in_a_row(map(shown, unknown)), f"tanks of this trial: {in_a_row(map(shown, keys))}")
    chosen = [key for key in keys if key in by_unit and (not wishes.units or key in wishes.units)]
    if not chosen:
        raise NotEnoughDataError("None of these tanks has a usable photo, so there is nothing to show in a film. Photograph the tanks, set "
                                 "their frames and measure the photos first.")
    if len(chosen) > MOST_UNITS:
        raise InputError("The tanks in the film", f"{len(chosen)} tanks", f"1 to {MOST_UNITS} at once",
                         f"Say which ones, with as many of each arm. This trial has {in_a_row(map(shown, chosen))}.")
    if (wishes.order or (BY_ARM if wishes.arms == SHOWN else BY_PLAN)) == BY_ARM:
        chosen.sort(key=lambda key: arms.index(plan.arm_of(key).key))
    if wishes.arms != SHOWN:
        chosen.sort(key=lambda key: content.codes.get(key, ""))  # a plan may list the tanks arm by arm
    return tuple(UnitPhotos(one.unit, tuple(day for day in one.days if is_inside(plan, day)), one.width_cm, one.height_cm, one.anew)
                 for one in (by_unit[key] for key in chosen))


def _groups(plan: Plan, photos: Sequence[UnitPhotos], wishes: FilmWishes) -> int:
    """How many arms stand one after the other, with as many tanks each; 0 where they do not."""
    if wishes.arms != SHOWN or wishes.order == BY_PLAN:
        return 0
    counts = Counter(plan.arm_of(one.unit).key for one in photos)
    return len(counts) if len(set(counts.values())) == 1 else 0


def _card_seconds(plan: Plan, closing: Sequence[Page], wishes: FilmWishes) -> tuple[tuple[float, ...], tuple[float, ...]]:
    if not wishes.cards:
        return (), ()
    told = f"{plan.question or plan.change} {plan.reference} {plan.change}"
    open_s = min(max(reading_seconds(told), _SHORTEST_OPEN_S), _LONGEST_OPEN_S)
    return (open_s,), tuple(min(max(reading_seconds(" ".join(page.lines)), _SHORTEST_CLOSE_S), _LONGEST_CLOSE_S) for page in closing)
