"""Three dozen trials with known unfairness, written without a look at the evenness check: it finds what was planted, and nothing else."""

import importlib
import sys
from functools import cache
from itertools import islice
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
EACH = 6


@cache
def bench():
    """benchmarks/bench_even.py as a module."""
    if str(ROOT / "benchmarks") not in sys.path:
        sys.path.append(str(ROOT / "benchmarks"))
    return importlib.import_module("bench_even")


@pytest.fixture(scope="module")
def rows():
    """Six trials of each sort, spread over the kinds and designs, checked from their folders."""
    module, chosen = bench(), []
    for sort in module.WORDS:
        own = [one for one in importlib.import_module("planted.trials").planned() if one[0] == sort]
        step = max(len(own) // EACH, 1)
        chosen += [one[-1] for one in islice(own, 0, None, step)][:EACH]
    return module.looked_at(importlib.import_module("planted.trials").trials(frozenset(chosen)), tell=lambda line: None)


def share(rows, sort):
    own = [row["right"] for row in rows if row["sort"] == sort]
    return sum(own) / len(own), len(own)


def test_what_goes_along_with_the_arms_is_found(rows):
    found, count = share(rows, bench().ALIGNED)
    assert count == EACH
    assert found == 1.0, [row for row in rows if not row["right"]]


def test_fair_trials_are_left_alone(rows):
    found, count = share(rows, bench().FAIR)
    assert count == EACH
    assert found == 1.0, [row for row in rows if not row["right"]]


@pytest.mark.parametrize("sort", ["crossed", "side effect", "missing", "meant"])
def test_what_is_crossed_meant_missing_or_comes_with_the_change_is_told_as_that(rows, sort):
    found, count = share(rows, sort)
    assert count == EACH
    assert found >= 5 / 6, [row for row in rows if not row["right"]]


def test_the_list_of_planted_trials_is_long_and_of_many_kinds():
    every = list(importlib.import_module("planted.trials").planned()) if bench() else []
    assert len(every) >= 400
    assert len({one[1] for one in every}) >= 40
