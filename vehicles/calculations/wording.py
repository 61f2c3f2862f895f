"""Numbers as sentences carry them: rounded half up, and never so far that a comparison reads false."""

from decimal import ROUND_HALF_UP, Decimal

MOST_DIGITS = 9


def fixed(value: float, digits: int = 1) -> str:
    """A number with so many decimals, halves away from zero, thousands separated.

    Parameters: a number in any unit [-], decimals. Returns: text.

    >>> fixed(77.25), fixed(2.5, 0), fixed(-0.04), fixed(3500, 0)
    ('77.3', '3', '0.0', '3,500')

    Source: rounding as people do it, halves away from zero.
    """
    rounded = Decimal(repr(float(value))).quantize(Decimal(1).scaleb(-digits), ROUND_HALF_UP)
    return f"{abs(rounded) if rounded == 0 else rounded:,}"


def beside(value: float, limit: float, digits: int = 1) -> str:
    """A number to stand beside a limit: with more decimals when rounding would make them equal.

    Parameters: a number and a limit in one unit [-], decimals. Returns: text.

    >>> beside(75.04, 75), beside(75.1, 75), beside(75, 75), beside(3500.4, 3500, 0)
    ('75.04', '75.1', '75.0', '3,500.4')

    Source: our own rule.
    """
    while digits < MOST_DIGITS and value != limit and _number(fixed(value, digits)) == limit:
        digits += 1
    return fixed(value, digits)


def _number(text: str) -> float:
    return float(text.replace(",", ""))


def plain(value: float) -> str:
    """A number of the rules as it was written down.

    Parameters: a number in any unit [-]. Returns: text.

    >>> plain(75.0), plain(13.6), plain(3500.0)
    ('75', '13.6', '3,500')

    Source: our own rule.
    """
    return f"{value:,.10g}"
