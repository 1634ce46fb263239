"""What nitrification costs the water, the course of a cycle day by day, and the forecast that follows the keeper's own readings."""

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fairtank.errors import InputError, NotEnoughDataError
from fairtank.registry import Input, calculator
from fairtank.science.cycling import (
    FORECAST_OUTPUTS,
    NITRITE_OXIDISERS_SHARE,
    READY_MG_L,
    Array,
    CycleForecast,
    Range,
    Sets,
    Track,
    at,
    forecast,
    foreseen,
    integrated,
)
from fairtank.science.nitrogen import (
    CYCLE_PH,
    CYCLE_TEMP,
    DAILY_CHANGE,
    FADING,
    OXYGEN,
    RELEASE,
    START_AMMONIA,
    cycle_sets,
)
from fairtank.science.ranges import Floats, plain, within
from fairtank.units import convert

_OXYGEN_G_MOL, _NITROGEN_G_MOL = 31.9988, 14.007

_NITRIFIED = Input("nitrified_mg_l", "ammonia that turns into nitrate, as nitrogen", "mg/L N", 0, 1000)
_DAYS = Input("days", "days since the start, separated by commas", "d", 0, 100)
_TOTAL_READ = Input("total_mg_l", "total ammonia read on those days, as nitrogen, separated by commas", "mg/L N", 0, 100)
_NITRITE_READ = Input("nitrite_mg_l", "nitrite read on those days, as nitrogen, separated by commas", "mg/L N", 0, 100)


@calculator(title="Oxygen that nitrification takes", unit="mg/L", sources=("nitrification_demand", "arithmetic"), inputs=(_NITRIFIED,))
def nitrification_oxygen_mg_l(nitrified_mg_l: ArrayLike) -> Floats:
    """Oxygen used while ammonia turns into nitrate: 4.57 mg for each mg of nitrogen.

    Of it 3.43 go into nitrite and 1.14 from nitrite to nitrate. What bacteria build into themselves is left out, so it is the
    most that can be needed.

    Parameters
    ----------
    nitrified_mg_l : float or array of shape (n,)
        Ammonia that turns into nitrate, as nitrogen. [mg/L N], 0 to 1000.

    Returns
    -------
    float or array of shape (n,)
        Oxygen. [mg/L]

    Raises
    ------
    OutOfRangeError
        If the input lies outside its range.

    References
    ----------
    nitrification_demand; arithmetic: two molecules of oxygen for one atom of nitrogen (keys from sources.py).

    Examples
    --------
    >>> round(nitrification_oxygen_mg_l(1.0), 2)
    4.57
    """
    return plain(within(_NITRIFIED, nitrified_mg_l) * 2 * _OXYGEN_G_MOL / _NITROGEN_G_MOL)


@calculator(title="Carbonate hardness that nitrification takes", unit="dKH", sources=("arithmetic",), inputs=(_NITRIFIED,))
def nitrification_alkalinity_dkh(nitrified_mg_l: ArrayLike) -> Floats:
    """Carbonate hardness used while ammonia turns into nitrate: 0.400 dKH for each mg/L of nitrogen.

    Two acid ions for each atom of nitrogen. A tank that runs out of carbonate hardness turns acid, and nitrification slows.
    Plants that take up nitrate give half of it back, which is left out.

    Parameters
    ----------
    nitrified_mg_l : float or array of shape (n,)
        Ammonia that turns into nitrate, as nitrogen. [mg/L N], 0 to 1000.

    Returns
    -------
    float or array of shape (n,)
        Carbonate hardness used. [dKH]

    Raises
    ------
    OutOfRangeError
        If the input lies outside its range.

    References
    ----------
    arithmetic: 2 meq for each mmol of nitrogen (keys from sources.py).

    Examples
    --------
    >>> round(nitrification_alkalinity_dkh(1.0), 3)
    0.4
    """
    return plain(within(_NITRIFIED, nitrified_mg_l) * 2 / _NITROGEN_G_MOL * convert(1.0, "meq/L", "dKH"))


# --- the forecast from own readings
# A reading and the model are compared as ln(value + a colour step), within a spread that holds the test kit's error and what the
# model leaves out: assumption, no source.
_COLOUR_STEP_MG_L, _SPREAD = 0.1, 0.35
# What is known before a reading, as centre and standard deviation of the log: ammonia oxidisers [mg/L], nitrite oxidisers as a share
# of them, and release as a multiple of what was said.
_BEFORE = np.log([[1e-3, 10.0], [NITRITE_OXIDISERS_SHARE, 3.0], [1.0, 2.0]])
_UNKNOWN_START = Range(1e-5, 1e-3, 1e-1)  # in place of a word for it; the fit moves it
# Coarse steps do for the search, which ends at the same sets as with fine ones; the forecast itself is integrated finely, once.
_LADDER, _LADDER_TOLERANCE = np.log(10.0) * np.arange(-6, 0.25, 0.5), 0.1
_ROUNDS, _NUDGE, _LONGEST, _TOLERANCE = 5, 0.05, 2.0, 0.02
_WORST = 2.5  # spreads that the kept sets may be off, on the root mean square
FITTED_SETS, _KEPT_SHARE = 80, 0.9
FIT_SEED = 20251125


@calculator(title="Forecast of the first weeks from own readings", sources=("wiesmann1994", "vannecke2015", "sandu1997"),
            inputs=(_DAYS, _TOTAL_READ, _NITRITE_READ, CYCLE_TEMP, CYCLE_PH, RELEASE, FADING, START_AMMONIA, OXYGEN, DAILY_CHANGE),
            outputs=FORECAST_OUTPUTS)
def start_from_readings(days: ArrayLike, total_mg_l: ArrayLike, nitrite_mg_l: ArrayLike, temp_c: float, ph: float = 7.0, *,
                        release_mg_l_d: float = 1.0, fading_per_d: float = 0.05, start_ammonia_mg_l: float = 0.0, oxygen_mg_l: float = 8.0,
                        daily_change_fraction: float = 0.0) -> CycleForecast:
    """How many bacteria a tank began with, from readings of ammonia and nitrite, and the forecast that follows.

    Each of 80 sets of values that the literature allows gets the bacteria and the release of ammonia that bring it nearest to
    the readings (least squares on the log scale, each set with readings blurred by the error of a test kit); the tenth of
    them that fits worst is left out. The band is mostly narrower than that of `cycle_forecast`, the more so the later the
    readings. Readings of one tank say nothing of other tanks. It is slower than the other calculators, a tenth of a second or
    more, because it is a fit.

    Parameters
    ----------
    days : array of shape (n,)
        Days since the start, three or more. [d], 0 to 100.
    total_mg_l : array of shape (n,)
        Total ammonia read on those days, as nitrogen. [mg/L N], 0 to 100.
    nitrite_mg_l : array of shape (n,)
        Nitrite read on those days, as nitrogen: a test that counts NO2 reads 3.285 times as much. [mg/L N], 0 to 100.
    temp_c : float
        Water temperature. [°C], 15 to 32.
    ph : float
        pH; below 6.5 there is no forecast. [-], 6.5 to 8.5.
    release_mg_l_d : float
        Ammonia that soil, food or drops give off on the first day, a day; a first guess is enough. [mg/L N], 0 to 20.
    fading_per_d : float
        How fast that fades: 0.05 halves it in 14 days, 0 keeps it up. [1/d], 0 to 2.
    start_ammonia_mg_l : float
        Total ammonia in the water at the start. [mg/L N], 0 to 20.
    oxygen_mg_l : float
        Oxygen in the water. [mg/L], 2 to 15.
    daily_change_fraction : float
        Share of the water that is changed a day, on average. [-], 0 to 0.9.

    Returns
    -------
    CycleForecast
        As in `cycle_forecast`; the usual figure is that of the usual values once they were fitted.

    Raises
    ------
    OutOfRangeError
        If a number lies outside its range.
    InputError
        If there are not as many readings as days, or there is no ammonia at all.
    NotEnoughDataError
        If there are readings on fewer than three days, none reaches 0.25 mg/L N, or the model cannot follow them.

    References
    ----------
    wiesmann1994 for growth, yield and half-saturation, from memory; vannecke2015 for the effect of temperature; sandu1997 for
    the integration (keys from sources.py).

    Examples
    --------
    >>> weeks = start_from_readings([2, 4, 6, 8], [1.9, 3.4, 4.2, 1.6], [0.0, 0.2, 1.3, 5.5], 25.0)
    >>> 9 < weeks.done_low_day < weeks.done_high_day < 25
    True
    """
    when, total, nitrite = (np.ravel(within(declared, value)) for declared, value in (
        (_DAYS, days), (_TOTAL_READ, total_mg_l), (_NITRITE_READ, nitrite_mg_l)))
    for name, read in (("total_mg_l", total), ("nitrite_mg_l", nitrite)):
        if read.size != when.size:
            raise InputError(name, f"{read.size} readings for {when.size} days", "one reading for each day")
    if np.unique(when).size < 3:
        raise NotEnoughDataError(f"There are readings on {np.unique(when).size} different days; a fit needs three or more.")
    if max(total.max(), nitrite.max()) < READY_MG_L:
        raise NotEnoughDataError("No reading reaches 0.25 mg/L N yet: there is nothing to fit. Read on.")
    sets = cycle_sets(_UNKNOWN_START, temp_c, ph, release_mg_l_d, fading_per_d, start_ammonia_mg_l, oxygen_mg_l, daily_change_fraction)
    by_day = np.lexsort((nitrite, total, when))  # so that the order in which readings were typed changes nothing
    readings = when[by_day], np.array([total, nitrite])[:, by_day]
    placed = fitted(sets.of(np.arange(FITTED_SETS + 1)), *readings)
    track = foreseen(placed, usual_tolerance=1e-3)
    kept = _nearest(track, *readings)
    return forecast(placed.of(kept), track.of(kept))


def _placed(sets: Sets, logs: Array) -> Sets:
    """The sets with their bacteria and release set to those logs, of shape (3, sets)."""
    bacteria = np.exp(logs[0])
    return replace(sets, ammonia_bacteria=bacteria, nitrite_bacteria=bacteria * np.exp(logs[1]), release=sets.release * np.exp(logs[2]))


def _compared(mg_l: Array) -> Array:
    """Ammonia and nitrite [mg/L N] of shape (days, 2, sets) as they are compared, of shape (2 x days, sets)."""
    return np.asarray(np.log(np.maximum(mg_l, 0) + _COLOUR_STEP_MG_L).reshape(2 * len(mg_l), -1))


def _modelled(sets: Sets, logs: Array, days: Array, tolerance: float = _TOLERANCE) -> Array:
    """What the sets say for ammonia and nitrite on those days, as it is compared."""
    return _compared(at(integrated(_placed(sets, logs), float(days.max()) + 0.01, tolerance), days)[:, :2])


def _nearest(track: Track, days: Array, readings: Array) -> NDArray[np.int_]:
    """Column 0 and the columns that follow readings of shape (2, days) best, without the tenth that follows them worst."""
    target = _compared(readings.T[:, :, None])
    misfit = np.sqrt((((_compared(at(track, days)[:, :2]) - target) / _SPREAD) ** 2).mean(axis=0))
    order = np.argsort(misfit[1:])[: int((misfit.size - 1) * _KEPT_SHARE)] + 1
    if np.median(misfit[order]) > _WORST:
        raise NotEnoughDataError("The model cannot follow these readings, so it makes no forecast from them. Are they counted as nitrogen, "
                                 "are the days counted from the start, and does the first guess of the release fit?")
    return np.concatenate([[0], order])


def fitted(sets: Sets, days: Array, readings: Array) -> Sets:
    """The sets with the bacteria and the release that bring them nearest to readings of shape (2, days).

    Column 0 is fitted to the readings themselves. The others aim at readings blurred by the test kit's error and at starts blurred by
    what is not known of them, so that their scatter is the uncertainty of the fit.
    """
    count = sets.decay.size
    rng = np.random.default_rng(FIT_SEED)
    target = _compared(readings.T[:, :, None])
    blur = rng.standard_normal((len(target) + 3, count))
    blur[:, 0] = 0
    aim, before = target + _SPREAD * blur[:-3], _BEFORE[:, :1] + _BEFORE[:, 1:] * blur[-3:]
    logs = _first_guess(sets, days, aim, before)
    best, least, damping = logs, np.full(count, np.inf), np.full(count, 0.1)
    gradient, curvature = np.zeros((count, 3)), np.zeros((count, 3, 3))
    four = sets.of(np.tile(np.arange(count), 4))
    for _ in range(_ROUNDS - 1):  # damped Gauss-Newton steps
        nudged = np.concatenate([logs, *(logs + _NUDGE * np.eye(3)[:, [k]] for k in range(3))], axis=1)
        model = _modelled(four, nudged, days).reshape(len(target), 4, count)
        off = np.concatenate([(model[:, 0] - aim) / _SPREAD, (logs - before) / _BEFORE[:, 1:]])
        bend = np.concatenate([(model[:, 1:] - model[:, :1]) / (_NUDGE * _SPREAD),
                               np.broadcast_to((np.eye(3) / _BEFORE[:, 1:])[:, :, None], (3, 3, count))])
        better = (cost := (off**2).sum(axis=0)) < least
        best, least = np.where(better, logs, best), np.where(better, cost, least)
        gradient[better] = np.einsum("rks,rs->sk", bend, off)[better]
        curvature[better] = np.einsum("rks,rls->skl", bend, bend)[better]
        damping = np.where(better, damping / 5, damping * 8)
        lifted = curvature + damping[:, None, None] * np.eye(3) * curvature.diagonal(axis1=1, axis2=2)[:, :, None]
        step = np.linalg.solve(lifted, gradient[:, :, None])[:, :, 0].T
        logs = best - np.clip(step, -_LONGEST, _LONGEST)
    last = (((_modelled(sets, logs, days) - aim) / _SPREAD) ** 2).sum(axis=0) + (((logs - before) / _BEFORE[:, 1:]) ** 2).sum(axis=0)
    return _placed(sets, np.where(last < least, logs, best))


def _first_guess(sets: Sets, days: Array, aim: Array, before: Array) -> Array:
    """For each set the number of bacteria, out of a coarse ladder, that comes nearest; the rest as it is before a reading."""
    count, rungs = sets.decay.size, len(_LADDER)
    tried = np.tile(before, rungs)
    tried[0] = np.repeat(_LADDER, count)
    model = _modelled(sets.of(np.tile(np.arange(count), rungs)), tried, days, _LADDER_TOLERANCE).reshape(len(aim), rungs, count)
    off = (((model - aim[:, None]) / _SPREAD) ** 2).sum(axis=0) + ((_LADDER[:, None] - before[0]) / _BEFORE[0, 1]) ** 2
    return np.concatenate([_LADDER[off.argmin(axis=0)][None], before[1:]])
