"""The tables of other fields, given to numpy and scipy as well: the numbers listed as theirs are what they give today."""

import numpy as np
import pytest

from checking import every
from fairtank.inference.designs.pairs import one_sample, pairs_shuffle_p
from fairtank.inference.intervals.welch import welch
from fairtank.inference.series.slopes import least_squares_slope
from fairtank.inference.series.windows import time_weighted_mean
from inference.worked.arms import roots, stools
from inference.worked.courses import diets, face_slopes
from inference.worked.data import chicks, efforts, faces, grass, sprays, trees

ARMS = {
    **{f"sprays {one} and {other}, roots": (roots(one), roots(other)) for one, other in ("AB", "CD", "CE", "AC", "DF")},
    **{f"sprays {one} and {other}, as they are": (sprays(one), sprays(other)) for one, other in ("AF", "BC")},
    **{f"grass of {origin}": (grass(origin, "nonchilled"), grass(origin, "chilled")) for origin in ("quebec", "mississippi")},
    "faces of boys and girls": (face_slopes("male"), face_slopes("female")),
}


@pytest.mark.published(entry="side_by_side", source="scipy_library", where="stats.ttest_ind, equal_var=False")
@every("name", ARMS)
@every("alpha", [0.05, 0.005])
def test_two_arms_of_other_fields_give_scipys_interval(name, alpha):
    from scipy.stats import ttest_ind

    reference, changed = ARMS[name]
    other = ttest_ind(changed, reference, equal_var=False)
    limits = other.confidence_interval(1 - alpha)
    found = welch(reference, changed, alpha=alpha)
    assert (found.p_value, found.df, found.low, found.high) == pytest.approx((other.pvalue, other.df, limits.low, limits.high), rel=1e-9)


@pytest.mark.published(entry="pairs", source="scipy_library", where="stats.ttest_rel, stats.permutation_test of samples")
def test_the_stools_in_pairs_give_scipys_test():
    from scipy.stats import permutation_test, ttest_rel

    other = ttest_rel(efforts("T2"), efforts("T1"))
    limits = other.confidence_interval()
    found = one_sample(stools(), alpha=0.05)
    assert (found.p_value, found.low, found.high) == pytest.approx((other.pvalue, limits.low, limits.high), rel=1e-9)
    exact = permutation_test((np.array(stools()),), np.mean, permutation_type="samples", n_resamples=np.inf)
    assert pairs_shuffle_p(stools()) == pytest.approx(exact.pvalue, rel=1e-9)


@every("child", faces())
def test_each_childs_slope_is_that_of_a_fitted_line(child):
    points = faces()[child][1]
    assert least_squares_slope(points) == pytest.approx(np.polyfit(*zip(*points, strict=True), 1)[0], rel=1e-9)


@pytest.mark.parametrize("tree", trees())
def test_each_trees_mean_girth_is_the_area_over_its_days(tree):
    days, girths = zip(*trees()[tree], strict=True)
    assert time_weighted_mean(trees()[tree], (days[0], days[-1])) == pytest.approx(np.trapezoid(girths, days) / (days[-1] - days[0]))


def chick_numbers(summary):
    """Each chick's number by numpy, by diet: the last weight held to day 21; chicks not weighed for more than a week are left out."""
    found = {"1": [], "3": []}
    for diet, points in chicks().values():
        days, logs = zip(*((day, np.log(weight)) for day, weight in points), strict=True)
        if 21 - days[-1] > 7:
            continue
        held = np.trapezoid([*logs, logs[-1]], [*days, 21]) / 21
        found[diet].append(held if summary == "mean" else np.polyfit(days, logs, 1)[0])
    return found


@pytest.mark.published(entry="side_by_side", source="scipy_library", where="numpy.trapezoid and numpy.polyfit, stats.ttest_ind")
@pytest.mark.parametrize("summary", ["mean", "slope"])
def test_the_chicks_are_judged_as_numpy_and_scipy_judge_them(summary):
    from scipy.stats import ttest_ind

    numbers = chick_numbers(summary)
    other = ttest_ind(numbers["3"], numbers["1"], equal_var=False)
    limits = other.confidence_interval()
    found = diets(summary)
    assert (found.n_reference, found.n_changed) == (18, 10)
    assert [unit.unit for unit in found.units if unit.spoilt] == ["chick16", "chick18"]
    assert (found.p_value, found.low, found.high) == pytest.approx((other.pvalue, limits.low, limits.high), rel=1e-9)
