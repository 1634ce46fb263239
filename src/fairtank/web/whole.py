"""A whole number out of an address or a form; whatever else stands there is none, however it looks."""

import re

_WHOLE = re.compile(r"[-−]?[0-9]{1,9}", re.ASCII)
_MOST = 10**9


def whole_of(text: str, low: int = -_MOST, high: int = _MOST) -> int | None:
    """The number from low to high, with at most nine digits; None where there is none. Blanks around it do not matter.

    >>> whole_of("-12"), whole_of(" 7 "), whole_of("--5"), whole_of("²"), whole_of("")
    (-12, 7, None, None, None)
    >>> whole_of("12", 0, 11), whole_of("−1", 0, 11), whole_of("−1")
    (None, None, -1)
    """
    plain = text.strip()
    found = int(plain.replace("−", "-")) if _WHOLE.fullmatch(plain) else None
    return found if found is not None and low <= found <= high else None
