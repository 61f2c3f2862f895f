"""One way to write a record as bytes, so that it can be hashed again in ten years: RFC 8785.

The number rule: every number is an IEEE 754 double and is written as ECMAScript writes it, with
the fewest digits that read back as the same double. 110, 110.0 and 1.1e2 are one number; that is
why a record hashes the same after SQLite kept it as text and PostgreSQL as a numeric. A whole
number beyond 2^53, NaN and the infinities are refused.
"""

import math
import re
from decimal import Decimal

# Above this not every whole number is a double.
_EXACT_TO = 2**53
_ESCAPES = {'"': '\\"', "\\": "\\\\", "\b": "\\b", "\f": "\\f", "\n": "\\n", "\r": "\\r", "\t": "\\t"}
_TO_ESCAPE = re.compile(r'["\\\x00-\x1f]')


class NotCanonical(ValueError):
    """The data holds something that has no canonical form."""


def canonical(data):
    """The data as UTF-8 bytes in the canonical form of RFC 8785."""
    try:
        return _text(data).encode("utf-8")
    except UnicodeEncodeError as error:
        raise NotCanonical("half a surrogate pair is no text") from error


def _text(data):
    if data is None:
        return "null"
    if isinstance(data, bool):
        return "true" if data else "false"
    if isinstance(data, str):
        return _string(data)
    if isinstance(data, int | float):
        return _number(data)
    if isinstance(data, list | tuple):
        return f"[{','.join(map(_text, data))}]"
    if isinstance(data, dict):
        return f"{{{','.join(f'{_string(key)}:{_text(data[key])}' for key in sorted(data, key=_utf16))}}}"
    raise NotCanonical(f"{type(data).__name__} is not JSON")


def _utf16(key):
    if not isinstance(key, str):
        raise NotCanonical(f"the key {key!r} is not text")
    # Surrogates pass here and are refused, with a clear word, when the whole is encoded.
    return key.encode("utf-16-be", "surrogatepass")


def _string(text):
    return '"' + _TO_ESCAPE.sub(_escaped, text) + '"'


def _escaped(found):
    return _ESCAPES.get(found[0]) or f"\\u{ord(found[0]):04x}"


def _number(value):
    if abs(value) > _EXACT_TO if isinstance(value, int) else not math.isfinite(value):
        raise NotCanonical(f"{value!r} is not a number that every reader holds exactly")
    if value == 0:
        return "0"
    sign, digits, exponent = Decimal(repr(float(value))).normalize().as_tuple()
    return "-" * sign + _ecmascript("".join(map(str, digits)), exponent)


def _ecmascript(digits, exponent):
    """Number::toString of ECMAScript for the value 0.digits × 10^point."""
    point = len(digits) + exponent
    if len(digits) <= point <= 21:
        return digits + "0" * (point - len(digits))
    if 0 < point <= 21:
        return f"{digits[:point]}.{digits[point:]}"
    if -6 < point <= 0:
        return f"0.{'0' * -point}{digits}"
    fraction = f".{digits[1:]}" if len(digits) > 1 else ""
    return f"{digits[0]}{fraction}e{point - 1:+d}"
