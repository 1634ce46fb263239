"""Worked examples of two arms, pairs, a swap, the shuffle test and the typical shift."""

import math
from functools import cache

from fairtank.inference import compare
from fairtank.inference.designs.pairs import one_sample, pairs_shuffle_p
from fairtank.inference.designs.rounds import fit_rounds
from fairtank.inference.intervals.hodges_lehmann import hodges_lehmann
from fairtank.inference.intervals.shuffle import shuffle_p
from fairtank.inference.intervals.student import quantile, upper_tail
from fairtank.inference.intervals.welch import Interval, welch
from fairtank.trial import Series, Unit
from inference.trials import levels, measure, plan_of
from inference.worked.data import AT_TERM, EARLY, MAIZE, efforts, grass, period_differences, sleep, sprays, weights
from inference.worked.nouns import Example, Number


def error_of(interval: Interval) -> float:
    """The standard error behind a 95 % interval."""
    return (interval.high - interval.low) / 2 / quantile(0.025, interval.df)


def numbers(make, *, sign="t", estimate="", df="", p="", low="", high="") -> tuple[Number, ...]:
    """The usual numbers of one interval, each where it was printed; make gives the interval."""
    kept = cache(make)
    told = (
        ("difference", estimate, lambda: kept().estimate),
        ("t", sign, lambda: kept().estimate / error_of(kept())),
        ("degrees of freedom", df, lambda: kept().df),
        ("p, both sides", p, lambda: kept().p_value),
        ("95 % interval, lower end", low, lambda: kept().low),
        ("95 % interval, upper end", high, lambda: kept().high),
    )
    return tuple(Number(what, published, compute) for what, published, compute in told if published)


@cache
def flow():
    """The cross-over of thirteen patients judged as a swap: salbutamol is the reference, formoterol the change."""
    choice = measure("identity", summary="swap", unit="L/min")
    units, series = [], []
    for number, (first_less_second, sign) in enumerate(zip(*period_differences(), strict=True)):
        units.append(Unit(f"P{number}", "C" if sign > 0 else "R"))
        series.append(Series(f"P{number}", "cover", tuple(range(43)), tuple(first_less_second if day < 21 else 0.0 for day in range(43))))
    return compare(plan_of(kind="swap", choice=choice, units=tuple(units), swap_day=21, washout_days=3), choice, series)


def fitted_flow() -> Interval:
    """The same patients with one spread for both orders: each difference turned to formoterol less salbutamol, its order as the sign."""
    differences, signs = period_differences()
    return fit_rounds([sign * value for sign, value in zip(signs, differences, strict=True)], signs, alpha=0.05).interval


def forgotten_period() -> float:
    """Formoterol less salbutamol as a plain mean over the patients."""
    differences, signs = period_differences()
    return math.fsum(sign * value for sign, value in zip(signs, differences, strict=True)) / len(signs)


@cache
def harvest(treatment):
    """Ten pots per arm, one ready-made weight each, on the last day."""
    choice = measure("identity", key="weight", unit="g")
    pots = levels(weights("ctrl"), weights(treatment), days=[42], key="weight", ready_made=True)
    return compare(plan_of(10, 10, choice=choice), choice, pots)


def apart(units) -> float:
    """The shuffle test's p when every unit of one arm lies above every unit of the other."""
    return shuffle_p([float(value) for value in range(units)], [100.0 + value for value in range(units)])


def roots(spray):
    """Square roots of the counts, on which like plots scatter evenly."""
    return [math.sqrt(count) for count in sprays(spray)]


def stools():
    """Effort for the second stool less that for the first, person by person."""
    return [one - other for one, other in zip(efforts("T2"), efforts("T1"), strict=True)]


def maize() -> Interval:
    """The fifteen pairs of plants."""
    return one_sample(MAIZE, alpha=0.05)


ARMS = (
    Example(
        "Two drugs for sleep, ten people each, taken as two separate arms.", "intervals.welch.welch", "student1908",
        "R datasets::sleep, t.test(extra ~ group)",
        numbers(lambda: welch(sleep()[1], sleep()[0], alpha=0.05), sign="-1.8608", df="17.776", p="0.07939", low="-3.3654832",
                high="0.2054832"),
        note="Each value is one person, as in a trial each value is one tank."),
    Example(
        "The same ten people as pairs, each compared with itself.", "designs.pairs.one_sample", "student1908",
        "R datasets::sleep, t.test(extra ~ group, paired = TRUE)",
        numbers(lambda: one_sample([one - other for one, other in zip(*sleep(), strict=True)], alpha=0.05), estimate="-1.58",
                sign="-4.0621", df="9", p="0.002833", low="-2.4598858", high="-0.7001142"),
        note="The same numbers tell far more when what a pair has in common drops out."),
    Example(
        "Plants of a control and two treatments, weighed once at harvest.", "judging.compare", "dobson1983",
        "R datasets::PlantGrowth, group means",
        (Number("control, mean weight in g", "5.032", lambda: harvest("trt1").natural.reference),
         Number("first treatment, mean weight in g", "4.661", lambda: harvest("trt1").natural.changed),
         Number("second treatment, mean weight in g", "5.526", lambda: harvest("trt2").natural.changed)),
        note="Judged whole, from the folder's series to the finding."),
    Example(
        "Darwin's maize: crossed and self-fertilised plants in fifteen pairs.", "designs.pairs.pairs_shuffle_p", "fisher1935",
        "The Design of Experiments, chapter 3",
        (Number("arrangements that say as much, of 32768, in each tail", "863", lambda: pairs_shuffle_p(MAIZE) * 32768 / 2),
         *numbers(maize, sign="2.148", p="0.0497029")),
        from_memory=True),
    Example(
        "Permeability of a membrane at term and early: the typical shift.", "intervals.hodges_lehmann.hodges_lehmann", "hollander1973",
        "pages 69 and following; R, wilcox.test(x, y, conf.int = TRUE)",
        (Number("pairs in which the value at term is higher (U)", "35", lambda: hodges_lehmann(EARLY, AT_TERM).above),
         Number("p, one side", "0.127206", lambda: hodges_lehmann(EARLY, AT_TERM).p_above),
         Number("median of all differences", "0.305", lambda: hodges_lehmann(EARLY, AT_TERM).estimate),
         Number("95 % interval, lower end", "-0.15", lambda: hodges_lehmann(EARLY, AT_TERM).low),
         Number("95 % interval, upper end", "0.76", lambda: hodges_lehmann(EARLY, AT_TERM).high)),
        from_memory=True, note="A second look that no verdict uses; it can be used from 4 units per arm on."),
    Example(
        "A cross-over of thirteen patients, judged as a swap.", "judging.compare", "senn2002", "chapter 3",
        (Number("difference in L/min", "46.607", lambda: flow().estimate),
         Number("the same when the period is forgotten", "45.385", forgotten_period)),
        from_memory=True, note="A plain mean of the differences lets what time did leak into the effect."),
    Example(
        "The same cross-over with one spread for both orders.", "designs.rounds.fit_rounds", "senn2002", "chapter 3",
        (Number("standard error", "10.777", lambda: error_of(fitted_flow())),
         *numbers(fitted_flow, estimate="46.607", sign="4.3249", df="11", p="0.0012048", low="22.888", high="70.326")),
        from_memory=True, note="The interval that was printed has one spread for both orders; the one of a swap lets them differ."),
    Example(
        "The smallest p that the shuffle test can reach with so many units per arm.", "intervals.shuffle.shuffle_p", "arithmetic",
        "2 / binomial(2n, n)",
        tuple(Number(f"{units} and {units} units", published, lambda units=units: apart(units))
              for units, published in ((2, "0.3333"), (3, "0.1000"), (4, "0.0286"), (5, "0.0079"), (6, "0.0022"))),
        note="With 2 or 3 units per arm no result, however clear, can make it small."),
    Example(
        "The smallest p that pairs can reach.", "designs.pairs.pairs_shuffle_p", "arithmetic", "2 / 2^n",
        tuple(Number(f"{count} pairs", published, lambda count=count: pairs_shuffle_p([1.0 + pair for pair in range(count)]))
              for count, published in ((3, "0.2500"), (6, "0.03125"), (8, "0.0078125")))),
    Example(
        "How often like arms would be called different if a t value were read against the bell curve.",
        "intervals.student.upper_tail", "arithmetic",
        "tail areas beyond 1.96 with 2, 4 and 10 degrees of freedom, which are algebra: 1 - t / sqrt(2 + t²) and so on",
        tuple(Number(f"{units} and {units} units, in percent", published, lambda df=df: 200 * upper_tail(1.96, df))
              for units, df, published in ((2, 2, "18.9"), (3, 4, "12.2"), (6, 10, "7.8"))),
        note="Why no verdict leans on 1.96: 5 % is promised."),
    Example(
        "Insects on plots under the sprays C and D, on the square root scale.", "intervals.welch.welch", "scipy_library",
        "stats.ttest_ind, equal_var=False, version 1.17",
        numbers(lambda: welch(roots("C"), roots("D"), alpha=0.05), estimate="0.9194972", sign="3.484653", df="19.04949",
                p="0.002472643", low="0.3673069", high="1.471687"), data="beall1942"),
    Example(
        "Insects on plots under the sprays A and B, on the square root scale.", "intervals.welch.welch", "scipy_library",
        "stats.ttest_ind, equal_var=False, version 1.17",
        numbers(lambda: welch(roots("A"), roots("B"), alpha=0.05), estimate="0.1159530", sign="0.4725319", df="21.86402",
                p="0.6412299", low="-0.3931312", high="0.6250372"), data="beall1942"),
    Example(
        "Grass plants from the south, three chilled overnight and three not: seven readings of each plant become one number.",
        "intervals.welch.welch", "scipy_library", "stats.ttest_ind, equal_var=False, on the plants' means, version 1.17",
        numbers(lambda: welch(grass("mississippi", "nonchilled"), grass("mississippi", "chilled"), alpha=0.05), estimate="-10.13810",
                sign="-4.872389", df="3.004582", p="0.01646177", low="-16.75418", high="-3.522014"), data="potvin1990",
        note="Three units per arm, as in many trials of tanks; taken as 21 readings per arm they would seem far surer than they are."),
    Example(
        "Grass plants from the north, three chilled overnight and three not.", "intervals.welch.welch", "scipy_library",
        "stats.ttest_ind, equal_var=False, on the plants' means, version 1.17",
        numbers(lambda: welch(grass("quebec", "nonchilled"), grass("quebec", "chilled"), alpha=0.05), estimate="-3.580952",
                sign="-2.309249", df="3.586414", p="0.08971285", low="-8.089448", high="0.9275431"), data="potvin1990"),
    Example(
        "Effort of nine people to rise from two stools, as pairs.", "designs.pairs.one_sample", "scipy_library",
        "stats.ttest_rel, and stats.permutation_test of samples, version 1.17",
        (*numbers(lambda: one_sample(stools(), alpha=0.05), estimate="3.888889", sign="8.551861", df="8", p="0.00002693337",
                  low="2.840252", high="4.937525"),
         Number("shuffle p", "0.00390625", lambda: pairs_shuffle_p(stools()))), data="pinheiro2000"),
)
