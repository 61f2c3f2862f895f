"""Telling a card number from a bank's reference, so that none is kept by mistake."""

import re

# In one piece, in fours, or as 4-6-5: the ways in which card numbers are printed.
_PRINTED = re.compile(
    r"(?<![0-9])(?:[0-9]{13,19}|[0-9]{4}(?:[ -][0-9]{4}){2,3}[ -][0-9]{1,4}|[0-9]{4}[ -][0-9]{6}[ -][0-9]{5})(?![0-9])"
)


def card_number_in(text):
    """Whether the text holds 13 to 19 digits written as a card number whose last digit checks.

    >>> card_number_in("Order 4111 1111 1111 1111"), card_number_in("BSB 062-000 acct 1234 5678")
    (True, False)

    Source: ISO/IEC 7812-1, digits and check digit (Luhn's formula) [memory 95].
    """
    found = ([int(char) for char in match if char.isdigit()] for match in _PRINTED.findall(text))
    return any(13 <= len(digits) <= 19 and _checks(digits) for digits in found)


def _checks(digits):
    doubled = [sum(divmod(2 * digit, 10)) for digit in digits[-2::-2]]
    return (sum(digits[-1::-2]) + sum(doubled)) % 10 == 0
