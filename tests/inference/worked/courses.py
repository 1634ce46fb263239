"""Worked examples of stage one: days of one unit become one number; and of times until something happens."""

import math
from functools import cache

from fairtank.inference import compare
from fairtank.inference.designs.onsets import pair_scores
from fairtank.inference.intervals.welch import mean, welch
from fairtank.inference.series.slopes import least_squares_slope
from fairtank.inference.series.windows import time_weighted_mean
from fairtank.trial import Series, Unit
from inference.trials import measure, plan_of
from inference.worked.arms import numbers
from inference.worked.data import chicks, faces, remission, trees
from inference.worked.nouns import Example, Number


@cache
def face_slopes(sex):
    """Growth of each child of that sex. [mm per year]"""
    return [least_squares_slope(points) for own, points in faces().values() if own == sex]


def face_slope(child) -> float:
    """Growth of one child. [mm per year]"""
    return least_squares_slope(faces()[child][1])


def girth(tree) -> float:
    """Mean girth over the days from the first to the last reading. [mm]"""
    points = trees()[tree]
    return time_weighted_mean(points, (points[0][0], points[-1][0]))


@cache
def diets(summary):
    """Chicks on diet 3 against chicks on diet 1, judged whole: weighed every second day for three weeks, on the log scale."""
    choice = measure("log", summary=summary, unit="g")
    units = tuple(Unit(f"chick{chick}", "R" if diet == "1" else "C") for chick, (diet, _) in chicks().items())
    series = [Series(f"chick{chick}", "cover", *zip(*points, strict=True)) for chick, (_, points) in chicks().items()]
    return compare(plan_of(days=21, choice=choice, units=units), choice, series)


def gehan():
    """Sum of the pair scores of the patients under 6-MP, and its variance over all arrangements."""
    scores = pair_scores(remission())
    return sum(scores[21:]), 21 * 21 * sum(score * score for score in scores) / (42 * 41)


def log_rank() -> float:
    """The log-rank chi-square of the remissions; not a method of fairtank, it proves that the table is the published one."""
    patients = [(last, math.isfinite(first), index >= 21) for index, (last, first) in enumerate(remission())]
    excess = variance = 0.0
    for week in sorted({week for week, ended, _ in patients if ended}):
        at_risk = [group for last, _, group in patients if last >= week]
        ended = [group for last, is_end, group in patients if is_end and last == week]
        n, n_1, d = len(at_risk), sum(at_risk), len(ended)
        excess += sum(ended) - d * n_1 / n
        variance += d * n_1 / n * (1 - n_1 / n) * (n - d) / (n - 1) if n > 1 else 0.0
    return excess**2 / variance


COURSES = (
    Example(
        "Growth of three children's faces from readings at 8, 10, 12 and 14 years.", "series.slopes.least_squares_slope", "arithmetic",
        "four evenly spaced readings: (3 y4 + y3 - y2 - 3 y1) / 20, by hand",
        (Number("26, 25, 29, 31 mm (M01), in mm per year", "0.950", lambda: face_slope("M01")),
         Number("17, 24.5, 26, 29.5 mm (M13)", "1.950", lambda: face_slope("M13")),
         Number("16.5, 19, 19, 19.5 mm (F10)", "0.450", lambda: face_slope("F10"))), data="potthoff1964"),
    Example(
        "Growth of 16 boys' and 11 girls' faces: each child's slope is one number.", "intervals.welch.welch", "scipy_library",
        "numpy.polyfit for each child, then stats.ttest_ind, equal_var=False, version 1.17",
        (Number("boys, mean slope in mm per year", "0.784375", lambda: mean(face_slopes("male"))),
         Number("girls, mean slope in mm per year", "0.4795455", lambda: mean(face_slopes("female"))),
         *numbers(lambda: welch(face_slopes("male"), face_slopes("female"), alpha=0.05), sign="-2.514076", df="23.96565",
                  p="0.01905823", low="-0.5550945", high="-0.05456463")), data="potthoff1964"),
    Example(
        "The difference of those slopes, as a model of all readings gives it.", "series.slopes.least_squares_slope", "pinheiro2000",
        "R package nlme, lme(distance ~ age * Sex) on Orthodont, age:SexFemale",
        (Number("girls less boys, mm per year", "-0.30483", lambda: mean(face_slopes("female")) - mean(face_slopes("male"))),),
        data="potthoff1964", from_memory=True),
    Example(
        "Girth of five orange trees over 1464 days with uneven gaps: the time-weighted mean.", "series.windows.time_weighted_mean",
        "scipy_library", "numpy.trapezoid over the days, divided by their number",
        tuple(Number(f"tree {tree}, mm", published, lambda tree=tree: girth(tree)) for tree, published in (
            ("1", "94.78996"), ("2", "127.4259"), ("3", "88.65130"), ("4", "130.6913"), ("5", "102.8788"))),
        data="draper1998"),
    Example(
        "Chicks on two diets, weighed every second day for three weeks: the mean.", "judging.compare", "scipy_library",
        "numpy.trapezoid of ln weight / 21, then stats.ttest_ind, equal_var=False, version 1.17",
        numbers(lambda: diets("mean"), estimate="0.2466146", sign="3.838065", df="23.79443", p="0.0008018773", low="0.1139383",
                high="0.3792909"), data="crowder1990",
        note="Judged whole. Two chicks died in the first two weeks and are told as spoilt; two more were not weighed on the last days, and "
             "their last weight is held to the end, as the other program was told."),
    Example(
        "The same chicks: how fast they grew.", "judging.compare", "scipy_library",
        "numpy.polyfit of ln weight, then stats.ttest_ind, equal_var=False, version 1.17",
        numbers(lambda: diets("slope"), estimate="0.02326782", sign="3.529537", df="24.48000", p="0.001676372",
                low="0.009676055", high="0.03685959"), data="crowder1990"),
    Example(
        "Weeks of remission of 42 patients: who was later than whom.", "designs.onsets.pair_scores", "gehan1965", "the score W",
        (Number("sum of the scores under 6-MP, W", "271", lambda: gehan()[0]),
         Number("its variance over all arrangements", "5644.39", lambda: gehan()[1]),
         Number("chi-square", "13.0113", lambda: gehan()[0] ** 2 / gehan()[1])),
        from_memory=True, note="The table was read, W is recalled, variance and chi-square are those of an earlier calculation."),
    Example(
        "The same remissions: the log-rank chi-square.", "", "gehan1965", "scipy.stats.logrank gives the same",
        (Number("chi-square", "16.793", log_rank),),
        from_memory=True, note="Not a method of fairtank: it shows that the table is the one that others used."),
)
