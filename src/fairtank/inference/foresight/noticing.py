"""The smallest effect that one layout finds: by formula where one is exact, from earlier trials' spread, or by simulation."""

import math
from collections.abc import Callable
from dataclasses import dataclass, field

from fairtank.inference.designs.doses import FEWEST_DOSES
from fairtank.inference.designs.ladder import FEWEST_UNITS
from fairtank.inference.earlier.borrowing import BORROWING_DESIGNS
from fairtank.inference.earlier.like_tanks import Library
from fairtank.inference.foresight.borrowed_power import borrowed_power, supposed_power
from fairtank.inference.foresight.drawn_start_power import drawn_start_difference
from fairtank.inference.foresight.layouts import Layout, weighing_of
from fairtank.inference.foresight.like_spread import LikeSpread, pooled_sd
from fairtank.inference.foresight.many_arms_power import ladder_difference, several_arms_difference, two_changes_difference
from fairtank.inference.foresight.smallest import arms_difference, pairs_difference, rounds_difference
from fairtank.inference.foresight.spread_parts import effect_share, unit_sd
from fairtank.inference.series.scales import Scale

FEWEST_PAIRS, FEWEST_ROUNDS = 3, 4
BORROWING_SIZES = (1, 2)  # tanks in the smaller arm; from three on the trial's own tanks judge
_BLURRED = "a change that builds up blurs its own start, and would be missed too often however large"


@dataclass(frozen=True)
class Asked:
    """What all designs of one showing share.

    shape, full_after_d: see `effect_share`; expect: which way the effect is expected; alpha, power: of the reading. spread: of like tanks.
    scale, reference: for the natural unit. library_of: the earlier trials of a layout's kind; may_borrow: whether the plan lets them help.
    """

    shape: str
    full_after_d: float
    expect: str
    alpha: float
    power: float
    spread: LikeSpread
    scale: Scale
    reference: float | None
    library_of: Callable[[Layout], Library] = field(repr=False)
    may_borrow: bool


@dataclass(frozen=True)
class Found:
    """The smallest effect that a layout finds, None where it finds none; how that was worked out, and why there is none.

    half_width: how far a borrowed interval reaches to either side on average, else None. [summary scale]
    """

    difference: float | None
    way: str
    reason: str = ""
    half_width: float | None = None


def smallest(layout: Layout, asked: Asked, factor: float = 1.0) -> Found:
    """The smallest effect that a layout finds if like tanks differ so many times as much as thought."""
    if layout.kind == "drawn_start":  # it grows in step with the spread, like all the others
        size = drawn_start_difference(layout, asked.spread.parts, expect=asked.expect, full_after_d=asked.full_after_d,
                                      power=asked.power, alpha=asked.alpha)
        return Found(None, "none", _BLURRED) if size is None else Found(factor * size, "simulation")
    weighing = weighing_of(layout)
    sd, share = factor * unit_sd(asked.spread.parts, weighing), effect_share(weighing, asked.shape, asked.full_after_d)
    if _could_borrow(layout, asked):
        library = asked.library_of(layout)
        if library.is_qualified:
            return _borrowed(layout, asked, library, sd, factor, share)
    reason = _too_few(layout)
    if reason:
        return Found(None, "none", reason)
    if layout.arms:
        return Found(sd * _of_many_arms(layout, asked) / share, "simulation")
    return Found(_by_formula(layout, asked, sd) / share, "formula")


def _could_borrow(layout: Layout, asked: Asked) -> bool:
    """Whether earlier trials may speak for the layout's tanks, if there are enough of them."""
    return asked.may_borrow and not layout.arms and layout.smaller_arm in BORROWING_SIZES and layout.kind in BORROWING_DESIGNS


def _too_few(layout: Layout) -> str:
    """Why the layout's own tanks cannot tell how far like ones differ, as the end of a sentence; empty where they can."""
    if layout.kind == "pairs" and layout.n_changed < FEWEST_PAIRS:
        return f"fewer than {FEWEST_PAIRS} pairs cannot tell how far like pairs differ"
    if layout.kind == "rounds" and layout.rounds < FEWEST_ROUNDS:
        return f"fewer than {FEWEST_ROUNDS} rounds cannot tell how far like rounds differ"
    if layout.kind == "ladder" and (layout.tanks < FEWEST_UNITS or len(layout.arms) < FEWEST_DOSES):
        return f"a ladder needs at least {FEWEST_UNITS} tanks on {FEWEST_DOSES} doses"
    if layout.kind != "ladder" and layout.arms and layout.smaller_arm < 2 and not layout.blocks:
        return "one tank in an arm cannot tell how far like tanks differ"
    if layout.kind in BORROWING_DESIGNS and not layout.arms and layout.smaller_arm < 2:
        return "one tank in an arm cannot tell how far like tanks differ"
    return ""


def _by_formula(layout: Layout, asked: Asked, sd: float) -> float:
    """The smallest difference of the summary, where a formula is exact."""
    at = {"power": asked.power, "alpha": asked.alpha}
    if layout.kind == "pairs":
        return pairs_difference(sd * math.sqrt(2.0), layout.n_changed, **at)
    if layout.kind == "rounds":
        return rounds_difference(sd * math.sqrt(2.0), layout.rounds, **at)
    return arms_difference(sd, layout.n_reference, layout.n_changed, **at)


def _of_many_arms(layout: Layout, asked: Asked) -> float:
    """The same with more than two arms, for units that differ by 1."""
    at = {"power": asked.power, "alpha": asked.alpha}
    if layout.kind == "ladder":
        return ladder_difference(layout.arms, layout.doses, **at)
    if layout.kind == "two_changes":
        return two_changes_difference(layout.arms, blocks=layout.blocks, **at)
    return several_arms_difference(layout.arms, all_pairs=layout.all_pairs, **at)


def _borrowed(layout: Layout, asked: Asked, library: Library, sd: float, factor: float, share: float) -> Found:
    """The same with the help of earlier trials, by the mixture that will judge the trial."""
    halved = layout.kind == "swap"
    whole = sd * (2.0 if halved else 1.0) if asked.spread.origin == "stated" else factor * pooled_sd(library)
    found = borrowed_power([entry.variance for entry in library.groups], [entry.df for entry in library.groups], whole,
                           layout.n_reference, layout.n_changed, power=asked.power, alpha=asked.alpha, halved=halved)
    if found.difference is None:
        return Found(None, "none", f"in {100 * found.withdrawn:.0f} of 100 such trials its tanks would scatter too much for the earlier "
                     "ones to be trusted")
    return Found(found.difference / share, "borrowed spread", half_width=found.half_width / share)


def with_earlier(layout: Layout, asked: Asked) -> float | None:
    """The smallest effect that would be found if five earlier trials stood in spread.csv; None where they could not help or are there."""
    if not _could_borrow(layout, asked) or asked.library_of(layout).is_qualified:
        return None
    halved, weighing = layout.kind == "swap", weighing_of(layout)
    size = supposed_power(layout.n_reference, layout.n_changed, power=asked.power, alpha=asked.alpha, halved=halved).difference
    if size is None:
        return None
    sd, share = unit_sd(asked.spread.parts, weighing), effect_share(weighing, asked.shape, asked.full_after_d)
    return size * sd * (2.0 if halved else 1.0) / share
