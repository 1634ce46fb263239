"""What a trial could show before it is run: the smallest difference it would probably find, and what other layouts would find."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from fairtank.errors import DesignError, OutOfRangeError
from fairtank.inference.earlier.classes import tank_class
from fairtank.inference.earlier.like_tanks import Library, library_of
from fairtank.inference.foresight.layouts import Layout, alternatives_to, layout_of, weighing_of
from fairtank.inference.foresight.like_spread import LikeSpread, kind_of_layout, like_spread
from fairtank.inference.foresight.noticing import Asked, smallest, with_earlier
from fairtank.inference.foresight.power import USUAL_POWER
from fairtank.inference.foresight.spread_parts import unit_sd
from fairtank.inference.question import alpha_of, title_unit_scale
from fairtank.inference.rounding import settled
from fairtank.inference.series.scales import Scale
from fairtank.inference.series.tanks import unit_word
from fairtank.trial import MeasureChoice, Plan, Series, SpreadEntry

WAYS = ("formula", "borrowed spread", "simulation", "none")
USUAL_REFERENCE_PCT = 10.0
Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Noticed:
    """A difference in the natural unit: where the changed tanks would stand if they had more, and if they had less."""

    more: float
    less: float


@dataclass(frozen=True)
class Design:
    """One layout and what it could show.

    letter names it in chart and table; key is that of `alternatives_to`. tanks and days are what it takes, cost what that costs (None
    without prices). sd is that of one tank's summary. difference is the smallest effect found with the power asked for [summary scale],
    low and high the same if like tanks differ by less or more than thought; None where nothing can be found, and reason then says why.
    noticed, noticed_low, noticed_high are the same in the natural unit. way is one of WAYS. best marks a design that no other beats in
    both cost and difference; a drawn start is never compared, because it speaks of its own two tanks alone. half_width: how far a borrowed
    interval reaches to either side on average [summary scale], None for others. with_earlier: what would be noticed if five earlier trials
    of this kind stood in spread.csv, where one or two tanks per arm stand without that help; else None.
    """

    letter: str
    key: str
    layout: Layout
    tanks: int
    days: int
    cost: float | None
    sd: float
    difference: float | None
    low: float | None
    high: float | None
    noticed: Noticed | None
    noticed_low: Noticed | None
    noticed_high: Noticed | None
    way: str
    reason: str = ""
    best: bool = False
    half_width: float | None = None
    with_earlier: Noticed | None = None


@dataclass(frozen=True)
class LookShown:
    """A planned look: its day, its share of the 5 %, and the smallest difference found on that day."""

    day: int
    alpha: float
    difference: float | None
    noticed: Noticed | None


@dataclass(frozen=True)
class Showing:
    """What a plan could show for its primary measure.

    reference is the level of the reference tanks that is assumed [natural unit; on the log scale without one: 100, for 100 %; None
    where differences are told as they are]. is_relative marks that case of 100. shape is `at once` or `builds up`; full_after_d then says
    after how many days the differences told are reached. designs has the plan itself first. margin is the plan's own [summary scale],
    margin_noticed the same in the natural unit. may_borrow: whether the plan lets earlier tanks help where an arm has one or two.
    """

    measure: str
    title: str
    unit: str
    scale: str
    summary: str
    expect: str
    reference: float | None
    is_relative: bool
    shape: str
    full_after_d: float
    power: float
    alpha: float
    spread: LikeSpread
    designs: tuple[Design, ...]
    looks: tuple[LookShown, ...] = ()
    margin: float | None = None
    margin_noticed: Noticed | None = None
    may_borrow: bool = True

    @property
    def plan(self) -> Design:
        """The design as it is planned."""
        return self.designs[0]


@dataclass(frozen=True)
class Prices:
    """What one more tank and one more day cost, in whatever money."""

    per_tank: float
    per_day: float

    def __post_init__(self) -> None:
        for name in ("per_tank", "per_day"):
            if not 0 <= getattr(self, name) < math.inf:
                raise OutOfRangeError(name, getattr(self, name), "0 or more")


def primary_of(plan: Plan) -> MeasureChoice:
    """The plan's primary measure.

    Raises DesignError when there is none.
    """
    for choice in plan.measures:
        if choice.role == "primary":
            return choice
    raise DesignError("The plan names no primary measure. Give one measure the role primary.")


def show(plan: Plan, *, reference: float | None = None, sd: float | None = None, entries: Sequence[SpreadEntry] = (),
         tank_litres: float | None = None, series: Sequence[Series] = (), tanks: str = "new", prices: Prices | None = None,
         power: float = USUAL_POWER, progress: Progress | None = None) -> Showing:
    """What a plan could show for its primary measure, beside other ways to lay out the trial.

    Parameters
    ----------
    plan : Plan
        Units need no arms yet.
    reference : float or None
        Level of the reference tanks [natural unit; % on the logit scale]. None: 10 % on the logit scale; on the log scale differences are
        told in % of the reference, and else as they are.
    sd, series, tanks
        Where the spread of like tanks comes from; see `like_spread`.
    entries : sequence of SpreadEntry
        Earlier trials, oldest first; only those of the same measure, scale, summary, window and tanks count.
    tank_litres : float or None
        Water of one tank; None: what the plan says. [L]
    prices : Prices or None
        Of a tank and a day.
    power : float
        The chance with which the difference shall be found.
    progress : callable or None
        Called with (designs done, designs in all).

    Returns
    -------
    Showing

    Raises
    ------
    DesignError
        If the plan cannot be laid out, or its summary has no size that could be noticed.
    InputError
        If nothing is known about the spread of like tanks.
    OutOfRangeError
        If the reference or another number lies outside its range.

    References
    ----------
    matthews1990, edgington2007 (keys from sources.py).
    """
    choice = primary_of(plan)
    if choice.summary == "threshold":
        raise DesignError(f"{choice.key} is judged by the day on which a level is first reached; that has no size in its own unit, so the "
                          "smallest difference cannot be told. With four or more tanks per arm their order can be judged.")
    title, unit, scale_name = title_unit_scale(choice)
    base = layout_of(plan, choice)
    scale = Scale(scale_name)
    level = _reference(scale_name, reference, choice.key)
    size = tank_class(plan.tank_litres if tank_litres is None else tank_litres, unit_word=unit_word(plan))

    def library_at(layout: Layout) -> Library:
        return library_of(entries, kind_of_layout(choice, scale_name, layout, size), own_trial=plan.title)

    spread = like_spread(plan, choice, base, scale=scale_name, sd=sd, library=library_at(base), series=series, tanks=tanks)
    shape = "builds up" if base.builds_up else "at once"
    asked = Asked(shape, float(base.treated_days), plan.expect, alpha_of(plan), power, spread, scale, level, library_at,
                  plan.earlier_tanks)
    layouts = alternatives_to(base, plan.expect)
    designs = []
    for place, (key, layout) in enumerate(layouts):
        if progress is not None:
            progress(place, len(layouts))
        designs.append(design_of(asked, chr(ord("A") + place), key, layout, prices))
    if progress is not None:
        progress(len(layouts), len(layouts))
    margin = None if choice.margin is None else choice.margin * (base.treated_days if base.builds_up else 1.0)
    return settled(Showing(
        choice.key, title, unit, scale_name, choice.summary, plan.expect, level, scale_name == "log" and reference is None, shape,
        asked.full_after_d, power, asked.alpha, spread, marked_best(designs), _looks(plan, base, asked), choice.margin,
        None if margin is None else _noticed(margin, asked), plan.earlier_tanks))


def _reference(scale: str, reference: float | None, measure: str) -> float | None:
    if reference is None:
        return {"logit": USUAL_REFERENCE_PCT, "log": 100.0}.get(scale)
    if scale == "logit" and not 0.2 <= reference <= 99.8:
        raise OutOfRangeError("the reference level", reference, f"0.2 to 99.8 % for {measure}")
    if not math.isfinite(reference) or (scale == "log" and reference <= 0):
        raise OutOfRangeError("the reference level", reference, f"a number{' above 0' if scale == 'log' else ''} for {measure}")
    return reference


def design_of(asked: Asked, letter: str, key: str, layout: Layout, prices: Prices | None = None) -> Design:
    """One layout, its smallest difference under the spread as it is thought, and under a smaller and a larger one."""
    found = smallest(layout, asked)
    low, high = (None if found.difference is None else smallest(layout, asked, factor).difference
                 for factor in (asked.spread.low_factor, asked.spread.high_factor))
    days = layout.end_day
    cost = None if prices is None else layout.tanks * prices.per_tank + days * prices.per_day
    sd = unit_sd(asked.spread.parts, weighing_of(layout))
    at, at_low, at_high = (None if size is None else _noticed(size, asked) for size in (found.difference, low, high))
    helped = None if found.way == "borrowed spread" else with_earlier(layout, asked)
    return Design(letter, key, layout, layout.tanks, days, cost, sd, found.difference, low, high, at, at_low, at_high, found.way,
                  found.reason, half_width=found.half_width, with_earlier=None if helped is None else _noticed(helped, asked))


def _noticed(size: float, asked: Asked) -> Noticed:
    """The effect in the natural unit, from the reference level; without one the difference itself."""
    if asked.reference is None:
        return Noticed(size, -size)
    z = asked.scale.forward(asked.reference)
    return Noticed(asked.scale.back(z + size), asked.scale.back(z - size))


def marked_best(designs: Sequence[Design]) -> tuple[Design, ...]:
    """The designs, those marked that no other beats: none is as cheap and finds less. Without prices, tanks times days are the cost."""
    compared = [one for one in designs if one.difference is not None and one.key != "drawn_start" and one.layout.kind != "drawn_start"]

    def beats(other: Design, one: Design) -> bool:
        there, here = (spent(other), other.difference or 0.0), (spent(one), one.difference or 0.0)
        return there[0] <= here[0] and there[1] <= here[1] and there != here

    return tuple(replace(one, best=one in compared and not any(beats(other, one) for other in compared)) for one in designs)


def spent(design: Design) -> float:
    """What a design takes: its cost, or tanks times days where there are no prices."""
    return design.cost if design.cost is not None else float(design.tanks * design.days)


def _looks(plan: Plan, base: Layout, asked: Asked) -> tuple[LookShown, ...]:
    """The smallest difference found at each planned look, by what is seen up to its day; looks before any treated day find none."""
    shown = []
    for day, alpha in zip(plan.looks.days, plan.looks.budget, strict=True) if plan.looks.days else ():
        size = None
        if day > base.first_day and base.kind in ("side_by_side", "run_in", "pairs"):
            size = smallest(replace(base, last_day=min(day, base.last_day)), replace(asked, alpha=alpha)).difference
        shown.append(LookShown(day, alpha, size, None if size is None else _noticed(size, asked)))
    return tuple(shown)
