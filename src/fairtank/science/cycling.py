"""The two-step nitrification model behind the forecast of the first weeks.

Total ammonia S, nitrite N and nitrate Q [mg/L N], and the bacteria A and B [mg/L] that live on the first two:

    dS/dt = L(t) - u1 A - d S         u1 = m1 S/(K1 + S) / Y1        (1)
    dN/dt = u1 A - u2 B - d N         u2 = m2 N/(K2 + N) / Y2        (2)
    dQ/dt = u2 B - d Q                                               (3)
    d ln A/dt = m1 S/(K1 + S) - b     d ln B/dt = m2 N/(K2 + N) - b  (4)

m is the growth rate at the tank's temperature and oxygen, L(t) what the soil gives off, d the daily change of water. Bacteria
sit on surfaces and are not changed with the water. Plants, which take up ammonia, are not in the model, nor is any effect of pH.
"""

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from fairtank.registry import Output

Array = NDArray[np.float64]

GAS_CONSTANT_J_MOL_K = 8.314  # as rounded as the activation energies, which were derived with 8.31
_REFERENCE_K = 293.15
# Activation energies [J/mol] of the two steps; vannecke2015 (there for 30 °C, here from 20 °C).
ENERGY_AMMONIA_J_MOL, ENERGY_NITRITE_J_MOL = 68_000.0, 44_000.0
HORIZON_D = 120.0  # a forecast ends here
READY_MG_L = 0.25  # a tank counts as done once ammonia and nitrite both stay below this
BAND_SHARE = 0.9  # of the sets lie within the band
BAND_SETS = 100
_SEED = 20251125  # the same sets for everybody: the same tank gets the same band


@dataclass(frozen=True)
class Range:
    """What the literature, or an assumption, allows for one number of the model: lowest, usual, highest."""

    low: float
    usual: float
    high: float


# Rates at 20 °C: literature values, from memory (wiesmann1994 and activated sludge models).
KINETICS = {
    "growth_ammonia_per_d": Range(0.3, 0.77, 1.0),
    "growth_nitrite_per_d": Range(0.4, 1.08, 1.4),
    "yield_ammonia": Range(0.1, 0.147, 0.24),  # g bacteria per g N
    "yield_nitrite": Range(0.02, 0.042, 0.1),
    "half_ammonia_mg_l": Range(0.1, 0.7, 2.0),  # mg/L N at which growth is half
    "half_nitrite_mg_l": Range(0.1, 0.5, 1.5),
    "half_oxygen_ammonia_mg_l": Range(0.2, 0.3, 1.5),
    "half_oxygen_nitrite_mg_l": Range(0.2, 1.1, 1.5),
    "decay_per_d": Range(0.02, 0.05, 0.15),
}
# Ammonia oxidisers at the start [mg/L]; of nitrite oxidisers there are half as many. Assumption, no source: chosen so that a bare
# tank takes the one to six weeks that people see (fao_glossary_cycling).
STARTS = {"bare": Range(1e-5, 1e-3, 1e-2), "seeded": Range(1e-3, 1e-2, 1e-1)}
NITRITE_OXIDISERS_SHARE = 0.5


@dataclass(frozen=True)
class Sets:
    """Sets of the model's numbers, one column each, at the tank's temperature and oxygen; arrays of shape (sets,).

    growth_*: highest growth rate [1/d]. turnover_*: growth rate by yield [1/d]. half_*: half-saturation [mg/L N]. decay [1/d]. release:
    ammonia given off on day 0 [mg/L N a day]; fading of it [1/d]; dilution by water changes [1/d]. ammonia, ammonia_bacteria,
    nitrite_bacteria: at the start [mg/L].
    """

    growth_ammonia: Array
    growth_nitrite: Array
    turnover_ammonia: Array
    turnover_nitrite: Array
    half_ammonia: Array
    half_nitrite: Array
    decay: Array
    release: Array
    fading: Array
    dilution: Array
    ammonia: Array
    ammonia_bacteria: Array
    nitrite_bacteria: Array

    def of(self, columns: NDArray[np.int_]) -> "Sets":
        """The sets of those columns, in that order."""
        return Sets(*(getattr(self, field.name)[columns] for field in fields(self)))


@dataclass(frozen=True)
class CycleForecast:
    """When a tank has its ammonia (total, as tests read it) and nitrite behind it: a band for each figure.

    low and high are the ends of the band that holds nine in ten sets of values which the literature allows; the third of each is what
    its usual values give, which is no best guess. done_*: the day from which both stay below 0.25 mg/L N; 0 means they never rise to
    it, 120 that they do not fall within 120 days. *_peak_*_day: days after the start. *_peak_*_mg_l: nitrogen [mg/L N]. start_*: ammonia
    oxidisers at the start [mg/L].
    """

    done_low_day: float
    done_high_day: float
    done_day: float
    ammonia_peak_low_day: float
    ammonia_peak_high_day: float
    ammonia_peak_day: float
    ammonia_peak_low_mg_l: float
    ammonia_peak_high_mg_l: float
    ammonia_peak_mg_l: float
    nitrite_peak_low_day: float
    nitrite_peak_high_day: float
    nitrite_peak_day: float
    nitrite_peak_low_mg_l: float
    nitrite_peak_high_mg_l: float
    nitrite_peak_mg_l: float
    start_low_mg_l: float
    start_high_mg_l: float
    start_mg_l: float


def _three(name: str, tail: str, label: str, unit: str) -> tuple[Output, Output, Output]:
    return (Output(f"{name}_low_{tail}", f"{label}, low end of the band", unit), Output(f"{name}_high_{tail}", f"{label}, high end", unit),
            Output(f"{name}_{tail}", f"{label}, by the usual values alone", unit))


FORECAST_OUTPUTS = (
    *_three("done", "day", "day from which both stay below 0.25 mg/L N", "d"),
    *_three("ammonia_peak", "day", "day of most total ammonia", "d"), *_three("ammonia_peak", "mg_l", "most total ammonia", "mg/L N"),
    *_three("nitrite_peak", "day", "day of most nitrite", "d"), *_three("nitrite_peak", "mg_l", "most nitrite", "mg/L N"),
    *_three("start", "mg_l", "ammonia oxidisers at the start", "mg/L"),
)


@dataclass(frozen=True)
class Track:
    """The steps of the integration: time [d] of shape (steps, sets), values and slopes of shape (steps, 3, sets).

    The three values are ammonia, nitrite and nitrate [mg/L N]. Between steps they are the cubic that fits values and slopes at both
    ends.
    """

    time: Array
    value: Array
    slope: Array

    def of(self, columns: NDArray[np.int_]) -> "Track":
        """The steps of those sets, in that order."""
        return Track(self.time[:, columns], self.value[:, :, columns], self.slope[:, :, columns])


def temperature_factor(temp_c: float, energy_j_mol: float) -> float:
    """How much faster than at 20 °C a step runs."""
    kelvin = temp_c + 273.15
    return float(np.exp(energy_j_mol * (kelvin - _REFERENCE_K) / (GAS_CONSTANT_J_MOL_K * kelvin * _REFERENCE_K)))


def drawn(ranges: dict[str, Range], count: int = BAND_SETS, seed: int = _SEED) -> dict[str, Array]:
    """The usual values in column 0, then sets drawn from the ranges: triangles on the log scale, spread evenly (Latin hypercube)."""
    rng = np.random.default_rng(seed)
    columns = {}
    for name, span in ranges.items():
        share = (rng.permutation(count) + rng.random(count)) / count
        low, top, high = np.log([span.low, span.usual, span.high])
        width, left = high - low, top - low
        logs = np.where(share < left / width, low + np.sqrt(share * width * left), high - np.sqrt((1 - share) * width * (width - left)))
        columns[name] = np.concatenate([[span.usual], np.exp(logs)])
    return columns


def sets_at(numbers: dict[str, Array], temp_c: float, oxygen_mg_l: float, *, release_mg_l_d: float, fading_per_d: float,
            dilution_per_d: float, ammonia_mg_l: float, start_mg_l: Array) -> Sets:
    """The drawn numbers brought to a tank: its temperature, oxygen, soil, water changes and start."""
    growth_ammonia = (numbers["growth_ammonia_per_d"] * temperature_factor(temp_c, ENERGY_AMMONIA_J_MOL)
                      * oxygen_mg_l / (numbers["half_oxygen_ammonia_mg_l"] + oxygen_mg_l))
    growth_nitrite = (numbers["growth_nitrite_per_d"] * temperature_factor(temp_c, ENERGY_NITRITE_J_MOL)
                      * oxygen_mg_l / (numbers["half_oxygen_nitrite_mg_l"] + oxygen_mg_l))
    alike = np.ones(growth_ammonia.shape)
    return Sets(growth_ammonia, growth_nitrite, growth_ammonia / numbers["yield_ammonia"], growth_nitrite / numbers["yield_nitrite"],
                numbers["half_ammonia_mg_l"], numbers["half_nitrite_mg_l"], numbers["decay_per_d"], release_mg_l_d * alike,
                fading_per_d * alike, dilution_per_d * alike, ammonia_mg_l * alike, start_mg_l * alike,
                NITRITE_OXIDISERS_SHARE * start_mg_l * alike)


# --- integration
# Rows of a state: food (ammonia, nitrite), logs of the two bacteria, nitrate, and what the soil still gives off.
_FOOD, _BACTERIA, _NITRATE, _RELEASE = slice(0, 2), slice(2, 4), 4, 5
_ABSOLUTE = np.array([0.1, 0.1, 1, 1, 0.1, 0.1]).reshape(6, 1)
_RELATIVE = np.array([1, 1, 0, 0, 1, 1]).reshape(6, 1)


class _Equations:
    """Equations 1 to 4 for all sets at once, with their partial derivatives and the linear system of an implicit step."""

    def __init__(self, sets: Sets) -> None:
        self.sets = sets
        self.growth = np.array([sets.growth_ammonia, sets.growth_nitrite])
        self.turnover = np.array([sets.turnover_ammonia, sets.turnover_nitrite])
        self.half = np.array([sets.half_ammonia, sets.half_nitrite])
        self.floor = -0.5 * self.half
        self.fall = -sets.fading

    def slope(self, state: Array) -> tuple[Array, Array, Array, Array]:
        """The right-hand sides; and, for `partials`, what the bacteria could eat, what they do eat, and 1/(half + food)."""
        # A trial step that will be rejected may overshoot: it is held where the formulas still mean something.
        food = np.maximum(state[_FOOD], self.floor)
        most = self.turnover * np.exp(np.minimum(state[_BACTERIA], 30.0))
        per = 1 / (self.half + food)
        share = food * per
        eaten = most * share
        leaving = eaten + self.sets.dilution * state[_FOOD]
        slope = np.empty_like(state)
        np.subtract(state[_RELEASE], leaving[0], out=slope[0])
        np.subtract(eaten[0], leaving[1], out=slope[1])
        np.subtract(self.growth * share, self.sets.decay, out=slope[_BACTERIA])
        np.subtract(eaten[1], self.sets.dilution * state[_NITRATE], out=slope[_NITRATE])
        np.multiply(self.fall, state[_RELEASE], out=slope[_RELEASE])
        return slope, most, eaten, per

    def partials(self, most: Array, eaten: Array, per: Array) -> Array:
        """How the eating changes with food and with the log of bacteria, and the growth with food; of shape (3, 2, sets) for both steps."""
        bend = self.half * per * per
        return np.array([most * bend, eaten, self.growth * bend])

    def system(self, partials: Array, step: Array) -> tuple[Array, ...]:
        """What `solved` needs, once per step: the step, scaled partials, and the pivots of release, the two pairs and nitrate."""
        food, bacteria, grows = scaled = step * partials
        leaving = 1 + step * self.sets.dilution
        return step, *scaled, 1 / (1 + step * self.sets.fading), 1 / (leaving + food + bacteria * grows), 1 / leaving


def _solved(system: tuple[Array, ...], right: Array) -> Array:
    """x of (1 - step x Jacobian) x = right: first the release, then the two pairs of food and bacteria, then nitrate.

    Results go straight into their rows: this runs four times a step, and most of its time is that of calling numpy.
    """
    step, food, bacteria, grows, release, pairs, nitrate = system
    x = np.empty_like(right)
    first, second, nitrified, given_off = x[0], x[1], x[_NITRATE], x[_RELEASE]
    np.multiply(right[_RELEASE], release, out=given_off)
    np.subtract(right[_FOOD], bacteria * right[_BACTERIA], out=x[_FOOD])
    first += step * given_off
    first *= pairs[0]
    np.add(right[2], grows[0] * first, out=x[2])
    second += food[0] * first
    second += bacteria[0] * x[2]
    second *= pairs[1]
    np.add(right[3], grows[1] * second, out=x[3])
    np.add(right[_NITRATE], food[1] * second, out=nitrified)
    nitrified += bacteria[1] * x[3]
    nitrified *= nitrate
    return x


def integrated(sets: Sets, end_d: float, tolerance: float | Array = 1e-3) -> Track:
    """The course of every set from day 0 to the end, each with steps of its own; tolerance may differ between sets.

    The equations turn stiff once bacteria outgrow their food, so the method is an implicit one of third order with an embedded error
    estimate (Rodas3, sandu1997), written out for this model; a set that needs a smaller step repeats its own while others go on.
    """
    equations = _Equations(sets)
    state = np.array([sets.ammonia, 0 * sets.ammonia, np.log(sets.ammonia_bacteria), np.log(sets.nitrite_bacteria), 0 * sets.ammonia,
                      sets.release])
    time, step = np.zeros(sets.decay.size), np.full(sets.decay.size, 0.05)
    slope, *rest = equations.slope(state)
    partials = equations.partials(*rest)
    kept = [(time, state, slope)]
    absolute, relative = _ABSOLUTE * tolerance, _RELATIVE * tolerance
    while (running := time < end_d).any():
        left = end_d - time
        taken = np.where(running, np.minimum(step, left), 1.0)
        half = 0.5 * taken
        system = equations.system(partials, half)
        ahead = half * slope
        one = _solved(system, ahead)
        twice = 2 * one
        two = _solved(system, ahead + twice)
        halved = 0.5 * (one - two)
        middle = state + twice
        three = _solved(system, half * equations.slope(middle)[0] + halved)
        middle += three
        four = _solved(system, half * equations.slope(middle)[0] + halved - 4 / 3 * three)
        trial = middle + four
        off = four / (absolute + relative * np.abs(trial))
        error = np.sqrt(np.einsum("rs,rs->s", off, off) / len(off))
        good = running & (error <= 1)
        there, *rest = equations.slope(trial)
        if good.all():
            state, slope, partials = trial, there, equations.partials(*rest)
        else:
            state, slope = np.where(good, trial, state), np.where(good, there, slope)
            partials = np.where(good, equations.partials(*rest), partials)
        time = np.where(good, np.where(taken == left, end_d, time + taken), time)
        step = taken * np.minimum(np.maximum(0.9 * np.maximum(error, 1e-9) ** (-1 / 3), 0.2), 5.0)
        kept.append((time, state, slope))
    order = [0, 1, _NITRATE]
    return Track(np.array([row[0] for row in kept]), np.array([row[1][order] for row in kept]), np.array([row[2][order] for row in kept]))


# --- what is read off a course
def at(track: Track, days: Array) -> Array:
    """Ammonia, nitrite and nitrate [mg/L N] on those days, of shape (days, 3, sets)."""
    found = np.empty((len(days), *track.value.shape[1:]))
    columns = np.arange(track.time.shape[1])
    for row, day in enumerate(days):
        before = np.minimum((track.time <= day).sum(axis=0) - 1, len(track.time) - 2)
        # A repeated step stands twice with the same time; the last of them, which has a follower, is the one meant.
        found[row] = _between(track, before, columns, np.full(columns.shape, float(day)))
    return found


def _between(track: Track, before: NDArray[np.int_], columns: NDArray[np.int_], day: Array) -> Array:
    """Values of chosen sets on a day that lies after step `before`, of shape (3, columns)."""
    start, end = track.time[before, columns], track.time[before + 1, columns]
    width = np.where(end > start, end - start, 1.0)
    share = (day - start) / width
    v0, v1 = track.value[before, :, columns].T, track.value[before + 1, :, columns].T
    s0, s1 = track.slope[before, :, columns].T * width, track.slope[before + 1, :, columns].T * width
    rise = v1 - v0
    bent = v0 + share * (s0 + share * (3 * rise - 2 * s0 - s1 + share * (s0 + s1 - 2 * rise)))
    return np.asarray(np.where(end > start, bent, v0))


def peaks(track: Track, row: int) -> tuple[Array, Array]:
    """Day and height of the highest value of each set: row 0 ammonia, row 1 nitrite."""
    width = np.diff(track.time, axis=0)
    v0, v1 = track.value[:-1, row], track.value[1:, row]
    s0, s1 = track.slope[:-1, row] * width, track.slope[1:, row] * width
    rise = v1 - v0
    # The slope inside a step is s0 + 2 b share + 3 a share²; where it changes sign there is a top.
    b, a = 3 * rise - 2 * s0 - s1, s0 + s1 - 2 * rise
    top = (s0 > 0) & (s1 <= 0)
    root = np.sqrt(np.maximum(b**2 - 3 * a * s0, 0))
    share = np.where(top, s0 / np.where(top, root - b, 1.0), 0.0)
    height = np.concatenate([v0 + share * (s0 + share * (b + share * a)), v1[-1:]])
    day = np.concatenate([track.time[:-1] + share * width, track.time[-1:]])
    best, columns = height.argmax(axis=0), np.arange(height.shape[1])
    return day[best, columns], height[best, columns]


def done_days(track: Track) -> Array:
    """The day from which ammonia and nitrite both stay below 0.25 mg/L N; the last day of the track where they do not."""
    over = track.value[:, :2].max(axis=1) >= READY_MG_L
    days = np.zeros(over.shape[1])
    ever = over.any(axis=0)
    last = len(over) - 1 - over[::-1].argmax(axis=0)
    never = ever & (last == len(over) - 1)
    days[never] = track.time[-1, never]
    falls = np.flatnonzero(ever & ~never)
    before = last[falls]
    high, low = track.time[before, falls], track.time[before + 1, falls]
    for _ in range(20):  # to a millionth of the step
        middle = (high + low) / 2
        still = _between(track, before, falls, middle)[:2].max(axis=0) >= READY_MG_L
        high, low = np.where(still, middle, high), np.where(still, low, middle)
    days[falls] = (high + low) / 2
    return days


@dataclass(frozen=True)
class CycleCourse:
    """The course of a cycle for a chart: arrays of shape (days,), each with the band that holds nine in ten of the sets.

    day [d]. ammonia, nitrite, nitrate [mg/L N]: by the usual values. *_low, *_high: the band on each day by itself.
    """

    day: Array
    ammonia: Array
    ammonia_low: Array
    ammonia_high: Array
    nitrite: Array
    nitrite_low: Array
    nitrite_high: Array
    nitrate: Array
    nitrate_low: Array
    nitrate_high: Array


def course(sets: Sets, days: Array) -> CycleCourse:
    """The course on those days, in rising order; column 0 of the sets holds the usual values."""
    values = at(integrated(sets, max(float(np.max(days)), 1.0)), days)
    edge = (1 - BAND_SHARE) / 2
    low, high = np.quantile(values[:, :, 1:], [edge, 1 - edge], axis=2)
    usual = values[:, :, 0]
    bands = (part[:, row] for row in range(3) for part in (usual, np.minimum(low, usual), np.maximum(high, usual)))
    return CycleCourse(np.asarray(days, dtype=np.float64), *bands)


def foreseen(sets: Sets, usual_tolerance: float = 2e-4) -> Track:
    """The course of sets to the last day of a forecast; column 0, the usual values, by a tolerance of its own."""
    tolerance = np.full(sets.decay.size, 2e-3)
    tolerance[0] = usual_tolerance
    return integrated(sets, HORIZON_D, tolerance)


def forecast(sets: Sets, track: Track) -> CycleForecast:
    """The forecast from the course of sets whose column 0 holds the usual values."""
    found = (done_days(track), *peaks(track, 0), *peaks(track, 1), sets.ammonia_bacteria)
    return CycleForecast(*(number for figures in found for number in banded(figures)))


def banded(figures: Array) -> tuple[float, float, float]:
    """Low and high end of the band of nine in ten of the drawn sets, widened to hold the usual figure (column 0); and that figure."""
    edge = (1 - BAND_SHARE) / 2
    low, high = np.quantile(figures[1:], [edge, 1 - edge])
    return float(min(low, figures[0])), float(max(high, figures[0])), float(figures[0])
