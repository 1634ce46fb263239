"""The integration: stabilised Runge-Kutta-Chebyshev steps for many columns at once, and a public integrator for one as the reference.

The equations are stiff once bacteria outgrow their food, and all rates that matter are real and negative. A Chebyshev step of s stages is
stable for rates up to about 0.65 s² by its length (sommeijer1998), needs no Jacobian, and keeps every balance that the equations keep,
because each stage is a sum of slopes. All columns share one step, which the worst of them sets.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from fairtank.simulation.ecology.events import applied, edges_d, inputs_at, moment_d
from fairtank.simulation.ecology.pools import ALKALINITY, CO2, LN_FIRST, LN_SECOND, OXYGEN, PLANTS_FROM, SUMS, Columns, start_of
from fairtank.simulation.ecology.slopes import Fastest, slope

Array = NDArray[np.float64]
Slope = Callable[[Array], tuple[Array, Fastest]]
TOLERANCE = 5e-3
_DAMPING, _MOST_STAGES = 2 / 13, 40
_FIRST_STEP_D, _LEAST_STEP_D = 0.005, 1e-7
_BELOW_ZERO = -1e-7  # a step that leaves a pool further below is taken again, shorter
_SAME_D = 1e-9
REFERENCE_RTOL, REFERENCE_ATOL = 1e-9, 1e-11


@dataclass(frozen=True, eq=False)
class Run:
    """What a run leaves. samples: states at the times asked for, shape (times, states, columns). low, high: least and most oxygen and
    CO2 of each day [mg/L], shape (days, 2, columns). last: the state at the end. steps: how many steps and slopes it took.
    """

    samples: Array
    low: Array
    high: Array
    last: Array
    steps: tuple[int, int]


@cache
def _chebyshev(stages: int) -> tuple[float, tuple[tuple[float, float, float, float], ...]]:
    """First factor, and (mu, nu, mu~, gamma~) of each further stage."""
    w0 = 1 + _DAMPING / stages**2
    t, d, e = [1.0, w0], [0.0, 1.0], [0.0, 0.0]
    for k in range(2, stages + 1):
        t.append(2 * w0 * t[k - 1] - t[k - 2])
        d.append(2 * t[k - 1] + 2 * w0 * d[k - 1] - d[k - 2])
        e.append(4 * d[k - 1] + 2 * w0 * e[k - 1] - e[k - 2])
    w1 = d[stages] / e[stages]
    b = [0.0, 0.0] + [e[k] / d[k] ** 2 for k in range(2, stages + 1)]
    b[0] = b[1] = b[2]
    rows = []
    for k in range(2, stages + 1):
        mu, nu, mu_slope = 2 * b[k] * w0 / b[k - 1], -b[k] / b[k - 2], 2 * b[k] * w1 / b[k - 1]
        rows.append((mu, nu, mu_slope, -(1 - b[k - 1] * t[k - 1]) * mu_slope))
    return b[1] * w1, tuple(rows)


def chebyshev_step(function: Slope, state: Array, first: Array, step: float, stages: int) -> Array:
    """One step of second order; first is the slope at the state."""
    factor, rows = _chebyshev(stages)
    before, here = state, state + factor * step * first
    for mu, nu, mu_slope, gamma in rows:
        before, here = here, ((1 - mu - nu) * state + mu * here + nu * before
                              + step * (mu_slope * function(here)[0] + gamma * first))
    return here


def _weights(rows: int) -> tuple[Array, Array]:
    """Absolute and relative size of what counts as an error of each state; sums are not judged, they follow from the rest."""
    absolute, relative = np.full((rows, 1), 0.1), np.ones((rows, 1))
    absolute[PLANTS_FROM : rows - len(SUMS)], absolute[[LN_FIRST, LN_SECOND]], relative[[LN_FIRST, LN_SECOND]] = 0.5, 1.0, 0.0
    absolute[rows - len(SUMS):] = np.inf
    return absolute, relative


@dataclass
class _Stepper:
    """Steps from edge to edge, keeping the length of the step and the extremes of the day."""

    columns: Columns
    tolerance: float
    step_d: float = _FIRST_STEP_D
    steps: int = 0
    slopes: int = 0

    def forward(self, state: Array, begin_d: float, end_d: float, function: Slope, seen: Callable[[Array], None]) -> Array:
        """The state at the end; `seen` is shown every state on the way."""
        absolute, relative = _weights(len(state))
        time, (there, fastest) = begin_d, function(state)
        speed = fastest()
        positive = np.r_[0:LN_FIRST, LN_SECOND + 1 : len(state) - len(SUMS)]
        positive = positive[positive != ALKALINITY]  # may fall below 0: acid
        wanted = min(self.step_d, _FIRST_STEP_D * 4)
        while time < end_d - _SAME_D:
            longest = 0.653 * (_MOST_STAGES**2 - 1) / speed
            step = min(wanted, longest, end_d - time)
            if 0.5 * (end_d - time) < step < end_d - time:
                step = 0.5 * (end_d - time)
            stages = max(2, 1 + int(np.sqrt(1.54 * step * speed + 1)))
            trial = chebyshev_step(function, state, there, step, stages)
            after, fastest = function(trial)
            off = (0.8 * (state - trial) + 0.4 * step * (there + after)) / (self.tolerance * (absolute + relative * np.abs(trial)))
            error = float(np.sqrt((off**2).mean(axis=0)).max())
            self.steps, self.slopes = self.steps + 1, self.slopes + stages
            good = error <= 1 and float(trial[positive].min()) >= _BELOW_ZERO
            if good or step <= _LEAST_STEP_D:
                time, state, there, speed = time + step, trial, after, fastest()
                seen(state)
            wanted = step * min(max(0.8 * max(error, 1e-9) ** (-1 / 3), 0.2), 4.0) if error > 1 or good else 0.5 * step
            self.step_d = max(wanted, _LEAST_STEP_D)
        return state


def _reference(state: Array, begin_d: float, end_d: float, function: Slope, seen: Callable[[Array], None]) -> Array:
    """The same by scipy's LSODA, for one column."""
    from scipy.integrate import solve_ivp

    def flat(_: float, values: Array) -> Array:
        return function(values[:, None])[0][:, 0]

    solved = solve_ivp(flat, (begin_d, end_d), state[:, 0], method="LSODA", rtol=REFERENCE_RTOL, atol=REFERENCE_ATOL)
    for values in solved.y.T[1:]:
        seen(values[:, None])
    return np.asarray(solved.y[:, -1:])


def run(columns: Columns, times_d: Array, end_d: float, *, tolerance: float = TOLERANCE, is_reference: bool = False,
        progress: Callable[[float], None] | None = None) -> Run:
    """The course of all columns from day 0 to the end, with the states at those times (rising, before the end)."""
    state, stepper = start_of(columns), _Stepper(columns, tolerance)
    samples = np.empty((len(times_d), *state.shape))
    whole = int(np.ceil(end_d - _SAME_D))
    low, high = np.full((whole, 2, columns.count), np.inf), np.full((whole, 2, columns.count), -np.inf)
    for begin, end in _spans(columns, times_d, end_d):
        for row in np.flatnonzero(np.abs(times_d - begin) < _SAME_D):
            samples[row] = state
        for arm, setup in enumerate(columns.setups):
            for event in setup.events:
                if abs(moment_d(event) - begin) < _SAME_D:
                    state = applied(state, event, arm, columns)
        inputs = [inputs_at(setup, 0.5 * (begin + end)) for setup in columns.setups]
        light, aim = columns.by_arm([one[0] for one in inputs]) * columns.surface_by_bed, columns.by_arm([one[1] for one in inputs])
        day = int(begin + _SAME_D)

        def function(state: Array, light: Array = light, aim: Array = aim) -> tuple[Array, Fastest]:
            return slope(state, light, aim, columns)

        def seen(state: Array, day: int = day) -> None:
            gases = state[[OXYGEN, CO2]]
            np.minimum(low[day], gases, out=low[day])
            np.maximum(high[day], gases, out=high[day])

        seen(state)
        state = _reference(state, begin, end, function, seen) if is_reference else stepper.forward(state, begin, end, function, seen)
        if progress is not None and int(end + _SAME_D) > day:
            progress(min(end / end_d, 1.0))
    return Run(samples, low, high, state, (stepper.steps, stepper.slopes))


def _spans(columns: Columns, times_d: Array, end_d: float) -> list[tuple[float, float]]:
    """From edge to edge: lights, CO2, events, the times asked for, and midnights."""
    edges = {0.0, end_d, *map(float, range(int(end_d) + 1)), *map(float, times_d)}
    for setup in columns.setups:
        edges |= edges_d(setup, end_d)
    rising = sorted(edge for edge in edges if edge <= end_d)
    kept = [edge for place, edge in enumerate(rising) if place == 0 or edge - rising[place - 1] > _SAME_D]
    return list(pairwise(kept))
