"""Boosted trees: walked as one would by hand, as accurate as others' trees on the same data, and the same in every process."""

import subprocess
import sys

import numpy as np
import pytest

from fairtank.vision.classes.trees import Trees, TreeSettings, fit_trees, walk_trees

MAKES_TREES = """
import hashlib, numpy as np
from fairtank.vision.classes.trees import fit_trees
rng = np.random.default_rng(4)
codes = rng.integers(0, 256, (900, 6)).astype(np.uint8)
answers = (codes[:, 0] > 128).astype(int) + (codes[:, 1] > 200)
trees = fit_trees(codes, answers, np.linspace(0.5, 1.5, 900), 3, 7)
print(hashlib.sha256(b"".join(part.tobytes() for part in trees.arrays)).hexdigest())
"""


def puzzle(count: int, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Codes of eight planes and a class of three that depends on five of them, with noise."""
    rng = np.random.default_rng(seed)
    codes = rng.integers(0, 256, (count, 8)).astype(np.uint8)
    part = codes / 255.0
    pulls = np.stack([4 * part[:, 0] * part[:, 1], part[:, 2] + np.sin(5 * part[:, 3]), 8 * (part[:, 4] - 0.5) ** 2], axis=1)
    return codes, (pulls + rng.normal(0, 0.3, pulls.shape)).argmax(axis=1)


def walked_by_hand(trees: Trees, codes: np.ndarray) -> list[list[int]]:
    scores = [[int(start)] * codes.shape[1] for start in trees.start]
    for number, (planes, limits, leaves) in enumerate(zip(trees.planes, trees.limits, trees.leaves, strict=True)):
        for cell in range(codes.shape[1]):
            question = 0
            while question < 7:
                question = 2 * question + (2 if codes[planes[question], cell] > limits[question] else 1)
            scores[number % len(scores)][cell] += int(leaves[question - 7])
    return scores


def test_the_walk_equals_one_by_hand_question_by_question():
    codes, answers = puzzle(700, 1)
    trees = fit_trees(codes, answers, np.ones(700), 3, 0)
    turned = np.ascontiguousarray(codes.T)
    assert walk_trees(trees, turned).tolist() == walked_by_hand(trees, turned)


def test_trees_are_as_accurate_as_scikit_learns_on_the_same_data():
    from sklearn.ensemble import HistGradientBoostingClassifier

    codes, answers = puzzle(4000, 2)
    fresh, truth = puzzle(4000, 3)
    ours = fit_trees(codes, answers, np.ones(4000), 3, 0, TreeSettings(rounds=40))
    theirs = HistGradientBoostingClassifier(max_iter=40, max_depth=3, learning_rate=0.3, early_stopping=False, random_state=0)
    theirs.fit(codes, answers)
    right = (walk_trees(ours, np.ascontiguousarray(fresh.T)).argmax(axis=0) == truth).mean()
    assert right > 0.75
    assert right == pytest.approx((theirs.predict(fresh) == truth).mean(), abs=0.015)


def test_shares_are_calibrated_as_scikit_learns_are():
    """Mean log loss on fresh data, which tells whether the scores mean what they say."""
    from sklearn.ensemble import GradientBoostingClassifier

    codes, answers = puzzle(2500, 5)
    fresh, truth = puzzle(2500, 6)
    scores = walk_trees(fit_trees(codes, answers, np.ones(2500), 3, 0), np.ascontiguousarray(fresh.T)) / 256
    shares = np.exp(scores) / np.exp(scores).sum(axis=0)
    theirs = GradientBoostingClassifier(n_estimators=15, learning_rate=0.3, max_depth=3, random_state=0).fit(codes, answers)
    of_both = shares.T, theirs.predict_proba(fresh)
    losses = [float(-np.log(part[np.arange(len(truth)), truth]).mean()) for part in of_both]
    assert losses[0] == pytest.approx(losses[1], abs=0.04)


def test_the_same_strokes_give_the_same_trees_in_other_processes():
    run = [sys.executable, "-c", MAKES_TREES]
    digests = {subprocess.run(run, capture_output=True, text=True, check=True, env={"PYTHONHASHSEED": seed}).stdout for seed in ("1", "2")}
    assert len(digests) == 1


def test_the_order_of_the_rows_changes_no_sum():
    """Gradients are whole steps: a tree that sees all rows is the same whatever their order."""
    codes, answers = puzzle(500, 8)
    turned = np.random.default_rng(0).permutation(500)
    settings = TreeSettings(rounds=4, row_share=1.0)
    weights = np.linspace(0.3, 1.7, 500)
    first = fit_trees(codes, answers, weights, 3, 0, settings)
    second = fit_trees(codes[turned], answers[turned], weights[turned], 3, 0, settings)
    assert all(np.array_equal(one, other) for one, other in zip(first.arrays[:3], second.arrays[:3], strict=True))


def test_codes_that_tell_nothing_leave_every_cell_at_the_share_of_its_class():
    codes, answers = np.full((300, 4), 9, np.uint8), np.repeat([0, 1, 2], [150, 100, 50])
    scores = walk_trees(fit_trees(codes, answers, np.ones(300), 3, 0), np.full((4, 2), 9, np.uint8)) / 256
    shares = np.exp(scores) / np.exp(scores).sum(axis=0)
    assert np.allclose(shares[:, 0], [0.5, 1 / 3, 1 / 6], atol=0.03)


def test_an_example_of_no_weight_is_not_heard():
    codes, answers = puzzle(400, 9)
    weights = np.ones(400)
    weights[200:] = 0
    quiet = answers.copy()
    quiet[200:] = (answers[200:] + 1) % 3
    first, second = (fit_trees(codes, kinds, weights, 3, 0) for kinds in (answers, quiet))
    assert np.array_equal(first.leaves, second.leaves)


def test_no_question_parts_fewer_rows_than_the_fewest():
    codes, answers = puzzle(200, 10)
    settings = TreeSettings(rounds=3, fewest=60, row_share=1.0)
    trees = fit_trees(codes, answers, np.ones(200), 3, 0, settings)
    for planes, limits in zip(trees.planes, trees.limits, strict=True):
        if limits[0] < 255:
            right = (codes[:, planes[0]] > limits[0]).sum()
            assert 60 <= right <= 140
