"""Prepared photos, views and notes as text that can be kept: frozen dataclasses of numbers, words and arrays, and back.

Unlike Python's own pickle it makes nothing but such dataclasses of this package, so a trial folder from a stranger can be opened safely.
"""

import base64
import dataclasses
import math
import sys
import zlib
from typing import Any

import numpy as np

_ROOMS = ("fairtank.vision.", "fairtank.trial", "fairtank.card", "fairtank.lens")
_LARGEST_BYTES = 1 << 28  # of one array; those of a view are a hundred times smaller


def packed(value: Any) -> Any:
    """The value as parts that JSON can write; floats and arrays keep every bit.

    Parameters
    ----------
    value : number, text, None, tuple, dict with words as keys, array, or a dataclass made of these

    Returns
    -------
    JSON value

    Raises
    ------
    TypeError
        If a part is something else.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> unpacked(packed((1, 0.1, None)))
    (1, 0.1, None)
    """
    if value is None or isinstance(value, bool | int | float | str):
        return value
    if isinstance(value, np.generic):
        return value.item()
    if isinstance(value, np.ndarray):
        content = zlib.compress(np.ascontiguousarray(value).tobytes(), 1)
        return {"array": [value.dtype.str, list(value.shape), base64.b64encode(content).decode()]}
    if isinstance(value, tuple):
        return {"row": [packed(part) for part in value]}
    if isinstance(value, dict):
        return {"named": {str(key): packed(part) for key, part in value.items()}}
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        kind = type(value)
        fields = {field.name: packed(getattr(value, field.name)) for field in dataclasses.fields(value)}
        return {"made": f"{kind.__module__}:{kind.__qualname__}", "of": fields}
    raise TypeError(f"a {type(value).__name__} cannot be kept")


def unpacked(content: Any) -> Any:
    """The value that was packed.

    Parameters
    ----------
    content : JSON value
        From `packed`.

    Returns
    -------
    The value

    Raises
    ------
    ValueError
        If the content is not what `packed` writes, or a dataclass has other fields by now.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> unpacked(packed(np.eye(2)))[1].tolist()
    [0.0, 1.0]
    """
    if content is None or isinstance(content, bool | int | float | str):
        return content
    if not isinstance(content, dict):
        raise ValueError("not what was written")
    if "array" in content:
        return _array(*content["array"])
    if "row" in content:
        return tuple(unpacked(part) for part in content["row"])
    if "named" in content:
        return {key: unpacked(part) for key, part in content["named"].items()}
    kind = _dataclass(str(content.get("made")))
    fields = {name: unpacked(part) for name, part in content["of"].items()}
    if set(fields) != {field.name for field in dataclasses.fields(kind)}:
        raise ValueError("written by another version")
    return kind(**fields)


def _array(kind: str, shape: list[int], text: str) -> np.ndarray:
    """An array of just the size that is told: a small file must not unfold into one that fills the memory."""
    dtype = np.dtype(kind)
    size = math.prod(shape) * dtype.itemsize
    if dtype.hasobject or not 0 <= size <= _LARGEST_BYTES:
        raise ValueError("not an array that was written")
    unfolding = zlib.decompressobj()
    content = unfolding.decompress(base64.b64decode(text), size + 1)
    return np.frombuffer(content, dtype).reshape(shape).copy()


def _dataclass(name: str) -> Any:
    """The dataclass of this package that goes by that name; nothing is imported for it."""
    module, _, kind = name.partition(":")
    found = getattr(sys.modules.get(module), kind, None) if module.startswith(_ROOMS) else None
    if not (isinstance(found, type) and dataclasses.is_dataclass(found)):
        raise ValueError("not a dataclass of this package")
    return found
