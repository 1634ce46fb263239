"""A whole number out of an address or a form; whatever else stands there is none, however it looks."""

import re

_WHOLE = re.compile(r"-?[0-9]{1,9}", re.ASCII)


def whole_of(text: str) -> int | None:
    """The number, with at most nine digits; None where there is none.

    >>> whole_of("-12"), whole_of("--5"), whole_of("²"), whole_of("")
    (-12, None, None, None)
    """
    return int(text) if _WHOLE.fullmatch(text) else None
