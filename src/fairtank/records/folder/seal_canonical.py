"""One text for one content: JSON in the canonical form of RFC 8785 (form 2), and the older one of this house (form 1)."""

import base64
import hashlib
import json
import math
from decimal import Decimal
from json.encoder import encode_basestring
from typing import Any

from fairtank.errors import InputError

FORM, FORMS = 2, (1, 2)
LARGEST_WHOLE = 2**53 - 1  # up to here every whole number is a double of its own
LARGEST_DOUBLE = 2**1023
CODE_LENGTH, CODE_GROUP = 10, 5
MOST_DIGITS, LEAST_POINT = 21, -6  # where ECMAScript goes over to powers of ten


def canonical(value: Any) -> str:
    """JSON in the canonical form of RFC 8785, as text; its UTF-8 bytes are what digests and signatures are over.

    Keys are ordered by their UTF-16 code units, numbers are written as ECMAScript writes them, text stays as it is.

    Parameters
    ----------
    value : None, bool, int, float, str, list, tuple or dict
        Of the same inside; keys are texts.

    Returns
    -------
    str

    Raises
    ------
    InputError
        If a number is not finite, or a whole one beyond 2^53 - 1 that a double would not give back, a text holds half a character, or
        something is none of these kinds.

    References
    ----------
    rfc8785, sections 3.2.1 to 3.2.4 (keys from sources.py).

    Examples
    --------
    >>> canonical({"b": 0.1, "a": ["ä", None, 2.0, 1e21]})
    '{"a":["ä",null,2,1e+21],"b":0.1}'
    """
    if isinstance(value, str):  # most of all: asked first
        return _text(value)
    if isinstance(value, dict):
        for key in value:
            if not isinstance(key, str):
                raise _refused(repr(key), "a text as the name of a field")
        ordered = sorted(value) if all(map(str.isascii, value)) else sorted(value, key=_code_units)
        return "{" + ",".join(f"{_text(key)}:{canonical(value[key])}" for key in ordered) + "}"
    if isinstance(value, (list, tuple)):
        return "[" + ",".join(map(canonical, value)) + "]"
    if value is None or isinstance(value, bool):
        return {None: "null", True: "true", False: "false"}[value]
    if isinstance(value, int):
        if abs(value) <= LARGEST_WHOLE:
            return str(value)
        if abs(value) >= LARGEST_DOUBLE or number_text(float(value)) != str(value):
            raise _refused(value, f"a whole number from {-LARGEST_WHOLE} to {LARGEST_WHOLE} (write a larger one as text)")
        return number_text(float(value))  # a number with a point that was written without it
    if isinstance(value, float):
        return number_text(value)
    raise _refused(type(value).__name__, "a text, a number, true, false, nothing, or a list or table of these")


def number_text(value: float) -> str:
    """A number as ECMAScript writes it: the fewest digits that read back as the same double.

    >>> number_text(1e-7), number_text(123456789.0), number_text(-0.0)
    ('1e-7', '123456789', '0')
    """
    if not math.isfinite(value):
        raise _refused(value, "a finite number")
    if value == 0:
        return "0"
    sign, digits, exponent = Decimal(repr(value)).as_tuple()
    text = "".join(map(str, digits)).lstrip("0")
    point = len(text) + int(exponent)  # where the point stands, counted from before the first digit
    text = text.rstrip("0")
    minus = "-" if sign else ""
    if len(text) <= point <= MOST_DIGITS:
        return f"{minus}{text}{'0' * (point - len(text))}"
    if 0 < point <= MOST_DIGITS:
        return f"{minus}{text[:point]}.{text[point:]}"
    if LEAST_POINT < point <= 0:
        return f"{minus}0.{'0' * -point}{text}"
    power = point - 1
    rest = f".{text[1:]}" if len(text) > 1 else ""
    return f"{minus}{text[0]}{rest}e{'+' if power > 0 else '-'}{abs(power)}"


def _code_units(key: str) -> bytes:
    return key.encode("utf-16-be", "surrogatepass")


def _text(value: str) -> str:
    if not value.isascii():
        try:
            value.encode()
        except UnicodeEncodeError:
            raise _refused(ascii(value), "text of whole characters") from None
    return encode_basestring(value)  # as json.dumps writes a text


def _refused(value: object, accepted: str) -> InputError:
    return InputError("a value of canonical JSON", value, accepted)


def canonical_1(value: Any) -> str:
    """The form that seals of the first fairtank are over: keys by code points, numbers as Python writes floats.

    >>> canonical_1({"b": 1e-7, "a": 2.0})
    '{"a":2.0,"b":1e-07}'
    """
    return json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def bytes_of(value: Any, form: int = FORM) -> bytes:
    """The canonical bytes of a content in one of the forms."""
    return (canonical if form == FORM else canonical_1)(value).encode()


def digest_of(value: Any, form: int = FORM) -> str:
    """SHA-256 over the canonical bytes, in hexadecimal."""
    return hashlib.sha256(bytes_of(value, form)).hexdigest()


def code_of(digest: str) -> str:
    """The start of a digest in letters and digits that can be read aloud and held into a camera: 50 of its 256 bits.

    >>> code_of("00" * 32)
    'AAAAA-AAAAA'
    """
    letters = base64.b32encode(bytes.fromhex(digest)).decode()[:CODE_LENGTH]
    return "-".join(letters[start : start + CODE_GROUP] for start in range(0, CODE_LENGTH, CODE_GROUP))
