"""The end of a JPEG's packed px is found where a plain look at every byte finds it."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fairtank.records import photo_scan
from fairtank.records.photo_scan import next_marker

# Of the rule of ITU-T T.81 (B.1.1.2 and B.2.1) in other words: a mark, then neither a stuffed zero, nor a restart, nor a fill byte.
PLAIN = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]", re.DOTALL)
ODD_BYTES = st.sampled_from([0x00, 0x01, 0x7F, 0xCF, 0xD0, 0xD7, 0xD8, 0xD9, 0xFE, 0xFF])


def plain(content: bytes, start: int) -> int:
    found = PLAIN.search(content, start)
    return found.start() if found else -1


@given(content=st.lists(ODD_BYTES, max_size=40).map(bytes), start=st.integers(0, 45), near=st.integers(1, 9), block=st.integers(1, 9))
def test_the_first_marker_is_the_one_that_a_plain_look_finds(content, start, near, block):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(photo_scan, "_NEAR_BYTES", near)
        patch.setattr(photo_scan, "_BLOCK_BYTES", block)
        assert next_marker(content, start) == plain(content, start)


@pytest.mark.parametrize("before", [b"\x12\xff\x00", b"\xff\xd3\x12", b"\xff\xff\xd7"])
@pytest.mark.parametrize("more", [-1, 0, 1])
def test_a_marker_at_the_seam_of_two_blocks_is_seen(before, more):
    n_before = photo_scan._NEAR_BYTES + photo_scan._BLOCK_BYTES + more
    content = (before * (n_before // 3 + 1))[:n_before // 3 * 3] + b"\x11" * (n_before % 3) + b"\xff\xd9"
    assert next_marker(content, 0) == plain(content, 0) == len(content) - 2
