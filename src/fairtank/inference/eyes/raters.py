"""People as instruments: when their scores may be judged, and the step from scores to one number per unit and day."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fairtank.errors import InputError, NotEnoughDataError
from fairtank.inference.eyes.agreement import LEVELS, Alpha, Kappa, cohen_kappa, krippendorff_alpha, one_of
from fairtank.inference.eyes.mildness import photo_numbers
from fairtank.inference.rounding import rounded, settled
from fairtank.trial import Series

USES = ("use", "raters differ", "display only", "not known")

# Krippendorff's cut-offs: literature values, from memory.
ENOUGH_TO_USE = 0.80
ENOUGH_TO_TELL = 0.667

FEWEST_REPEATS = 2


@dataclass(frozen=True)
class Rating:
    """One person's score of one photo.

    photo: key of the photo. unit, day: what it shows, hidden from the person. rater: who scored. value: the score, a number.
    A second score of the same photo by the same person is a repeat; it serves the agreement with oneself and nothing else.
    """

    photo: str
    unit: str
    day: int
    rater: str
    value: float


@dataclass(frozen=True)
class SelfAgreement:
    """How well one person agrees with their own earlier score of the same photo.

    rater: who. repeats: photos scored twice. same_share: of them, the share with the same score. kappa: quadratic weights, over the
    scores that anybody gave; None with fewer than two repeats.
    """

    rater: str
    repeats: int
    same_share: float
    kappa: Kappa | None


@dataclass(frozen=True)
class Agreement:
    """Whether scores may be judged, and why.

    use: `use`, `raters differ` (judged, with that tag), `display only` (shown, not judged) or `not known` (one person scored, or too few
    photos were scored by two people to give alpha an interval).
    alpha: between the people; None with one person. raters: how many people. photos: how many. complete: everyone scored every photo,
    so that nobody's mildness favours a tank. self_agreement: one entry per person with repeats. reason: a whole sentence.
    """

    use: str
    alpha: Alpha | None
    raters: int
    photos: int
    complete: bool
    self_agreement: tuple[SelfAgreement, ...]
    reason: str


def first_scores(ratings: Sequence[Rating]) -> tuple[Rating, ...]:
    """Each person's first score of each photo, in the order given: repeats are there to check the person, not to count twice.

    Raises
    ------
    InputError
        If a photo is said to show two units or days.
    """
    shown: dict[str, tuple[str, int]] = {}
    kept: dict[tuple[str, str], Rating] = {}
    for rating in ratings:
        if shown.setdefault(rating.photo, (rating.unit, rating.day)) != (rating.unit, rating.day):
            raise InputError("photo", rating.photo, "a photo of one unit on one day", "It is listed with two.")
        if not math.isfinite(rating.value):
            raise InputError("score", rating.value, "a finite number", "Leave the row out where a photo was not scored.")
        kept.setdefault((rating.rater, rating.photo), rating)
    return tuple(kept.values())


def self_agreement(ratings: Sequence[Rating]) -> tuple[SelfAgreement, ...]:
    """How well each person agrees with themself where a photo came up twice.

    The first two scores of a photo are compared, in the order given; further ones are not read.

    Parameters
    ----------
    ratings : sequence of Rating
        In the order in which they were given.

    Returns
    -------
    tuple of SelfAgreement
        One per person with repeats, by name.

    References
    ----------
    cohen1960, fleiss1969 (keys from sources.py).
    """
    classes = {value: index for index, value in enumerate(sorted({rounded(rating.value) for rating in ratings}))}
    given: dict[tuple[str, str], list[float]] = {}
    for rating in ratings:
        given.setdefault((rating.rater, rating.photo), []).append(rounded(rating.value))
    found = []
    for rater in sorted({rating.rater for rating in ratings}):
        twice = [(scores[0], scores[1]) for (who, _), scores in given.items() if who == rater and len(scores) > 1]
        if not twice:
            continue
        table = [[0.0] * len(classes) for _ in classes]
        for before, after in twice:
            table[classes[before]][classes[after]] += 1
        kappa = cohen_kappa(table, "quadratic") if len(twice) >= FEWEST_REPEATS else None
        found.append(SelfAgreement(rater, len(twice), sum(before == after for before, after in twice) / len(twice), kappa))
    return tuple(settled(one) for one in found)


def use_of(alpha: float | None) -> str:
    """What scores with that agreement may be used for: 0.80 and more judge, 0.667 and more judge with a tag, less is shown only.

    The cut-offs are held against the value itself, not against its interval. Without a value (all scores the same) nothing is shown to
    agree, so nothing is judged.

    References
    ----------
    krippendorff_cutoffs (keys from sources.py).

    Examples
    --------
    >>> use_of(0.80), use_of(0.7), use_of(0.6)
    ('use', 'raters differ', 'display only')
    """
    if alpha is None or alpha < ENOUGH_TO_TELL:
        return "display only"
    return "use" if alpha >= ENOUGH_TO_USE else "raters differ"


def _use(alpha: Alpha | None, raters: int) -> str:
    """The rule, where there is enough to apply it: an agreement that a handful of photos show by luck lets nobody judge."""
    use = use_of(alpha.value if alpha else None)
    unsure = alpha is not None and alpha.value is not None and alpha.low is None and use != "display only"
    return "not known" if raters == 1 or unsure else use


def _reason(alpha: Alpha | None, use: str, raters: int) -> str:
    if raters == 1:
        return "One person scored: nothing shows whether others would see the same."
    if alpha is None:
        return "No photo was scored by two people, so their agreement cannot be told; the scores are shown, not judged."
    if alpha.value is None:
        return "All scores are the same, so they cannot show agreement; they are shown, not judged."
    if use == "not known":
        return "Too few photos, or too few different scores, were seen by two people to tell how far they agree."
    interval = "" if alpha.low is None else f" (95 % interval {alpha.low:.2f} to {alpha.high:.2f})"
    told = f"The {raters} people agree at {alpha.value:.2f}{interval}, where 1 is perfect and 0 is chance".replace("-", "−")
    return told + {
        "use": ".",
        "raters differ": "; that is moderate.",
        "display only": "; that is too little to judge by, so the scores are shown only.",
    }[use]


def rater_agreement(ratings: Sequence[Rating], level: str = "ordinal") -> Agreement:
    """Whether the scores of a trial may be judged: the people's agreement, each one's agreement with themself, and what follows.

    Parameters
    ----------
    ratings : sequence of Rating
        All scores of one measure, repeats included, in the order in which they were given.
    level : str
        nominal, ordinal, interval or ratio; scores by eye are ordinal.

    Returns
    -------
    Agreement

    Raises
    ------
    InputError
        If a score is not finite, or a photo is listed with two units or days.
    NotEnoughDataError
        If there are no scores.

    References
    ----------
    krippendorff2011, krippendorff_cutoffs, cohen1960 (keys from sources.py).
    """
    if not ratings:
        raise NotEnoughDataError("There are no scores of this measure.")
    one_of("level", level, LEVELS)
    kept = first_scores(ratings)
    by_photo = scores_by_photo(kept)
    raters = sorted({rating.rater for rating in kept})
    complete = len(kept) == len(raters) * len(by_photo)
    shared = any(len(scores) > 1 for scores in by_photo.values())
    alpha = krippendorff_alpha([list(scores.values()) for scores in by_photo.values()], level) if shared else None
    use = _use(alpha, len(raters))
    return Agreement(use, alpha, len(raters), len(by_photo), complete, self_agreement(ratings), _reason(alpha, use, len(raters)))


def unit_series(ratings: Sequence[Rating], measure: str) -> tuple[Series, ...]:
    """The scores of each unit as a series with one number per photo, marked as people's scores.

    A photo's number is the mean over the people who scored it, so that a photo that many people scored does not count more. Where not
    everyone scored every photo, each person's mildness is taken out first (see `mildness`). Repeats are not counted.

    Parameters
    ----------
    ratings : sequence of Rating
        All scores of one measure.
    measure : str
        The measure's key, as the plan names it.

    Returns
    -------
    tuple of Series
        One per unit, by key; days ascending, photos of one day by name.

    Raises
    ------
    InputError
        If a score is not finite, or a photo is listed with two units or days.

    References
    ----------
    matthews1990 (keys from sources.py).

    Examples
    --------
    >>> scored = [Rating("a.jpg", "left", 3, "P", 2.0), Rating("a.jpg", "left", 3, "Q", 3.0), Rating("b.jpg", "left", 4, "P", 4.0)]
    >>> unit_series(scored, "redness_by_eye")[0].values
    (2.5, 4.5)
    """
    kept = first_scores(ratings)
    numbers = photo_numbers(scores_by_photo(kept)).values
    shown = sorted({(rating.unit, rating.day, rating.photo) for rating in kept})
    series = []
    for unit in sorted({rating.unit for rating in kept}):
        own = [(day, numbers[photo]) for key, day, photo in shown if key == unit]
        days, values = zip(*own, strict=True)
        series.append(settled(Series(unit, measure, days, values, (None,) * len(days), scored=True)))
    return tuple(series)


def scores_by_photo(kept: Sequence[Rating]) -> dict[str, dict[str, float]]:
    """First scores by photo and person."""
    by_photo: dict[str, dict[str, float]] = {}
    for rating in kept:
        by_photo.setdefault(rating.photo, {})[rating.rater] = rating.value
    return by_photo
