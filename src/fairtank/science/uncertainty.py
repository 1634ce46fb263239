"""What a reading's error does to a result: intervals by linear propagation or by draws, and which input causes most of it.

Each reading is moved by its own error, independently of the others. Where the formula is straight over that distance the interval
follows from its slopes; where it bends, or a reading lies near the end of its range, from seeded random draws.
"""

import functools
from collections.abc import Mapping
from dataclasses import dataclass
from statistics import NormalDist
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fairtank.errors import InputError
from fairtank.registry import Entry, Input, ReadingError
from fairtank.science.calling import Called, called, is_number

Column = NDArray[np.float64]

# Ends that lie within this share of the half width of where the straight line puts them are told as they are: an interval is printed
# with at most two figures of its half width (gum2008, 7.2.6), and that rounding moves an end by up to as much.
STRAIGHT_WITHIN = 0.05
DRAWS, DRAWS_SINGLY, _DRAWS_FOR_SHARES = 20_000, 1_000, 4_000
# For a table of points, by whether the calculator takes arrays: draws in all, most and fewest for each point.
_DRAWS = {True: (4_000_000, DRAWS, 400), False: (50_000, DRAWS_SINGLY, 100)}
_TOGETHER = 200_000  # draws in one call, for memory
_SEED = 100  # any number: the same reading gives the same interval each time
# Standard deviations in the size of an error (gum2008, 4.3.7), and in the distance over which the formula should be straight.
_SIZE = {"within": np.sqrt(3.0), "standard": 1.0}
_REACH = {"within": np.sqrt(3.0), "standard": 2.0}


@dataclass(frozen=True)
class Uncertain:
    """One number of a result with its interval.

    value is None where the readings are too coarse for a figure. level: of the interval. way: `linear` or `draws`. shares: for each
    uncertain input the share of the variance that it causes alone, largest first.
    """

    value: float | None
    low: float
    high: float
    level: float
    way: str
    shares: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class Band:
    """One number of a result over several points, with its interval at each.

    values: missing (NaN) where the readings are too coarse for a figure. drawn: whether the interval is from draws, not from slopes.
    """

    values: Column
    low: Column
    high: Column
    drawn: NDArray[np.bool_]


@dataclass(frozen=True)
class _Reading:
    """One uncertain input at all points: its value and standard deviation, and the distance over which the formula should be straight."""

    declared: Input
    error: ReadingError
    at: Column
    sd: Column

    @property
    def reach(self) -> Column:
        """The size of an even error, two standard deviations of a normal one."""
        return self.sd * _REACH[self.error.kind]

    def held(self, values: Column) -> Column:
        """The values, none beyond the input's range."""
        return np.clip(values, -np.inf if self.declared.low is None else self.declared.low,
                       np.inf if self.declared.high is None else self.declared.high)

    def drawn(self, points: NDArray[np.intp], count: int, seed: int) -> Column:
        """Where the truth may be, a row of draws for each of these points: the error's distribution, cut to the input's range."""
        at = self.at[points, None]
        if self.error.kind == "within":
            low, high = self.held(at - self.reach[points, None]), self.held(at + self.reach[points, None])
            return np.asarray(low + (high - low) * _even_draws(count, seed))
        values = at + self.sd[points, None] * _normal_draws(count, seed)
        chance = np.random.default_rng([_SEED, seed, 1])
        while (beyond := self.held(values) != values).any():
            rows = points[np.nonzero(beyond)[0]]
            values[beyond] = self.at[rows] + self.sd[rows] * chance.standard_normal(len(rows))
        return np.asarray(values)


def _even_draws(count: int, seed: int) -> Column:
    """Draws from 0 to 1, one in each of so many equal parts, in random order: an interval from them varies less than from free draws.

    They are the same at all points of a table, so that bands are smooth.
    """
    chance = np.random.default_rng([_SEED, seed])
    return np.asarray((chance.permutation(count) + chance.random(count)) / count)


@functools.cache
def _normal_draws(count: int, seed: int) -> Column:
    """Normal draws, one in each of so many parts of equal probability, in random order."""
    return np.array([NormalDist().inv_cdf(place) for place in _even_draws(count, seed).tolist()])


def interval_of(entry: Entry, given: Mapping[str, Any], errors: Mapping[str, ReadingError | None] | None = None,
                level: float = 0.95) -> dict[str, Uncertain]:
    """The interval of each number of a calculator's result, from how far its readings may be off.

    Only inputs that were given count as read; one that was left out stands at its default without an error. The interval leaves out
    nearly as much on either side: an end by slopes is up to a twentieth of the half width off its place. Where a reading is too coarse
    for a figure and the truth may lie at the low end of its range, the interval takes in the result there. It says what reading errors
    do; that the formula itself may not fit the tank is not in it.

    Parameters
    ----------
    entry : Entry
        The calculator.
    given : mapping of str to value
        The inputs by name, as the calculator takes them. [unit of each input], single numbers where an error is to count.
    errors : mapping of str to ReadingError or None
        Errors in place of the declared ones; None for a reading without error.
    level : float
        Share of such intervals that hold the truth. [-], 0.5 to 0.9999.

    Returns
    -------
    dict of str to Uncertain
        Name of the part (`""` for a plain number) -> the number and its interval. Parts that no uncertain input moves are left out.

    Raises
    ------
    InputError
        If an error is of another kind, negative, as large as the whole range, has a least size that does not fit, or belongs to no single
        number; or if the level does not fit; or as the calculator itself refuses.

    References
    ----------
    gum2008, 4.3.7 (a reading that is right to within a: standard deviation a / √3), 5.1.2 eq. 10 and 5.1.3 note 2 (propagation);
    gum_s1, 5.9 and 7.7 (draws and the interval from them) (keys from sources.py).

    Examples
    --------
    See `tests/science/test_uncertainty.py`.
    """
    model = _model(entry, given, {}, errors, level)
    told: dict[str, Uncertain] = {}
    if model is None:
        return told
    for name, band in model.bands().items():
        if np.isnan(band.low[0]):  # the calculator refuses whatever the readings may be instead
            continue
        shares = sorted(model.shares(name, drawn=bool(band.drawn[0])).items(), key=lambda pair: -pair[1])
        value = None if np.isnan(band.values[0]) else float(band.values[0])
        told[name] = Uncertain(value, float(band.low[0]), float(band.high[0]), level, "draws" if band.drawn[0] else "linear",
                               tuple(shares))
    return told


def band_of(entry: Entry, given: Mapping[str, Any], columns: Mapping[str, NDArray[Any]],
            errors: Mapping[str, ReadingError | None] | None = None, level: float = 0.95) -> dict[str, Band]:
    """The interval of each number of a calculator's result at several points, as `interval_of` gives it at one.

    Parameters
    ----------
    entry : Entry
        The calculator.
    given : mapping of str to value
        The inputs that are the same at all points.
    columns : mapping of str to array of shape (n,)
        The inputs that change.
    errors : mapping of str to ReadingError or None
        Errors in place of the declared ones.
    level : float
        Share of such intervals that hold the truth. [-], 0.5 to 0.9999.

    Returns
    -------
    dict of str to Band
        Name of the part -> values and intervals over the points.

    Raises
    ------
    InputError
        As for `interval_of`.

    References
    ----------
    gum2008, gum_s1 (keys from sources.py).

    Examples
    --------
    See `tests/science/test_uncertainty.py`.
    """
    model = _model(entry, given, columns, errors, level)
    return model.bands() if model else {}


def coverage_factor(shares: NDArray[np.float64], flat: NDArray[np.bool_], level: float = 0.95) -> Column:
    """How many standard deviations either side of the middle hold a sum of independent errors with that probability.

    Parameters
    ----------
    shares : array of shape (m, n)
        For each of m errors its share of the variance of each of n sums. [-], each column adds up to 1.
    flat : array of shape (m,)
        Whether the error is spread evenly between two ends; else it is normal.
    level : float
        Probability. [-], 0.5 to 0.9999.

    Returns
    -------
    array of shape (n,)
        Standard deviations: 1.645 for one even error at 0.95, 1.960 for normal ones.

    References
    ----------
    arithmetic: the Fourier series of the sum's distribution (keys from sources.py).

    Examples
    --------
    >>> even, normal = (coverage_factor(np.array([[1.0]]), np.array([flat])) for flat in (True, False))
    >>> round(float(even[0]), 3), round(float(normal[0]), 3)
    (1.645, 1.96)
    """
    factors = np.empty(shares.shape[1])
    for start in range(0, shares.shape[1], 1000):  # in blocks, for memory
        sd = np.sqrt(shares[:, start : start + 1000, None]) * _TERMS * np.pi / _HALF_PERIOD
        parts = np.where(flat[:, None, None], np.sinc(np.sqrt(3.0) / np.pi * sd), np.exp(-0.5 * sd**2))
        inside = _PLACES / _HALF_PERIOD + np.prod(parts, axis=0) @ _waves()
        for row, own in enumerate(inside):
            factors[start + row] = np.interp(level, np.maximum.accumulate(own), _PLACES)
    return factors


# The series: a sum of variance 1 does not reach half the period; its terms and the places at which it is summed.
_HALF_PERIOD, _TERMS, _PLACES = 8.0, np.arange(1, 513), np.linspace(0.0, 5.5, 551)


@functools.cache
def _waves() -> Column:
    return np.asarray(np.sin(np.outer(_TERMS, _PLACES) * np.pi / _HALF_PERIOD) * (2 / np.pi / _TERMS)[:, None])


def _model(entry: Entry, given: Mapping[str, Any], columns: Mapping[str, NDArray[Any]],
           errors: Mapping[str, ReadingError | None] | None, level: float) -> "_Model | None":
    """The calculator with its uncertain readings; None where every reading is exact."""
    if not 0.5 <= level <= 0.9999:
        raise InputError("level", level, "0.5 to 0.9999")
    count = len(next(iter(columns.values()))) if columns else 1
    readings = _readings(entry, given, columns, errors or {}, count)
    if not readings:
        return None
    rest = {name: value for name, value in given.items() if name not in readings}
    others = {name: column for name, column in columns.items() if name not in readings}
    return _Model(entry, rest, others, readings, count, level)


def _readings(entry: Entry, given: Mapping[str, Any], columns: Mapping[str, NDArray[Any]],
              errors: Mapping[str, ReadingError | None], count: int) -> dict[str, _Reading]:
    """The uncertain inputs by their names, in the order of the inputs."""
    declared_names = {declared.name for declared in entry.inputs}
    for name in errors:
        if name not in declared_names:
            raise InputError("reading error of", name, ", ".join(sorted(declared_names)))
    readings = {}
    for declared in entry.inputs:
        error = errors.get(declared.name, declared.error)
        value = columns.get(declared.name, given.get(declared.name))
        if error is None or error.size == 0:
            continue
        if not (declared.name in columns or is_number(value)):
            if declared.name in errors:
                said = "left out" if value is None else "not a single number"
                raise InputError(f"{declared.name} with a reading error", said, "one number")
            continue
        _checked(declared, error)
        at = np.array(np.broadcast_to(np.asarray(value, dtype=np.float64), (count,)))
        size = np.maximum(error.size * np.abs(at), error.least) if error.relative else np.full(count, error.size)
        readings[declared.name] = _Reading(declared, error, at, size / _SIZE[error.kind])
    return readings


def _checked(declared: Input, error: ReadingError) -> None:
    """Refuse an error that cannot be one."""
    name, unit = f"reading error of {declared.name}", f" {declared.unit}" if declared.unit and not error.relative else ""
    if error.kind not in _SIZE:
        raise InputError(f"kind of the {name}", error.kind, ", ".join(_SIZE))
    span = np.inf if declared.low is None or declared.high is None or error.relative else declared.high - declared.low
    most = 1.0 if error.relative else span
    if not (0 < error.size < most):
        raise InputError(name, f"{error.size:g}{unit}", "above 0" + (f", below {most:g}{unit}" if np.isfinite(most) else ""))
    floor = np.inf if declared.low is None or declared.high is None else declared.high - declared.low
    if error.least and not (error.relative and 0 < error.least < floor):
        accepted = f"0 or more, below {floor:g} {declared.unit}".rstrip() if error.relative else "0, since the error itself is not relative"
        raise InputError(f"least {name}", f"{error.least:g} {declared.unit}".rstrip(), accepted)


def _floats(column: NDArray[Any], count: int) -> Column:
    """A part of the results as numbers: missing where it is none, and where the calculator was not asked or refused all."""
    values = np.full(count, np.nan)
    values[: len(column)] = column if column.dtype.kind == "f" else [value if is_number(value) else np.nan for value in column]
    return values


def _same(values: Column, value: Column) -> NDArray[np.bool_]:
    """Whether values equal one another but for the last digit, which may differ between the lanes of one call."""
    return np.isclose(values, value, rtol=1e-13, atol=0)


@dataclass(frozen=True)
class _Model:
    """A calculator with its uncertain readings at all points, and the level of the intervals."""

    entry: Entry
    given: dict[str, Any]
    others: dict[str, NDArray[Any]]
    readings: dict[str, _Reading]
    count: int
    level: float

    def bands(self) -> dict[str, Band]:
        """Value and interval at each point of each part that is a number and that a reading moves."""
        self._at([{}], skip=False)  # a refusal of the readings themselves is the calculator's own to tell
        moves: list[dict[str, Column]] = [{}]
        cut = np.zeros(self.count, dtype=bool)
        for name, reading in self.readings.items():
            ends = [reading.at + step for step in (reading.sd, -reading.sd, reading.reach, -reading.reach)]
            moves += [{name: reading.held(end)} for end in ends]
            cut |= np.any([reading.held(end) != end for end in ends], axis=0)
        seen = self._at(moves)
        bands = {}
        for part, column in seen.parts.items():
            if not all(map(is_number, column[: self.count])):  # words, lists
                continue
            values = _floats(column, len(column)).reshape(len(moves), -1)
            if not _same(values, values[0]).all():
                bands[part] = self._band(part, values, cut, at_once=seen.at_once)
        return bands

    def shares(self, part: str, *, drawn: bool) -> dict[str, float]:
        """For each reading the share of a part's variance that it causes alone, at the first point."""
        first = np.array([0])
        if drawn:
            seen = [self._values(part, first, {name: reading.drawn(first, _DRAWS_FOR_SHARES, seed)})
                    for seed, (name, reading) in enumerate(self.readings.items())]
            alone = [np.var(values[~np.isnan(values)]) if not np.isnan(values).all() else 0.0 for values in seen]
        else:
            moves = [{name: reading.at + step} for name, reading in self.readings.items() for step in (reading.sd, -reading.sd)]
            values = self._at(moves).parts[part].reshape(len(self.readings), 2, -1)[:, :, 0]  # none refused, else it were drawn
            alone = list((values[:, 0] - values[:, 1]) ** 2)
        whole = float(sum(alone))
        return {name: float(own) / whole if whole > 0 else 0.0 for name, own in zip(self.readings, alone, strict=True)}

    def _band(self, part: str, seen: Column, cut: NDArray[np.bool_], *, at_once: bool) -> Band:
        """Value and interval of one part, from what was seen at the readings and with each moved by one and by its reach."""
        value = seen[0]
        pushes = (seen[1::4] - seen[2::4]) / 2  # gum2008, 5.1.3 note 2
        total = np.sqrt((pushes**2).sum(axis=0))
        with np.errstate(divide="ignore", invalid="ignore"):
            shares = np.nan_to_num((pushes / total) ** 2)
        flat = np.array([reading.error.kind == "within" for reading in self.readings.values()])
        half = total * coverage_factor(shares, flat, self.level)
        drawn = cut | ~(self._off_the_line(part, seen, pushes, total, half) <= STRAIGHT_WITHIN * half + 1e-12 * np.abs(value))
        low, high = value - half, value + half
        if drawn.any():
            low[drawn], high[drawn] = self._drawn_ends(part, np.flatnonzero(drawn), at_once=at_once)
        low, high = self._from_low_ends(seen, low, high)
        figure = self._has_figure(seen)
        return Band(np.where(figure, value, np.nan), np.minimum(low, value), np.maximum(high, value), drawn)

    def _off_the_line(self, part: str, seen: Column, pushes: Column, total: Column, half: Column) -> Column:
        """How far the formula is from a straight line: for each reading at its reach, and at both ends of the interval."""
        straight = pushes * np.array([[_REACH[reading.error.kind]] for reading in self.readings.values()])
        worst = np.maximum(np.abs(seen[3::4] - seen[0] - straight), np.abs(seen[4::4] - seen[0] + straight)).max(axis=0)
        with np.errstate(divide="ignore", invalid="ignore"):
            times = np.where(total > 0, half / total**2, 0.0) * pushes
        steps = (np.nan_to_num(times), np.sign(pushes) * np.array([[_REACH[reading.error.kind]] for reading in self.readings.values()]))
        ends = [{name: reading.held(reading.at + side * own * reading.sd)
                 for own, (name, reading) in zip(step, self.readings.items(), strict=True)} for step in steps for side in (-1, 1)]
        reached = self._at(ends).parts.get(part, np.array([]))
        low, high, lowest, highest = _floats(reached, 4 * self.count).reshape(4, -1)
        worst = np.maximum(worst, np.maximum(np.abs(low - seen[0] + half), np.abs(high - seen[0] - half)))
        if all(reading.error.kind == "within" for reading in self.readings.values()):  # no interval beyond what the readings allow
            worst = np.where((seen[0] - half < lowest) | (seen[0] + half > highest), np.inf, worst)
        return np.asarray(worst)  # missing where the calculator refused a move; such a point is drawn

    def _from_low_ends(self, seen: Column, low: Column, high: Column) -> tuple[Column, Column]:
        """The interval with the result at the low end of a range in it, where a reading too coarse for a figure may mean that end."""
        for index, reading in enumerate(self.readings.values()):
            limit, lowest, there = reading.declared.figure_from, reading.declared.low, seen[4 + 4 * index]
            if limit is not None and lowest is not None:
                counts = (reading.at < limit) & (reading.at - reading.reach <= lowest) & np.isfinite(there)
                low, high = np.where(counts, np.minimum(low, there), low), np.where(counts, np.maximum(high, there), high)
        return low, high

    def _has_figure(self, seen: Column) -> NDArray[np.bool_]:
        """Whether the readings that move a part are fine enough for a figure."""
        figure = np.ones(self.count, dtype=bool)
        for index, reading in enumerate(self.readings.values()):
            if reading.declared.figure_from is not None:
                moves = ~_same(seen[1 + 4 * index : 5 + 4 * index], seen[0]).all(axis=0)
                figure &= ~(moves & (reading.at < reading.declared.figure_from))
        return figure

    def _drawn_ends(self, part: str, points: NDArray[np.intp], *, at_once: bool) -> tuple[Column, Column]:
        """Ends of the interval from draws, at these points; missing where the calculator refuses all draws."""
        in_all, most, fewest = _DRAWS[at_once]
        count = int(np.clip(in_all // len(points), fewest, most))
        ends = np.full((2, len(points)), np.nan)
        together = max(_TOGETHER // count, 1)
        for start in range(0, len(points), together):
            own = points[start : start + together]
            draws = {name: reading.drawn(own, count, seed) for seed, (name, reading) in enumerate(self.readings.items())}
            values = self._values(part, own, draws)
            held = ~np.isnan(values).all(axis=1)
            if held.any():
                at = np.flatnonzero(held) + start
                quantile = np.nanquantile if np.isnan(values).any() else np.quantile  # the first is slow
                ends[:, at] = quantile(values[held], [(1 - self.level) / 2, (1 + self.level) / 2], axis=1)
        return ends[0], ends[1]

    def _values(self, part: str, points: NDArray[np.intp], draws: dict[str, Column]) -> Column:
        """The part at each point for each of its draws; a reading that is not drawn stands where it was read."""
        count = next(iter(draws.values())).shape[1]
        columns: dict[str, NDArray[Any]] = {name: column.ravel() for name, column in draws.items()}
        still = {name: reading.at for name, reading in self.readings.items() if name not in draws}
        columns |= {name: np.repeat(column[points], count) for name, column in {**self.others, **still}.items()}
        alone = len(points) == 1
        seen = called(self.entry, self.given, columns, skip=True, singly_at_most=DRAWS_SINGLY if alone else 0).parts.get(part, np.array([]))
        if alone or len(seen):
            return _floats(seen, len(points) * count).reshape(len(points), count)
        return np.concatenate([self._values(part, points[[row]], {name: own[[row]] for name, own in draws.items()})
                               for row in range(len(points))])

    def _at(self, moves: list[dict[str, Column]], *, skip: bool = True) -> Called:
        """The results at all points for each set of moved readings, one set after the other."""
        columns: dict[str, NDArray[Any]] = {name: np.tile(column, len(moves)) for name, column in self.others.items()}
        for name, reading in self.readings.items():
            columns[name] = np.concatenate([move.get(name, reading.at) for move in moves])
        return called(self.entry, self.given, columns, skip=skip)
