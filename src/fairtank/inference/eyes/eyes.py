"""People as the instrument of a measure: their scores as series, and what their agreement does to a finding."""

from collections.abc import Sequence
from dataclasses import replace

from fairtank.finding import Eyes, Finding, SelfAgreed
from fairtank.inference import grades
from fairtank.inference.eyes.bridges import widened
from fairtank.inference.eyes.mildness import photo_numbers
from fairtank.inference.eyes.raters import Agreement, Rating, SelfAgreement, first_scores, rater_agreement, scores_by_photo, unit_series
from fairtank.inference.rounding import settled
from fairtank.trial import Plan, Series

STRENGTH_UNIT = "log odds"
SETTLES_OPENING = "What would settle it: "
SETTLES = {
    ("scores", "display only"): "clearer steps, each with a picture, and new scores by two people or more.",
    ("scores", "not known"): "a second person who scores the same photos, with tank and day hidden.",
    ("choices", "display only"): "a new round of choices that sets every tank against several of the other arm.",
    ("choices", "not known"): "a second person who chooses between the same photos, with tank and day hidden.",
}
UNBALANCED = ("Not everyone scored every photo, and some people share no photo with the others: a mild person may favour a tank, and that "
              "could not be taken out.")
BALANCED = "Not everyone scored every photo: each person's mildness was taken out, as the same number of steps on every photo."


def _self_agreed(own: SelfAgreement) -> SelfAgreed:
    kappa = own.kappa
    value, low, high = (kappa.value, kappa.low, kappa.high) if kappa else (None, None, None)
    return SelfAgreed(own.rater, own.repeats, own.same_share, value, low, high)


def eyes_of_scores(ratings: Sequence[Rating]) -> Eyes:
    """What is known of the people who scored: how far they agree with each other and with themselves, and what follows.

    Parameters
    ----------
    ratings : sequence of Rating
        All scores of one measure, repeats included, in the order in which they were given.

    Returns
    -------
    Eyes

    Raises
    ------
    InputError, NotEnoughDataError
        See `rater_agreement`.

    References
    ----------
    krippendorff2011, krippendorff_cutoffs, cohen1960 (keys from sources.py).
    """
    found, kept = rater_agreement(ratings), first_scores(ratings)
    state = photo_numbers(scores_by_photo(kept)).state
    cautions = {"alike": (), "balanced": (BALANCED,), "unbalanced": (UNBALANCED,)}[state]
    return settled(_with_alpha(Eyes("scores", found.use, found.raters, found.photos, len(kept), found.reason, cautions=cautions,
                                    alone=tuple(map(_self_agreed, found.self_agreement))), found))


def _with_alpha(eyes: Eyes, found: Agreement) -> Eyes:
    return eyes if found.alpha is None else replace(eyes, alpha=found.alpha.value, low=found.alpha.low, high=found.alpha.high)


def scored_series(ratings: Sequence[Rating], measure: str) -> tuple[Series, ...]:
    """One series per unit, one number per photo, each with what is known of the people who scored.

    Parameters and errors are those of `eyes_of_scores`; measure is the key as the plan names it.

    References
    ----------
    krippendorff2011 (keys from sources.py).
    """
    eyes = eyes_of_scores(ratings)
    return tuple(replace(one, eyes=eyes) for one in unit_series(ratings, measure))


def higher_share(finding: Finding) -> float | None:
    """P(changed > reference): of all pairs of a changed and a reference unit the share in which the changed one stands higher.

    Ties count half. The units are the sample. None where the two arms are no two groups of units.

    References
    ----------
    brunner2000 (keys from sources.py).
    """
    arms = finding.reference_arm, finding.changed_arm
    reference, changed = ([unit.z for unit in finding.units if unit.arm == arm and unit.z is not None] for arm in arms)
    if finding.summary not in ("mean", "change", "slope") or finding.design in ("pairs", "rounds") or not reference or not changed:
        return None
    higher = sum((after > before) + 0.5 * (after == before) for after in changed for before in reference)
    return higher / (len(reference) * len(changed))


def with_eyes(plan: Plan, finding: Finding, eyes: Eyes) -> Finding:
    """The finding with the people behind it: tag and cautions, or no judgement at all where they do not agree.

    Parameters
    ----------
    plan : Plan
        For the keys of the arms where the finding does not name them.
    finding : Finding
        As any measure would be judged.
    eyes : Eyes
        What is known of the people.

    Returns
    -------
    Finding
        `display only`: spoilt, without any number but those of the units. `raters differ`: with that tag. Else with cautions.

    References
    ----------
    krippendorff_cutoffs (keys from sources.py).
    """
    if not finding.reference_arm:
        arms = {role: plan.arm_with(role).key for role in ("reference", "changed")}
        finding = replace(finding, reference_arm=arms["reference"], changed_arm=arms["changed"])
    settles = SETTLES_OPENING + (eyes.settles or SETTLES.get((eyes.kind, eyes.use), ""))
    cautions = finding.cautions
    if eyes.kind == "choices":  # all days were judged at once; the day that stands for them is no day of reading
        cautions = tuple(text for text in cautions if not text.startswith("One reading day"))
        finding = replace(finding, reading_day=None, unit_of_measure=finding.unit_of_measure or STRENGTH_UNIT)
        if finding.natural is not None:
            finding = replace(finding, natural=replace(finding.natural, unit=finding.unit_of_measure))
    cautions += tuple(text for text in (*eyes.cautions, f"{eyes.reason} {settles}" if eyes.use == "not known" else "") if text)
    finding = replace(finding, eyes=eyes, cautions=cautions, sources=(*finding.sources, *_sources(eyes)))
    if eyes.use == "display only":
        return settled(_not_judged(finding, f"{eyes.reason} {settles}"))
    if finding.grade == "spoilt":
        return settled(finding)
    if eyes.kind == "choices":
        finding = widened(finding, eyes)
    share = higher_share(finding)
    facts = finding.facts if share is None else (*finding.facts, ("higher_share", share))
    tags = grades.in_order({*finding.tags, *(("raters differ",) if eyes.use == "raters differ" else ())})
    return settled(replace(finding, facts=facts, tags=tags))


def _sources(eyes: Eyes) -> tuple[str, ...]:
    return ("krippendorff2011", "krippendorff_cutoffs") if eyes.kind == "scores" else ("bradley1952",)


def _not_judged(finding: Finding, reason: str) -> Finding:
    """Without estimate, interval and grade of its own; the units' numbers stay, to be looked at."""
    tags = grades.in_order(set(finding.tags) & {"not by lot", "not blinded"})
    return replace(
        finding, estimate=None, low=None, high=None, df=None, p_value=None, shuffle_p=None, arrangements=0, grade="spoilt", tags=tags,
        basis="none", tipping_spread=None, natural=None, spoilt_reason=reason.rstrip("."), shuffle_gate_refused=False, alternatives=(),
        facts=(), earlier=None, looks=(), ranking=(),
    )
