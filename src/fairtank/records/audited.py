"""What a folder's audit does to its judging: for each measure how far the map was off in each arm, and a sentence beside each finding."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from fairtank.finding import Finding
from fairtank.inference.eyes.agreement import krippendorff_alpha
from fairtank.publish.audit_words import NOT_CHECKED, Amounts, caution_words
from fairtank.records.arms import arm_on
from fairtank.records.folder.tables import OWN_CLASSES, UNSURE
from fairtank.records.services.measuring import MeasuredTrial
from fairtank.trial import AuditPoint, Plan, TrialFolder
from fairtank.vision.audit import FEWEST_POINTS_PER_ARM, Agreement, AuditResult, Checked, arm_audit
from fairtank.vision.audit_points import OUTSIDE_COUNTED
from fairtank.vision.quality.verdicts import NOT_USABLE

# Measure, class of the map, and the cover by which it is audited.
AUDITED = {"plant_cover": ("plant", "plant_cover"), "algae_cover": ("algae", "algae_cover"),
           "plant_area": ("plant", "plant_cover"), "algae_area": ("algae", "algae_cover")}  # fmt: skip


def judged_days(plan: Plan) -> tuple[int, int]:
    """First and last day that any audited measure of the plan counts; all days where one has no window of its own."""
    windows = [choice.window or (0, plan.days) for choice in plan.measures if choice.key in AUDITED] or [(0, plan.days)]
    return min(first for first, _ in windows), max(last for _, last in windows)


def audit_results(folder: TrialFolder, measured: MeasuredTrial) -> dict[str, AuditResult]:
    """What the audit says, by measure; only measures that the photos gave and only when there is an answer at all.

    Parameters
    ----------
    folder : TrialFolder
        With its audit points.
    measured : MeasuredTrial
        Of the same folder: what the map says at the points comes from there.

    Returns
    -------
    dict of str to AuditResult

    References
    ----------
    olofsson2014, krippendorff2011 (keys from sources.py).
    """
    if not folder.audit:
        return {}
    kept, set_aside = _points_on_the_map(folder, measured)
    if not kept:
        return {}
    results, raters, agreement = {}, len({point.rater for point in folder.audit}), agreement_of(folder)
    for measure, (kind, cover) in AUDITED.items():
        shares = {row.photo: row.value / 100 for row in measured.measured if (row.measure, row.zone) == (cover, "")}
        if any(row.measure == measure for row in measured.measured):
            results[measure] = replace(_result(folder.plan, measure, kind, kept, shares, set_aside), raters=raters, agreement=agreement)
    return results


_Place = tuple[str, float, float]


@dataclass(frozen=True)
class _Seen:
    """One point on the map: its arm, what the map says, and the answers of all people, as one of the three classes or `unsure`."""

    photo: str
    arm: str
    mapped: str
    answers: tuple[str, ...]


def _points_on_the_map(folder: TrialFolder, measured: MeasuredTrial) -> tuple[list[_Seen], int]:
    """Every point that lies on the counted part of a usable photo's map on a judged day, and how many answers had to be set aside."""
    letters = {row.photo: row.map_at_audit for row in measured.qualities if row.quality != NOT_USABLE}
    photos = {photo.path: photo for photo in folder.photos}
    counts_as = {one.key: one.counts_as for one in folder.label_classes}
    passed: Counter[str] = Counter()
    found: dict[_Place, tuple[str, str, list[str]]] = {}
    set_aside = 0
    for point in folder.audit:
        place, photo = passed[point.photo], photos.get(point.photo)
        passed[point.photo] += 1
        said = letters.get(point.photo, "")
        arm = arm_on(folder.plan, photo.unit, photo.day) if photo else None
        letter = said[place] if place < len(said) else OUTSIDE_COUNTED
        if arm is None or letter == OUTSIDE_COUNTED:
            set_aside += 1
            continue
        mapped = next(name for name in OWN_CLASSES if name[0] == letter)
        found.setdefault((point.photo, point.x, point.y), (arm, mapped, []))[2].append(_answer(point, counts_as))
    return [_Seen(place[0], arm, mapped, tuple(answers)) for place, (arm, mapped, answers) in found.items()], set_aside


def _answer(point: AuditPoint, counts_as: dict[str, str]) -> str:
    said = counts_as.get(point.answer) or point.answer
    return said if said in (*OWN_CLASSES, UNSURE) else "background"  # static things are neither plant nor algae


def _result(plan: Plan, measure: str, kind: str, seen: Sequence[_Seen], shares: dict[str, float], set_aside: int,
            ) -> AuditResult:  # fmt: skip
    by_arm: dict[str, list[Checked]] = {arm.key: [] for arm in plan.arms}
    for one in seen:
        if one.photo in shares:
            told = [answer == kind for answer in one.answers if answer != UNSURE]
            by_arm[one.arm].append(Checked(one.photo, one.mapped == kind, sum(told) / len(told) if told else None))
    telling = {arm: sum(point.truly is not None for point in points) for arm, points in by_arm.items()}
    arms = tuple(arm_audit(arm, points, shares) for arm, points in by_arm.items() if telling[arm] >= FEWEST_POINTS_PER_ARM)
    few = tuple((arm, count) for arm, count in telling.items() if count < FEWEST_POINTS_PER_ARM)
    points = sum(telling.values())
    unsure = sum(len(checked) for checked in by_arm.values()) - points
    return AuditResult(measure, arms, few, tuple(by_arm), set_aside, 1, points, unsure)


def agreement_of(folder: TrialFolder) -> Agreement | None:
    """How far people agree at points that two or more of them saw; None where no point was seen by two."""
    counts_as = {one.key: one.counts_as for one in folder.label_classes}
    by_point: dict[_Place, list[str]] = {}
    for point in folder.audit:
        by_point.setdefault((point.photo, point.x, point.y), []).append(_answer(point, counts_as))
    shared = [answers for answers in by_point.values() if len(answers) > 1]
    if not shared:
        return None
    pairs = [(one == other) for answers in shared for place, one in enumerate(answers) for other in answers[place + 1:]]
    numbers = {name: float(place) for place, name in enumerate((*OWN_CLASSES, UNSURE))}
    alpha = krippendorff_alpha([[numbers[answer] for answer in answers] for answers in shared], "nominal").value
    return Agreement(len(shared), sum(pairs) / len(pairs), alpha)


def audit_told(folder: TrialFolder, measured: MeasuredTrial, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The findings with what the audit says: the error of the map beside the difference that was found, or that nobody has checked it.

    Parameters
    ----------
    folder : TrialFolder
    measured : MeasuredTrial
    findings : tuple of Finding

    Returns
    -------
    tuple of Finding
        As they were where a measure is not read off the map of plants and algae, or its values came ready-made.

    References
    ----------
    olofsson2014 (keys from sources.py).
    """
    findings = carried_told(folder, findings)
    ready_made = {series.measure for series in folder.series}
    from_map = {row.measure for row in measured.measured if row.measure in AUDITED} - ready_made
    if not from_map.intersection(finding.measure for finding in findings):
        return findings
    results = audit_results(folder, measured)
    told = []
    for finding in findings:
        if finding.measure in from_map:
            result = results.get(finding.measure)
            words = caution_words(finding, result, amounts_of(finding.measure, measured)) if result else NOT_CHECKED
            finding = replace(finding, cautions=(*finding.cautions, words))
        told.append(finding)
    return tuple(told)


def carried_told(folder: TrialFolder, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The findings with what was said of the photos when their values were taken, where a kit carries these values in their place."""
    told = {(one.measure, reference, changed): words for one in folder.carried for reference, changed, words in one.told}
    return tuple(replace(one, cautions=(*one.cautions, *told.get((one.measure, one.reference_arm, one.changed_arm), ())))
                 for one in findings) \
        if told else findings


def amounts_of(measure: str, measured: MeasuredTrial) -> Amounts:
    """In which unit the errors of a measure are told, and how much of it is one whole frame."""
    cover = AUDITED[measure][1]
    if measure == cover:
        return Amounts("%", 100.0)
    covers = {row.photo: row.value / 100 for row in measured.measured if (row.measure, row.zone) == (cover, "")}
    areas = {row.photo: row.value for row in measured.measured if (row.measure, row.zone) == (measure, "")}
    both = [photo for photo in areas if covers.get(photo, 0) > 0]
    whole = sum(areas[photo] for photo in both) / sum(covers[photo] for photo in both) if both else 0.0
    return Amounts("cm²", whole)
