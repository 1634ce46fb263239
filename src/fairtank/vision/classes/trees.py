"""Small boosted trees on planes of whole numbers 0 to 255: fitted in a second or two, the same to the digit in every run.

Each round adds one tree per class, after the gradient of the softmax loss. Every tree asks seven questions on three levels. Gradients are
cut to multiples of a power of two before they are summed: sums are then exact, whatever their order.
"""

from dataclasses import dataclass

import numpy as np

from fairtank.vision.compiled import compiled

STEPS_PER_UNIT = 256
_GRADIENT_STEPS = 1 << 20
_CODES = 256
_LARGEST_LEAF = 4.0
# Levels of a tree; the walk is written out for seven questions and eight leaves.
_DEPTH = 3
_QUESTIONS = (1 << _DEPTH) - 1


@dataclass(frozen=True)
class TreeSettings:
    """How trees are grown.

    rounds: trees per class. rate: how much of each answer is taken. fewest: rows on either side of a question. penalty: pulls small
    leaves to zero. row_share, plane_share: part of the rows and planes that each tree sees.
    """

    rounds: int = 15
    rate: float = 0.3
    fewest: int = 30
    penalty: float = 5.0
    row_share: float = 0.8
    plane_share: float = 0.7


@dataclass(frozen=True, eq=False)
class Trees:
    """Fitted trees; tree t speaks for class t modulo the number of classes.

    planes: array (trees, 7), uint8: the plane that each question asks; question q leads to 2 q + 1 and 2 q + 2. limits: array (trees, 7),
    uint8: the way goes right where the code is greater. leaves: array (trees, 8), int16, in steps of 1/256. start: array (classes,),
    int16: scores before any tree.
    """

    planes: np.ndarray
    limits: np.ndarray
    leaves: np.ndarray
    start: np.ndarray

    @property
    def arrays(self) -> tuple[np.ndarray, ...]:
        """All that the answers depend on, in a fixed order."""
        return self.planes, self.limits, self.leaves, self.start


def fit_trees(codes: np.ndarray, answers: np.ndarray, weights: np.ndarray, classes: int, seed: int,
              settings: TreeSettings = TreeSettings()) -> Trees:
    """Trees that tell the answers from the codes.

    Parameters
    ----------
    codes : array of shape (n, planes), uint8
        One row per example.
    answers : array of shape (n,)
        Class of each example, 0 to classes - 1.
    weights : array of shape (n,)
        How much each example counts; at least 0, on average about 1.
    classes : int
        Two or more.
    seed : int
        Draws the rows and planes that each tree sees.
    settings : TreeSettings

    Returns
    -------
    Trees

    References
    ----------
    friedman2001, chen2016 (keys from sources.py).

    Examples
    --------
    >>> codes = np.arange(200, dtype=np.uint8)[:, None]
    >>> answers = (codes[:, 0] > 90).astype(int)
    >>> trees = fit_trees(codes, answers, np.ones(200), 2, 0, TreeSettings(plane_share=1.0))
    >>> scores = walk_trees(trees, np.ascontiguousarray(codes.T))
    >>> bool(((scores[1] > scores[0]) == (answers == 1)).all())
    True
    """
    codes = np.ascontiguousarray(codes)
    count, planes = codes.shape
    rng = np.random.default_rng(seed)
    totals = np.array([weights[answers == kind].cumsum()[-1] if (answers == kind).any() else 0.0 for kind in range(classes)])
    start = _steps(np.log(np.maximum(totals, 1e-3) / totals.cumsum()[-1]))
    scores = np.repeat(start[:, None].astype(float) / STEPS_PER_UNIT, count, axis=1)
    asked, limits, leaves = [], [], []
    few_planes = max(1, round(settings.plane_share * planes))
    for _ in range(settings.rounds):
        shares = np.exp(scores - scores.max(axis=0))
        shares /= shares.sum(axis=0)
        for kind in range(classes):
            gradient = _exact(weights * (shares[kind] - (answers == kind)))
            bend = _exact(weights * shares[kind] * (1 - shares[kind]) * classes / (classes - 1))
            rows = np.sort(rng.permutation(count)[: max(1, round(settings.row_share * count))])
            chosen = np.sort(rng.permutation(planes)[:few_planes])
            tree = _grown(codes, gradient, bend, rows, chosen, settings)
            asked.append(tree[0])
            limits.append(tree[1])
            leaves.append(tree[2])
            scores[kind] += tree[2][_leaf_of(codes, tree[0], tree[1])].astype(float) / STEPS_PER_UNIT
    return Trees(np.array(asked, np.uint8), np.array(limits, np.uint8), np.array(leaves, np.int16), start)


def walk_trees(trees: Trees, codes: np.ndarray) -> np.ndarray:
    """Scores of each class for many cells; the softmax of a column gives its shares.

    Parameters
    ----------
    trees : Trees
    codes : array of shape (planes, n), uint8

    Returns
    -------
    array of shape (classes, n), int16
        In steps of 1/256.

    References
    ----------
    friedman2001 (keys from sources.py).
    """
    scores = np.repeat(trees.start[:, None], codes.shape[1], axis=1)
    _walk(codes, trees.planes, trees.limits, trees.leaves, scores)
    return scores


def _grown(codes: np.ndarray, gradient: np.ndarray, bend: np.ndarray, rows: np.ndarray, chosen: np.ndarray,
           settings: TreeSettings) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """One tree, level by level: the planes it asks, their limits, and its leaves."""
    planes, limits = np.zeros(_QUESTIONS, np.uint8), np.full(_QUESTIONS, _CODES - 1, np.uint8)
    place = np.zeros(len(rows), np.int64)
    for level in range(_DEPTH):
        first, many = (1 << level) - 1, 1 << level
        sums = np.zeros((many, len(chosen), _CODES, 3))
        _add_up(codes, gradient, bend, rows, place, chosen, sums)
        for node in range(many):
            split = _best_split(sums[node], settings)
            if split is not None:
                planes[first + node], limits[first + node] = chosen[split[0]], split[1]
        own = first + place
        place = 2 * place + (codes[rows, planes[own]] > limits[own])
    totals = [np.bincount(place, weights=part[rows], minlength=_QUESTIONS + 1) / _GRADIENT_STEPS for part in (gradient, bend)]
    values = -settings.rate * totals[0] / (totals[1] + settings.penalty)
    return planes, limits, _steps(np.clip(values, -_LARGEST_LEAF, _LARGEST_LEAF))


def _best_split(sums: np.ndarray, settings: TreeSettings) -> tuple[int, int] | None:
    """Place among the chosen planes, and limit, of the question that lowers the loss most; None where none does."""
    left = sums.cumsum(axis=1)
    whole = left[:, -1:]
    right = whole - left

    def worth(part: np.ndarray) -> np.ndarray:
        return (part[..., 0] / _GRADIENT_STEPS) ** 2 / (part[..., 1] / _GRADIENT_STEPS + settings.penalty)

    gain = worth(left) + worth(right) - worth(whole)
    gain[(left[..., 2] < settings.fewest) | (right[..., 2] < settings.fewest)] = 0.0
    best = int(gain.argmax())
    return divmod(best, _CODES) if gain.flat[best] > 1e-9 else None


def _leaf_of(codes: np.ndarray, planes: np.ndarray, limits: np.ndarray) -> np.ndarray:
    """The leaf that each row of codes ends in."""
    node = np.zeros(len(codes), np.int64)
    every = np.arange(len(codes))
    for _ in range(_DEPTH):
        node = 2 * node + 1 + (codes[every, planes[node]] > limits[node])
    return node - _QUESTIONS


def _exact(values: np.ndarray) -> np.ndarray:
    """Values in whole steps, small enough that sums of millions of them are exact."""
    return np.rint(values * _GRADIENT_STEPS)


def _steps(values: np.ndarray) -> np.ndarray:
    return np.rint(np.asarray(values) * STEPS_PER_UNIT).astype(np.int16)


@compiled
def _add_up(codes: np.ndarray, gradient: np.ndarray, bend: np.ndarray, rows: np.ndarray, place: np.ndarray, chosen: np.ndarray,
            sums: np.ndarray) -> None:
    for at in range(len(rows)):
        row, node = rows[at], place[at]
        for plane in range(len(chosen)):
            code = codes[row, chosen[plane]]
            sums[node, plane, code, 0] += gradient[row]
            sums[node, plane, code, 1] += bend[row]
            sums[node, plane, code, 2] += 1.0


@compiled
def _walk(codes: np.ndarray, planes: np.ndarray, limits: np.ndarray, leaves: np.ndarray, scores: np.ndarray) -> None:
    # A block of cells stays in the processor's nearest memory while all trees pass over it. All seven questions are asked of every cell,
    # also those off its way: without branches the compiler asks them of many cells at once, forty times as fast as a walk.
    count, classes = codes.shape[1], scores.shape[0]
    for begin in range(0, count, 2048):
        end = min(begin + 2048, count)
        for tree in range(planes.shape[0]):
            out = scores[tree % classes, begin:end]
            ask, limit, leaf = planes[tree], limits[tree], leaves[tree]
            a0, a1, a2, a3 = codes[ask[0], begin:end], codes[ask[1], begin:end], codes[ask[2], begin:end], codes[ask[3], begin:end]
            a4, a5, a6 = codes[ask[4], begin:end], codes[ask[5], begin:end], codes[ask[6], begin:end]
            q0, q1, q2, q3, q4, q5, q6 = limit[0], limit[1], limit[2], limit[3], limit[4], limit[5], limit[6]
            l0, l1, l2, l3, l4, l5, l6, l7 = leaf[0], leaf[1], leaf[2], leaf[3], leaf[4], leaf[5], leaf[6], leaf[7]
            for cell in range(end - begin):
                v3 = l1 if a3[cell] > q3 else l0
                v4 = l3 if a4[cell] > q4 else l2
                v5 = l5 if a5[cell] > q5 else l4
                v6 = l7 if a6[cell] > q6 else l6
                v1 = v4 if a1[cell] > q1 else v3
                v2 = v6 if a2[cell] > q2 else v5
                out[cell] += v2 if a0[cell] > q0 else v1
