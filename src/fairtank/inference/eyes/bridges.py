"""What chance in the answers does to the difference of two arms beyond what the scatter inside the arms shows, and the interval with it."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from fairtank.finding import Eyes, Finding
from fairtank.inference.eyes.preferences import Choice, Numbers, strengths_from_wins, wins_of
from fairtank.inference.grades import claim_of
from fairtank.inference.intervals.student import quantile, upper_tail
from fairtank.inference.intervals.welch import Interval
from fairtank.trial import Plan

# How much more the choices may blur the difference of two arms than it blurs two tanks of one arm, as a ratio of variances. Convention, no
# source: at 1.25 an interval made from the scatter inside the arms would be about a tenth too narrow (square root of 1.25 is 1.12).
MOST_BRIDGED = 1.25
FARTHEST = math.log(999.0)  # log odds: where an arm was picked always, the far end is put at 999 of 1000 choices
MATERIAL = 1.005  # a smaller widening is not worth a word
ALWAYS_CAUTION = ("Every choice between the arms went the same way, so that the far end of the interval cannot be known: it was put at "
                  "999 of "
                  "1000 choices.")
WIDER_CAUTION = ("Choices between the arms mostly went the same way, so that the distance of the arms is known less well than that of two "
                 "tanks of one arm; the interval was widened for it.")


def _parts(plan: Plan, units: Sequence[str], spread: Numbers) -> tuple[float, float]:
    """(1) c'Vc, c the weights of the difference of two arms' means, and (2) what of it the scatter inside the arms shows."""
    arms = [[index for index, unit in enumerate(units) if plan.arm_of(unit).key == arm.key] for arm in plan.arms]
    weights = np.zeros(len(units))
    for group, sign in zip(arms, (1.0, -1.0), strict=True):
        weights[group] = sign / max(len(group), 1)
    inside = math.fsum(_own_blur(spread, group) / len(group) for group in arms if len(group) > 1)
    return float(weights @ spread @ weights), inside


def _own_blur(spread: Numbers, group: Sequence[int]) -> float:
    """What choices add to the variance between the units of one arm, as their scatter shows it."""
    block, size = spread[np.ix_(group, group)], len(group)
    return float((np.trace(block) - (block.sum() - np.trace(block)) / (size - 1)) / size)


def _wins(choices: Sequence[Choice]) -> tuple[list[str], Numbers]:
    units = sorted({unit for choice in choices for unit in (choice.unit_a, choice.unit_b)})
    return units, wins_of(choices, units)


def bridging(plan: Plan, choices: Sequence[Choice]) -> float:
    """How much more the choices blur the difference of the arms than the scatter inside the arms can show, whatever was answered.

    (3) ratio = (1) / (2) with the covariance V of the strengths if all units were alike and every choice made by another person. It is 1
    where every unit was compared with every other equally often, and grows where few choices cross from arm to arm: such a bridge moves
    a whole arm at once.

    Parameters
    ----------
    plan : Plan
        Of two arms.
    choices : sequence of Choice
        Counted ones, connected.

    Returns
    -------
    float
        1 for balanced choices, below it where most of them cross.

    References
    ----------
    bradley1952 (keys from sources.py).
    """
    units, wins = _wins(choices)
    met, size = (wins + wins.T) / 4.0, len(units)  # 1/4: what one choice between two alike units tells
    spread: Numbers = np.asarray(np.linalg.inv(np.diag(met.sum(axis=1)) - met + 1.0 / size) - 1.0 / size, dtype=np.float64)
    between, inside = _parts(plan, units, spread)
    return between / inside if inside > 0 else 1.0


def unseen_variance(plan: Plan, choices: Sequence[Choice]) -> float:
    """The variance that chance in these answers adds to the difference of the arms and that the scatter inside the arms does not show.

    (4) max(0, (1) - (2)) with the covariance of the fitted strengths: near 0 for arms alike, large where one arm is nearly always picked.
    References: bradley1952 (keys from sources.py).
    """
    units, wins = _wins(choices)
    between, inside = _parts(plan, units, np.array(strengths_from_wins(units, wins.tolist()).covariance))
    return max(0.0, between - inside)


def is_one_sided(plan: Plan, choices: Sequence[Choice]) -> bool:
    """Whether every choice between the two arms went to the same arm."""
    won = dict.fromkeys((arm.key for arm in plan.arms), 0.0)
    for choice in choices:
        one, other = plan.arm_of(choice.unit_a).key, plan.arm_of(choice.unit_b).key
        if one != other:
            share = {"a": 1.0, "b": 0.0}.get(choice.more, 0.5)
            won[one] += share
            won[other] += 1.0 - share
    return min(won.values()) == 0.0


def widened(finding: Finding, eyes: Eyes) -> Finding:
    """The finding with the interval that also holds what chance in the answers adds to the difference of the arms, graded anew.

    (5) half width = t sqrt(SE² + unseen variance). Where every choice between the arms went the same way the far end is put at 999 of
    1000 choices: it is not known.

    Parameters
    ----------
    finding : Finding
        By Welch's interval over strengths.
    eyes : Eyes
        Holds the unseen variance.

    Returns
    -------
    Finding

    References
    ----------
    bradley1952, welch1947 (keys from sources.py).
    """
    estimate, low, high, df = finding.estimate, finding.low, finding.high, finding.df
    if estimate is None or low is None or high is None or df is None:
        return finding
    reach = quantile((1.0 - finding.level) / 2.0, df)
    error = (high - low) / (2.0 * reach)
    wider = math.sqrt(error**2 + eyes.unseen_variance)
    if wider < MATERIAL * error and not eyes.one_sided:
        return finding
    low, high = estimate - reach * wider, estimate + reach * wider
    if eyes.one_sided:
        low, high = (low, max(high, FARTHEST)) if estimate > 0 else (min(low, -FARTHEST), high)
    grade = finding.grade
    if grade in ("matters", "alike", "differs"):
        grade = claim_of(Interval(estimate, low, high), finding.margin if finding.role == "primary" else None)
    natural = finding.natural and replace(finding.natural, low=finding.natural.reference + low, high=finding.natural.reference + high)
    # Without the means: the working that is told from them would end in another interval.
    facts = tuple((name, value) for name, value in finding.facts if not name.startswith("mean_"))
    p_value = 2.0 * upper_tail(abs(estimate) / wider, df)
    return replace(finding, low=low, high=high, p_value=p_value, grade=grade, natural=natural, facts=facts, alternatives=(),
                   tags=tuple(tag for tag in finding.tags if tag != "fragile"),
                   cautions=(*finding.cautions, ALWAYS_CAUTION if eyes.one_sided else WIDER_CAUTION))
