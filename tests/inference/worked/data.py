"""The data of the worked examples, from tests/published."""

import math

from inference.trials import table

# Differences of height in eighths of an inch, crossed less self-fertilised; recalled.
MAIZE = (49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48)
# Permeability of a membrane at term and at 12 to 26 weeks; recalled.
AT_TERM = (0.80, 0.83, 1.89, 1.04, 1.45, 1.38, 1.91, 1.64, 0.73, 1.46)
EARLY = (1.15, 0.88, 0.90, 0.74, 1.21)
# How two people sorted 100 patients into three classes.
THREE_CLASSES = [[53, 5, 2], [11, 14, 5], [1, 6, 3]]
JOURNALS = ("Biometrika", "Comm Statist", "JASA", "JRSS-B")


def sleep():
    """Extra hours of sleep of ten people under each of two drugs."""
    rows = table("student1908_sleep.csv")
    return tuple([float(row["extra_h"]) for row in rows if row["group"] == group] for group in "12")


def weights(group):
    """Dried weights of the plants of one group. [g]"""
    return [float(row["weight_g"]) for row in table("dobson1983_plantgrowth.csv") if row["group"] == group]


def period_differences():
    """First period less second of thirteen patients, and +1 for those who had formoterol first, else -1."""
    rows = table("senn2002_peak_flow.csv")
    return ([float(row["period_1"]) - float(row["period_2"]) for row in rows],
            [1 if row["first"] == "formoterol" else -1 for row in rows])


def remission():
    """(last week still well, first week not) of each patient, those under 6-MP last."""
    rows = sorted(table("gehan1965_remission.csv"), key=lambda row: row["treatment"] == "6-MP")
    return [(float(row["weeks"]), float(row["weeks"]) if row["ended"] == "1" else math.inf) for row in rows]


def bcg():
    """Log risk ratio and its variance of each of thirteen trials."""
    estimates, variances = [], []
    for row in table("colditz1994_bcg.csv"):
        cases, others, control_cases, control_others = (float(row[column]) for column in (
            "vaccinated_cases", "vaccinated_others", "control_cases", "control_others"))
        treated, control = cases + others, control_cases + control_others
        estimates.append(math.log(cases / treated) - math.log(control_cases / control))
        variances.append(1 / cases - 1 / treated + 1 / control_cases - 1 / control)
    return estimates, variances


def dersimonian_laird(estimates, variances):
    """Their tau2, for comparison: not used by fairtank."""
    weight = [1 / variance for variance in variances]
    total, squares = math.fsum(weight), math.fsum(one * one for one in weight)
    centre = math.fsum(one * estimate for one, estimate in zip(weight, estimates, strict=True)) / total
    q = math.fsum(one * (estimate - centre) ** 2 for one, estimate in zip(weight, estimates, strict=True))
    return max(0.0, (q - (len(weight) - 1)) / (total - squares / total))


def scores_of(name):
    """Units of one of two printed sets: a list of four cells each, None where nobody scored."""
    rows = [row for row in table("krippendorff_library_scores.csv") if row["set"] == name]
    return [[float(row[who]) if row[who] else None for who in ("first", "second", "third", "fourth")] for row in rows]


def citations():
    """How often each of four journals was cited by each other one."""
    wins = [[0.0] * len(JOURNALS) for _ in JOURNALS]
    for row in table("bradleyterry2_data_citations.csv"):
        wins[JOURNALS.index(row["winner"])][JOURNALS.index(row["loser"])] = float(row["count"])
    return wins


def faces():
    """Child -> (sex, its distances by age)."""
    found = {}
    for row in table("potthoff1964_orthodont.csv"):
        found.setdefault(row["subject"], (row["sex"], []))[1].append((int(row["age_years"]), float(row["distance_mm"])))
    return found


def sprays(spray):
    """Insects on the plots under one spray."""
    return [int(row["insects"]) for row in table("beall1942_insectsprays.csv") if row["spray"] == spray]


def chicks():
    """Chick -> (diet, its weights by day). [g]"""
    found = {}
    for row in table("crowder1990_chickweight.csv"):
        found.setdefault(row["chick"], (row["diet"], []))[1].append((int(row["day"]), float(row["weight_g"])))
    return found


def trees():
    """Tree -> its girth by day. [mm]"""
    found = {}
    for row in table("draper1998_orange.csv"):
        found.setdefault(row["tree"], []).append((int(row["day"]), float(row["girth_mm"])))
    return found


def grass(origin, treatment):
    """Mean uptake of each plant of one origin under one treatment: one number per plant, however often it was measured."""
    plants = {}
    for row in table("potvin1990_co2.csv"):
        if (row["origin"], row["treatment"]) == (origin, treatment):
            plants.setdefault(row["plant"], []).append(float(row["uptake"]))
    return [math.fsum(values) / len(values) for values in plants.values()]


def efforts(stool):
    """Effort of nine people to rise from one stool, always in the same order of people."""
    rows = sorted(table("pinheiro2000_ergostool.csv"), key=lambda row: row["person"])
    return [float(row["effort"]) for row in rows if row["stool"] == stool]


def peas():
    """Yields of peas in six blocks, where nitrogen, phosphate and potash were given (+1) or not (-1), and the blocks. [lb]"""
    rows = table("venables2002_npk.csv")
    signs = {letter: [1 if row[name] == "1" else -1 for row in rows]
             for letter, name in (("N", "nitrogen"), ("P", "phosphate"), ("K", "potash"))}
    return [float(row["yield_lb"]) for row in rows], signs, [row["block"] for row in rows]
