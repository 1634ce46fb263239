"""Stage 2 of a ladder of doses: a straight line through the units' numbers, the units as the sample.

The line's slope is told as what it means for a keeper: the step from the reference's dose to the highest one.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fairtank.errors import NotEnoughDataError
from fairtank.inference.contrast import Contrast, Terms, Units, by_role, z_of
from fairtank.inference.designs.doses import FEWEST_DOSES, dose_of, told_dose
from fairtank.inference.earlier.mixture import f_upper_tails
from fairtank.inference.intervals.student import quantile, upper_tail
from fairtank.inference.intervals.welch import SMALLEST_RELATIVE_VARIANCE, SMALLEST_VARIANCE, Interval, mean
from fairtank.inference.rounding import rounded, settled
from fairtank.inference.series.tanks import unit_word
from fairtank.trial import Plan

Array = NDArray[np.float64]

FEWEST_UNITS = 5
# Units may scatter more at a high dose than at a low one, and the ends of a ladder carry most of the slope: the plain t-interval then errs
# in up to 18 of 100. With each unit's own distance from the line, Bell and McCaffrey's degrees of freedom and this much more width it erred
# in at most 5 of 100 in every layout that was simulated (3 to 8 doses, 5 to 24 units, even and uneven steps, a scatter that doubles).
WIDENING = 1.15
MOST_LEVERAGE = 1.0 - 1e-6  # beyond it the scatter of the others says nothing that a computer can still tell
BENDS_BELOW = 0.05  # the chance of such steps on a straight line, below which they are said not to be of one size


@dataclass(frozen=True)
class Line:
    """A straight line through the units' numbers.

    slope: per unit of dose. middle, centre: mean dose and mean number, through which the line passes. error: standard error of the slope,
    each unit with its own distance from the line. df: Bell and McCaffrey's. spread: standard deviation about the line. is_constant: the
    units lie on the line without any scatter. bend_f, bend_p, bend_df: the groups of equal dose against the line, None where no dose has
    two units or all lie on it.
    """

    slope: float
    middle: float
    centre: float
    error: float
    df: float
    spread: float
    is_constant: bool
    bend_f: float | None = None
    bend_p: float | None = None
    bend_df: tuple[float, float] | None = None

    def at(self, dose: float) -> float:
        """The line's height at a dose."""
        return self.centre + self.slope * (dose - self.middle)


def fit_line(doses: Sequence[float], values: Sequence[float], *, scale: str = "identity") -> Line:
    """The least-squares line of the units' numbers on their doses, and how sure its slope is.

    Parameters
    ----------
    doses : sequence of float, shape (n,), n >= 4
        One per unit; at least three different ones.
    values : sequence of float, shape (n,)
        One z per unit. [summary scale]
    scale : str
        `logit`, `log` or `identity`; says when the units count as lying on the line.

    Returns
    -------
    Line

    Raises
    ------
    NotEnoughDataError
        If there are fewer than four units or three doses, or one unit alone makes the slope.

    References
    ----------
    arithmetic, mackinnon1985, bell2002 (keys from sources.py).

    Examples
    --------
    >>> line = fit_line([0, 1, 2, 3], [1.0, 3.0, 4.0, 6.0])
    >>> round(line.slope, 6), round(line.at(0), 6)
    (1.6, 1.1)
    """
    if len(doses) < FEWEST_DOSES + 1 or len(set(doses)) < FEWEST_DOSES:
        raise NotEnoughDataError(f"The ladder has {len(doses)} units on {len(set(doses))} doses; a line with an interval needs at least "
                                 f"{FEWEST_DOSES + 1} units on {FEWEST_DOSES} doses.")
    x, z = np.array(doses, float), np.array(values, float)
    reach = float(np.ptp(x))
    apart = (x - x.mean()) / reach  # so that doses in any unit of measure keep their digits
    square = float(apart @ apart)
    slope = float(apart @ (z - z.mean())) / square
    rest = z - z.mean() - slope * apart
    leverage = 1.0 / len(x) + apart**2 / square
    if float(leverage.max()) > MOST_LEVERAGE:
        raise NotEnoughDataError(f"The dose {x[int(leverage.argmax())]:g} lies so far from all others, and has one unit only, that this "
                                 "unit alone makes the slope. Give it a second unit, or leave it out.")
    weights = apart / square / np.sqrt(1.0 - leverage)
    hat = np.identity(len(x)) - 1.0 / len(x) - np.outer(apart, apart) / square
    form = (weights[:, None] * hat) @ (weights[:, None] * hat).T
    df = max(float(np.trace(form)) ** 2 / float((form * form).sum()), 1.0)
    left = float(rest @ rest) / (len(x) - 2)
    smallest = SMALLEST_RELATIVE_VARIANCE * float((z * z).max()) if scale == "identity" else SMALLEST_VARIANCE
    return Line(slope / reach, float(x.mean()), float(z.mean()), float(np.sqrt(((weights * rest) ** 2).sum())) / reach, df, math.sqrt(left),
                left <= smallest, *_bend(x, z, rest))


def _bend(x: Array, z: Array, rest: Array) -> tuple[float | None, float | None, tuple[float, float] | None]:
    """The means of equal doses against the line: F, its chance on a straight line, and both degrees of freedom."""
    groups = [z[x == dose] for dose in np.unique(x)]
    pure_df, bend_df = float(len(x) - len(groups)), float(len(groups) - 2)
    pure = math.fsum(float(((own - own.mean()) ** 2).sum()) for own in groups)
    whole = float(rest @ rest)
    if pure_df < 1 or bend_df < 1 or pure <= SMALLEST_RELATIVE_VARIANCE * float((z * z).sum()):
        return None, None, None
    ratio = max(whole - pure, 0.0) / bend_df / (pure / pure_df)
    chance = float(f_upper_tails(np.array([ratio]), bend_df, np.array([pure_df]))[0]) if ratio > 0 else 1.0
    return rounded(ratio), rounded(chance), (bend_df, pure_df)


def slope_interval(line: Line, step: float, *, alpha: float) -> Interval:
    """The line's rise over a step of dose, with its interval.

    Parameters
    ----------
    line : Line
        As fitted.
    step : float
        From one dose to another; below 0 downwards. [unit of dose]
    alpha : float
        1 minus the level of the interval, above 0 and below 1.

    Returns
    -------
    Interval
        Without limits when the units do not scatter about the line at all. Its p_value lies at or below alpha exactly when the interval
        leaves out 0.

    References
    ----------
    mackinnon1985, bell2002, student1908 (keys from sources.py).
    """
    rise = line.slope * step
    if line.is_constant or line.error == 0:
        return settled(Interval(rise, arms_constant=True))
    error = WIDENING * line.error * abs(step)
    half = quantile(alpha / 2, line.df) * error
    return settled(Interval(rise, rise - half, rise + half, line.df, 2 * upper_tail(abs(rise) / error, line.df)))


def in_a_ladder(plan: Plan, units: Units, terms: Terms) -> Contrast:
    """The rise of the line from the reference's dose to the highest one, with its interval.

    Parameters
    ----------
    plan : Plan
        Each arm with its dose.
    units : tuple of UnitSummary
        The usable units.
    terms : Terms
        Level and scale.

    Returns
    -------
    Contrast
        changed holds the units of all other doses. Where the highest dose has no usable unit the step is told to the next one, which the
        margin was not fixed for. Fewer than 5 units or 3 doses are alone. Facts: slope, slope_low, slope_high (per unit
        of dose), reference_dose, top_dose, doses, spread_about_line, and bend_f, bend_p where doses have several units.

    References
    ----------
    mackinnon1985, bell2002 (keys from sources.py).
    """
    reference, changed = by_role(plan, units)
    if not reference or not changed:
        return Contrast(reference, changed)
    counted = (*reference, *changed)
    doses = [dose_of(plan, unit.arm) for unit in counted]
    start, (top, is_planned) = dose_of(plan, reference[0].arm), told_dose(plan, doses)
    lost = () if is_planned else (_lost_top(plan, start, top),)
    leaves = tuple((unit.unit, unit.unit) for unit in counted)
    if len(set(doses)) < FEWEST_DOSES or len(counted) < FEWEST_UNITS:
        found = Contrast(reference, changed, leaves=leaves, cautions=lost, facts=(("top_dose", top),), margin_holds=is_planned)
        return _too_few(found, doses, start, top)
    line = fit_line(doses, [z * terms.span for z in z_of(counted)], scale=terms.scale)
    step = (top - start) / terms.span
    interval = slope_interval(line, step, alpha=terms.alpha)
    return Contrast(reference, changed, interval, level=_level(counted, doses, start), leaves=leaves, margin_holds=is_planned,
                    cautions=(*lost, *_cautions(line, len(set(doses)), doses)),
                    facts=_facts(line, interval, terms, (start, top), len(set(doses))))


def _lost_top(plan: Plan, start: float, top: float) -> str:
    """That the step which the margin was fixed for cannot be told."""
    end = "highest" if max(dose_of(plan, arm.key) for arm in plan.arms) != start else "lowest"
    told = f"{top:g} {plan.dose_unit}".rstrip()
    return f"The {end} dose has no usable {unit_word(plan)}; the step told is to {told}, for which no margin was fixed."


def _level(units: Units, doses: Sequence[float], dose: float) -> float | None:
    """The height at a dose of the line through the units' levels."""
    pairs = [(own, unit.treated_mean) for own, unit in zip(doses, units, strict=True) if unit.treated_mean is not None]
    if len(pairs) < len(units):
        return None
    return fit_line([own for own, _ in pairs], [level for _, level in pairs]).at(dose)


def _too_few(found: Contrast, doses: Sequence[float], start: float, top: float) -> Contrast:
    """Too few units or doses for an interval: the step as the line through what there is shows it."""
    x, z = np.array(doses, float), np.array(z_of((*found.reference, *found.changed)), float)
    apart = x - x.mean()
    square = float(apart @ apart)
    rise = float(apart @ z) / square * (top - start)
    spread = abs(rise) / (1.96 * abs(top - start) / math.sqrt(square))
    level = mean([unit.treated_mean for unit in found.reference if unit.treated_mean is not None] or [math.nan])
    return replace(found, interval=Interval(rise), is_alone=True, level=None if math.isnan(level) else level, spread=spread)


def _cautions(line: Line, count: int, doses: Sequence[float]) -> tuple[str, ...]:
    if line.bend_p is not None and line.bend_p <= BENDS_BELOW:
        return ("The steps from dose to dose are not of one size: a straight line is only a summary of them, and which dose does most or "
                "least is not settled by it.",)
    if len(doses) == count:
        return ("Each dose has one unit only: whether the steps from dose to dose are of one size cannot be seen.",)
    return ()


def _facts(line: Line, interval: Interval, terms: Terms, ends: tuple[float, float], count: int) -> tuple[tuple[str, float], ...]:
    """Named numbers of the line, on the summary scale; a slope per day where the summary is one."""
    start, top = ends
    step, span = top - start, terms.span
    rise = line.slope * step / span
    low, high = line.at(start) / span, line.at(start) / span + rise
    facts = [("slope", line.slope / span), ("reference_dose", start), ("top_dose", top), ("doses", float(count)),
             ("mean_reference", low), ("mean_changed", high),
             ("spread_reference", line.spread / span), ("spread_changed", line.spread / span), ("spread_about_line", line.spread / span)]
    if interval.low is not None and interval.high is not None:
        ends_of_slope = sorted((interval.low / step, interval.high / step))
        error = line.error * abs(step) / span
        facts += [("slope_low", ends_of_slope[0]), ("slope_high", ends_of_slope[1]), ("standard_error", error),
                  ("multiplier", (interval.high - interval.low) / 2.0 / error)]
    if line.bend_f is not None and line.bend_p is not None:
        facts += [("bend_f", line.bend_f), ("bend_p", line.bend_p)]
    return tuple(facts)
