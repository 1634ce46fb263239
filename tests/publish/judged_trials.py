"""Invented trials of every design, judged in earnest: seeded series on a scale, with an effect and like tanks that scatter."""

import math
from datetime import date

import numpy as np

from fairtank.finding import Finding
from fairtank.inference import judge
from fairtank.trial import Arm, MeasureChoice, Plan, Series, SpreadEntry, Unit

ARMS = (Arm("R", "reference", "8 h block"), Arm("C", "changed", "dark break"))
BACK = {"logit": lambda z: 100 / (1 + math.exp(-z)), "log": math.exp, "identity": float}
MEASURES = {"logit": ("algae_cover", "Algae cover", "%"), "log": ("canopy_height", "Canopy height", "cm"),
            "identity": ("weight", "Weight", "g")}
CENTRE, SIZE = {"logit": -2.0, "log": 2.5, "identity": 40.0}, {"logit": 1.0, "log": 0.4, "identity": 3.0}
DAYS, SWAP_DAY, RUN_IN_D = 42, 21, 14


def units_of(kind: str, n: tuple[int, int]) -> tuple[Unit, ...]:
    """R units and C units by kind; in pairs and rounds n[0] of each."""
    if kind == "pairs":
        return tuple(Unit(f"{arm}{place}", arm, pair=f"p{place}") for place in range(1, n[0] + 1) for arm in "RC")
    if kind == "rounds":
        return tuple(Unit(f"{arm}{place}", arm, round=str(place), tank=f"T{1 + ((arm == 'C') ^ (place % 2))}")
                     for place in range(1, n[0] + 1) for arm in "RC")
    return tuple(Unit(f"{arm}{place}", arm, first_arm=arm if kind == "swap" else "") for arm, count in zip("RC", n, strict=True)
                 for place in range(1, count + 1))


def trial(kind: str = "side_by_side", scale: str = "logit", summary: str = "mean", *, n: tuple[int, int] = (3, 3), effect: float = -0.5,
          sd: float = 0.3, margin: float | None = 0.4, seed: int = 3, **more) -> tuple[Plan, tuple[Series, ...]]:
    """A plan and its series; effect, sd and margin in units of SIZE."""
    rng, size = np.random.default_rng(seed), SIZE[scale]
    key, title, unit_of_measure = MEASURES[scale]
    choice = MeasureChoice(key, more.pop("role", "primary"), summary, scale, None if margin is None else margin * size,
                           threshold=more.pop("threshold", None), title=title, unit_of_measure=unit_of_measure)
    units, series = units_of(kind, n), []
    own = {"run_in": {"run_in_days": RUN_IN_D}, "swap": {"swap_day": SWAP_DAY, "washout_days": 3}}.get(kind, {})
    for unit in units:
        shift, drift = rng.normal(0, sd * size), rng.normal(0, sd * size / DAYS)
        values = []
        for day in range(DAYS + 1):
            has_it = unit.arm == "C" and (kind != "run_in" or day >= RUN_IN_D)
            if kind == "swap":
                has_it = (day < SWAP_DAY) == (unit.arm == "C")
            z = CENTRE[scale] + shift + (0.02 * size + drift) * day + effect * size * has_it + rng.normal(0, 0.05 * size)
            values.append(BACK[scale](z))
        series.append(Series(unit.key, key, tuple(range(DAYS + 1)), tuple(values)))
    return Plan("Invented", date(2026, 3, 1), DAYS, kind, ARMS, units, (choice,), **{"drawn": True, **own, **more}), tuple(series)


def found(kind: str = "side_by_side", scale: str = "logit", summary: str = "mean", *, earlier: tuple[SpreadEntry, ...] = (),
          **more) -> Finding:
    """The finding of such a trial."""
    plan, series = trial(kind, scale, summary, **more)
    return judge(plan, series, earlier=earlier)[0]
