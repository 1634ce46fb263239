"""Gaussian mixtures in CIELAB: how likely a colour is under the strokes of one class."""

import numpy as np

# Added to every covariance [Lab units squared]: JPEG noise and the width of a lookup cell.
_NOISE_VARIANCE = 4.0
_SHRINK = 0.05
_ROUNDS = 15
_MOST_SAMPLES = 6000

Component = tuple[float, np.ndarray, np.ndarray]


def mixture(colours: np.ndarray, count: int, rng: np.random.Generator) -> list[Component]:
    """A mixture of Gaussians fitted to colours by expectation-maximisation.

    Parameters
    ----------
    colours : array of shape (n, 3)
        CIELAB colours of one class's strokes; n of at least 1.
    count : int
        Components, 1 or more. One gives the plain mean and covariance.
    rng : numpy.random.Generator
        Chooses the start and, from more than 6000 colours, a sample.

    Returns
    -------
    list of (weight, mean of shape (3,), covariance of shape (3, 3))

    References
    ----------
    dempster1977 (keys from sources.py).

    Examples
    --------
    >>> parts = mixture(np.array([[50.0, 0, 0], [50.0, 2, 0]]), 1, np.random.default_rng(0))
    >>> parts[0][1].tolist()
    [50.0, 1.0, 0.0]
    """
    if len(colours) > _MOST_SAMPLES:
        colours = colours[rng.permutation(len(colours))[:_MOST_SAMPLES]]
    whole = _covariance(colours) + _NOISE_VARIANCE * np.eye(3)
    if count == 1 or len(colours) < 20 * count:
        return [(1.0, colours.mean(0), whole)]
    means = _spread_start(colours, count, rng)
    nearest = _distances(colours, means).argmin(1)
    memberships = (nearest[:, None] == np.arange(count)).astype(float)
    parts: list[Component] = []
    for left in reversed(range(_ROUNDS)):
        parts = _refitted(colours, memberships, whole)
        if not left:
            break
        each = np.stack([np.log(weight) + _log_density(colours, mean, covariance) for weight, mean, covariance in parts], axis=1)
        memberships = np.exp(each - each.max(1, keepdims=True))
        memberships /= memberships.sum(1, keepdims=True)
    return parts


def log_likelihood(colours: np.ndarray, parts: list[Component]) -> np.ndarray:
    """Log density of each colour under a mixture, up to one constant.

    Parameters
    ----------
    colours : array of shape (n, 3) or (n, 2)
        CIELAB; of two, without lightness.
    parts : list of (weight, mean, covariance)
        From `mixture`, or from `without_lightness`.

    Returns
    -------
    array of shape (n,)

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> parts = [(1.0, np.zeros(3), np.eye(3))]
    >>> log_likelihood(np.array([[0.0, 0, 0], [2.0, 0, 0]]), parts).tolist()
    [0.0, -2.0]
    """
    each = [np.log(weight) + _log_density(colours, mean, covariance) for weight, mean, covariance in parts]
    return np.logaddexp.reduce(each, axis=0)


def without_lightness(parts: list[Component]) -> list[Component]:
    """The same mixture of tints: what is left of it when lightness may be any.

    Parameters
    ----------
    parts : list of (weight, mean of shape (3,), covariance of shape (3, 3))
        In CIELAB, from `mixture`.

    Returns
    -------
    list of (weight, mean of shape (2,), covariance of shape (2, 2))

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> weight, mean, covariance = without_lightness([(1.0, np.array([50.0, -9, 4]), np.diag([99.0, 2, 3]))])[0]
    >>> mean.tolist(), covariance.tolist()
    ([-9.0, 4.0], [[2.0, 0.0], [0.0, 3.0]])
    """
    return [(weight, mean[1:], covariance[1:, 1:]) for weight, mean, covariance in parts]


def _log_density(colours: np.ndarray, mean: np.ndarray, covariance: np.ndarray) -> np.ndarray:
    factor = np.linalg.cholesky(covariance)
    away = [column - middle for column, middle in zip(colours.T, mean, strict=True)]
    # The lower triangle solved by hand: a general solver is slower than its three rows.
    first = away[0] / factor[0, 0]
    second = (away[1] - factor[1, 0] * first) / factor[1, 1]
    if colours.shape[1] == 2:
        return -0.5 * (first**2 + second**2) - np.log(np.diag(factor)).sum()
    third = (away[2] - factor[2, 0] * first - factor[2, 1] * second) / factor[2, 2]
    return -0.5 * (first**2 + second**2 + third**2) - np.log(np.diag(factor)).sum()


def _covariance(colours: np.ndarray) -> np.ndarray:
    centred = colours - colours.mean(0)
    return centred.T @ centred / max(len(colours) - 1, 1)


def _distances(colours: np.ndarray, means: np.ndarray) -> np.ndarray:
    return np.stack([((colours - mean) ** 2) @ np.ones(3) for mean in means], axis=1)


def _spread_start(colours: np.ndarray, count: int, rng: np.random.Generator) -> np.ndarray:
    """Starting means far apart: each next one is drawn in proportion to its squared distance, then moved by k-means."""
    means = colours[rng.integers(len(colours))][None]
    while len(means) < count:
        gap = _distances(colours, means).min(1)
        if gap.sum() == 0:  # fewer different colours than means
            return np.repeat(means, count, axis=0)[:count]
        means = np.concatenate([means, colours[rng.choice(len(colours), p=gap / gap.sum())][None]])
    before = None
    for _ in range(20):
        nearest = _distances(colours, means[:count]).argmin(1)
        if before is not None and np.array_equal(nearest, before):
            break  # nothing would move any more
        before = nearest
        means = np.array([colours[nearest == k].mean(0) if (nearest == k).any() else means[k] for k in range(count)])
    return means


def _refitted(colours: np.ndarray, memberships: np.ndarray, whole: np.ndarray) -> list[Component]:
    """Weights, means and covariances from the memberships; covariances are drawn a little towards the whole class's."""
    parts = []
    for share in memberships.T:
        total = share.sum() + 1e-9
        mean = share @ colours / total
        centred = colours - mean
        own = (share[:, None] * centred).T @ centred / total
        parts.append((max(total / len(colours), 1e-6), mean, (1 - _SHRINK) * own + _SHRINK * whole + _NOISE_VARIANCE / 2 * np.eye(3)))
    return parts
