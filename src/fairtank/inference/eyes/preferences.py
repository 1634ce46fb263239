"""Which tank shows more? People's choices between two photos become one strength per tank and a ranking with its uncertainty.

The photos of one tank are one tank: choices are counted between units, whatever photos stood for them.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fairtank.errors import InputError, NotEnoughDataError
from fairtank.inference.eyes.agreement import seeded
from fairtank.inference.intervals.student import quantile
from fairtank.inference.rounding import settled

ANSWERS = ("a", "b", "same")

BORROWED_WIN = 0.5  # added each way where one side won everything
DRAWS = 1000  # resamples of the people
# Share of the resamples in which every tank can still be placed. Convention, no source: an interval that leaves out more than a twentieth
# of them, the widest ones, would itself no longer be one of 95 %.
FEWEST_FITTED = 0.95
STEPS = 100
PRECISION = 1e-12
DECIMALS = 12  # of a strength; what is left of an exact tie is not a difference

Numbers = NDArray[np.float64]
Truths = NDArray[np.bool_]


@dataclass(frozen=True)
class Choice:
    """One person's answer to "which shows more?" for two units.

    rater: who chose. unit_a, unit_b: the units that the two photos show. more: `a`, `b` or `same`.
    """

    rater: str
    unit_a: str
    unit_b: str
    more: str


@dataclass(frozen=True)
class Strengths:
    """Bradley-Terry strengths: the log odds with which a unit is chosen over another is the difference of their strengths.

    units: by key. values: one strength each, on the logit scale, adding up to 0. covariance: of the values, as if every choice had been
    made by another person; it is too small where people chose several times. deviance, df: how far the choices are from following one
    line. borrowed: half wins were added because some units won or lost everything.
    """

    units: tuple[str, ...]
    values: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    deviance: float
    df: int
    borrowed: bool

    def relative_to(self, unit: str) -> tuple[tuple[float, float], ...]:
        """(strength, standard error) of every unit with that unit held at 0, in the order of units."""
        base = self.units.index(unit)
        spread = np.array(self.covariance)
        errors = np.sqrt(np.maximum(np.diag(spread) + spread[base, base] - 2 * spread[base], 0.0))
        return tuple((value - self.values[base], float(error)) for value, error in zip(self.values, errors, strict=True))


@dataclass(frozen=True)
class Place:
    """One unit in the ranking.

    unit: its key. strength: on the logit scale, against the mean of all units. low, high: 95 % interval over people; None where there
    is none. rank: 1 shows most. rank_low, rank_high: the places it may hold, judged against each other unit in turn; None where there
    is no interval. chosen_share: the share of its comparisons in which it was chosen, half for `same`. comparisons: their number.
    """

    unit: str
    strength: float
    low: float | None
    high: float | None
    rank: int
    rank_low: int | None
    rank_high: int | None
    chosen_share: float
    comparisons: int


@dataclass(frozen=True)
class Ranking:
    """Units in the order in which people said that they show more, with how sure that is.

    places: strongest first. raters: people. choices: counted ones. same: of these, how many were `same`. within: choices between two
    photos of one unit, which are not counted. borrowed: half wins were added. has_interval: whether low and high exist. note: a sentence
    that says how the interval was made, or why there is none.
    """

    places: tuple[Place, ...]
    raters: int
    choices: int
    same: int
    within: int
    borrowed: bool
    has_interval: bool
    note: str


def _reach(wins: Numbers) -> Truths:
    """Who can be reached from whom along wins, in each of a stack of win tables."""
    size = wins.shape[-1]
    reached = (wins > 0) | np.eye(size, dtype=bool)
    for _ in range(max(1, math.ceil(math.log2(size)))):
        reached = (reached.astype(np.float32) @ reached.astype(np.float32)) > 0
    return reached


def _with_borrowed(wins: Numbers) -> tuple[Numbers, Truths]:
    """The win tables with half a win each way between units of which one side won everything, and which tables needed it.

    Such units could be moved apart without end. Only the pairs that hold them apart are touched: those compared with each other that
    cannot both be reached from one another along wins.
    """
    reached = _reach(wins)
    mutual = reached & reached.swapaxes(-1, -2)
    compared = (wins + wins.swapaxes(-1, -2)) > 0
    lopsided = compared & ~mutual
    return wins + BORROWED_WIN * lopsided, np.asarray(lopsided.any(axis=(-1, -2)))


def _is_connected(wins: Numbers) -> Truths:
    """Whether every unit was compared with every other, directly or by way of third ones."""
    return np.asarray(_reach(wins + wins.swapaxes(-1, -2)).all(axis=(-1, -2)))


def _fitted(wins: Numbers) -> tuple[Numbers, Numbers]:
    """Maximum likelihood strengths of each win table in a stack, by Newton's method, and the information matrix at them.

    The strengths add up to 0; adding 1/n to every cell of the singular information matrix picks just that solution. A step is cut at
    2 logits a unit: far from the answer the likelihood is flatter than its parabola.
    """
    size = wins.shape[-1]
    met = wins + wins.swapaxes(-1, -2)
    strengths = np.zeros(wins.shape[:-1])
    for _ in range(STEPS):
        odds = 1.0 / (1.0 + np.exp(strengths[..., None, :] - strengths[..., :, None]))
        slope = wins.sum(axis=-1) - (met * odds).sum(axis=-1)
        weight = met * odds * (1.0 - odds)
        information = np.eye(size) * weight.sum(axis=-1)[..., None] - weight
        step = np.linalg.solve(information + 1.0 / size, slope[..., None])[..., 0]
        farthest = np.abs(step).max(axis=-1, keepdims=True)
        strengths = strengths + step * np.minimum(1.0, 2.0 / np.maximum(farthest, PRECISION))
        if farthest.max() < PRECISION:
            break
    return np.round(strengths - strengths.mean(axis=-1, keepdims=True), DECIMALS), information


def _deviance(wins: Numbers, strengths: Numbers) -> float:
    met = wins + wins.T
    fitted = met / (1.0 + np.exp(strengths[None, :] - strengths[:, None]))
    seen = wins > 0
    return max(0.0, 2.0 * float((wins[seen] * np.log(wins[seen] / fitted[seen])).sum()))


def strengths_from_wins(units: Sequence[str], wins: Sequence[Sequence[float]]) -> Strengths:
    """Strengths of units from the table of who was chosen over whom.

    Where units won or lost everything, half a win each way is added to the comparisons that hold them apart, since their distance would
    otherwise be endless.

    Parameters
    ----------
    units : sequence of str, shape (n,), n >= 2
        Keys.
    wins : sequence of sequences of float, shape (n, n)
        How often the unit of the row was chosen over the unit of the column; a `same` is half a win each way. The diagonal is not read.

    Returns
    -------
    Strengths

    Raises
    ------
    InputError
        If the table does not fit the units, or holds a number below 0 or not finite.
    NotEnoughDataError
        If there are fewer than two units, or some were never compared with the others, not even by way of third ones.

    References
    ----------
    bradley1952, ford1957 (keys from sources.py).

    Examples
    --------
    >>> found = strengths_from_wins(["left", "right"], [[0, 3], [1, 0]])
    >>> round(found.values[0] - found.values[1], 4)
    1.0986
    """
    if len(units) < 2:
        raise NotEnoughDataError("A ranking needs choices between at least two units.")
    if len(set(units)) < len(units):
        raise InputError("units", "named twice", "each unit once")
    if {len(row) for row in wins} | {len(wins)} != {len(units)}:
        raise InputError("wins", "a table of another size", "one row and one column for each unit")
    table = np.array(wins, dtype=np.float64)
    np.fill_diagonal(table, 0.0)
    if not (np.isfinite(table) & (table >= 0)).all():
        raise InputError("wins", "not made of counts", "numbers from 0 up")
    # In the order of the keys, so that the last digit does not depend on the order in which the units came.
    order = sorted(range(len(units)), key=lambda index: units[index])
    table = table[np.ix_(order, order)]
    if not _is_connected(table):
        raise NotEnoughDataError("Some units were never compared with the others, not even by way of third ones; "
                                 "they cannot be put into one order.")
    filled, borrowed = _with_borrowed(table)
    values, information = _fitted(filled)
    size = len(units)
    covariance = np.linalg.inv(information + 1.0 / size) - 1.0 / size
    back = [order.index(index) for index in range(size)]
    pairs = int(np.triu(filled + filled.T > 0).sum())
    return settled(Strengths(
        tuple(units), tuple(float(values[index]) for index in back),
        tuple(tuple(float(covariance[one, other]) for other in back) for one in back),
        _deviance(filled, values), pairs - (size - 1), bool(borrowed),
    ))


def wins_of(choices: Sequence[Choice], units: Sequence[str]) -> Numbers:
    """The table of who was chosen over whom; `same` is half a win each way, a choice within one unit is nothing."""
    place = {unit: index for index, unit in enumerate(units)}
    table = np.zeros((len(units), len(units)))
    for choice in choices:
        one, other = place[choice.unit_a], place[choice.unit_b]
        if one == other:
            continue
        share = {"a": 1.0, "b": 0.0, "same": 0.5}[choice.more]
        table[one, other] += share
        table[other, one] += 1.0 - share
    return table


def _spread_over_people(tables: Numbers) -> Numbers | None:
    """Covariance of the strengths over people, by resampling people; None where too many resamples leave a unit unplaced.

    Widened by people / (people - 1): resampling a few shows too little of how many differ.
    """
    people = len(tables)
    draw = seeded("people", tables.tolist())
    taken = draw.multinomial(people, np.full(people, 1 / people), size=DRAWS).astype(float)
    resampled = np.tensordot(taken, tables, axes=1)
    resampled = resampled[_is_connected(resampled)]
    if len(resampled) < FEWEST_FITTED * DRAWS:
        return None
    strengths, _ = _fitted(_with_borrowed(resampled)[0])
    return np.cov(strengths, rowvar=False) * people / (people - 1)


def _note(people: int, spread: Numbers | None) -> str:
    if people == 1:
        return "One person chose: nothing shows whether others would choose alike, so there is no interval."
    if spread is None:
        return "Different people compared different tanks, so it cannot be told how far their choices agree: there is no interval."
    return f"The intervals come from how far the {people} people differ; each tank counts once, however many of its photos were shown."


def _errors(spread: Numbers, alone: Numbers) -> tuple[Numbers, Numbers]:
    """Standard errors of each strength and of each difference: over people, and never below what chance gives single choices.

    People who answer alike show no spread at all, which does not make a handful of answers certain.
    """
    def apart(covariance: Numbers) -> Numbers:
        own = np.diag(covariance)
        return own[:, None] + own[None, :] - 2 * covariance

    own = np.sqrt(np.maximum(np.diag(spread), np.diag(alone)))
    return own, np.sqrt(np.maximum(np.maximum(apart(spread), apart(alone)), 0.0))


def _uncertain(place: Place, index: int, values: Numbers, errors: tuple[Numbers, Numbers], reach: float) -> Place:
    """The same place with its interval and the ranks it may hold."""
    own, between = errors
    half = reach * float(own[index])
    apart = values - values[index]
    above, below = apart > reach * between[index], apart < -reach * between[index]
    return replace(place, low=place.strength - half, high=place.strength + half,
                   rank_low=1 + int(above.sum()), rank_high=len(values) - int(below.sum()))


def _places(found: Strengths, wins: Numbers, spread: Numbers | None, people: int) -> tuple[Place, ...]:
    values, met = np.array(found.values), (wins + wins.T).sum(axis=1)
    places = []
    for index, unit in enumerate(found.units):
        rank = 1 + int((values > values[index]).sum())
        share = float(wins[index].sum() / met[index])
        place = Place(unit, found.values[index], None, None, rank, None, None, share, int(met[index]))
        if spread is not None:
            errors = _errors(spread, np.array(found.covariance))
            place = _uncertain(place, index, values, errors, quantile(0.025, people - 1))
        places.append(settled(place))
    return tuple(sorted(places, key=lambda place: (place.rank, place.unit)))


def ranking(choices: Sequence[Choice]) -> Ranking:
    """Units in the order in which people said that they show more, each with its strength, its interval and the places it may hold.

    The interval resamples people: how often one person chose says nothing about how others would choose. With few people Student's t
    widens it; with one there is none. It is never narrower than if every choice had been made by another person. Never read the order
    without the places that each unit may hold; these judge each pair by itself, at 95 % each.

    Parameters
    ----------
    choices : sequence of Choice
        All answers about one measure, in any order.

    Returns
    -------
    Ranking

    Raises
    ------
    InputError
        If an answer is not a, b or same.
    NotEnoughDataError
        If no choice was made between two units, or some units were never compared with the others.

    References
    ----------
    bradley1952, ford1957, efron1979 (keys from sources.py).

    Examples
    --------
    >>> answers = [Choice(person, "left", "right", more) for person, more in (("P", "a"), ("Q", "a"), ("R", "b"), ("S", "a"))]
    >>> [(place.unit, place.rank, place.chosen_share) for place in ranking(answers).places]
    [('left', 1, 0.75), ('right', 2, 0.25)]
    """
    for choice in choices:
        if choice.more not in ANSWERS:
            raise InputError("more", choice.more, ", ".join(ANSWERS))
    between = [choice for choice in choices if choice.unit_a != choice.unit_b]
    if not between:
        raise NotEnoughDataError("No choice was made between photos of two units; a ranking needs such choices.")
    units = sorted({unit for choice in between for unit in (choice.unit_a, choice.unit_b)})
    people = sorted({choice.rater for choice in between})
    # Tables, not names, are sorted: the interval depends on what people chose, not on what they are called.
    tables = sorted(wins_of([choice for choice in between if choice.rater == person], units).tolist() for person in people)
    wins = np.array(tables).sum(axis=0)
    found = strengths_from_wins(units, wins.tolist())
    spread = _spread_over_people(np.array(tables)) if len(people) > 1 else None
    same = sum(choice.more == "same" for choice in between)
    return Ranking(_places(found, wins, spread, len(people)), len(people), len(between), same, len(choices) - len(between),
                   found.borrowed, spread is not None, _note(len(people), spread))
