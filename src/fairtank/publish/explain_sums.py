"""How the numbers of a sum are printed so that a reader can redo it: the same decimals throughout, on the scale of the finding."""

import math
from dataclasses import dataclass

from fairtank.finding import Finding
from fairtank.publish.numbers import MINUS, number, with_unit
from fairtank.publish.phrases import per_day, under
from fairtank.publish.printed import interval_of_ratio, levels_apart, natural_unit, ratio
from fairtank.publish.scales import scale_value

FIGURES = 3  # of the standard error
MOST_DECIMALS = 7
SCALES = {"logit": "log-odds", "log": "natural logarithms"}


@dataclass(frozen=True)
class Sums:
    """decimals: of every number on the scale. on_scale: the scale's name, empty for values as they are. unit: behind a difference."""

    decimals: int
    on_scale: str
    unit: str

    @classmethod
    def of(cls, finding: Finding) -> "Sums":
        """As many decimals as show three figures of the smallest number that is multiplied."""
        facts = dict(finding.facts)
        sizes = [facts.get("standard_error"), facts.get("half_width"), finding.tipping_spread, finding.estimate]
        size = next((abs(value) for value in sizes if value), 1.0)
        on_scale = SCALES.get(finding.scale, "")
        unit = f"{on_scale}{per_day(finding)}" if on_scale else f"{natural_unit(finding)}{per_day(finding)}".strip()
        return cls(min(max(FIGURES - 1 - math.floor(math.log10(size)), 0), MOST_DECIMALS), on_scale, unit)

    @property
    def scale_words(self) -> str:
        """On which scale the numbers are, as an addition to what they are."""
        return f", in {self.unit}" if self.unit else ""

    def z(self, value: float) -> str:
        """A number on the scale."""
        return number(value, self.decimals)

    def bracketed(self, value: float) -> str:
        """A number behind a sign: in brackets where it is below 0."""
        text = self.z(value)
        return f"({text})" if text.startswith(MINUS) else text

    def with_unit(self, value: float) -> str:
        """A number with the scale's name or the measure's unit."""
        return with_unit(self.z(value), "" if self.on_scale else self.unit)

    @staticmethod
    def multiplier(value: float) -> str:
        """A number of standard errors."""
        return number(value, 3)


def interval_sum(finding: Finding, sums: Sums) -> str:
    """Both ends of the interval as estimate less and plus the half-width."""
    estimate, low, high = finding.estimate or 0.0, finding.low or 0.0, finding.high or 0.0
    half = (high - low) / 2.0
    return (f"The interval runs from {sums.z(estimate)} − {sums.z(half)} = {sums.z(low)} to {sums.z(estimate)} + {sums.z(half)} = "
            f"{sums.with_unit(high)}.")


def brought_back(finding: Finding, sums: Sums) -> str:
    """From the scale to the unit in which people think; empty where the scale is that unit."""
    natural, low, high = finding.natural, finding.low, finding.high
    if finding.scale == "identity" or low is None or high is None:
        return ""
    if finding.scale == "logit" and finding.summary != "slope" and natural is not None and natural.low is not None \
            and natural.high is not None:
        reference, changed, bounds = levels_apart(finding, natural.reference, natural.changed, natural.low, natural.high)
        return (f"Counted from {with_unit(reference, natural.unit)} {under(finding.reference_label)} "
                f"({sums.z(scale_value(natural.reference, 'logit'))} log-odds) and brought back, that is "
                f"{with_unit(changed, natural.unit)} ({with_unit(bounds, natural.unit)}).")
    if finding.scale == "log" or finding.summary == "slope":
        return f"As a factor{per_day(finding)} that is e to these powers: {ratio(finding, '')} ({interval_of_ratio(finding)})."
    return ""
