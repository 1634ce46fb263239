"""Gaussian mixtures find the clusters that made the data."""

import numpy as np

from fairtank.vision.classes.mixture import log_likelihood, mixture


def test_a_mixture_finds_two_clusters_their_sizes_and_places():
    rng = np.random.default_rng(2)
    data = np.concatenate([rng.normal((30, 0, 0), 3, (900, 3)), rng.normal((70, 20, -10), 3, (300, 3))])
    parts = sorted(mixture(data, 2, np.random.default_rng(0)), key=lambda part: part[1][0])
    assert np.allclose([part[0] for part in parts], [0.75, 0.25], atol=0.01)
    assert np.allclose(parts[0][1], (30, 0, 0), atol=0.5)
    assert np.allclose(parts[1][1], (70, 20, -10), atol=0.7)


def test_one_component_is_the_plain_mean():
    data = np.random.default_rng(1).normal(50, 10, (40, 3))
    ((weight, mean, _),) = mixture(data, 1, np.random.default_rng(0))
    assert weight == 1
    assert np.allclose(mean, data.mean(0))


def test_too_few_colours_fall_back_to_one_component():
    assert len(mixture(np.random.default_rng(1).normal(50, 10, (30, 3)), 4, np.random.default_rng(0))) == 1


def test_identical_colours_do_not_break_the_fit():
    parts = mixture(np.full((500, 3), 42.0), 4, np.random.default_rng(0))
    assert np.isfinite(log_likelihood(np.array([[42.0, 42, 42]]), parts)).all()


def test_the_density_integrates_to_the_same_for_narrow_and_wide():
    """Compared with scipy's own multivariate normal density, up to the shared constant."""
    from scipy.stats import multivariate_normal

    covariance = np.array([[4.0, 1, 0], [1, 3, 0.5], [0, 0.5, 9]])
    points = np.random.default_rng(3).normal(0, 3, (20, 3))
    ours = log_likelihood(points, [(1.0, np.array([1.0, 2, 3]), covariance)])
    theirs = multivariate_normal([1, 2, 3], covariance).logpdf(points) + 1.5 * np.log(2 * np.pi)
    assert np.allclose(ours, theirs)
