"""How often the band that readings narrowed holds the truth: simulated trials whose tanks are draws of another seed.

Each trial has two arms over fresh rich soil, tested for ammonia, nitrite and nitrate on some days. A reading is off by its own error
(30 %), and, in every second row, by a lasting 25 % for each arm and quantity besides. Printed: share of arms whose safe day, and share of
later days whose nitrate, lies in the band of nine in ten.

Run: .venv/bin/python benchmarks/bench_forecast_fit.py [trials]
"""

import sys

import numpy as np

from fairtank.simulation.ecology.rates import like_tanks
from fairtank.simulation.fit import READING_ERRORS, Observed, fit_of, weighed_quantiles
from fairtank.simulation.tank import Light, TankSetup, drawn_parameters, soil_start_changes, tank_ensemble

SHOWN_FROM = {"total_ammonia": 0.05, "nitrite": 0.02, "nitrate": 1.0}  # a test that shows less shows nothing
READ_ON = ((3, 7), (3, 7, 10, 14), tuple(range(2, 29, 2)))
ARMS = {"R": TankSetup(events=soil_start_changes(60)), "C": TankSetup(events=soil_start_changes(60), light=(Light(45.0, ((10.0, 16.0),)),))}


def readings(truth, member, days, lasting, rng):
    """What a keeper would read in that member's tanks."""
    found = []
    for arm in ARMS:
        for measure, least in SHOWN_FROM.items():
            share, size = READING_ERRORS[measure]
            off = np.exp(lasting * rng.standard_normal())
            for day in days:
                true = off * truth.courses[arm].measures[measure][member, day]
                read = float(true + max(share * true, size) * rng.standard_normal())
                found.append(Observed(arm, day, measure, max(read, least), read < least))
    return tuple(found)


def held(values, weights, truth):
    """Whether the truth lies in the band; a day that is not reached counts as later than any."""
    low, high = weighed_quantiles(values, weights, (0.05, 0.95))
    true = np.where(np.isnan(truth), np.inf, truth)
    return (low <= true) & (true <= high)


def main(trials):
    """One row for each choice of days and of lasting error."""
    rng = np.random.default_rng(3)
    courses = tank_ensemble(ARMS, members=200, seed=1)
    truth = tank_ensemble(ARMS, parameters=like_tanks(drawn_parameters(trials, 77), 1, 5))
    for days in READ_ON:
        for lasting in (0.0, 0.25):
            safe, nitrate = [], []
            for member in range(trials):
                weights = fit_of(courses, readings(truth, member, days, lasting, rng)).weights
                for arm in ARMS:
                    ours, theirs = courses.courses[arm], truth.courses[arm]
                    safe.append(held(ours.safe_day, weights, theirs.safe_day[member]))
                    nitrate.append(held(ours.measures["nitrate"], weights, theirs.measures["nitrate"][member])[days[-1] + 1:].mean())
            print(f"{len(days):2d} days, lasting error {lasting:.0%}: safe day {np.mean(safe):.1%}, nitrate {np.mean(nitrate):.1%}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
