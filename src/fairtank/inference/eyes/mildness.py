"""A mild person must not favour a tank: each photo's number with the people's mildness taken out where not everyone scored every photo."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from fairtank.inference.rounding import rounded

SMALLEST_STRETCH = 1e-9  # of the largest; below it a direction was not scored


@dataclass(frozen=True)
class PhotoNumbers:
    """One number for each photo.

    values: by photo. state: `alike` (everyone scored every photo: plain means), `balanced` (mildness was taken out) or `unbalanced` (people
    who share no photo cannot be set against each other: plain means).
    """

    values: dict[str, float]
    state: str


def photo_numbers(scores: Mapping[str, Mapping[str, float]]) -> PhotoNumbers:
    """Each photo's mean over the people who scored it, each person's mildness taken out.

    (1) score = photo + mildness of the person, by least squares over all scores, the mildness adding up to 0 over the people. Where
    everyone scored every photo this is the plain mean. It takes mildness as the same number of steps on every photo.

    Parameters
    ----------
    scores : mapping of photo to mapping of person to score
        First scores only; each photo with one person or more.

    Returns
    -------
    PhotoNumbers

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> photo_numbers({"a": {"P": 2.0, "Q": 4.0}, "b": {"P": 3.0}}).values
    {'a': 3.0, 'b': 4.0}
    """
    people = sorted({person for given in scores.values() for person in given})
    plain = {photo: float(np.mean(sorted(given.values()))) for photo, given in scores.items()}
    if all(len(given) == len(people) for given in scores.values()):
        return PhotoNumbers(plain, "alike")
    place = {person: index for index, person in enumerate(people)}
    between, apart = np.zeros((len(people), len(people))), np.zeros(len(people))
    for photo in sorted(scores):
        at = [place[person] for person in sorted(scores[photo])]
        given = np.array([scores[photo][person] for person in sorted(scores[photo])])
        between[np.ix_(at, at)] += np.eye(len(at)) - 1.0 / len(at)
        apart[at] += given - given.mean()
    stretches, directions = np.linalg.eigh(between)
    scored = stretches > SMALLEST_STRETCH * max(float(stretches[-1]), 1.0)
    if scored.sum() < len(people) - 1:
        return PhotoNumbers(plain, "unbalanced")
    mild = directions[:, scored] @ ((directions[:, scored].T @ apart) / stretches[scored])
    values = {photo: rounded(float(np.mean([given[person] - mild[place[person]] for person in sorted(given)])))
              for photo, given in scores.items()}
    return PhotoNumbers(values, "balanced")
