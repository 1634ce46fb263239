"""Canonical JSON: the examples and numbers that RFC 8785 prints, what it refuses, and random values against another implementation."""

import json
import struct

import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st

from checking import every
from fairtank.errors import InputError
from fairtank.records.folder.seal_canonical import LARGEST_WHOLE, bytes_of, canonical, digest_of, number_text

NUMBERS = [
    ("0000000000000000", "0"), ("8000000000000000", "0"), ("0000000000000001", "5e-324"), ("8000000000000001", "-5e-324"),
    ("7fefffffffffffff", "1.7976931348623157e+308"), ("ffefffffffffffff", "-1.7976931348623157e+308"),
    ("4340000000000000", "9007199254740992"), ("c340000000000000", "-9007199254740992"), ("4430000000000000", "295147905179352830000"),
    ("44b52d02c7e14af5", "9.999999999999997e+22"), ("44b52d02c7e14af6", "1e+23"), ("44b52d02c7e14af7", "1.0000000000000001e+23"),
    ("444b1ae4d6e2ef4e", "999999999999999700000"), ("444b1ae4d6e2ef4f", "999999999999999900000"), ("444b1ae4d6e2ef50", "1e+21"),
    ("3eb0c6f7a0b5ed8c", "9.999999999999997e-7"), ("3eb0c6f7a0b5ed8d", "0.000001"), ("41b3de4355555553", "333333333.3333332"),
    ("41b3de4355555554", "333333333.33333325"), ("41b3de4355555555", "333333333.3333333"), ("41b3de4355555556", "333333333.3333334"),
    ("41b3de4355555557", "333333333.33333343"), ("becbf647612f3696", "-0.0000033333333333333333"),
    ("43143ff3c1cb0959", "1424953923781206.2"),
]
SAMPLE = r"""{
  "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}"""
SAMPLE_BYTES = """
7b 22 6c 69 74 65 72 61 6c 73 22 3a 5b 6e 75 6c 6c 2c 74 72 75 65 2c 66 61 6c 73 65 5d 2c 22 6e 75 6d 62 65 72 73 22 3a
5b 33 33 33 33 33 33 33 33 33 2e 33 33 33 33 33 33 33 2c 31 65 2b 33 30 2c 34 2e 35 2c 30 2e 30 30 32 2c 31 65 2d 32 37
5d 2c 22 73 74 72 69 6e 67 22 3a 22 e2 82 ac 24 5c 75 30 30 30 66 5c 6e 41 27 42 5c 22 5c 5c 5c 5c 5c 22 2f 22 7d"""
ORDER = r"""{"\u20ac": "Euro Sign", "\r": "Carriage Return", "\ufb33": "Hebrew Letter Dalet With Dagesh", "1": "One",
 "\ud83d\ude00": "Emoji: Grinning Face", "\u0080": "Control", "\u00f6": "Latin Small Letter O With Diaeresis"}"""
JSON_VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-LARGEST_WHOLE, LARGEST_WHOLE) | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(exclude_categories=("Cs",))),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(st.characters(exclude_categories=("Cs",))), inner, max_size=4),
    max_leaves=12)


@pytest.mark.published(entry="canonical", source="rfc8785", where="appendix B, number serialization samples")
@every(("bits", "printed"), NUMBERS)
def test_numbers_are_written_as_ecmascript_writes_them(bits, printed):
    assert number_text(struct.unpack(">d", bytes.fromhex(bits))[0]) == printed


@pytest.mark.published(entry="canonical", source="rfc8785", where="sections 3.2.2 and 3.2.4, the sample and its bytes")
def test_the_sample_comes_out_to_the_byte():
    assert bytes_of(json.loads(SAMPLE)) == bytes.fromhex(SAMPLE_BYTES.replace("\n", " "))


@pytest.mark.published(entry="canonical", source="rfc8785", where="section 3.2.3, sorting by UTF-16 code units")
def test_keys_are_sorted_by_their_utf_16_code_units():
    assert list(json.loads(canonical(json.loads(ORDER))).values()) == [
        "Carriage Return", "One", "Control", "Latin Small Letter O With Diaeresis", "Euro Sign", "Emoji: Grinning Face",
        "Hebrew Letter Dalet With Dagesh"]


@pytest.mark.published(entry="canonical", source="rfc8785", where="appendix B, the values that end in an error; section 3.2.2.2")
@pytest.mark.parametrize("bits", ["7fffffffffffffff", "7ff0000000000000", "fff0000000000000"])
def test_what_is_no_finite_number_is_refused(bits):
    with pytest.raises(InputError, match="accepted: a finite number"):
        canonical([struct.unpack(">d", bytes.fromhex(bits))[0]])


@pytest.mark.parametrize(("value", "told"), [
    ("\ud800", "text of whole characters"), ({"\udead": 1}, "text of whole characters"), ({1: 2}, "a text as the name of a field"),
    (2**53 + 1, "write a larger one as text"), (-(2**53) - 1, "write a larger one as text"),
    (10**400, "write a larger one as text"), ({1, 2}, "a list or table of these"),
])
def test_what_json_cannot_hold_is_refused_in_words(value, told):
    with pytest.raises(InputError, match=told):
        canonical(value)


@settings(max_examples=60)
@given(JSON_VALUES)
def test_random_values_come_out_as_another_implementation_writes_them(value):
    assert bytes_of(value) == rfc8785.dumps(value)


def test_a_large_number_is_the_same_with_and_without_its_point():
    assert canonical(2**53) == canonical(2.0**53) == "9007199254740992"


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_number_reads_back_as_the_same_double(value):
    assert float(number_text(value)) == value


@settings(max_examples=60)
@given(JSON_VALUES)
def test_the_canonical_text_is_its_own_canonical_text(value):
    assert canonical(json.loads(canonical(value))) == canonical(value)


def test_whole_numbers_and_floats_of_one_size_have_one_digest_which_they_had_not_in_the_first_form():
    assert digest_of({"margin": 1}) == digest_of({"margin": 1.0})
    assert digest_of({"margin": 1}, 1) != digest_of({"margin": 1.0}, 1)
