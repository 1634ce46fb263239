"""Whole invented trials, many at a time: the cover of every unit on every day, as photos would tell it."""

import zlib
from collections.abc import Sequence

import numpy as np

from fairtank.errors import InputError
from fairtank.simulation.trials.course import Course
from fairtank.simulation.trials.world import Effect, World
from fairtank.trial import Plan, Series

LOWEST_PCT, HIGHEST_PCT = 0.2, 99.8
# A tank looks clearly worse than the others from this much above their mean on [logit].
_CLEARLY = 0.5


def philox(seed: int, *words: object) -> np.random.Generator:
    """A generator that belongs to a seed and a few words; the parts of a trial draw from streams of their own, so that changing one
    (more noise, an effect) leaves the others as they were.

    >>> bool(philox(3, "room").integers(1000) == philox(3, "room").integers(1000))
    True
    """
    return np.random.Generator(np.random.Philox(np.random.SeedSequence([seed, *(zlib.crc32(str(word).encode()) for word in words)])))


def wandering(chance: np.random.Generator, shape: tuple[int, ...], phi: float, sd: float) -> np.ndarray:
    """First-order autoregression along the last axis: of the given SD on every day, and correlated by phi with the day before."""
    path = sd * chance.standard_normal(shape)
    rest = np.sqrt(1 - phi**2)
    for day in range(1, shape[-1]):
        path[..., day] = phi * path[..., day - 1] + rest * path[..., day]
    return path


def differences(chance: np.random.Generator, shape: tuple[int, ...], kind: str) -> np.ndarray:
    """Differences between like tanks, mean 0 and SD 1: normal, with heavy tails (t on 4 degrees of freedom), or skewed (exponential)."""
    if kind == "heavy":
        return chance.standard_t(4, shape) / np.sqrt(2.0)
    return chance.exponential(1.0, shape) - 1.0 if kind == "skewed" else chance.standard_normal(shape)


def _effects(course: Course, effects: Effect | Sequence[Effect]) -> tuple[Effect, ...]:
    if isinstance(effects, Effect):
        return (effects,) * len(course.changes)
    if len(effects) != len(course.changes):
        raise InputError("effects", len(effects), f"{len(course.changes)}, one for each of {', '.join(course.changes)}")
    return tuple(effects)


def _between(course: Course, world: World, reps: int, seed: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """What sets like tanks apart for good: level (reps, units), lasting rate (reps, units) and rate by period (reps, units, 3)."""
    units, tanks = len(course.units), int(course.tank.max()) + 1
    times = np.full((reps, 1), world.spread_times)
    if np.isfinite(world.spread_df):
        times = times * np.sqrt(world.spread_df / philox(seed, "spread").chisquare(world.spread_df, (reps, 1)))
    size = times * np.where(course.is_changed, world.changed_times, 1.0)
    of_tank = {name: differences(philox(seed, name), (reps, tanks), world.shape)[:, course.tank] for name in ("level", "lasting rate")}
    level = size * world.level_sd * of_tank["level"]
    if tanks < units:
        level = level + world.again_sd * philox(seed, "again").standard_normal((reps, units))
    if world.place_sd:
        places = int(course.place.max()) + 1
        level = level + world.place_sd * philox(seed, "place").standard_normal((reps, places))[:, course.place]
    by_period = size[:, :, None] * world.period_rate_sd * differences(philox(seed, "period rate"), (reps, units, 3), world.shape)
    return level, size * world.lasting_rate_sd * of_tank["lasting rate"], by_period


def _grown(course: Course, world: World, effects: Sequence[Effect], rates: np.ndarray, reps: int, seed: int) -> np.ndarray:
    """Growth and effects by day [logit, above the start], shape (reps, units, days); rates: (reps, units, 3)."""
    units = len(course.units)
    onset = np.maximum(0.0, world.onset_d + world.onset_sd_d * philox(seed, "onset").standard_normal((reps, units)))
    after_reset = world.reset_sd * philox(seed, "reset").standard_normal((reps, units))
    grown, shifts, path = np.zeros((reps, units)), np.zeros(course.received.shape[:2]), np.empty((reps, units, course.days))
    since = 0
    for day in range(course.days):
        if day in course.resets:
            grown, since, shifts = after_reset.copy(), 0, shifts * world.carry_share
        received = course.received[:, :, day]
        faster = sum(effect.rate_logit_d * amount for effect, amount in zip(effects, received, strict=True))
        step = world.rate_logit_d + rates[:, :, course.period[day]] + faster
        grown = grown + np.where(since >= onset, step, 0.0)
        for place, effect in enumerate(effects):
            come = 1.0 if effect.fade_d == 0 else 1.0 - np.exp(-1.0 / effect.fade_d)
            shifts[place] += come * (effect.level_logit * received[place] - shifts[place])
        path[:, :, day] = grown + shifts.sum(axis=0)
        since += 1
    return path


def _missed(course: Course, world: World, seen: np.ndarray, seed: int) -> np.ndarray:
    """Which unit-days have no photo."""
    reps, _, days = seen.shape
    missed = philox(seed, "missed").random(seen.shape) < world.missed_share
    gaps, rounds = philox(seed, "gaps"), int(course.time.max()) + 1
    first = gaps.integers(0, max(1, days - world.gap_days), (reps, rounds, 1))
    has_gap = gaps.random((reps, rounds, 1)) < world.gap_share
    day = np.arange(days)
    missed |= (has_gap & (day >= first) & (day < first + world.gap_days))[:, course.time, :]
    if world.shy_share:
        worse = seen - seen.mean(axis=1, keepdims=True) > _CLEARLY
        missed |= worse & (philox(seed, "shy").random(seen.shape) < world.shy_share)
    return missed


def simulated_cover(course: Course, world: World, effects: Effect | Sequence[Effect], *, reps: int, seed: int) -> np.ndarray:
    """The cover that photos tell, in so many invented trials of one course.

    The logit of cover climbs from a tank's own level at a tank's own rate; days wander, all tanks of a room together and each alone; photos
    err; some are missing. The same seed gives the same tanks, days and photos whatever the effect.

    Parameters
    ----------
    course : Course
        Who receives what on which day.
    world : World
        What tanks, days and photos are like.
    effects : Effect or sequence of Effect
        Of all changes, or one for each of `course.changes`.
    reps : int
        How many trials. [none], 1 or more.
    seed : int
        [none], 0 or more.

    Returns
    -------
    array of shape (reps, units, days)
        Cover [%], NaN where there is no photo.

    Raises
    ------
    InputError
        If there is not one effect for each change.

    References
    ----------
    common_practice (growth curve; the numbers are invented).
    """
    level, lasting, by_period = _between(course, world, reps, seed)
    path = _grown(course, world, _effects(course, effects), lasting[:, :, None] + by_period, reps, seed)
    rounds = int(course.time.max()) + 1
    path += world.start_logit + level[:, :, None]
    path += wandering(philox(seed, "room"), (reps, rounds, course.days), world.phi, world.room_sd)[:, course.time, :]
    path += wandering(philox(seed, "days"), path.shape, world.phi, world.day_sd)
    share = world.ceiling_share / (1.0 + np.exp(-path))
    seen = np.log(share / (1.0 - share)) + world.photo_sd * philox(seed, "photos").standard_normal(path.shape)
    cover = np.clip(100.0 / (1.0 + np.exp(-seen)), LOWEST_PCT, HIGHEST_PCT)
    cover[_missed(course, world, seen, seed)] = np.nan
    return cover


def series_from(plan: Plan, course: Course, cover: np.ndarray, measure: str, *, digits: int = 2) -> tuple[Series, ...]:
    """One simulated trial as series, one per unit.

    Parameters
    ----------
    plan : Plan
        The trial's plan.
    course : Course
        That of the plan.
    cover : array of shape (units, days)
        Cover, NaN where there is no photo. [%]
    measure : str
        The measure's key.
    digits : int
        Decimals that are kept.

    Returns
    -------
    tuple of Series
        Days are those of the trial.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    found = []
    for place, unit in enumerate(plan.units):
        there = np.flatnonzero(np.isfinite(cover[place]))
        days = tuple((there + course.later[place]).tolist())
        found.append(Series(unit.key, measure, days, tuple(np.round(cover[place][there], digits).tolist()), ready_made=True))
    return tuple(found)
