"""The canonical form against RFC 8785 (June 2020)."""

import json
import struct

import pytest

from certificates.canonical import NotCanonical, canonical

# Source: RFC 8785, section 3.2.2 (sample input) and 3.2.3 / 3.2.4 (its canonical form, in bytes).
SAMPLE = r"""{
  "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}"""
SAMPLE_CANONICAL = bytes.fromhex(
    "7b226c69746572616c73223a5b6e756c6c2c747275652c66616c73655d2c226e756d62657273223a5b"
    "3333333333333333332e333333333333332c31652b33302c342e352c302e3030322c31652d32375d2c22"
    "737472696e67223a22e282ac245c75303030665c6e4127425c225c5c5c5c5c222f227d"
)

# Source: RFC 8785, section 3.2.3: property names in the order of their UTF-16 code units.
NAMES_IN_ORDER = ["\r", "1", "\u0080", "\u00f6", "\u20ac", "\U0001f600", "\ufb33"]

# Source: RFC 8785, appendix B: the bits of a double and how it is written.
NUMBERS = [
    ("0000000000000000", "0"),
    ("8000000000000000", "0"),
    ("0000000000000001", "5e-324"),
    ("8000000000000001", "-5e-324"),
    ("7fefffffffffffff", "1.7976931348623157e+308"),
    ("ffefffffffffffff", "-1.7976931348623157e+308"),
    ("4340000000000000", "9007199254740992"),
    ("c340000000000000", "-9007199254740992"),
    ("4430000000000000", "295147905179352830000"),
    ("44b52d02c7e14af5", "9.999999999999997e+22"),
    ("44b52d02c7e14af6", "1e+23"),
    ("44b52d02c7e14af7", "1.0000000000000001e+23"),
    ("444b1ae4d6e2ef4e", "999999999999999700000"),
    ("444b1ae4d6e2ef4f", "999999999999999900000"),
    ("444b1ae4d6e2ef50", "1e+21"),
    ("3eb0c6f7a0b5ed8c", "9.999999999999997e-7"),
    ("3eb0c6f7a0b5ed8d", "0.000001"),
    ("41b3de4355555553", "333333333.3333332"),
    ("41b3de4355555554", "333333333.33333325"),
    ("41b3de4355555555", "333333333.3333333"),
    ("41b3de4355555556", "333333333.3333334"),
    ("41b3de4355555557", "333333333.33333343"),
    ("becbf647612f3696", "-0.0000033333333333333333"),
    ("43143ff3c1cb0959", "1424953923781206.2"),
]


def test_the_sample_of_the_rfc_byte_for_byte():
    assert canonical(json.loads(SAMPLE)) == SAMPLE_CANONICAL


def test_names_are_sorted_by_utf_16_code_units():
    written = canonical(dict.fromkeys(reversed(NAMES_IN_ORDER), 0))
    assert list(json.loads(written)) == NAMES_IN_ORDER


@pytest.mark.parametrize(("bits", "written"), NUMBERS)
def test_numbers_of_appendix_b(bits, written):
    (double,) = struct.unpack(">d", bytes.fromhex(bits))
    assert canonical(double).decode() == written


def test_a_whole_number_is_written_alike_as_int_and_as_float():
    assert canonical([110, 110.0, -0.0]) == b"[110,110,0]"


@pytest.mark.parametrize(
    "data",
    [float("nan"), float("inf"), 2**53 + 1, 10**400, "\ud800", {"\udfff": 1}, {1: 2}, {"a": object()}],
    ids=repr,
)
def test_what_has_no_canonical_form_is_refused(data):
    with pytest.raises(NotCanonical):
        canonical(data)
