"""Where the packed px of a JPEG end: looked for many bytes at a time, because a scan is nearly all of a photo's file."""

import re

import numpy as np

_NEAR = re.compile(rb"\xff[\x01-\xcf\xd8-\xfe]")  # a marker that is neither a stuffed byte nor a restart
_NEAR_BYTES = 2 << 10  # a file may be made of a hundred thousand short scans
_BLOCK_BYTES = 256 << 10  # small enough to stay in the processor's own memory from one comparison to the next
_MARK, _STUFFED, _RESTARTS, _FILL = 0xFF, 0x00, 0xD0, 0xFF  # D0 to D7 are restarts: the px go on behind them
_RESTART_BITS = 0xF8


def next_marker(content: bytes, start: int) -> int:
    """Where the first marker from a place on stands that ends a scan; -1 where there is none.

    >>> next_marker(b"px" + bytes((0xFF, 0x00, 0xFF, 0xD3)) + b"px" + bytes((0xFF, 0xFF, 0xD9)), 0)
    9
    """
    near = _NEAR.search(content, start, start + _NEAR_BYTES + 1)  # one more: a marker may lie across the seam
    return near.start() if near else _far_marker(content, start + _NEAR_BYTES)


def _far_marker(content: bytes, start: int) -> int:
    octets = np.frombuffer(content, np.uint8)
    marks = np.empty(max(0, min(_BLOCK_BYTES, len(content) - 1 - start)), bool)
    for block in range(start, len(content) - 1, _BLOCK_BYTES):
        here = octets[block:block + _BLOCK_BYTES + 1]
        behind, found = here[1:], marks[:len(here) - 1]
        np.equal(here[:-1], _MARK, out=found)
        one_each = found.view(np.uint8)
        np.minimum(one_each, behind, out=one_each)  # one where a mark has anything but a zero behind it
        if found.any():
            found &= (behind & _RESTART_BITS != _RESTARTS) & (behind != _FILL)
            if found.any():
                return block + int(found.argmax())
    return -1
