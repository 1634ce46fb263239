"""Trials without any effect: how often the rules for several arms, ladders and two changes claim one, where arms scatter unevenly.

The rules of books, with one scatter for all, are run on the same trials, to show what the wider intervals are for.
"""

import math

import numpy as np

from fairtank.inference.designs.four_ways import CELLS
from fairtank.inference.designs.ladder import fit_line, slope_interval
from fairtank.inference.designs.many_arms import held_together
from fairtank.inference.designs.two_changes import effect_interval, factorial_contrasts, ways_of
from fairtank.inference.intervals.multiple import loadings_of, many_to_one_critical
from fairtank.inference.intervals.student import quantile
from fairtank.inference.intervals.welch import mean, variance

TRIALS = 600
MOST = 0.05 + 3 * math.sqrt(0.05 * 0.95 / TRIALS)


def leaves_out_none(interval):
    return not interval.low <= 0 <= interval.high


def drawn(sizes, spreads, seed):
    random = np.random.default_rng(seed)
    return [[(random.standard_normal(size) * spread).tolist() for size, spread in zip(sizes, spreads, strict=True)] for _ in range(TRIALS)]


def test_several_arms_of_uneven_scatter_are_claimed_to_differ_in_five_of_a_hundred_at_most():
    ours = books = 0
    sizes, df = (2, 3, 3), 5.0
    critical = many_to_one_critical(0.05, df, loadings_of(2, (3, 3)))
    for arms in drawn(sizes, (2, 1, 1), 41):
        ours += any(leaves_out_none(held_together(arms[0], own, 2, alpha=0.05, scale="identity")) for own in arms[1:])
        error = math.sqrt(sum((len(own) - 1) * variance(own) for own in arms) / df * (1 / 2 + 1 / 3))
        books += any(abs(mean(own) - mean(arms[0])) > critical * error for own in arms[1:])
    assert ours / TRIALS <= MOST < books / TRIALS


def test_a_ladder_whose_end_scatters_more_is_claimed_to_rise_in_five_of_a_hundred_at_most():
    ours = books = 0
    steps = [dose for dose in (0, 1, 2, 8) for _ in range(3)]
    apart = np.array(steps, float) - np.mean(steps)
    critical = quantile(0.025, len(steps) - 2)
    for arms in drawn((3, 3, 3, 3), (1, 1, 1, 2), 42):
        line = fit_line(steps, [value for own in arms for value in own])
        ours += leaves_out_none(slope_interval(line, 8.0, alpha=0.05))
        books += abs(line.slope) > critical * line.spread / math.sqrt(float(apart @ apart))
    assert ours / TRIALS <= MOST < books / TRIALS


def test_two_changes_of_uneven_scatter_are_claimed_in_five_of_a_hundred_at_most():
    ours = books = 0
    sizes = (2, 4, 4, 4)
    signs = {name: [1 if cell[place] else -1 for cell, size in zip(CELLS, sizes, strict=True) for _ in range(size)]
             for place, name in enumerate("ab")}
    for arms in drawn(sizes, (2, 1, 1, 1), 43):
        ways = ways_of(dict(zip(CELLS, arms, strict=True)), "identity")
        ours += any(leaves_out_none(effect_interval(ways, place, alpha=0.05)) for place in (0, 1))
        # Bonferroni over the two: the strictest way in which books hold them together.
        books += any(one.p_value <= 0.025 for one in factorial_contrasts([value for own in arms for value in own], signs)[:2])
    assert ours / TRIALS <= MOST < books / TRIALS
