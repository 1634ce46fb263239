"""Worked examples of what a trial can notice: power by the house's own quadrature."""

import math

from fairtank.inference.designs.drawn_start import smallest_p
from fairtank.inference.foresight.power import t_multiplier, units_per_arm
from fairtank.inference.intervals.welch import tipping_spread
from inference.worked.nouns import Example, Number

PLANNING = (
    Example(
        "How many units per arm find a difference of half a standard deviation, or of a whole one, in 80 % of trials.",
        "foresight.power.units_per_arm", "statsmodels_library",
        "stats.power.TTestIndPower().solve_power(d, alpha=0.05, power=0.8), version 0.15",
        (Number("half a standard deviation", "63.77", lambda: units_per_arm(0.5)),
         Number("a whole one", "16.71", lambda: units_per_arm(1.0)))),
    Example(
        "The smallest difference that 80 % of trials find, in standard deviations of like units.", "foresight.power.t_multiplier",
        "statsmodels_library", "stats.power.TTestIndPower().solve_power(nobs1=n, alpha=0.05, power=0.8), version 0.15",
        tuple(Number(f"{n} and {n} units", published, lambda n=n: t_multiplier(2 * n - 2) * math.sqrt(2 / n))
              for n, published in ((3, "3.071"), (4, "2.381"), (6, "1.796"), (8, "1.507")))),
    Example(
        "The same with two units per arm.", "foresight.power.t_multiplier", "scipy_library",
        "integrate.quad over the chi density, times sqrt(2 / 2), version 1.17",
        (Number("2 and 2 units", "5.653", lambda: t_multiplier(2)),),
        note="With 2 degrees of freedom the noncentral t of common programs fails far out, so both sides integrate."),
    Example(
        "The same in standard errors, by degrees of freedom.", "foresight.power.t_multiplier", "scipy_library",
        "integrate.quad over the chi density, version 1.17",
        tuple(Number(f"{df} degrees of freedom", published, lambda df=df: t_multiplier(df)) for df, published in (
            (2, "5.65"), (4, "3.76"), (6, "3.37"), (8, "3.20"), (10, "3.11"), (14, "3.01"), (22, "2.93")))),
    Example(
        "The smallest p that a drawn start can reach.", "designs.drawn_start.smallest_p", "arithmetic",
        "1 / (2 w) where one direction was expected, 1 / w where either would count, for a window of w days",
        (Number("14 days, one direction", "0.036", lambda: smallest_p(14, "less")),
         Number("21 days, either direction", "0.048", lambda: smallest_p(21, "either")),
         Number("14 days, either direction", "0.071", lambda: smallest_p(14, "either")))),
    Example(
        "One tank each, a difference of 1 apart: how alike like tanks would have to be before that were surprising.",
        "intervals.welch.tipping_spread", "arithmetic", "1 / (1.96 sqrt(1/1 + 1/1))",
        (Number("standard deviation of one tank", "0.36077", lambda: tipping_spread(1.0, 1, 1)),)),
)
