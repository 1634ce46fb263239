"""The drawing program of the charts takes a process of its own and seconds to make: for tests that ask about something else, once."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from fairtank.web import chart_bundle

_MADE: dict[str, bytes] = {}


@contextmanager
def program_made_once() -> Iterator[None]:
    """Inside, the program is what was made first in this process."""
    make = chart_bundle._made_elsewhere

    def remembered(place: Path) -> None:
        if _MADE:
            place.parent.mkdir(parents=True, exist_ok=True)
            for name, content in _MADE.items():
                (place.parent / name).write_bytes(content)
        else:
            make(place)
            _MADE.update({one.name: one.read_bytes() for one in place.parent.glob(f"{place.name}*")})

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(chart_bundle, "_made_elsewhere", remembered)
        yield
