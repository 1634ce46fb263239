"""What is asked of one measure, settled from the plan before any value is looked at."""

import math
from dataclasses import dataclass
from functools import cache

from fairtank import registry
from fairtank.errors import DesignError
from fairtank.inference.contrast import Contrasting, two_arms
from fairtank.inference.designs.allotment import check_allotment
from fairtank.inference.series.windows import Window, days_later
from fairtank.trial import MeasureChoice, Plan

WHOLE_ALPHA = 0.05
# On the log-odds and the log scale: e to the 3rd is twenty times the odds or the amount. A larger margin was meant in another unit.
LARGEST_RATIO_MARGIN = 3.0


@dataclass(frozen=True)
class Question:
    """One measure's question: scale name, margin on that scale (None: none frozen), the windows, the interval's level.

    run_in is None when the summary is the treated window's mean alone. alpha is the share of false alarms this reading may spend.
    sources are the keys of the analysis that asks. first_period is a swap's; treated is then its second period. contrast is what the design
    makes of the units' numbers.
    """

    plan: Plan
    choice: MeasureChoice
    title: str
    unit_of_measure: str
    scale: str
    margin: float | None
    treated: Window
    run_in: Window | None
    alpha: float
    sources: tuple[str, ...]
    first_period: Window | None = None
    contrast: Contrasting = two_arms

    @property
    def before(self) -> Window | None:
        """The window that the treated one is held against inside each unit: the run-in, or a swap's first period."""
        return self.first_period or self.run_in

    @property
    def whole(self) -> Window:
        """From the first day of the window that counts to its last: both periods of a swap, else the treated window."""
        return (self.first_period or self.treated)[0], self.treated[1]

    @property
    def span(self) -> float:
        """The days over which a slope builds up; 1 for every other summary."""
        return float(self.treated[1] - self.treated[0]) if self.choice.summary == "slope" else 1.0

    def windows_of(self, unit: str) -> tuple[Window | None, Window]:
        """The windows before and treated as this unit's own days: where rounds follow one another, a later round's lie later."""
        later = days_later(self.plan, unit)
        before = None if self.before is None else (self.before[0] + later, self.before[1] + later)
        return before, (self.treated[0] + later, self.treated[1] + later)

    @property
    def is_primary(self) -> bool:
        """Whether this is the trial's primary measure: only then can a margin be met or missed."""
        return self.choice.role == "primary"


@cache
def _own_measures() -> dict[str, registry.Entry]:
    """The measures that fairtank takes itself, by key; the one place in this room that looks them up."""
    return {entry.key: entry for entry in registry.entries("measure")}


def title_unit_scale(choice: MeasureChoice) -> tuple[str, str, str]:
    """What the plan says, else what the measure says of itself, else its key, no unit and the values as they are."""
    if choice.title and choice.unit_of_measure and choice.scale:
        return choice.title, choice.unit_of_measure, choice.scale
    own = _own_measures().get(choice.key)
    title, unit, scale = (own.title, own.unit, own.scale) if own else (choice.key, "", "identity")
    return choice.title or title, choice.unit_of_measure or unit, choice.scale or scale


def alpha_of(plan: Plan) -> float:
    """The share of false alarms that the reading may spend: 5 %, or with planned looks the last look's share of it."""
    looks = plan.looks
    if not looks.days:
        return WHOLE_ALPHA
    if len(looks.days) != len(looks.budget) or min(looks.budget) <= 0 or math.fsum(looks.budget) > WHOLE_ALPHA + 1e-9:
        raise DesignError("The planned looks need one share of the 5 % each, every share above 0 and all of them together at most 0.05. "
                          "Correct the budget in the plan.")
    return looks.budget[-1]


def check_arms(plan: Plan) -> None:
    """Refuse a plan that does not set one changed arm against one reference arm, or whose units have no arm yet."""
    if sorted(arm.role for arm in plan.arms) != ["changed", "reference"]:
        raise DesignError(f"The plan has {len(plan.arms)} arms; this version judges one reference arm against one changed arm. "
                          "Name one arm of each role, or judge two arms at a time.")
    check_allotment(plan)


def _check_ratio_margin(choice: MeasureChoice, scale: str) -> None:
    """Refuse a margin on the log-odds or log scale that no trial could mean: most likely it was thought of in per cent."""
    margin = choice.margin
    if margin is None or margin <= LARGEST_RATIO_MARGIN or scale not in ("logit", "log"):
        return
    if scale == "log":
        raise DesignError(f"The margin of {choice.key} is {margin:g}; on its scale that is a factor of {math.exp(min(margin, 700)):.3g}. "
                          f"Accepted: up to {LARGEST_RATIO_MARGIN:g}. Did you mean per cent? 0.5 is a factor of {math.exp(0.5):.2f}.")

    def from_ten(step: float) -> float:
        return 100.0 / (1.0 + 9.0 * math.exp(-step))

    raise DesignError(f"The margin of {choice.key} is {margin:g}; on its scale that is a step in log-odds, from 10 % to "
                      f"{from_ten(margin):.3g} %. Accepted: up to {LARGEST_RATIO_MARGIN:g}. Did you mean per cent? 0.5 takes 10 % to "
                      f"{from_ten(0.5):.3g} %.")


def settle_question(
    plan: Plan, choice: MeasureChoice, *, treated: Window, sources: tuple[str, ...], run_in: Window | None = None,
    first_period: Window | None = None, contrast: Contrasting = two_arms,
) -> Question:
    """The question that the plan puts to one measure, every default filled in.

    Parameters
    ----------
    plan : Plan
        One reference arm, one changed arm, every unit allotted.
    choice : MeasureChoice
        What the plan says about the measure.
    treated, run_in : (int, int)
        First and last day of the windows, inclusive; run_in None when the run-in does not enter the summary. [days]
    sources : tuple of str
        Keys of the analysis.
    first_period : (int, int), optional
        A swap's first period; treated is then the second. [days]
    contrast : function
        What the design makes of the units' numbers.

    Returns
    -------
    Question

    Raises
    ------
    DesignError
        If the arms, the looks or the margin cannot be used.

    References
    ----------
    matthews1990 (keys from sources.py).
    """
    check_arms(plan)
    if choice.margin is not None and not 0 < choice.margin < math.inf:
        raise DesignError(f"The margin of {choice.key} is {choice.margin}; accepted: a number above 0, the smallest difference that "
                          "matters. Leave it out if none was fixed.")
    title, unit, scale = title_unit_scale(choice)
    _check_ratio_margin(choice, scale)
    return Question(plan, choice, title, unit, scale, choice.margin, treated, run_in, alpha_of(plan), sources, first_period, contrast)
