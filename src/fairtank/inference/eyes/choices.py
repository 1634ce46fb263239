"""From people's choices between two photos to one strength per unit, as a series of one day that the analysis can take."""

from collections.abc import Sequence
from dataclasses import dataclass

from fairtank.errors import NotEnoughDataError
from fairtank.finding import Eyes, RankedUnit
from fairtank.inference.eyes.bridges import MOST_BRIDGED, bridging, is_one_sided, unseen_variance
from fairtank.inference.eyes.preferences import Choice, Ranking, ranking
from fairtank.inference.rounding import settled
from fairtank.inference.series.days import without_excluded_days
from fairtank.inference.series.windows import LONGEST_GAP_D
from fairtank.trial import Event, MeasureChoice, Plan, Series

# Designs that set two groups of units against each other, so that one strength says all about a unit.
TWO_GROUPS = ("side_by_side", "run_in")


@dataclass(frozen=True)
class SeenChoice:
    """One person's answer with what the photos show, hidden from the person.

    rater: who. photo_a, photo_b: keys of the photos. unit_a, unit_b, day_a, day_b: what they show. more: `a`, `b` or `same`.
    """

    rater: str
    photo_a: str
    photo_b: str
    unit_a: str
    unit_b: str
    day_a: int
    day_b: int
    more: str


@dataclass(frozen=True)
class _Counted:
    """The choices that count, and how many were set aside: repeats, photos outside the window or on days taken out, days far apart."""

    choices: tuple[SeenChoice, ...]
    repeats: int
    outside: int
    apart: int


def window_of(plan: Plan, choice: MeasureChoice) -> tuple[int, int]:
    """The days whose photos count: the measure's window, else all treated days."""
    return choice.window or (plan.run_in_days if plan.kind == "run_in" else 0, plan.days)


def _counted(plan: Plan, choice: MeasureChoice, answers: Sequence[SeenChoice], events: Sequence[Event]) -> _Counted:
    first, last = window_of(plan, choice)

    def counts(unit: str, day: int) -> bool:
        return first <= day <= last and bool(without_excluded_days(unit, {day: 0.0}, events))

    kept: dict[tuple[str, frozenset[str]], SeenChoice] = {}
    for answer in answers:
        kept.setdefault((answer.rater, frozenset((answer.photo_a, answer.photo_b))), answer)
    inside = [one for one in kept.values() if counts(one.unit_a, one.day_a) and counts(one.unit_b, one.day_b)]
    near = [one for one in inside if abs(one.day_a - one.day_b) <= LONGEST_GAP_D]
    return _Counted(tuple(near), len(answers) - len(kept), len(kept) - len(inside), len(inside) - len(near))


def _set_aside_words(counted: _Counted) -> tuple[str, ...]:
    def said(count: int, why: str) -> str:
        return f"{count} {'choice was' if count == 1 else 'choices were'} not counted: {why}." if count else ""

    return tuple(filter(None, (
        said(counted.repeats, "the same person had chosen between these two photos before"),
        said(counted.outside, "a photo lies outside the window or on a day that an event takes out"),
        said(counted.apart, f"the two photos were taken more than {LONGEST_GAP_D} days apart and show two ages, not two tanks"),
    )))


def _ranked(found: Ranking) -> tuple[RankedUnit, ...]:
    return tuple(RankedUnit(place.unit, place.strength, place.low, place.high, place.rank, place.rank_low, place.rank_high,
                            place.chosen_share, place.comparisons) for place in found.places)


def _refusal(plan: Plan, choice: MeasureChoice, choices: Sequence[Choice]) -> tuple[str, str]:
    """Why strengths are shown and not judged, and what would settle it where that is not the usual; empty where they may be judged."""
    if plan.kind not in TWO_GROUPS or len(plan.arms) != 2 or choice.summary != "mean":
        return ("Choices between photos give each tank one strength over all days; they are judged with the summary mean, in trials of two "
                "arms side by side or after a run-in.", "scores of single photos, which serve every design.")
    if bridging(plan, choices) > MOST_BRIDGED:
        return "Too few choices set a tank of one arm against a tank of the other, so that a few answers would move a whole arm.", ""
    return "", ""


def chosen_series(plan: Plan, choice: MeasureChoice, answers: Sequence[SeenChoice], events: Sequence[Event] = ()) -> tuple[Series, ...]:
    """One series of one day per unit: its strength, in log odds of being picked, over all counted choices.

    Several photos of one unit are one unit. The day is that of the last counted photo; it stands for all of them.

    Parameters
    ----------
    plan, choice : Plan, MeasureChoice
        The design, and the measure with its window.
    answers : sequence of SeenChoice
        In the order in which they were given. A second answer of one person to the same two photos is not counted.
    events : sequence of Event
        Days that `exclude_window` takes out are not counted.

    Returns
    -------
    tuple of Series
        Of the units that were compared, each with what is known of the people. Where the choices cannot be judged the series say so;
        where there is no order at all they are empty.

    Raises
    ------
    InputError
        If an answer is not a, b or same.

    References
    ----------
    bradley1952, efron1979 (keys from sources.py).
    """
    counted = _counted(plan, choice, answers, events)
    choices = [Choice(one.rater, one.unit_a, one.unit_b, one.more) for one in counted.choices]
    between = [one for one in choices if one.unit_a != one.unit_b]
    people = len({one.rater for one in choices})
    photos = len({photo for one in counted.choices for photo in (one.photo_a, one.photo_b)})
    try:
        found = ranking(choices)
    except NotEnoughDataError as error:
        eyes = Eyes("choices", "display only", people, photos, len(between), str(error), cautions=_set_aside_words(counted))
        units = {unit for one in answers for unit in (one.unit_a, one.unit_b)}
        return tuple(Series(unit.key, choice.key, (), (), ready_made=True, scored=True, eyes=eyes) for unit in plan.units
                     if unit.key in units)
    refusal, settles = _refusal(plan, choice, between)
    use = "display only" if refusal else "use" if found.has_interval else "not known"
    within = [f"{found.within} choices between two photos of one tank were not counted."] if found.within else []
    if found.borrowed:
        within.append("A tank was picked always or never: half a choice each way was lent, so that its distance stays finite; the true one "
                      "may be larger.")
    eyes = Eyes("choices", use, found.raters, photos, found.choices, refusal or found.note, ranking=_ranked(found), same=found.same,
                cautions=(*_set_aside_words(counted), *within), unseen_variance=0.0 if refusal else unseen_variance(plan, between),
                one_sided=not refusal and is_one_sided(plan, between), settles=settles)
    day = max(max(one.day_a, one.day_b) for one in counted.choices)
    return tuple(settled(Series(place.unit, choice.key, (day,), (place.strength,), (None,), True, True, eyes)) for place in found.places)
