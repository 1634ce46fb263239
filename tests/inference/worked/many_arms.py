"""Worked examples of more than two arms: all pairs, each against one, and two or three changes at once."""

import math
from functools import cache

from fairtank.inference.designs.two_changes import factorial_contrasts
from fairtank.inference.intervals.multiple import all_pairs_critical, all_pairs_tail, loadings_of, many_to_one_critical, many_to_one_tail
from fairtank.inference.intervals.welch import mean, variance
from inference.worked.data import peas, weights
from inference.worked.nouns import Example, Number

GROUPS = ("ctrl", "trt1", "trt2")
DF = 27


def difference(one, other) -> float:
    """Mean weight of one group less that of another. [g]"""
    return mean(weights(one)) - mean(weights(other))


def error() -> float:
    """The standard error of a difference of two groups of ten, with one spread for all three. [g]"""
    return math.sqrt(math.fsum(variance(weights(group)) for group in GROUPS) / 3 * 2 / 10)


def pair_p(one, other) -> float:
    """The p of one of all pairs."""
    return all_pairs_tail(abs(difference(one, other)) / error(), DF, len(GROUPS))


def pair_end(one, other, side) -> float:
    """An end of the interval of one of all pairs: side is -1 or 1."""
    return difference(one, other) + side * all_pairs_critical(0.05, DF, len(GROUPS)) * error()


def against_one(one) -> float:
    """The p of one of two comparisons with the control."""
    return many_to_one_tail(abs(difference(one, "ctrl")) / error(), DF, loadings_of(10, (10, 10)))


def against_one_end(one, side) -> float:
    """An end of the interval of one of two comparisons with the control."""
    return difference(one, "ctrl") + side * many_to_one_critical(0.05, DF, loadings_of(10, (10, 10))) * error()


def pair(one, other, p, low, high):
    """The numbers of one pair."""
    return (Number(f"{one} less {other}, p", p, lambda: pair_p(one, other)),
            Number(f"{one} less {other}, lower end", low, lambda: pair_end(one, other, -1)),
            Number(f"{one} less {other}, upper end", high, lambda: pair_end(one, other, 1)))


@cache
def yields():
    """What each of three changes does to peas, and each pair of them together, by name."""
    return {effect.name: effect for effect in factorial_contrasts(*peas())}


def effect(name, f, p):
    """The numbers of one row of the printed table: t squared is its F."""
    return Number(f"{name}, F", f, lambda: yields()[name].t ** 2), Number(f"{name}, p", p, lambda: yields()[name].p_value)


MANY_ARMS = (
    Example(
        "Plants of a control and two treatments: all three pairs under one promise (Tukey).", "intervals.multiple.all_pairs_tail",
        "scipy_library",
        "stats.tukey_hsd, version 1.17",
        (*pair("trt1", "ctrl", "0.390871", "-1.062216", "0.320216"), *pair("trt2", "ctrl", "0.197996", "-0.197216", "1.185216"),
         *pair("trt2", "trt1", "0.012006", "0.173784", "1.556216")), data="dobson1983"),
    Example(
        "The same plants: each treatment against the control under one promise (Dunnett).", "intervals.multiple.many_to_one_tail",
        "scipy_library",
        "stats.dunnett, which draws at random and is sure of three digits, version 1.17",
        (Number("trt1 less ctrl, p", "0.323", lambda: against_one("trt1")),
         Number("trt1 less ctrl, lower end", "-1.02", lambda: against_one_end("trt1", -1)),
         Number("trt1 less ctrl, upper end", "0.28", lambda: against_one_end("trt1", 1)),
         Number("trt2 less ctrl, p", "0.153", lambda: against_one("trt2")),
         Number("trt2 less ctrl, lower end", "-0.16", lambda: against_one_end("trt2", -1)),
         Number("trt2 less ctrl, upper end", "1.14", lambda: against_one_end("trt2", 1))), data="dobson1983"),
    Example(
        "Peas in six blocks: what nitrogen does, averaged over phosphate and potash.", "designs.two_changes.factorial_contrasts",
        "venables2002",
        "R datasets::npk, aov(yield ~ block + N*P*K)",
        (*effect("N", "12.259", "0.0044"), Number("degrees of freedom", "12", lambda: yields()["N"].df)),
        note="With one spread for all plots, as in books; the judging of two changes gives each way its own."),
    Example(
        "The same peas: the other rows of the table.", "designs.two_changes.factorial_contrasts", "venables2002",
        "R datasets::npk, aov(yield ~ block + N*P*K)",
        (*effect("P", "0.544", "0.47490"), *effect("K", "6.166", "0.02880"), *effect("N:P", "1.378", "0.26317"),
         *effect("N:K", "2.146", "0.16865"), *effect("P:K", "0.031", "0.86275")), from_memory=True),
    Example(
        "Dunnett's table: how many standard errors the largest of several comparisons with one reference exceeds in 5 % of trials.",
        "intervals.multiple.many_to_one_critical", "dunnett1955", "two-sided 5 %, equal arms",
        tuple(Number(f"{count} comparisons, {df} degrees of freedom", published,
                     lambda df=df, count=count: many_to_one_critical(0.05, float(df), loadings_of(10, (10,) * count)))
              for df, count, published in ((5, 2, "3.03"), (5, 3, "3.29"), (10, 2, "2.57"), (10, 3, "2.76"), (20, 2, "2.38"),
                                           (20, 3, "2.54"))),
        from_memory=True),
)
