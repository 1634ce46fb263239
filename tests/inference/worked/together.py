"""Worked examples of several measures, several people and several trials."""

import math
from functools import cache

from fairtank.inference.eyes.agreement import cohen_kappa, krippendorff_alpha
from fairtank.inference.eyes.preferences import strengths_from_wins
from fairtank.inference.intervals.holm import holm
from fairtank.inference.intervals.student import quantile
from fairtank.inference.pooling import TrialResult, combined, pool
from inference.worked.data import JOURNALS, THREE_CLASSES, bcg, citations, dersimonian_laird, scores_of
from inference.worked.nouns import Example, Number

NORMAL = 1.959963984540054
P_VALUES = (0.01, 0.04, 0.03, 0.005)
MORE_P_VALUES = (0.2, 0.001, 0.011, 0.011, 0.6, 0.03)
RESTRICTED_TAU2 = 0.313243  # by restricted likelihood, which fairtank does not do


@cache
def strengths():
    """The four journals."""
    return strengths_from_wins(JOURNALS, citations())


def strength(journal, part) -> float:
    """Strength (part 0) or standard error (part 1) of a journal, held against the first one."""
    return strengths().relative_to("Biometrika")[JOURNALS.index(journal)][part]


@cache
def pooled():
    """The thirteen trials, each as its estimate and 95 % interval."""
    estimates, variances = bcg()
    halves = [NORMAL * math.sqrt(variance) for variance in variances]
    return pool([TrialResult(f"trial {index}", estimate, estimate - half, estimate + half)
                 for index, (estimate, half) in enumerate(zip(estimates, halves, strict=True))])


def tau2() -> float:
    """DerSimonian and Laird's tau2, another one than fairtank's."""
    return dersimonian_laird(*bcg())


def mean_at(tau_2, *, reach=0.0) -> float:
    """The pooled mean at a given tau2, or an end of its interval: so many standard errors away."""
    found = combined(*bcg(), tau_2)
    return found.estimate + reach * found.se


def predicted(reach) -> float:
    """An end of the prediction for one more trial, at the tau2 by restricted likelihood."""
    found = combined(*bcg(), RESTRICTED_TAU2)
    return found.estimate + reach * math.sqrt(RESTRICTED_TAU2 + found.se**2)


T_12 = quantile(0.025, 12)

TOGETHER = (
    Example(
        "Four measures looked at together: p-values after Holm's adjustment.", "intervals.holm.holm", "statsmodels_library",
        "stats.multitest.multipletests(method=\"holm\"), version 0.15",
        tuple(Number(f"p = {p:g}", published, lambda index=index: holm(P_VALUES)[index])
              for index, (p, published) in enumerate(zip(P_VALUES, ("0.03", "0.06", "0.06", "0.02"), strict=True)))),
    Example(
        "Six measures, two of them with the same p.", "intervals.holm.holm", "statsmodels_library",
        "stats.multitest.multipletests(method=\"holm\"), version 0.15",
        tuple(Number(f"p = {p:g} (number {index + 1})", published, lambda index=index: holm(MORE_P_VALUES)[index])
              for index, (p, published) in enumerate(zip(MORE_P_VALUES, ("0.4", "0.006", "0.055", "0.055", "0.6", "0.09"), strict=True)))),
    Example(
        "Two people sort a hundred cases into three classes: Cohen's kappa.", "eyes.agreement.cohen_kappa", "statsmodels_library",
        "stats.inter_rater.cohens_kappa, kappa and std_kappa, version 0.15",
        tuple(Number(f"{what}, weights {weights}", published, lambda weights=weights, part=part: getattr(
            cohen_kappa(THREE_CLASSES, weights), part))
            for weights, kappa, error in (("none", "0.428571", "0.075959"), ("linear", "0.492308", "0.071727"),
                                          ("quadratic", "0.566667", "0.078724"))
            for what, part, published in (("kappa", "value", kappa), ("standard error", "se", error)))),
    Example(
        "Four people score twelve things, with gaps: Krippendorff's example C.", "eyes.agreement.krippendorff_alpha",
        "krippendorff_library",
        "its tests, and runs of version 0.9.0",
        tuple(Number(f"alpha, {level}", published, lambda level=level: krippendorff_alpha(scores_of("C"), level).value)
              for level, published in (("nominal", "0.7434"), ("ordinal", "0.8154"), ("interval", "0.8491"), ("ratio", "0.7974")))),
    Example(
        "Three people score fifteen things, with gaps.", "eyes.agreement.krippendorff_alpha", "krippendorff_library",
        "its tests, and runs of version 0.9.0",
        tuple(Number(f"alpha, {level}", published, lambda level=level: krippendorff_alpha(scores_of("second"), level).value)
              for level, published in (("nominal", "0.691358"), ("ordinal", "0.806721"), ("interval", "0.810845"), ("ratio", "0.808944")))),
    Example(
        "Four journals that cite one another, ranked by pairs.", "eyes.preferences.strengths_from_wins", "statsmodels_library",
        "GLM with a binomial family, no constant, the first journal held at 0; version 0.15",
        (*(Number(f"{journal}, {what}", published, lambda journal=journal, part=part: strength(journal, part))
           for journal, *told in (("Comm Statist", "-2.94907", "0.10255"), ("JASA", "-0.47957", "0.06059"),
                                  ("JRSS-B", "0.26895", "0.07083"))
           for part, (what, published) in enumerate(zip(("strength", "standard error"), told, strict=True))),
         Number("deviance, 3 degrees of freedom", "4.2934", lambda: strengths().deviance)), data="bradleyterry2_data"),
    Example(
        "Thirteen trials of a vaccine taken together, as fairtank pools trials.", "pooling.pool", "statsmodels_library",
        "stats.meta_analysis.combine_effects(method_re=\"iterated\", use_t=True), row \"random effect wls\", version 0.15",
        (Number("variance between trials, Paule and Mandel", "0.318068", lambda: pooled().tau2),
         Number("mean log risk ratio", "-0.7150", lambda: pooled().estimate),
         Number("95 % interval, lower end", "-1.1091", lambda: pooled().low),
         Number("95 % interval, upper end", "-0.3208", lambda: pooled().high)), data="colditz1994"),
    Example(
        "The same trials: how far they scatter.", "pooling.pool", "metafor_tests", "measure RR: Q; DL estimate and tau2",
        (Number("Cochran's Q", "152.2330", lambda: pooled().q),
         Number("variance between trials, DerSimonian and Laird", "0.3088", tau2),
         Number("mean at that variance", "-0.7141", lambda: mean_at(tau2()))), data="colditz1994",
        note="fairtank uses another variance between trials; that of DerSimonian and Laird shows that the mean at a given one is right."),
    Example(
        "The same trials at the variance of DerSimonian and Laird.", "pooling.combined", "statsmodels_library",
        "stats.meta_analysis.combine_effects(method_re=\"chi2\", use_t=True), row \"random effect wls\", version 0.15",
        (Number("variance between trials", "0.308760", tau2),
         Number("95 % interval, lower end", "-1.1078", lambda: mean_at(tau2(), reach=-T_12)),
         Number("95 % interval, upper end", "-0.3204", lambda: mean_at(tau2(), reach=T_12))), data="colditz1994"),
    Example(
        "The same trials at a variance by restricted likelihood, 0.313243.", "pooling.combined", "hartung2001",
        "Hartung and Knapp's interval and a prediction, as other software gives them",
        (Number("mean log risk ratio", "-0.714532", lambda: mean_at(RESTRICTED_TAU2)),
         Number("standard error", "0.180792", lambda: combined(*bcg(), RESTRICTED_TAU2).se),
         Number("t", "-3.9522", lambda: mean_at(RESTRICTED_TAU2) / combined(*bcg(), RESTRICTED_TAU2).se),
         Number("95 % interval, lower end", "-1.1084", lambda: mean_at(RESTRICTED_TAU2, reach=-T_12)),
         Number("95 % interval, upper end", "-0.3206", lambda: mean_at(RESTRICTED_TAU2, reach=T_12)),
         Number("prediction, lower end", "-1.996", lambda: predicted(-T_12)),
         Number("prediction, upper end", "0.567", lambda: predicted(T_12))), data="colditz1994", from_memory=True),
)
