"""What a command answers with --json: one object, one way to write it."""

import json
import math
from dataclasses import is_dataclass
from pathlib import Path
from typing import Any

from fairtank.publish.phrases import plain_text


def json_text(document: Any, *, figures: int | None = None) -> str:
    """A result as JSON text: frozen results as objects, numbers without end as null, no-break spaces as spaces.

    Parameters
    ----------
    document : dict
        What is to be said; its values may be frozen results, lists and paths.
    figures : int or None
        To how many figures numbers are rounded; None leaves them.

    Returns
    -------
    str
        Ends in a line break.

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> print(json_text({"size": 0.123456, "never": float("inf"), "said": "8.3\\xa0%"}, figures=3), end="")
    {
     "size": 0.123,
     "never": null,
     "said": "8.3 %"
    }
    """
    return json.dumps(_plain(document, figures), ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def _plain(value: Any, figures: int | None) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return {name: _plain(item, figures) for name, item in vars(value).items()}
    if isinstance(value, dict):
        return {name: _plain(item, figures) for name, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(item, figures) for item in value]
    if isinstance(value, Path):
        return str(value)
    if isinstance(value, float):
        if not math.isfinite(value):
            return None
        return float(value) if figures is None else float(f"{value:.{figures}g}")
    return plain_text(value) if isinstance(value, str) else value
