"""A claim on trial before the trial: what is said to change, what moves the same number anyway, and whether a meter could tell.

The rule: a change shows when its lowest value is larger than what two single readings differ by through their own error, and is not
small against what the tank does by itself. Nothing here says whether a claim is true; it says whether it can be measured.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Self

from fairtank.registry import Output

KINDS = ("oxygen", "carbon dioxide", "nutrient", "light")
MEASURABLE, PERHAPS, NOT_MEASURABLE = "measurable", "perhaps measurable", "not measurable"
VERDICTS = (MEASURABLE, PERHAPS, NOT_MEASURABLE)
# Where a number comes from, in words for readers; the last two are not known from this tank.
MARKS = ("given by you", "common practice, no source", "literature value, from memory", "an assumption, no source")
GIVEN, PRACTICE, RECALLED, ASSUMED = MARKS

# A step of the working that the sentences single out.
LIVELIER = "what livelier plants may take up more in a week"

# Two single readings of the same water differ by more than 1.96 x sqrt(2) = 2.8 standard deviations once in 20 times. Of two waters the
# difference has the variance of both readings together: a rise shows from 2.8 x sqrt((sd1^2 + sd2^2) / 2).
SEEN_FROM = 2.8
# A change counts as small below half of what the tank may do by itself: the plants of two tanks planted alike can easily come to
# differ by half in what they take and give, and then make or hide a change of that size. A rule of this check, no source.
SMALL_SHARE = 0.5


@dataclass(frozen=True)
class Span:
    """A range of one quantity: label, low, high and unit; low equals high for a single number."""

    label: str
    low: float
    high: float
    unit: str

    @classmethod
    def of(cls, label: str, value: float, unit: str) -> Self:
        """A single number."""
        return cls(label, value, value, unit)


@dataclass(frozen=True)
class Meanwhile:
    """What moves the same number without the claim: label, low, high and unit. decides: the one the verdict is held against."""

    label: str
    low: float
    high: float
    unit: str
    decides: bool = False


@dataclass(frozen=True)
class Fact:
    """One thing the check rests on: key, label, the number or range with its unit (or a word in its place), and one of MARKS."""

    key: str
    label: str
    low: float
    high: float
    unit: str
    mark: str
    word: str = ""

    @classmethod
    def of(cls, key: str, label: str, value: float, unit: str, mark: str, word: str = "") -> Self:
        """A single number."""
        return cls(key, label, value, value, unit, mark, word)


@dataclass(frozen=True)
class Step:
    """One step of the working: what it gives, the formula in words, and the number or range with its unit."""

    label: str
    formula: str
    low: float
    high: float
    unit: str

    @classmethod
    def of(cls, label: str, formula: str, value: float, unit: str) -> Self:
        """A single number."""
        return cls(label, formula, value, value, unit)


@dataclass(frozen=True)
class Claim:
    """A claim and whether its effect can be measured in this tank.

    kind: one of KINDS. quantity: what is measured, such as `nitrate`. unit: its unit. low, high: the claimed effect. meanwhile: what
    moves the same number anyway. meter_error: standard deviation of one reading, that of the two waters without and with the effect
    taken together. smallest_seen: the smallest change that two single readings can tell; None where no change could be. share_low,
    share_high: the effect as a share of the most that the tank may do by itself; None where it does nothing. times: how long it takes.
    verdict: one of VERDICTS. needs: what would make it measurable. assumptions: what the check rests on. steps: the working. remarks:
    keys of further sentences. cautions: keys of `science.cautions`.
    """

    kind: str
    quantity: str
    unit: str
    low: float
    high: float
    meanwhile: tuple[Meanwhile, ...]
    meter_error: float
    smallest_seen: float | None
    share_low: float | None
    share_high: float | None
    times: tuple[Span, ...]
    verdict: str
    needs: tuple[Span, ...]
    assumptions: tuple[Fact, ...]
    steps: tuple[Step, ...]
    remarks: tuple[str, ...]
    cautions: tuple[str, ...]

    @property
    def rival(self) -> Meanwhile:
        """What the verdict is held against."""
        return next(one for one in self.meanwhile if one.decides)

    def fact(self, key: str) -> Fact:
        """The fact of that key."""
        return next(fact for fact in self.assumptions if fact.key == key)

    def step(self, label: str) -> Step:
        """The step of that label."""
        return next(step for step in self.steps if step.label == label)

    def need(self, label: str) -> Span:
        """The need of that label."""
        return next(need for need in self.needs if need.label == label)


CLAIM_OUTPUTS = (
    Output("kind", "kind of claim"),
    Output("quantity", "what is measured"),
    Output("unit", "its unit"),
    Output("low", "claimed effect, lowest"),
    Output("high", "claimed effect, highest"),
    Output("meanwhile", "what moves the same number anyway"),
    Output("meter_error", "standard deviation of one reading"),
    Output("smallest_seen", "smallest change that two readings can tell"),
    Output("share_low", "effect as a share of what the tank may do by itself, lowest"),
    Output("share_high", "effect as a share of what the tank may do by itself, highest"),
    Output("times", "how long it takes"),
    Output("verdict", "whether it can be measured"),
    Output("needs", "what would make it measurable"),
    Output("assumptions", "what this rests on"),
    Output("steps", "the working"),
    Output("remarks", "remarks"),
    Output("cautions", "cautions"),
)


@dataclass(frozen=True)
class Meter:
    """What reads the number: the level without the claim, and the standard deviation of a reading.

    own: its fixed part, in the unit of the level. relative: the part that grows with the level, as a share of it.
    """

    level: float
    own: float
    relative: float

    def error_at(self, value: float) -> float:
        """Standard deviation of one reading of that value."""
        return math.hypot(self.own, self.relative * value)

    def error_with(self, effect: float) -> float:
        """Standard deviation of a reading where one is taken at the level and one with the effect on top: the mean of their squares."""
        return math.hypot(self.own, self.relative * math.hypot(self.level, self.level + effect) / math.sqrt(2.0))

    @property
    def smallest_seen(self) -> float | None:
        """The smallest rise that two single readings can tell; None where the relative error is so large that none can.

        A rise e shows where e² = q (sd² at the level + sd² at the level + e), with q = 2.8² / 2 and sd² = own² + (relative × reading)².
        That is e² (1 − q r²) − 2 q r² level e − 2 q (own² + r² level²) = 0, of which the positive root counts.
        """
        q = SEEN_FROM**2 / 2.0
        a = 1.0 - q * self.relative**2
        if a <= 0:
            return None
        b = q * self.relative**2 * self.level
        c = 2.0 * q * self.error_at(self.level) ** 2
        return (b + math.sqrt(b * b + a * c)) / a


@dataclass(frozen=True)
class Case:
    """Effect and tank under the same conditions, such as one end of the gas exchange: the effect, and the most the tank does by itself."""

    low: float
    high: float
    tank: float

    @property
    def shares(self) -> tuple[float, float] | None:
        """The effect as a share of what the tank may do; None where the tank does nothing."""
        return (self.low / self.tank, self.high / self.tank) if self.tank > 0 else None


def verdict_of(low: float, high: float, seen_from: float | None, share_low: float | None, share_high: float | None) -> str:
    """One of VERDICTS, by the rule at the head of this file; `perhaps` where it hangs on the assumptions.

    >>> verdict_of(0.6, 0.9, 0.56, 0.5, 0.8), verdict_of(0.3, 0.9, 0.56, 0.5, 0.8), verdict_of(0.3, 0.5, 0.56, None, None)
    ('measurable', 'perhaps measurable', 'not measurable')
    """
    if seen_from is None or high <= seen_from or (share_high is not None and share_high < SMALL_SHARE):
        return NOT_MEASURABLE
    if low > seen_from and (share_low is None or share_low >= SMALL_SHARE):
        return MEASURABLE
    return PERHAPS


def judged(
    kind: str, quantity: str, unit: str, *, cases: Sequence[Case], meter: Meter, meanwhile: tuple[Meanwhile, ...],
    needs: tuple[Span, ...], assumptions: tuple[Fact, ...], steps: tuple[Step, ...], times: tuple[Span, ...] = (),
    remarks: tuple[str, ...] = (), cautions: tuple[str, ...] = (),
) -> Claim:
    """A claim with its verdict: the effect over all cases held against the meter and, case by case, against the tank."""
    low, high, seen = min(case.low for case in cases), max(case.high for case in cases), meter.smallest_seen
    known = [case.shares for case in cases if case.shares is not None]
    share_low = min((least for least, _ in known), default=None)
    share_high = max((most for _, most in known), default=None)
    if seen is not None:
        spread = "√(mean of the squared standard deviations of both readings)" if meter.relative else "standard deviation of a reading"
        steps += (Step.of("smallest change that can be seen", f"2.8 × {spread}", seen, unit),)
    if share_low is not None and share_high is not None:
        steps += (Step("effect beside what the tank does", "effect / most that the tank does by itself", share_low, share_high, ""),)
    return Claim(kind, quantity, unit, low, high, meanwhile, meter.error_with((low + high) / 2), seen, share_low, share_high, times,
                 verdict_of(low, high, seen, share_low, share_high), needs, assumptions, steps, remarks, cautions)
