"""What a borrowed spread helps to find: held against trials that are judged by the function that will judge them."""

import math
import time

import numpy as np
import pytest

from fairtank.errors import NotEnoughDataError, OutOfRangeError
from fairtank.inference.earlier.library import interval_with_library
from fairtank.inference.earlier.like_tanks import SpreadKind, library_of
from fairtank.inference.foresight.borrowed_power import borrowed_power, supposed_power, supposed_variances
from fairtank.inference.foresight.smallest import arms_difference
from fairtank.trial import SpreadEntry

WORDS = "algae_cover", "logit", "mean", "35 to 49 days", "tank of 45 to under 80 L"
LIBRARIES = {"alike": ([0.2, 0.25, 0.3, 0.25, 0.25], [4.0] * 5), "not so alike": ([0.02, 0.1, 0.3, 0.7, 2.0, 0.4], [2.0] * 6)}


def judged(reference, changed, variances, dfs, *, halved=False):
    entries = [SpreadEntry(*WORDS, variance, df, f"trial {place}") for place, (variance, df) in enumerate(zip(variances, dfs, strict=True))]
    return interval_with_library(reference, changed, alpha=0.05, library=library_of(entries, SpreadKind(*WORDS)), halved=halved)


@pytest.mark.parametrize(("library", "n_1", "n_2", "halved"), [
    ("alike", 1, 1, False), ("alike", 2, 2, True), ("not so alike", 1, 1, False), ("not so alike", 2, 3, False),
])
def test_trials_with_that_difference_are_found_eight_times_in_ten(library, n_1, n_2, halved):
    variances, dfs = LIBRARIES[library]
    sd, trials, found, widths = 0.5, 70, 0, []
    told = borrowed_power(variances, dfs, sd, n_1, n_2, halved=halved)
    whole = told.difference * (2.0 if halved else 1.0)
    for row in np.random.default_rng(31).normal(0, sd, (trials, n_1 + n_2)).tolist():
        spread = judged(row[:n_1], [value + whole for value in row[n_1:]], variances, dfs, halved=halved)
        found += spread.interval.low > 0 or spread.interval.high < 0
        if spread.brake is not None:
            widths.append((spread.interval.high - spread.interval.low) / 2)
    assert found / trials == pytest.approx(0.8, abs=3 * math.sqrt(0.16 / trials))
    assert np.mean(widths) == pytest.approx(told.half_width, rel=0.12)
    assert 1 - len(widths) / trials == pytest.approx(told.withdrawn, abs=3 * math.sqrt(0.25 / trials))


def test_where_the_own_tanks_scatter_too_much_too_often_nothing_is_found():
    quiet, wild = (borrowed_power([0.2, 0.25, 0.3, 0.25, 0.25], [4.0] * 5, sd, 1, 2) for sd in (0.5, 5.0))
    assert quiet.difference is not None
    assert (wild.difference, wild.withdrawn > 0.5) == (None, True)


@pytest.mark.as_it_was("half-widths over random libraries of 8 trials with 2 degrees of freedom in an independent simulation, 2026-11-25")
@pytest.mark.parametrize(("n", "before"), [(1, 5.4), (2, 2.9)])
def test_half_widths_are_those_that_a_simulation_found(n, before):
    chance, found = np.random.default_rng(32), []
    for _ in range(11):
        variances = 8 / chance.chisquare(8, 8) * chance.chisquare(2, 8) / 2
        found.append(borrowed_power(variances, [2.0] * 8, 1.0, n, n).half_width)
    assert np.median(found) == pytest.approx(before, rel=0.15)


def test_everything_grows_with_the_spread():
    one, three = (borrowed_power(supposed_variances(sd), [2.0] * 5, sd, 2, 2) for sd in (1.0, 3.0))
    assert three.difference == pytest.approx(3 * one.difference, rel=1e-6)
    assert one.difference == pytest.approx(supposed_power(2, 2).difference)


def test_earlier_trials_help_two_tanks_per_arm():
    assert supposed_power(2, 2).difference < 0.75 * arms_difference(1.0, 2, 2)


def test_supposed_trials_lie_where_the_f_distribution_has_its_quantiles():
    from scipy.stats import f

    assert supposed_variances(2.0) == pytest.approx(4 * f.ppf([0.1, 0.3, 0.5, 0.7, 0.9], 2, 8))


def test_an_answer_takes_less_than_a_third_of_a_second():
    chance = np.random.default_rng(33)
    borrowed_power([0.3] * 5, [2.0] * 5, 0.5, 2, 2)
    began = time.process_time()
    borrowed_power(chance.uniform(0.1, 0.4, 8), [2.0] * 8, 0.5, 2, 2)
    assert time.process_time() - began < 0.3


@pytest.mark.parametrize(("call", "error", "message"), [
    (lambda: borrowed_power([0.2] * 5, [2.0] * 5, 0.5, 3, 3), NotEnoughDataError, "The arms have 3 and 3 units; a spread is borrowed"),
    (lambda: borrowed_power([0.2] * 5, [2.0] * 5, 0.0, 1, 1), OutOfRangeError, "sd is 0.0; accepted: a number above 0"),
    (lambda: borrowed_power([0.2] * 5, [2.0] * 5, 0.5, 1, 1, power=0.01), OutOfRangeError, "power is 0.01; accepted: above alpha"),
])
def test_what_cannot_be_worked_out_is_refused(call, error, message):
    with pytest.raises(error, match=message):
        call()
