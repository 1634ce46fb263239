"""Where tanks lie in the picture of the dots: one number for each in the measure's natural unit, and the finding's interval beside them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from fairtank.finding import Finding, UnitSummary
from fairtank.publish.arms import ArmLook
from fairtank.publish.scales import natural_value, scale_value
from fairtank.trial import Plan


@dataclass(frozen=True)
class Dot:
    """One tank on the axis: where it ended, where it started (for a change; for a threshold the last day below it), in the axis' unit.

    is_open: it has not reached its threshold; place is its last day then.
    """

    unit: str
    arm: str
    place: float
    start: float | None
    is_open: bool = False


def dots_of(finding: Finding, reference: str = "") -> tuple[Dot, ...]:
    """Where each usable tank lies in the measure's natural unit; tanks that were spoilt have no place.

    A change shows each tank's run-in beside its treated days. A slope or a threshold is shown as the tank's own number. A swap shows
    each tank under the reference beside the same tank under the change; reference is the key of the reference arm.
    """
    dots = []
    for summary in finding.units:
        ends = _ends(summary, finding, reference)
        if ends is not None:
            is_open = summary.reached is not None and summary.reached[1] is None
            dots.append(Dot(f"{summary.unit}, not yet" if is_open else summary.unit, summary.arm, *ends, is_open))
    return tuple(dots)


def _ends(summary: UnitSummary, finding: Finding, reference: str) -> tuple[float, float | None] | None:
    if summary.z is None:
        return None
    if finding.summary == "threshold":
        below, at = summary.reached or (None, None)
        return summary.z, None if at is None or below is None else float(below)
    if finding.summary == "slope":
        return summary.z, None
    if summary.treated_mean is None:
        return (natural_value(summary.z, finding.scale), None) if finding.summary == "mean" else None
    level = natural_value(summary.treated_mean, finding.scale)
    if finding.summary == "swap":
        # z is the first period less the second, the level that under the reference: the order says which end the change was at.
        turned = -summary.z if summary.arm == reference else summary.z
        return natural_value(summary.treated_mean + turned, finding.scale), level
    if finding.summary == "change" or finding.design == "drawn_start":
        return level, natural_value(summary.treated_mean - summary.z, finding.scale)
    return level, None


def partners_of(plan: Plan) -> dict[str, str]:
    """Which unit stands beside which in a trial of pairs, the reference's partner by the changed unit's key; empty for other designs.

    >>> from datetime import date
    >>> from fairtank.trial import Arm, Plan, Unit
    >>> units = (Unit("T1", "R", pair="P1"), Unit("T2", "C", pair="P1"))
    >>> partners_of(Plan("t", date(2026, 3, 1), 9, "pairs", (Arm("R", "reference"), Arm("C", "changed")), units, ()))
    {'T2': 'T1'}
    """
    if plan.kind != "pairs":
        return {}
    firsts = {unit.pair: unit.key for unit in plan.units if plan.arm_of(unit.key).role == "reference"}
    return {unit.key: firsts[unit.pair] for unit in plan.units if unit.pair in firsts and unit.key != firsts[unit.pair]}


@dataclass(frozen=True)
class Judged:
    """The finding's interval on the axis: the reference's place, the changed arm's place and interval, the band that does not matter."""

    reference: float
    changed: float
    low: float
    high: float
    band: tuple[float, float] | None


def dots_in_order(drawn: Sequence[Dot], arm: str, partners: Mapping[str, str], placed: Sequence[str]) -> list[Dot]:
    """An arm's dots in the order of their rows: from low to high, after the order of those partners that have their place already.

    So the lines that join the two of each pair do not cross.
    """
    def place(dot: Dot) -> int:
        return placed.index(partners[dot.unit]) if partners.get(dot.unit) in placed else len(placed)

    return sorted((dot for dot in drawn if dot.arm == arm), key=lambda dot: (place(dot), dot.place, dot.unit))


def reference_of(finding: Finding, looks: dict[str, ArmLook]) -> str:
    """The key of the arm with which a finding compares; the plan's first where it names none."""
    return finding.reference_arm if finding.reference_arm in looks else next(iter(looks))


def judged_on_axis(finding: Finding, reference_key: str) -> Judged | None:
    """A finding's interval as it stands on the axis; None where there is none to draw."""
    if finding.low is None or finding.high is None or finding.estimate is None or finding.summary == "threshold":
        return None
    if finding.summary == "slope":
        own = [summary.z for summary in finding.units if summary.z is not None and summary.arm == reference_key]
        if not own:
            return None
        reference = sum(own) / len(own)
        band = None if finding.margin is None else (reference - finding.margin, reference + finding.margin)
        return Judged(reference, reference + finding.estimate, reference + finding.low, reference + finding.high, band)
    natural = finding.natural
    if natural is None or natural.low is None or natural.high is None:
        return None
    band = None
    if finding.margin is not None:
        centre = scale_value(natural.reference, finding.scale)
        band = natural_value(centre - finding.margin, finding.scale), natural_value(centre + finding.margin, finding.scale)
    return Judged(natural.reference, natural.changed, natural.low, natural.high, band)


def axis_unit(finding: Finding) -> str:
    """The unit of the axis on which a finding's tanks are drawn."""
    if finding.summary == "threshold":
        return "days"
    unit = finding.natural.unit if finding.natural is not None else finding.unit_of_measure
    if finding.summary != "slope":
        return unit
    return {"logit": "log-odds per day", "log": "natural logarithm per day"}.get(finding.scale, f"{unit} per day".strip())
