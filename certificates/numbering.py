"""Numbers of certificates: without gaps for each signatory and year."""

import re

from django.utils import timezone

from certificates import terms
from certificates.models import RegisterLine
from jobs.models import Authority, Counter, User


def series(authority_number, year):
    """The series of a signatory and year, in letters, digits and hyphens: `SIG-0042-2026`."""
    written = re.sub(r"[^A-Z0-9]+", "-", authority_number.upper()).strip("-")
    return f"{written or 'SIGNATORY'}-{year}"


def counter(named):
    return f"certificate {named}"


def next_number(authority_number, year):
    """The next number of the series. It is taken in the transaction that uses it, or not at all.

    One that a past certificate bears already is passed over: nobody could tell the two apart.
    """
    named = series(authority_number, year)
    while True:
        number = f"{named}-{Counter.next(counter(named)):04d}"
        if not (there := holder_of(number)) or not there.imported_id:
            return number


def holder_of(number):
    """The line of the register that bears this number, however it is spelled, or None."""
    same = terms.compact(number)
    found = RegisterLine.objects.filter(keys__kind=terms.NUMBER, keys__key=same)
    # Lines are found by the end of their number as well.
    bearing = [line for line in found.select_related("imported").distinct() if terms.compact(line.number) == same]
    # The certificate of this register first, should an import bear its number from before this was refused.
    return min(bearing, key=lambda line: line.certificate_id is None, default=None)


def is_ours(number):
    """Is it of a series that this register gives, or would give from this year on?"""
    same = terms.compact(number)
    return any(re.fullmatch(rf"{re.escape(terms.compact(named))}[0-9]+", same) for named in _our_series(same))


def _our_series(same):
    begun = Counter.objects.filter(name__startswith=counter("")).values_list("name", flat=True)
    yield from (name.removeprefix(counter("")) for name in begun)
    year = timezone.localdate().year
    of_accounts = User.objects.values_list("authority_number", flat=True)
    for authority_number in {*of_accounts, *Authority.objects.values_list("number", flat=True)} - {""}:
        # Some year to come stands behind the authority number, where this is a number of ours.
        found = re.match(rf"{re.escape(terms.compact(authority_number))}([0-9]{{4}})", same)
        if found and int(found[1]) >= year:
            yield series(authority_number, int(found[1]))


def split(number):
    """Series and count of a number that this house gave, or None."""
    found = re.fullmatch(r"(.+-\d{4})-(\d{4,})", number)
    return (found[1], int(found[2])) if found else None
