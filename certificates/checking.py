"""The code on a certificate by which anybody can check it, and where it leads."""

import secrets
from ipaddress import ip_address
from urllib.parse import urlsplit

from django.conf import settings

from jobs.workshop.addresses import absolute

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


def address(code):
    return absolute(f"/check/{spelled(code)}/")


def leads_nowhere():
    """The address that certificates would carry, where nobody outside this machine reaches it; else empty.

    What is printed and sealed stays wrong for good. The demo is allowed to: nobody relies on its papers.
    """
    house = absolute("")
    return house if not settings.DEMO and _of_this_machine(urlsplit(house).hostname or "") else ""


def _of_this_machine(host):
    # A host that stands for several (`*`, `.example`) is a rule of who may ask, and no address.
    if not host or host.startswith(("*", ".")) or host == "localhost" or host.endswith(".localhost"):
        return True
    try:
        found = ip_address(host)
    except ValueError:
        return False
    return found.is_loopback or found.is_unspecified
