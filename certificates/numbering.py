"""Numbers of certificates: without gaps for each signatory and year."""

import re

from jobs.models import Counter


def series(authority_number, year):
    """The series of a signatory and year, in letters, digits and hyphens: `SIG-0042-2026`."""
    written = re.sub(r"[^A-Z0-9]+", "-", authority_number.upper()).strip("-")
    return f"{written or 'SIGNATORY'}-{year}"


def counter(named):
    return f"certificate {named}"


def next_number(authority_number, year):
    """The next number of the series. It is taken in the transaction that uses it, or not at all."""
    named = series(authority_number, year)
    return f"{named}-{Counter.next(counter(named)):04d}"


def split(number):
    """Series and count of a number that this house gave, or None."""
    found = re.fullmatch(r"(.+-\d{4})-(\d{4,})", number)
    return (found[1], int(found[2])) if found else None
