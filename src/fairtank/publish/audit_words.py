"""An audit of the map in words: how far map and eye agree, how far the map is off in each arm, and whether that could make up a finding."""

from collections.abc import Mapping
from dataclasses import dataclass

from fairtank.finding import Finding
from fairtank.publish.numbers import decimals_for, end, in_a_row, number, shown
from fairtank.publish.phrases import so_many
from fairtank.vision.audit import FEWEST_POINTS_PER_ARM, HALF_WIDTH, ArmAudit, AuditResult, BiasDifference, bias_difference

NOT_CHECKED = ("Nobody has checked the map of plants and algae on these photos by eye, so how far it is off in each arm is not known "
               "(to check it: fairtank audit).")  # fmt: skip
_READS = {"plant_cover": "plants", "algae_cover": "algae", "plant_area": "plants", "algae_area": "algae"}
_MANY_POINTS = 1000  # further ones that nobody will answer while a better map needs fewer
_UNITS = {"%": "percentage points", "cm²": "cm²"}


@dataclass(frozen=True)
class Amounts:
    """In which unit errors of a measure are told: % (then as percentage points) or cm², and how much of it one whole frame is."""

    unit: str
    whole: float


def audit_sentences(result: AuditResult, labels: Mapping[str, str]) -> list[str]:
    """What an audit says about one cover, for the keeper who made it.

    Parameters
    ----------
    result : AuditResult
        Of a cover, not of an area: errors are told in percentage points.
    labels : mapping
        Names of the arms by key.

    Returns
    -------
    list of str
        Whole sentences.

    References
    ----------
    common_practice (keys from sources.py).
    """
    amounts = Amounts("%", 100.0)
    told = [f"{_READS[result.measure][:1].upper()}{_READS[result.measure][1:]}: {_agreed(result, 'your eye')}"]
    told += [_few_words(arm, count, labels) for arm, count in result.few]
    if result.arms:
        told.append(_biases(result, [(arm, f"in {_arm(arm.arm, labels)}") for arm in result.arms], amounts))
    pairs = _pairs(result)
    for changed, reference in pairs:
        told.append(_difference_words(bias_difference(changed, reference), changed, reference, labels, amounts) + ".")
        told += _unsure_words(bias_difference(changed, reference), changed.unsure + reference.unsure, amounts)
    return told


def shared_sentences(result: AuditResult) -> list[str]:
    """What holds for the audit as a whole: answers that could not be used, and how far people agree."""
    told = []
    if result.unsure and not _pairs(result):
        told.append(f"At {so_many(result.unsure, 'point')} nobody could tell what is there; {_those(result.unsure)} left out.")
    if result.set_aside:
        told.append(f"{so_many(result.set_aside, 'answer')} could not be used: the photo has no map now, its day does not count, or the "
                    "point lies outside what is counted.")
    if result.agreement:
        one = result.agreement
        alpha = f" (Krippendorff's alpha {number(one.alpha, 2)})" if one.alpha is not None else ""
        told.append(f"{so_many(one.points, 'point')} {'was' if one.points == 1 else 'were'} seen by more than one person, who gave the "
                    f"same answer in {number(100 * one.same, 0)} % of the pairs{alpha}. Where they differ, each answer counts in part.")
    elif result.raters == 1:
        told.append("All answers come from one person: a second one who answers the same points shows how far eyes differ.")
    return told


def needed_words(results: Mapping[str, AuditResult]) -> str:
    """How many more points would make every error known to 2 percentage points; empty where that is not known yet."""
    arms = [(arm.needed - arm.points) for result in results.values() for arm in result.arms]
    if not arms or any(result.few for result in results.values()):
        return ""
    more, goal = max(arms), f"±{number(100 * HALF_WIDTH, 0)} percentage points"
    count = max(len(result.asked) for result in results.values())
    if more <= 0:
        return f"The errors of all arms are known to {goal} or better."
    if more * count > _MANY_POINTS:
        return (f"To know each arm's error to {goal}, more than {_MANY_POINTS} further points would be needed: paint more strokes first "
                "(fairtank strokes FOLDER), so that map and eye differ less often. The answers stay; take them again afterwards.")
    return f"To know each arm's error to {goal}, about {more * count} more points are needed: fairtank audit FOLDER --points {more * count}"


def caution_words(finding: Finding, result: AuditResult, amounts: Amounts) -> str:
    """The audit beside a finding: the map's error in each of its two arms, their difference, and whether it could make up the finding.

    A finding on a logit or log scale is compared in the measure's own unit, by its `natural` amounts.

    Parameters
    ----------
    finding : Finding
    result : AuditResult
        Of the same measure.
    amounts : Amounts
        Unit in which the errors are told.

    Returns
    -------
    str
        One to five whole sentences.

    References
    ----------
    common_practice (keys from sources.py).
    """
    said = [_agreed(result, "an eye that did not know the arms")]
    labels = {finding.reference_arm: finding.reference_label, finding.changed_arm: finding.changed_label}
    reference, changed = result.arm(finding.reference_arm), result.arm(finding.changed_arm)
    if reference is None or changed is None:
        lacking = [(arm, count) for arm, count in result.few if arm in labels] or list(result.few)
        return " ".join([*said, *(_few_words(arm, count, labels) for arm, count in lacking)])
    said.append(_biases(result, [(arm, f"in {_arm(arm.arm, labels)}") for arm in (reference, changed)], amounts))
    difference = bias_difference(changed, reference)
    seen = _seen(finding, amounts)
    beside = "" if seen is None else f", {_beside(seen, amounts)}"
    said.append(f"{_difference_words(difference, changed, reference, labels, amounts)}{beside}.")
    if seen is not None:
        said += _warning(seen / amounts.whole, difference)
    said += _unsure_words(difference, changed.unsure + reference.unsure, amounts)
    return " ".join(said)


def _seen(finding: Finding, amounts: Amounts) -> float | None:
    """The difference of the finding in the unit of the audit; None where it is told in another one."""
    natural = finding.natural
    if natural is None or natural.unit.replace("cm2", "cm²") != amounts.unit or not amounts.whole:
        return None
    return natural.changed - natural.reference


def _beside(seen: float, amounts: Amounts) -> str:
    decimals = max(min(decimals_for(abs(seen)), 2), 0)
    return f"beside {number(seen, decimals)} {_UNITS[amounts.unit]} between the arms themselves"


def _warning(seen: float, difference: BiasDifference) -> list[str]:
    """Whether the map's errors could make up the whole difference that was found, in the shares of the audit."""
    if seen == 0:
        return []
    along, farthest = (difference.value, difference.high) if seen > 0 else (-difference.value, -difference.low)
    if along >= abs(seen):
        return ["Errors of the map like these would make up the whole difference between the arms."]
    if farthest >= abs(seen):
        return ["As far as these points can tell, errors of the map could make up the whole difference between the arms; more points tell "
                "more."]
    return ["Errors of the map are too small to make up the difference between the arms."]


def _agreed(result: AuditResult, whose: str) -> str:
    if not result.arms:
        return f"{so_many(result.points, 'random point')} {'was' if result.points == 1 else 'were'} looked at."
    points = sum(arm.points for arm in result.arms)
    share = sum(arm.agreed * arm.points for arm in result.arms) / points
    return f"At {points} random points {whose} and the map agreed on {_READS[result.measure]} in {_percent(share)} of them."


def _percent(share: float) -> str:
    """A share of agreement: never 100 % where a point differs.

    >>> _percent(0.998), _percent(1.0), _percent(0.934)
    ('99.8\\xa0%', '100\\xa0%', '93\\xa0%')
    """
    decimals = 0 if share in (0, 1) or 0.01 <= share < 0.99 else 1
    return f"{number(100 * share, decimals)}\N{NO-BREAK SPACE}%"


def _biases(result: AuditResult, arms: list[tuple[ArmAudit, str]], amounts: Amounts) -> str:
    told = []
    for place, (arm, where) in enumerate(arms):
        decimals = _decimals(arm.bias_low, arm.bias_high, amounts)
        amount = number(abs(arm.bias) * amounts.whole, decimals)
        off = "off" if not amount.strip("0.") else "too high" if arm.bias > 0 else "too low"
        told.append(f"{amount} {_UNITS[amounts.unit] + ' ' if place == 0 else ''}{off} {where} "
                    f"({_span(arm.bias_low, arm.bias_high, decimals, amounts)})")
    return f"The map reads {_READS[result.measure]} {in_a_row(told)}."


def _difference_words(difference: BiasDifference, changed: ArmAudit, reference: ArmAudit, labels: Mapping[str, str],
                      amounts: Amounts) -> str:  # fmt: skip
    decimals = _decimals(difference.low, difference.high, amounts)
    if not _fits(difference.value * amounts.whole, decimals, changed, reference, amounts):
        decimals += 1
    amount = number(difference.value * amounts.whole, decimals)
    limits = _range(difference.low, difference.high, decimals, amounts)
    return (f"These errors differ by {amount} {_UNITS[amounts.unit]} ({limits}; {_arm(changed.arm, labels)} minus "
            f"{_arm(reference.arm, labels)})")


def _fits(value: float, decimals: int, changed: ArmAudit, reference: ArmAudit, amounts: Amounts) -> bool:
    """Whether the difference as it is printed is that of the two errors as they are printed."""
    parts = [round(arm.bias * amounts.whole, _decimals(arm.bias_low, arm.bias_high, amounts)) for arm in (changed, reference)]
    return round(parts[0] - parts[1], decimals) == round(value, decimals)


def _unsure_words(difference: BiasDifference, count: int, amounts: Amounts) -> list[str]:
    if not count:
        return []
    decimals = _decimals(difference.low, difference.high, amounts)
    limits = _range(difference.lowest, difference.highest, decimals, amounts)
    return [f"At {so_many(count, 'further point')} the eye could not tell what is there. Depending on what it really is, that difference "
            f"could lie anywhere from {limits}."]


def _span(low: float, high: float, decimals: int, amounts: Amounts) -> str:
    """An interval of an error, with its direction in words: a sign alone would not say which way is too high."""
    if low >= 0:
        return f"{_range(low, high, decimals, amounts)} too high"
    if high <= 0:
        return f"{_range(-high, -low, decimals, amounts)} too low"
    return f"{_end(-low, decimals, amounts)} too low to {_end(high, decimals, amounts)} too high"


def _decimals(low: float, high: float, amounts: Amounts) -> int:
    return max(min(decimals_for((high - low) / 2 * amounts.whole), 2), 0)


def _range(low: float, high: float, decimals: int, amounts: Amounts) -> str:
    return f"{_end(low, decimals, amounts)} to {_end(high, decimals, amounts)}"


def _end(value: float, decimals: int, amounts: Amounts) -> str:
    # Ends near zero are told as zero: an interval that reaches to −0.003 points reaches to zero.
    scaled = value * amounts.whole
    return number(scaled, decimals) if abs(scaled) < 1 else end(scaled, decimals)


def _few_words(arm: str, count: int, labels: Mapping[str, str]) -> str:
    return (f"In {_arm(arm, labels)} {count} of them {'was' if count == 1 else 'were'} answered, too few to tell how far the map is off "
            f"there ({FEWEST_POINTS_PER_ARM} are asked for).")


def _arm(key: str, labels: Mapping[str, str]) -> str:
    return f"“{shown(labels.get(key) or key)}”"


def _pairs(result: AuditResult) -> list[tuple[ArmAudit, ArmAudit]]:
    """Each further arm of the plan beside its first."""
    arms = [result.arm(key) for key in result.asked]
    first = arms[0]
    return [] if first is None else [(arm, first) for arm in arms[1:] if arm is not None]


def _those(count: int) -> str:
    return "it is" if count == 1 else "they are"
