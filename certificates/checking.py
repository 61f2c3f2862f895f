"""The code on a certificate by which anybody can check it, and where it leads."""

import os
import secrets

# No letter that can be taken for another; 20 of 32 are 100 bits from the system's source of randomness.
_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"
LENGTH = 20


def new_code():
    return "".join(secrets.choice(_LETTERS) for _ in range(LENGTH))


def spelled(code):
    """As it is printed: in groups of five."""
    return "-".join(code[start : start + 5] for start in range(0, len(code), 5))


def read(typed):
    """The code as somebody typed or scanned it."""
    return "".join(letter for letter in typed.upper() if letter in _LETTERS)


def house_address():
    """Where this house is reached from outside; JOBBOOK_ADDRESS says so."""
    return os.environ.get("JOBBOOK_ADDRESS", "http://127.0.0.1:8000").rstrip("/")


def address(code):
    return f"{house_address()}/check/{spelled(code)}/"
