"""Learning from strokes is a pure function and the dearest step of small trials: done once for the same strokes and colours."""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from fairtank.records.services import preparing


@contextmanager
def learnt_once() -> Iterator[None]:
    """Inside, the same stroke pictures are not learnt again in this process."""
    learnt, known = preparing.learn_classes, {}

    def remembered(pictures, kinds):  # type: ignore[no-untyped-def]
        key = (tuple((one.photo, *(part.tobytes() for part in (one.picture, one.numbers, one.counted))) for one in pictures), kinds)
        if key not in known:
            known[key] = learnt(pictures, kinds)
        return known[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(preparing, "learn_classes", remembered)
        yield
