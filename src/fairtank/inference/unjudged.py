"""The finding of a measure that could not be judged: it says why, and makes no claim."""

from fairtank.finding import Finding
from fairtank.inference.question import alpha_of, title_unit_scale
from fairtank.inference.rounding import settled
from fairtank.inference.series.tanks import unit_word
from fairtank.trial import MeasureChoice, Plan


def unjudged(plan: Plan, choice: MeasureChoice, reason: str) -> Finding:
    """A spoilt finding without any number; whoever counts it in a family takes its p as 1.

    Parameters
    ----------
    plan : Plan
        A plan whose arms and looks can be used.
    choice : MeasureChoice
        The measure.
    reason : str
        Why it was not judged, as whole sentences.

    Returns
    -------
    Finding
        Its grade is spoilt and it has no units; its window is the plan's, whether it could be used or not.

    References
    ----------
    common_practice (keys from sources.py).
    """
    title, unit, scale = title_unit_scale(choice)
    return settled(Finding(
        measure=choice.key, title=title, role=choice.role, summary=choice.summary, scale=scale, window=choice.window or (0, plan.days),
        estimate=None, low=None, high=None, level=1 - alpha_of(plan), df=None, p_value=None, shuffle_p=None, arrangements=0,
        grade="spoilt", tags=(), basis="none", margin=choice.margin, n_reference=0, n_changed=0, tipping_spread=None, units=(),
        natural=None, cautions=(), reference_label=plan.arm_with("reference").label, changed_label=plan.arm_with("changed").label,
        spoilt_reason=reason.rstrip("."), unit_of_measure=unit, unit_word=unit_word(plan),
    ))
