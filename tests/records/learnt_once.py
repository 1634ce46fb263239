"""Learning from strokes is a pure function and the dearest step of small trials: done once for the same strokes and colours.

It holds for all tests of the rooms whose conftest.py uses it, and within one process; the commands that tests start learn for themselves.
"""

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from fairtank.records.services import preparing


@contextmanager
def learnt_once() -> Iterator[None]:
    """Inside, the same stroke pictures are not learnt again in this process."""
    learnt, known = preparing.learn_classes, {}

    def remembered(pictures, kinds):  # type: ignore[no-untyped-def]
        parts = [part for one in pictures for part in (one.picture, one.numbers, one.counted)]
        told = [(part.dtype.str, part.shape, hashlib.sha256(part.tobytes()).digest()) for part in parts]
        key = (tuple(one.photo for one in pictures), tuple(told), kinds)
        if key not in known:
            known[key] = learnt(pictures, kinds)
        return known[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(preparing, "learn_classes", remembered)
        yield
